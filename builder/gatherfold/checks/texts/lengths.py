"""Lengths in texts: typed where a formula could stand, and formulas that say another piece's size.

A typed length is wrong in the other edition, which moves to its own grid.  A formula is held
against the sizes of the piece that stands right before it, and against every length of what its
sentence and its step are about.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from itertools import dropwhile, pairwise

from gatherfold.checks.report import as_typed, quoted
from gatherfold.checks.texts.lengths_of import lengths_between, lengths_of
from gatherfold.checks.texts.places import edge_measured_from
from gatherfold.checks.texts.readings import Reading
from gatherfold.checks.texts.sentences import Sentence, TextToken, TokenKind
from gatherfold.findings import Finding
from gatherfold.formulas import Pair, Quantity
from gatherfold.lengths import INCH
from gatherfold.resolve import REMEMBERED, ResolvedDesign, ResolvedFastening, ResolvedPiece

_PIECE_SIZE = re.compile(r"\b([a-z][a-z0-9_]*)\.")
#: What stands between the two lengths of a size.
_TIMES = ("x", "×")
#: So many of what a sentence is about are listed.
_LISTED = 6


def check_lengths(reading: Reading) -> Iterator[Finding]:
    """Lengths of a sentence that are typed, or that are those of something else."""
    typed = list(_typed_lengths(reading))
    sizes = {
        each.token: said for pair in pairwise(typed) for each, said in _typed_size(reading, *pair)
    }
    for each in typed:
        yield sizes.get(each.token) or _typed(reading, each)
    for clause in reading.sentence.clauses:
        for index, token in enumerate(clause.tokens):
            if token.kind is TokenKind.FORMULA:
                yield from _formula(reading, clause, index)


# ---- typed


@dataclass(frozen=True)
class _TypedLength:
    """A length in plain numbers: as it is written, its value in mm, and where it stands."""

    said: str
    value: Fraction
    token: TextToken


def _typed_size(
    reading: Reading, first: _TypedLength, second: _TypedLength
) -> Iterator[tuple[_TypedLength, Finding]]:
    """ "The [tray] is 9 1/2 in x 8 in": two lengths right after a piece that has others, in the
    edition that they are typed in."""
    tokens, start = reading.tokens, reading.tokens.index(first.token)
    is_pair = any(token.text in _TIMES for token in tokens[start : tokens.index(second.token)])
    piece = _just_before(reading, tokens[:start]) if is_pair else None
    is_own = reading.resolved.edition.name == reading.resolved.design.native
    if piece is None or not is_own:
        return
    for typed, name in ((first, "width"), (second, "height")):
        there = piece.width if name == "width" else piece.height
        if typed.value not in (piece.width, piece.height):
            told = {"said": typed.said, "name": name, "piece": piece.key}
            found = "length-in-text, other size"
            yield typed, reading.found(found, typed.token, **told, there=there)


def _typed(reading: Reading, typed: _TypedLength) -> Finding:
    resolved = reading.resolved
    alike = [name for name, value in _measures(resolved) if value == typed.value]
    if alike:
        told = {"said": typed.said, "alike": ", ".join(alike), "measure": alike[0]}
        return reading.found("length-in-text, measure", typed.token, **told)
    about = lengths_of(resolved, _about(reading))
    is_foreign = about and typed.value not in about
    which = "; no length of what it is about is that" if is_foreign else ""
    told = {"said": typed.said, "which": which, "typed": as_typed(typed.value, resolved)}
    return reading.found("length-in-text", typed.token, **told)


def _measures(resolved: ResolvedDesign) -> Iterator[tuple[str, Fraction]]:
    """The measures that are lengths."""
    for name, value in resolved.measures.items():
        if isinstance(value, Quantity) and value.power == 1:
            yield name, value.value


def _typed_lengths(reading: Reading) -> Iterator[_TypedLength]:
    for index, token in enumerate(reading.tokens):
        number = _number(reading, index)
        end, unit = _unit(reading, index) if number else (index, None)
        if unit and not reading.vocabulary.has("bought", reading.word_after(end)):
            said = " ".join(each.text for each in reading.tokens[index : end + 1])
            yield _TypedLength(said, number * unit, token)


def _number(reading: Reading, index: int) -> Fraction:
    """The number that a token says; 0 for none, and for one that is said to be vague."""
    token = reading.tokens[index]
    if index and reading.vocabulary.has("vague", reading.tokens[index - 1].text):
        return Fraction(0)
    if token.kind is TokenKind.NUMBER:
        return token.number
    return reading.vocabulary.fractions.get(token.word, Fraction(0))


def _unit(reading: Reading, index: int) -> tuple[int, Fraction | None]:
    """Where a length ends that begins with a number, and its unit; a bare fraction before a word
    such as "from" is in the design's own unit."""
    units = {'"': INCH, "″": INCH, **reading.vocabulary.units}
    after = list(enumerate(reading.tokens))[index + 1 :]
    unit_at = next(dropwhile(lambda it: reading.has("between_number_and_unit", it[1]), after), None)
    if unit_at and unit_at[1].text in units:
        return unit_at[0], units[unit_at[1].text]
    is_length = reading.vocabulary.has("after_length", reading.word_after(index))
    is_bare = is_length and _is_fraction(reading.tokens[index])
    return index, reading.resolved.design.unit if is_bare else None


def _is_fraction(token: TextToken) -> bool:
    return token.kind is TokenKind.NUMBER and token.number.denominator > 1


# ---- formulas


def _formula(reading: Reading, clause: Sentence, index: int) -> Iterator[Finding]:
    token, after = clause.tokens[index], clause.tokens[index + 1 :]
    value = reading.resolved.printed.get(token.text.strip())
    if isinstance(value, Pair):
        yield from _size(reading, token, clause.tokens[:index], value)
    elif value is not None and (other := _cut_otherwise(reading, clause, value.value)):
        lengths = {"said": value.value, "there": other.length + other.allowance}
        names = {"formula": token.text, "key": other.key}
        yield reading.found("size-of-another, cut ribbon", token, **names, **lengths)
    elif value is not None and edge_measured_from(reading.vocabulary, after) is None:
        yield from _length(reading, clause, token, value.value)


def _size(
    reading: Reading, token: TextToken, before: Sequence[TextToken], said: Pair
) -> Iterator[Finding]:
    """A formula of a size, right after a piece that has another."""
    piece = _just_before(reading, before)
    if piece and {said.width, said.height} != {piece.width, piece.height}:
        sizes = {"size": (piece.width, piece.height), "said": (said.width, said.height)}
        told = {"formula": token.text, "piece": piece.key}
        yield reading.found("size-of-another", token, **told, **sizes)
    elif piece and piece.scores and (said.width, said.height) != (piece.width, piece.height):
        sizes = {"size": (piece.width, piece.height), "said": (said.width, said.height)}
        told = {"formula": token.text, "piece": piece.key}
        yield reading.found("size-of-another, exchanged", token, **told, **sizes)


def _cut_otherwise(reading: Reading, clause: Sentence, said: Fraction) -> ResolvedFastening | None:
    """ "Cut two lengths of {x} of [satin]": the ribbon that is cut to another length, with what is
    turned under or tied away."""
    vocabulary = reading.vocabulary
    formulas = [token for token in clause.tokens if token.kind is TokenKind.FORMULA]
    if len(formulas) != 1 or vocabulary.sets["cut"].isdisjoint(clause.words):
        return None
    fastenings = (reading.resolved.fastenings[key] for key in reading.passage.by("fasten"))
    ribbons = [f for f in fastenings if f.length and {f.key, f.source.stock} & {*clause.references}]
    known = {f.length + f.allowance for f in ribbons}
    return ribbons[0] if ribbons and said not in known else None


def _just_before(reading: Reading, before: Sequence[TextToken]) -> ResolvedPiece | None:
    """The piece that stands right before a formula, with "is", "are" or nothing between."""
    near = dropwhile(lambda token: reading.has("relates", token), reversed(before))
    return next((reading.resolved.pieces.get(token.reference) for token in near), None)


def _length(
    reading: Reading, clause: Sentence, token: TextToken, value: Fraction
) -> Iterator[Finding]:
    """A formula of a length: of which piece it is, and whether anything there has it."""
    about = _about(reading)
    if _is_length_there(reading, about, value):
        return
    pieces, told = reading.resolved.pieces, {"formula": token.text}
    named = [key for key in _PIECE_SIZE.findall(token.text) if key in pieces]
    own = [key for key in clause.references if key in pieces]
    if named and len(own) == 1 and not {*named} & {*about}:
        told |= {"other": named[0], "piece": own[0]}
        yield reading.found("size-of-another, other piece", token, **told, said=value)
    else:
        told |= {"listed": quoted(about[:_LISTED])}
        yield reading.found("length-of-nothing", token, **told, said=value)


def _is_length_there(reading: Reading, about: Sequence[str], value: Fraction) -> bool:
    """Whether a length may be one of what a sentence is about; lengths of tied ribbon are not
    known."""
    names = reading.sentence.references
    return (
        not names
        or value in lengths_of(reading.resolved, about)
        or any(_goes_round(reading.resolved, name) for name in about)
        or value in lengths_between(reading.resolved, {*names, *_spoken(reading)})
    )


def _spoken(reading: Reading) -> Iterator[str]:
    """What the step handles, and what a sentence names by a noun."""
    yield from reading.passage.handled
    yield from reading.spoken_of


def _goes_round(resolved: ResolvedDesign, name: str) -> bool:
    return name in resolved.fastenings and bool(resolved.fastenings[name].source.round)


def _about(reading: Reading) -> tuple[str, ...]:
    """What a sentence of a step is about: all that it names and the step handles, what that lies on
    and what lies on that."""
    resolved = reading.resolved
    near = dict.fromkeys((*reading.sentence.references, *reading.passage.handled))
    for key in [*near]:
        hosts = resolved.hosts_of(key) if key in resolved.pieces else ()
        near |= dict.fromkeys((*hosts, *_riders(resolved).get(key, ())))
    tied = (key for key, each in resolved.fastenings.items() if each.source.stock in near)
    return tuple(near | dict.fromkeys(tied))


@lru_cache(maxsize=REMEMBERED)
def _riders(resolved: ResolvedDesign) -> Mapping[str, Sequence[str]]:
    """What lies on each piece."""
    found: dict[str, list[str]] = {}
    for piece in resolved.pieces.values():
        if piece.source.placement is not None:
            found.setdefault(piece.source.placement.host, []).append(piece.key)
    return found

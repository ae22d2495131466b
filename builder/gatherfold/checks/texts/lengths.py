"""Lengths in texts: typed where a formula could stand, and formulas that say another piece's size.

A typed length is wrong in the other edition, which moves to its own grid.  A formula is held
against the sizes of the piece that stands right before it, and against every length of what its
sentence and its step are about.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from gatherfold.checks.report import as_typed, finding_kind
from gatherfold.checks.texts.lengths_of import lengths_between, lengths_of
from gatherfold.checks.texts.parts_named import Nouns
from gatherfold.checks.texts.passages import Passage
from gatherfold.checks.texts.places import edge_measured_from
from gatherfold.checks.texts.sentences import Sentence, TextToken, TokenKind
from gatherfold.checks.texts.vocabulary import Vocabulary
from gatherfold.findings import Finding, Severity
from gatherfold.formulas import Pair, Quantity
from gatherfold.lengths import INCH
from gatherfold.resolve.resolved import ResolvedDesign

_MEASURE_TYPED = replace(finding_kind("length-in-text"), severity=Severity.WARNING)
_PIECE_SIZE = re.compile(r"\b([a-z][a-z0-9_]*)\.")


def check_lengths(resolved: ResolvedDesign, nouns: Nouns, passage: Passage) -> Iterator[Finding]:
    """Lengths of a passage that are typed, or that are those of something else."""
    for sentence in passage.sentences:
        yield from _typed(resolved, nouns, passage, sentence)
        yield from _formulas(resolved, nouns, passage, sentence)


# ---- typed


@dataclass(frozen=True)
class _TypedLength:
    """A length in plain numbers: as it is written, its value in mm, and where it stands."""

    said: str
    value: Fraction
    start: int


def _typed(
    resolved: ResolvedDesign, nouns: Nouns, passage: Passage, sentence: Sentence
) -> Iterator[Finding]:
    for typed in _typed_lengths(resolved, nouns.vocabulary, sentence):
        about = lengths_of(resolved, _about(resolved, passage, sentence))
        measures = {
            name: value.value
            for name, value in resolved.measures.items()
            if isinstance(value, Quantity) and value.power == 1
        }
        alike = [name for name, value in measures.items() if value == typed.value]
        is_own = typed.value in about
        which, cure = "", f"Write {{{as_typed(typed.value, resolved)}}}, or a formula of measures."
        if alike:
            which, cure = f" ({', '.join(alike)})", f"Write {{{alike[0]}}} instead."
        elif about and not is_own:
            which = "; no length of what it is about is that"
        told = {"where": passage.where, "said": typed.said, "which": which, "cure": cure}
        kind = _MEASURE_TYPED if alike else finding_kind("length-in-text")
        yield kind.found(resolved, passage.at(typed.start), **told)


def _typed_lengths(
    resolved: ResolvedDesign, vocabulary: Vocabulary, sentence: Sentence
) -> Iterator[_TypedLength]:
    tokens = sentence.tokens
    for index, token in enumerate(tokens):
        number = vocabulary.fractions.get(token.word)
        if token.kind is TokenKind.NUMBER:
            number = token.number
        before = tokens[index - 1].text if index else ""
        if number is None or vocabulary.has("vague", before) or not number:
            continue
        end, unit = _unit(resolved, vocabulary, tokens, index)
        after = tokens[end + 1].word if end + 1 < len(tokens) else ""
        if unit is None or vocabulary.has("bought", after):
            continue
        said = " ".join(each.text for each in tokens[index : end + 1])
        yield _TypedLength(said, number * unit, token.start)


def _unit(
    resolved: ResolvedDesign, vocabulary: Vocabulary, tokens: Sequence[TextToken], index: int
) -> tuple[int, Fraction | None]:
    """Where a length ends that begins with a number, and its unit; a bare fraction before a word
    such as "from" is in the design's own unit."""
    end = index + 1
    while end < len(tokens) and vocabulary.has("between_number_and_unit", tokens[end].word):
        end += 1
    word = tokens[end].text if end < len(tokens) else ""
    if word in ('"', "″"):
        return end, INCH
    if word in vocabulary.units:
        return end, vocabulary.units[word]
    is_fraction = tokens[index].kind is TokenKind.NUMBER and tokens[index].number.denominator > 1
    follows = tokens[index + 1].word if index + 1 < len(tokens) else ""
    if is_fraction and vocabulary.has("after_length", follows):
        return index, resolved.design.unit
    return index, None


# ---- formulas


def _formulas(
    resolved: ResolvedDesign, nouns: Nouns, passage: Passage, sentence: Sentence
) -> Iterator[Finding]:
    for clause in sentence.clauses:
        for index, token in enumerate(clause.tokens):
            value = resolved.printed.get(token.text.strip())
            if token.kind is not TokenKind.FORMULA or value is None:
                continue
            at = passage.at(token.start)
            if isinstance(value, Pair):
                piece = _just_before(resolved, nouns.vocabulary, clause.tokens[:index])
                if piece and _differs(resolved, piece, value):
                    own = resolved.pieces[piece]
                    sizes = {"size": (own.width, own.height), "said": (value.width, value.height)}
                    told = {"where": passage.where, "formula": token.text, "piece": piece}
                    yield finding_kind("size-of-another").found(resolved, at, **told, **sizes)
            elif edge_measured_from(nouns.vocabulary, clause.tokens[index + 1 :]) is None:
                yield from _length(resolved, passage, sentence, clause, token, value.value)


def _just_before(
    resolved: ResolvedDesign, vocabulary: Vocabulary, tokens: Sequence[TextToken]
) -> str:
    """The piece that stands right before a formula, with "is", "are" or nothing between."""
    for token in reversed(tokens):
        if token.reference:
            return token.reference if token.reference in resolved.pieces else ""
        if not vocabulary.has("relates", token.word):
            return ""
    return ""


def _differs(resolved: ResolvedDesign, key: str, said: Pair) -> bool:
    piece = resolved.pieces[key]
    return {said.width, said.height} != {piece.width, piece.height}


def _length(
    resolved: ResolvedDesign,
    passage: Passage,
    sentence: Sentence,
    clause: Sentence,
    token: TextToken,
    value: Fraction,
) -> Iterator[Finding]:
    """A formula of a length: of which piece it is, and whether anything there has it."""
    about = _about(resolved, passage, sentence)
    if not sentence.references or value in lengths_of(resolved, about):
        return
    if any(
        name in resolved.fastenings and resolved.fastenings[name].source.round for name in about
    ):
        return
    if value in lengths_between(resolved, tuple({*sentence.references, *passage.handled})):
        return
    told = {"where": passage.where, "formula": token.text}
    named = [key for key in _PIECE_SIZE.findall(token.text) if key in resolved.pieces]
    own = [key for key in clause.references if key in resolved.pieces]
    at = passage.at(token.start)
    if named and len(own) == 1 and not {*named} & {*about}:
        yield finding_kind("size-of-another, other piece").found(
            resolved, at, **told, said=value, other=named[0], piece=own[0]
        )
        return
    listed = ", ".join(f"'{name}'" for name in about[:6])
    yield finding_kind("length-of-nothing").found(resolved, at, **told, said=value, listed=listed)


def _about(resolved: ResolvedDesign, passage: Passage, sentence: Sentence) -> tuple[str, ...]:
    """What a sentence of a step is about: all that it names and the step handles, what that lies on
    and what lies on that."""
    near = dict.fromkeys((*sentence.references, *passage.handled))
    for key in [*near]:
        near |= dict.fromkeys(resolved.hosts_of(key) if key in resolved.pieces else ())
        near |= dict.fromkeys(
            piece.key
            for piece in resolved.pieces.values()
            if piece.source.placement is not None and piece.source.placement.host == key
        )
    near |= {
        key: None
        for key, fastening in resolved.fastenings.items()
        if fastening.source.stock in near
    }
    return tuple(near)

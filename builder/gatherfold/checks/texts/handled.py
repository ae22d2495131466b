"""What a step's text works on against what its operations handle.

In: all passages of a design, in order.  Out: findings about what a text glues, scores or sets and
the step does not, the other way round, and about verbs with nothing behind them.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from fnmatch import fnmatch
from functools import partial
from itertools import pairwise, takewhile

from gatherfold.checks.report import finding_kind
from gatherfold.checks.texts.folded import said_folded
from gatherfold.checks.texts.objects import Object, objects_of
from gatherfold.checks.texts.parts_named import Nouns, Thing, ThingKind
from gatherfold.checks.texts.passages import Passage
from gatherfold.checks.texts.readings import Reading, readings_of
from gatherfold.checks.texts.sentences import TextToken
from gatherfold.checks.texts.vocabulary import Vocabulary
from gatherfold.counts import is_after_scoring, shaping_of
from gatherfold.findings import Finding
from gatherfold.model import Operation, is_ink
from gatherfold.resolve import ResolvedDesign, ResolvedPiece, closed_by_name

#: By what operations a piece that a verb works on is worked on, by the verb's operation.
_DONE_BY: dict[str, tuple[Operation, ...]] = {
    "score": ("score",),
    "attach": ("attach", "insert", "close", "fasten", "score", "fold", "divide"),
    "insert": ("attach", "insert", "close", "fasten"),
}
#: Without any of these in a step, a sentence that begins with the verb has nothing behind it.
_NEEDED: dict[str, tuple[Operation, ...]] = {
    "score": ("score", "fold", "cut"),
    "glues": ("attach", "close", "insert", "fasten"),
    "holds": ("fasten",),
}
#: A stock follows "from" within so many tokens (common practice, no source).
_STOCK_WITHIN = 2
#: What places a piece, and is to be said.
_PLACING: tuple[Operation, ...] = ("attach", "insert")


def check_handled(
    resolved: ResolvedDesign, nouns: Nouns, passages: Sequence[Passage]
) -> Iterator[Finding]:
    """Texts of the steps, in order, against what their operations handle."""
    placed: set[str] = set()
    shut: set[str] = set()
    titles = {passage.number: passage for passage in passages if passage.is_title}
    for passage in filter(Passage.is_of_step, passages):
        placed |= {*passage.by("fasten")}
        readings = tuple(readings_of(resolved, nouns, passage))
        for reading in readings:
            yield from _not_done(reading, placed)
            yield from _not_scored(reading)
            yield from _not_inked(reading)
            yield from _not_all_inked(reading)
            yield from _nothing_done(reading)
            yield from _not_set(reading, placed)
            yield from _not_closed(reading, shut)
            yield from _of_other_stock(reading)
            yield from _left_square(reading)
        yield from _shaped_early(readings)
        yield from _not_said(resolved, nouns, titles[passage.number], passage)
        placed |= {*passage.by(*_PLACING)}
        shut |= {*closed_by_name(passage.step)} if passage.step else set()


def _not_done(reading: Reading, placed: Collection[str]) -> Iterator[Finding]:
    """The pieces that a verb works on, in a step that does so with others."""
    for each in objects_of(reading.vocabulary, reading.sentence):
        if _is_of_a_step(reading, each) and not _is_done(reading, each, placed):
            yield _lacks(reading, each.verb, each.token, each.name, each.operation)


def _is_of_a_step(reading: Reading, each: Object) -> bool:
    """Whether the step does what the verb says, with some pieces or others."""
    done = dict[str, tuple[str, ...]](reading.passage.done)
    is_read = each.operation in _DONE_BY and each.name in reading.resolved.pieces
    return is_read and bool(done.get(each.operation))


def _is_done(reading: Reading, each: Object, placed: Collection[str]) -> bool:
    """Whether the step works on the piece, or the verb may speak of one that is there already."""
    piece = reading.resolved.pieces[each.name]
    is_there = each.name in _hosts(reading)
    if each.name in reading.passage.by(*_DONE_BY[each.operation]):
        return True
    if reading.vocabulary.has("mats", each.verb):
        return is_there
    if each.operation == "score":
        return not piece.scores
    return is_there or each.name in placed or piece.source.placement is None


def _hosts(reading: Reading) -> set[str]:
    """What the pieces lie on that the step places."""
    keys = reading.passage.by(*_PLACING)
    return {host for key in keys for host in reading.resolved.hosts_of(key)}


def _lacks(reading: Reading, verb: str, token: TextToken, piece: str, operation: str) -> Finding:
    told = {"verb": verb, "piece": piece, "operation": operation}
    return reading.found("text-without-operation", token, **told)


def _not_scored(reading: Reading) -> Iterator[Finding]:
    """ "Score … and the three dividers": some of what the noun names is scored in the step."""
    scored, (verb, *rest) = reading.passage.by("score"), reading.tokens
    if not scored or reading.vocabulary.does(verb.word) != "score":
        return
    listed = takewhile(partial(_goes_on, reading.vocabulary), rest)
    for index, token in enumerate(listed, 1):
        keys = [thing.owner for thing in _with_scores(reading, token)]
        if keys and _is_counted(reading, index) and not {*keys} & {*scored}:
            yield _lacks(reading, verb.text, token, keys[0], "score")


def _goes_on(vocabulary: Vocabulary, token: TextToken) -> bool:
    """Whether a token may still be of what the verb before it acts on."""
    return not vocabulary.has("landmark", token.word) and vocabulary.does(token.word) is None


def _with_scores(reading: Reading, token: TextToken) -> list[Thing]:
    """The pieces with scores that a noun names."""
    named = reading.nouns.named(reading.vocabulary.stem(token.word)) if token.word else ()
    pieces = reading.resolved.pieces
    return [t for t in named if t.kind is ThingKind.PIECE and pieces[t.owner].scores]


def _is_counted(reading: Reading, index: int) -> bool:
    """Whether a number stands right before a noun, or before a word in front of it."""
    near = reading.tokens[max(0, index - 2) : index]
    return any(token.word in reading.vocabulary.numbers for token in near)


def _not_inked(reading: Reading) -> Iterator[Finding]:
    """Pieces that a sentence names together with an ink, in a step that inks others."""
    inked, ink = reading.passage.by("ink"), _ink_named(reading)
    if not inked or not ink:
        return
    for name in reading.sentence.references:
        if name in reading.resolved.pieces and name not in inked:
            told = {"verb": f"[{ink}]", "piece": name, "operation": "ink"}
            yield reading.found_in_text("text-without-operation", **told)


def _not_all_inked(reading: Reading) -> Iterator[Finding]:
    """ "The edges of all mats": every piece that goes by the noun is inked."""
    inked = reading.passage.by("ink")
    for token, noun in pairwise(reading.tokens) if _ink_named(reading) else ():
        keys = _called(reading, noun.word) if reading.has("all", token) else []
        missing = [key for key in keys if key not in inked]
        if 0 < len(missing) < len(keys):
            told = {"verb": f"{token.text} {noun.text}", "piece": missing[0], "operation": "ink"}
            yield reading.found("text-without-operation", token, **told)


def _called(reading: Reading, word: str) -> list[str]:
    """The pieces that go by a noun of their own."""
    stem = reading.vocabulary.stem(word)
    named = (t for t in reading.nouns.named(stem) if t.kind is ThingKind.PIECE)
    return [thing.owner for thing in named if stem in thing.heads]


def _ink_named(reading: Reading) -> str:
    supplies = reading.resolved.design.supplies
    inks = {name for name, supply in supplies.items() if is_ink(supply.kind)}
    return next((name for name in reading.sentence.references if name in inks), "")


def _nothing_done(reading: Reading) -> Iterator[Finding]:
    """A verb that a sentence begins with, in a step that does nothing of that."""
    first = reading.tokens[0]
    for name, needed in _NEEDED.items():
        if _is_verb(reading.vocabulary, name, first.word) and not reading.passage.does(*needed):
            told = {"verb": first.text, "operation": needed[0]}
            yield reading.found("text-without-operation, nothing done", first, **told)


def _is_verb(vocabulary: Vocabulary, name: str, word: str) -> bool:
    none: frozenset[str] = frozenset()
    return word in vocabulary.sets.get(name, none) | vocabulary.verbs.get(name, none)


def _not_set(reading: Reading, placed: Collection[str]) -> Iterator[Finding]:
    """Fastenings that a sentence names before they are set."""
    for name in reading.sentence.references:
        if name in reading.resolved.fastenings and name not in placed:
            yield reading.found_in_text("text-without-operation, not set", key=name)


def _not_closed(reading: Reading, shut: Collection[str]) -> Iterator[Finding]:
    """Sections that a text folds in, in a step that closes others of their piece by name."""
    step = reading.passage.step
    named = () if step is None else closed_by_name(step)
    parts = {name.partition(".")[0] for name in named if "." in name} - {*named}
    pieces = [piece for piece in reading.pieces("close") if piece.key in parts]
    sections = {f"{piece.key}.{face.name}": 0 for piece in pieces for face in piece.faces}
    for token, meant in said_folded([reading], sections):
        missing = {name for name in meant if not any(fnmatch(name, each) for each in named)}
        is_all = reading.vocabulary.is_plural(token.word)
        for name in sorted(missing - {*shut})[:1] if is_all or missing == meant else ():
            told = {"verb": token.text, "piece": name, "operation": "close"}
            yield reading.found("text-without-operation", token, **told)


def _of_other_stock(reading: Reading) -> Iterator[Finding]:
    """ "Cut the [tray] from the [umber]": what is named before is of that stock."""
    stocks = reading.resolved.stocks
    for index, token in enumerate(reading.tokens) if reading.mentions("cut", "from") else ():
        near = reading.tokens[index + 1 : index + 1 + _STOCK_WITHIN]
        said = next((t.text for t in near if t.text in stocks), "")
        before = [t.reference for t in reading.tokens[:index] if t.reference]
        pieces = [reading.resolved.pieces[key] for key in before if key in reading.resolved.pieces]
        for piece in pieces[-1:] if reading.has("from", token) and said else ():
            if piece.stock.key != said:
                told = {"piece": piece.key, "said": said, "there": piece.stock.key}
                yield reading.found("stock-in-text", token, **told)


def _left_square(reading: Reading) -> Iterator[Finding]:
    """ "Leave the [hinge] square until scored": one named has a shape, or what "it" means."""
    if not reading.says("left_square") or _begins_with_another(reading):
        return
    waiting = [piece.key for piece in filter(_waits, reading.resolved.pieces.values())]
    named = [name for name in reading.sentence.references if name in reading.resolved.pieces]
    for name in named[:1] if waiting else ():
        if not {*named} & {*waiting}:
            told = {"piece": name, "other": waiting[0]}
            yield reading.found("text-without-operation, square", reading.tokens[0], **told)


def _begins_with_another(reading: Reading) -> bool:
    """Whether the first thing that a sentence orders is said by a pronoun: "Leave it and …"."""
    return any(reading.has("pronouns", token) for token in reading.tokens[1:2])


def _waits(piece: ResolvedPiece) -> bool:
    """Whether a piece has scores, after which it is shaped."""
    return bool(piece.scores) and piece.is_shaped


def _shaped_early(readings: Sequence[Reading]) -> Iterator[Finding]:
    """ "Cut the corners out of both": of what a later step scores, which is then shaped."""
    for before, reading in pairwise((*readings[:1], *readings)):
        early = [key for key in _cornered(before, reading) if _scored_later(reading, key)]
        for key in early[:1]:
            later, found = _scored_later(reading, key), "text-in-other-order, corners"
            yield reading.found(found, reading.tokens[0], piece=key, later=later)


def _cornered(before: Reading, reading: Reading) -> Sequence[str]:
    """The names of which a sentence cuts the corners: its own, or those before that it means."""
    earlier = before.sentence.references if reading.mentions("them") else ()
    return (reading.sentence.references or earlier) if _cuts_corners(reading) else ()


def _cuts_corners(reading: Reading) -> bool:
    """Whether a sentence orders to cut corners now, and not those of others."""
    is_later = reading.mentions("until") or reading.mentions("other")
    is_cut = reading.has("cut", reading.tokens[0]) and reading.mentions("corners")
    return is_cut and not is_later


def _scored_later(reading: Reading, key: str) -> int:
    """The number of a later step, where a piece is shaped after its scores in that; 0 for none."""
    step, operation = shaping_of(key, reading.resolved) or ("", "cut")
    number = _numbers(reading.resolved).get(step, 0)
    is_later = number > reading.passage.number and is_after_scoring(operation)
    return number if is_later and _waits(reading.resolved.pieces[key]) else 0


def _numbers(resolved: ResolvedDesign) -> dict[str, int]:
    """The numbers of the steps, by their keys."""
    return {each.key: number for number, each in enumerate(resolved.design.steps, 1)}


def _not_said(
    resolved: ResolvedDesign, nouns: Nouns, title: Passage, text: Passage
) -> Iterator[Finding]:
    """What is placed and goes by no word of the step."""
    said = [*readings_of(resolved, nouns, title), *readings_of(resolved, nouns, text)]
    names = {name for reading in said for name in reading.sentence.references}
    stems = frozenset().union(*(reading.stems for reading in said), *map(nouns.stems_in, names))
    for operation in _PLACING:
        for key in text.by(operation):
            if key not in names and not stems & nouns.own_of(key):
                yield finding_kind("operation-without-text").found(
                    resolved, text.position, number=text.number, key=key, operation=operation
                )

"""Sections and parts that are folded in: the order of the data, and that of a text.

In: a step and its text.  Out: ranks of sections and of parts that hang on folded pieces, and the
places where the text has them folded.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import partial

from gatherfold.checks.texts.parts_named import Nouns, Thing, ThingKind
from gatherfold.checks.texts.passages import Passage
from gatherfold.checks.texts.readings import Reading
from gatherfold.checks.texts.sentences import TextToken, TokenKind, last_meaning
from gatherfold.checks.texts.vocabulary import Vocabulary
from gatherfold.geometry import is_upright
from gatherfold.resolve import ResolvedDesign, closed_by_name

#: A section is named by its words that stand together within so many (common practice, no source).
_WORDS_APART = 3


def folded_in_order(resolved: ResolvedDesign, passage: Passage) -> tuple[Mapping[str, int], str]:
    """The rank of each section or part that the step closes, and what gives the order: the step,
    or the closing of the design where the step closes all."""
    step = passage.step
    assert step is not None
    names = closed_by_name(step)
    if names:
        return {name: rank for rank, name in enumerate(names) if "*" not in name}, "the step"
    if "all" not in step.operations.get("close", ()):
        return {}, ""
    return _closing_ranks(resolved), "'closing'"


def _closing_ranks(resolved: ResolvedDesign) -> Mapping[str, int]:
    """The rank of each part in the closing of the design; what hangs on a part has that of it."""
    ranks = {name: rank for rank, name in enumerate(resolved.design.closing)}
    for key in resolved.pieces:
        hosts = [host for host in (key, *resolved.hosts_of(key)) if host in ranks]
        for host in hosts[:1]:
            ranks.setdefault(key, ranks[host])
    return ranks


def said_folded(
    readings: Sequence[Reading], order: Mapping[str, int]
) -> Iterator[tuple[TextToken, frozenset[str]]]:
    """Where the text folds in what has a rank: each place with all that its words may mean, and
    that no place before it means."""
    said: frozenset[str] = frozenset()
    for reading in readings if order else ():
        for index, token in enumerate(reading.tokens):
            new = meant_at(reading, index, order) - said
            if new and _is_folded_in(reading, index):
                yield token, new
                said |= new


def meant_at(reading: Reading, index: int, order: Mapping[str, int]) -> frozenset[str]:
    """The names with a rank that a noun may mean, with the words before it."""
    things = reading.nouns.named(reading.vocabulary.stem(reading.tokens[index].word))
    before = [t.word for t in reading.tokens[max(0, index - _WORDS_APART) : index]]
    meant = (_ranked(thing, order) for thing in things if _is_meant(reading.nouns, thing, before))
    return frozenset(filter(None, meant))


def _is_folded_in(reading: Reading, index: int) -> bool:
    """Whether a noun is the object of a verb that closes, and no place."""
    vocabulary, tokens = reading.vocabulary, reading.tokens
    does = vocabulary.does
    verb = last_meaning(tokens[:index], lambda token: does(token.word), "")
    is_place = last_meaning(tokens[: index + 1], partial(_is_place, vocabulary), False)
    return verb == "close" and not does(tokens[index].word) and not is_place


def _is_place(vocabulary: Vocabulary, token: TextToken) -> bool | None:
    """Whether a token begins to say a place, or ends that; None for neither."""
    if vocabulary.does(token.word):
        return False
    if vocabulary.has("landmark", token.word):
        return True
    return False if token.kind is TokenKind.MARK else None


def _ranked(thing: Thing, order: Mapping[str, int]) -> str:
    """The name in the order that a thing goes by."""
    if thing.kind is ThingKind.SECTION:
        name = f"{thing.owner}.{thing.name.replace(' ', '_')}"
        return name if name in order else ""
    return thing.owner if thing.kind is ThingKind.PIECE and thing.owner in order else ""


def _is_meant(nouns: Nouns, thing: Thing, before: list[str]) -> bool:
    """Whether the other words of its name stand before its noun."""
    others = nouns.stems_in(thing.name.replace(" ", "_")) - thing.heads
    said = {nouns.vocabulary.stem(word) for word in before}
    missing = others - said
    if nouns.vocabulary.sets["side"] & said:
        missing = frozenset(w for w in missing if not _is_beside(nouns.vocabulary, w))
    return bool(others) and not missing


def _is_beside(vocabulary: Vocabulary, word: str) -> bool:
    """Whether "side" takes in a word: the left and the right."""
    return word in vocabulary.edges and is_upright(vocabulary.edges[word])

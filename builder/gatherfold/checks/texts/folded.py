"""Sections and parts that are folded in: the order of the data, and that of a text.

In: a step and its text.  Out: ranks of sections and of parts that hang on folded pieces, and the
places where the text has them folded.
"""

from __future__ import annotations

from collections.abc import Mapping

from gatherfold.checks.texts.parts_named import Nouns, Thing, ThingKind
from gatherfold.checks.texts.passages import Passage
from gatherfold.checks.texts.sentences import Sentence, TokenKind
from gatherfold.geometry import is_upright
from gatherfold.resolve.resolved import ResolvedDesign
from gatherfold.resolve.step_parts import closed_by_name

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
    ranks = {name: rank for rank, name in enumerate(resolved.design.closing)}
    for key in resolved.pieces:
        hosts = [host for host in (key, *resolved.hosts_of(key)) if host in ranks]
        if hosts and key not in ranks:
            ranks[key] = ranks[hosts[0]]
    return ranks, "'closing'"


def said_folded(
    resolved: ResolvedDesign, nouns: Nouns, passage: Passage, order: Mapping[str, int]
) -> list[tuple[int, frozenset[str]]]:
    """Where the text folds in what has a rank: each place with all that its words may mean."""
    found: list[tuple[int, frozenset[str]]] = []
    said: set[str] = set()
    for sentence in passage.sentences if order else ():
        for at, names in _folded_in(nouns, sentence, order):
            if new := names - said:
                found.append((at, frozenset(new)))
                said |= new
    return found


def _folded_in(
    nouns: Nouns, sentence: Sentence, order: Mapping[str, int]
) -> list[tuple[int, frozenset[str]]]:
    vocabulary, found, is_folding, is_landmark = nouns.vocabulary, [], False, False
    for index, token in enumerate(sentence.tokens):
        does = vocabulary.does(token.word)
        if does:
            is_folding, is_landmark = does == "close", False
        elif vocabulary.has("landmark", token.word):
            is_landmark = True
        elif token.kind is TokenKind.MARK:
            is_landmark = False
        elif is_folding and not is_landmark and token.word:
            things = nouns.named(vocabulary.stem(token.word))
            before = [t.word for t in sentence.tokens[max(0, index - _WORDS_APART) : index]]
            names = {_ranked(thing, order) for thing in things if _is_meant(nouns, thing, before)}
            known = frozenset(name for name in names if name)
            if known:
                found.append((token.start, known))
    return found


def _ranked(thing: Thing, order: Mapping[str, int]) -> str:
    """The name in the order that a thing goes by."""
    if thing.kind is ThingKind.SECTION:
        name = f"{thing.owner}.{thing.name.replace(' ', '_')}"
        return name if name in order else ""
    return thing.owner if thing.kind is ThingKind.PIECE and thing.owner in order else ""


def _is_meant(nouns: Nouns, thing: Thing, before: list[str]) -> bool:
    """Whether the other words of its name stand before its noun."""
    name = thing.name.replace("_", " ").split()
    others = {nouns.vocabulary.stem(word) for word in name} - thing.heads
    said = {nouns.vocabulary.stem(word) for word in before}
    if nouns.vocabulary.sets["side"] & said:
        said |= {
            word for word in others if word in nouns.vocabulary.edges and _is_beside(nouns, word)
        }
    return bool(others) and others <= said


def _is_beside(nouns: Nouns, word: str) -> bool:
    """Whether "side" takes in an edge word: the left and the right."""
    return is_upright(nouns.vocabulary.edges[word])

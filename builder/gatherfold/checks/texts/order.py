"""Order words: what a step's text says first, against the order in which the step does it.

Three things are held against each other: the verbs of two operations of one step, what stands
after "first … then …" within one operation, and the sections and parts that are folded in.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from itertools import combinations, pairwise

from gatherfold.checks.report import finding_kind
from gatherfold.checks.texts.folded import folded_in_order, said_folded
from gatherfold.checks.texts.objects import imperative_at
from gatherfold.checks.texts.parts_named import Nouns
from gatherfold.checks.texts.passages import Passage
from gatherfold.checks.texts.vocabulary import Vocabulary
from gatherfold.findings import Finding
from gatherfold.model.steps import Operation
from gatherfold.resolve.resolved import ResolvedDesign

#: Operations of which the order within a step can be read from verbs.
_READ: tuple[Operation, ...] = ("score", "divide", "attach", "insert", "close", "fasten")


def check_order_words(
    resolved: ResolvedDesign, nouns: Nouns, passage: Passage
) -> Iterator[Finding]:
    """Contradictions of order between a step and its text."""
    if passage.step is None or passage.is_title:
        return
    yield from _of_operations(resolved, nouns.vocabulary, passage)
    yield from _of_names(resolved, nouns.vocabulary, passage)
    yield from _of_folds(resolved, nouns, passage)


def _of_operations(
    resolved: ResolvedDesign, vocabulary: Vocabulary, passage: Passage
) -> Iterator[Finding]:
    done = [operation for operation, _ in passage.done if operation in _READ]
    said = _said(resolved, vocabulary, passage, done)
    for early, late in combinations(done, 2):
        if early in said and late in said and said[early][0][0] > said[late][-1][0]:
            at, first = said[late][0]
            about = dict.fromkeys((*passage.by(early), *passage.by(late)))
            told = {"first": first, "second": said[early][0][1], "early": early, "late": late}
            listed = ", ".join(f"'{name}'" for name in about)
            yield finding_kind("text-in-other-order").found(
                resolved, passage.at(at), number=passage.number, listed=listed, **told
            )
            return


def _said(
    resolved: ResolvedDesign,
    vocabulary: Vocabulary,
    passage: Passage,
    done: Sequence[Operation],
) -> Mapping[Operation, list[tuple[int, str]]]:
    """Where each operation is said: its verbs, or, without any, the names that it alone handles."""
    found: dict[Operation, list[tuple[int, str]]] = {}
    for sentence in passage.sentences:
        for index, token in enumerate(sentence.tokens):
            verb = vocabulary.does(token.word)
            operation = next((each for each in done if each == verb), None)
            if operation and imperative_at(vocabulary, sentence, index):
                found.setdefault(operation, []).append((token.start, token.text))
    for operation in done:
        others = {name for kind, names in passage.done if kind != operation for name in names}
        own = {name for name in passage.by(operation) if name not in others}
        if operation not in found:
            places = [
                (token.start, f"[{token.reference}]")
                for sentence in passage.sentences
                for token in sentence.tokens
                if token.reference in own
            ]
            found |= {operation: places} if places else {}
    return found


def _of_names(
    resolved: ResolvedDesign, vocabulary: Vocabulary, passage: Passage
) -> Iterator[Finding]:
    """First and then within a sentence, of what one operation handles."""
    for sentence in passage.sentences:
        words = sentence.words
        at = next(
            (i for i, t in enumerate(sentence.tokens) if vocabulary.has("first", t.word)), None
        )
        if at is None or not any(vocabulary.has("then", word) for word in words):
            continue
        named = [token.reference for token in sentence.tokens[at:] if token.reference]
        placing: tuple[Operation, ...] = ("attach", "insert")
        for operation in placing:
            order = passage.by(operation)
            listed = list(dict.fromkeys(name for name in named if name in order))
            for first, second in pairwise(listed):
                if order.index(first) > order.index(second):
                    told = {"first": first, "second": second, "operation": operation}
                    position = passage.at(sentence.tokens[at].start)
                    yield finding_kind("text-in-other-order, names").found(
                        resolved, position, number=passage.number, **told
                    )
                    return


def _of_folds(resolved: ResolvedDesign, nouns: Nouns, passage: Passage) -> Iterator[Finding]:
    """Sections and parts that the text folds in one after the other."""
    order, what = folded_in_order(resolved, passage)
    said = said_folded(resolved, nouns, passage, order)
    for (_, first), (at, second) in combinations(said, 2):
        if _is_later(order, first, second):
            told = {"first": min(first), "second": min(second), "what": what}
            yield finding_kind("text-in-other-order, folds").found(
                resolved, passage.at(at), number=passage.number, **told
            )
            return


def _is_later(order: Mapping[str, int], first: Collection[str], second: Collection[str]) -> bool:
    """Whether all of some parts are closed after all others, or a section of them after those."""
    ranks, others = ([order[name] for name in names] for names in (first, second))
    are_sections = all("." in name for name in (*first, *second))
    return min(ranks) > max(others) or (are_sections and max(ranks) > max(others))

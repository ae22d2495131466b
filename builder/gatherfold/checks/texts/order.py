"""Order words: what a step's text says first, against the order in which the step does it.

Three things are held against each other: the verbs of two operations of one step, what stands
after "first … then …" within one operation, and the sections and parts that are folded in.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import chain, combinations, dropwhile, islice, pairwise

from gatherfold.checks.report import quoted
from gatherfold.checks.texts.folded import folded_in_order, said_folded
from gatherfold.checks.texts.objects import ordered_at
from gatherfold.checks.texts.readings import Reading
from gatherfold.checks.texts.sentences import TextToken
from gatherfold.findings import Finding
from gatherfold.model import Operation

#: Operations of which the order within a step can be read from verbs.
_READ: tuple[Operation, ...] = ("score", "divide", "attach", "insert", "close", "fasten")
_PLACING: tuple[Operation, ...] = ("attach", "insert")


@dataclass(frozen=True)
class _Mention:
    """A word of a text by which an operation is said."""

    token: TextToken
    text: str

    def is_after(self, other: _Mention) -> bool:
        return self.token.start > other.token.start


def check_order_words(readings: Sequence[Reading]) -> Iterator[Finding]:
    """Contradictions of order between a step and its text, the first of each kind."""
    for rule in (_of_operations, _of_names, _of_folds) if readings else ():
        yield from islice(rule(readings), 1)


# ---- operations of a step


def _of_operations(readings: Sequence[Reading]) -> Iterator[Finding]:
    done = [kind for kind, _ in readings[0].passage.done if kind in _READ]
    said = {kind: _verbs(readings, kind) or _names(readings, kind) for kind in done}
    for early, late in combinations([kind for kind in done if said[kind]], 2):
        if said[early][0].is_after(said[late][-1]):
            yield _said_late(readings[0], {early: said[early][0], late: said[late][0]})


def _said_late(reading: Reading, said: Mapping[Operation, _Mention]) -> Finding:
    """That of two operations the earlier one is said only after the later one."""
    (early, second), (late, first) = said.items()
    listed = quoted((*reading.passage.by(early), *reading.passage.by(late)))
    told = {"first": first.text, "second": second.text, "early": early, "late": late}
    return reading.found("text-in-other-order", first.token, **told, listed=listed)


def _verbs(readings: Sequence[Reading], operation: Operation) -> list[_Mention]:
    """The verbs that say an operation, where they are orders."""
    return [
        _Mention(token, token.text)
        for reading in readings
        for index, token in enumerate(reading.tokens)
        if ordered_at(reading.vocabulary, reading.sentence, index) == operation
    ]


def _names(readings: Sequence[Reading], operation: Operation) -> list[_Mention]:
    """The references to what this operation alone handles."""
    done = readings[0].passage.done
    others = {name for kind, names in done if kind != operation for name in names}
    own = {*readings[0].passage.by(operation)} - others
    tokens = chain.from_iterable(reading.tokens for reading in readings)
    return [_Mention(token, f"[{token.text}]") for token in tokens if token.reference in own]


# ---- names, and what is folded in


def _of_names(readings: Sequence[Reading]) -> Iterator[Finding]:
    """First and then within a sentence, of what one operation handles."""
    for reading in readings:
        said = _first_and_then(reading)
        for operation in _PLACING if said else ():
            for first, second in _turned_round(reading.passage.by(operation), said):
                told = {"first": first, "second": second, "operation": operation}
                yield reading.found("text-in-other-order, names", said[0], **told)


def _first_and_then(reading: Reading) -> Sequence[TextToken]:
    """What stands from "first" on, in a sentence that also says "then"."""
    if not any(reading.has("then", token) for token in reading.tokens):
        return ()
    return [*dropwhile(lambda token: not reading.has("first", token), reading.tokens)]


def _turned_round(order: Sequence[str], said: Sequence[TextToken]) -> Iterator[tuple[str, str]]:
    """Names that are said one after the other, and stand the other way round in an order."""
    named = dict.fromkeys(token.reference for token in said if token.reference in order)
    return (pair for pair in pairwise(named) if order.index(pair[0]) > order.index(pair[1]))


def _of_folds(readings: Sequence[Reading]) -> Iterator[Finding]:
    """Sections and parts that the text folds in one after the other."""
    reading = readings[0]
    order, what = folded_in_order(reading.resolved, reading.passage)
    for (_, first), (token, second) in combinations(said_folded(readings, order), 2):
        if _is_later(order, first, second):
            told = {"first": min(first), "second": min(second), "what": what}
            yield reading.found("text-in-other-order, folds", token, **told)


def _is_later(order: Mapping[str, int], first: Collection[str], second: Collection[str]) -> bool:
    """Whether all of some parts are closed after all others, or a section of them after those."""
    ranks, others = ([order[name] for name in names] for names in (first, second))
    are_sections = all("." in name for name in (*first, *second))
    return min(ranks) > max(others) or (are_sections and max(ranks) > max(others))

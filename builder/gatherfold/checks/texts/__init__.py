"""Texts against the data: what steps and the summary say, held against what the design does.

A text is read by plain patterns, sentence by sentence, with its references as anchors; where a
contradiction is not plain nothing is said.  All rules are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import chain

from gatherfold.checks.texts.counts import check_counts
from gatherfold.checks.texts.directions import check_directions, check_held
from gatherfold.checks.texts.glued_edges import check_glued_edges
from gatherfold.checks.texts.gluing import check_gluing, check_stuck_tabs, check_tape_sides
from gatherfold.checks.texts.handled import check_handled
from gatherfold.checks.texts.hosts import check_hosts
from gatherfold.checks.texts.lengths import check_lengths
from gatherfold.checks.texts.order import check_order_words
from gatherfold.checks.texts.parts_named import nouns_of
from gatherfold.checks.texts.passages import Passage, passages_of
from gatherfold.checks.texts.places import check_places
from gatherfold.checks.texts.readings import Reading, readings_of
from gatherfold.checks.texts.sides import check_sides
from gatherfold.findings import Finding
from gatherfold.resolve import ResolvedDesign


def check_texts(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Everything in which a text plainly contradicts the data."""
    nouns = nouns_of(resolved)
    if nouns is None:
        return
    passages = tuple(passages_of(resolved))
    yield from check_handled(resolved, nouns, passages)
    for passage in passages:
        yield from _check_passage(passage, tuple(readings_of(resolved, nouns, passage)))


def _check_passage(passage: Passage, readings: Sequence[Reading]) -> Iterator[Finding]:
    """What the summary may say wrong, what a step's title may, and what its text may."""
    yield from _each(readings, check_counts, check_lengths, check_held)
    if passage.is_of_step():
        yield from check_order_words(readings)
        yield from check_hosts(readings)
    if passage.step is not None:
        yield from _each(readings, check_places)
    if passage.is_of_step():
        yield from check_sides(readings)
        yield from _each(readings, check_glued_edges, check_gluing, check_tape_sides)
        yield from _each(readings, check_stuck_tabs, check_directions)


def _each(
    readings: Sequence[Reading], *checks: Callable[[Reading], Iterator[Finding]]
) -> Iterator[Finding]:
    return chain.from_iterable(check(reading) for check in checks for reading in readings)

"""Where the layers of a cut are glued to one another.

In: a stack.  Out: for each layer with glue on it, the stretches along the cut where its glued side
meets a layer of its host, with nothing between the two.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import assert_never

from builder.choices import Relation
from builder.drawings.closed_stack import Bar, Interval, Stack


@dataclass(frozen=True)
class GluedSpan:
    """A stretch of a layer with glue on its upper (1) or lower (−1) side."""

    bar: Bar
    side: int
    span: Interval
    host: Bar


def glued_spans(stack: Stack) -> tuple[GluedSpan, ...]:
    return tuple(found for bar in stack.bars for found in _spans_of(stack, bar))


def _meets_with_front(relation: Relation) -> bool:
    """Whether the front of a piece lies against its host."""
    match relation:
        case "behind":
            return True
        case "on" | "on_back" | "inside":
            return False
        case _:
            assert_never(relation)


def _spans_of(stack: Stack, bar: Bar) -> Iterator[GluedSpan]:
    placement = bar.piece.source.placement
    if placement is None:
        return
    # The front of what lies behind its host meets it, else the back.
    side = bar.upward if _meets_with_front(placement.relation) else -bar.upward
    beside = [b for b in stack.bars if (b.level - bar.level) * side > 0]
    beside.sort(key=lambda other: side * other.level)
    free = list(bar.glue)
    for other in beside:
        for low, high in list(free):
            shared = max(low, other.span[0]), min(high, other.span[1])
            if shared[1] - shared[0] < 0.01:
                continue
            free.remove((low, high))
            rest = ((low, shared[0]), (shared[1], high))
            free += [(start, end) for start, end in rest if end - start > 0.01]
            if other.piece.key == placement.host:
                yield GluedSpan(bar, side, shared, other)

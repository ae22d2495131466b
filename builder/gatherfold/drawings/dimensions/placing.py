"""Where a dimension is in nobody's way: beside or within what it measures, or farther out.

In: two rectangles on paper, the sides between which it is measured.  Out: the dimension that
touches least of what is on the canvas.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from heapq import heappop, heappush

from gatherfold.drawings.dimensions.dimensions import Span, dimension
from gatherfold.drawings.kernel.canvas import CLEARANCE, Canvas
from gatherfold.drawings.kernel.lettering import BOX_MARGIN, text_rect
from gatherfold.drawings.kernel.plane import Place, Rect, segment_meets
from gatherfold.drawings.kernel.scene import Text
from gatherfold.geometry import EdgeName, is_far, is_upright

#: How far along the measured edge the dimension may stand, best first.
_SHARES = (0.5, 0.68, 0.32, 0.82, 0.18, 0.92, 0.08, 0.59, 0.41, 0.75, 0.25, 0.87, 0.13, 0.97, 0.03)
#: How far outside the piece its dimension may stand, and between what lengths ticks are told from
#: one another and arrows are no clearer, in mm on paper.
_OUT, _TICKS_APART, _MOST_TICKED = (3.5, 6.0, 9.0), 2.5, 8.0
#: What it counts that the number stands in another piece, the line runs into one, the number stands
#: in the piece itself as if it were a size of that, the ends are ticks, a mm of extension line.
_MISLEADING, _INSIDE, _IN_PIECE, _TICKED, _EXTENDED = 5.0, 1.5, 1.0, 0.3, 0.02
#: What touching something counts, crossing a line, and a mm of the dimension's own line: crossing
#: any number of lines is better than lettering on one of them.
_TOUCHED, _CROSSED, _SHORT = 10.0, 0.08, 0.008
#: What it counts that lines, as those of a hatch, come into an arrowhead.
_LOST = 0.6
#: A way that counts less is good enough.
_GOOD = 0.45


@dataclass(frozen=True, eq=False)
class _Row:
    """A dimension at one level, and where its extension lines begin: what counts whichever of its
    numbers it has is asked once."""

    canvas: Canvas
    span: Span
    feet: tuple[float, float]
    #: How many arrowheads lines come into, between the edges (True) or outside them.
    _lost: dict[bool, int] = field(init=False, default_factory=dict)

    @cached_property
    def extensions(self) -> list[tuple[Place, Place]]:
        return self.span.extensions(self.feet)

    @cached_property
    def words_crossed(self) -> int:
        """How many words its extension lines cross."""
        return sum(self.canvas.words_crossed(*run) for run in self.extensions)

    @cached_property
    def lines_crossed(self) -> int:
        """How many lines they cross."""
        return sum(self.canvas.lines_crossed(*run) for run in self.extensions)

    def lost(self, are_between: bool) -> int:
        if are_between not in self._lost:
            heads = self.span.heads(are_between)
            self._lost[are_between] = sum(not self.canvas.is_clear_of_lines(h) for h in heads)
        return self._lost[are_between]


@dataclass(frozen=True, eq=False)
class _Way:
    """One way to draw a dimension: with one of its numbers, whose lettering fills ``filled``."""

    row: _Row
    number: Text
    filled: Rect


def dimension_beside(
    canvas: Canvas,
    own: Rect,
    base: Rect,
    edges: Sequence[EdgeName],
    text: str,
    avoid: Sequence[Rect],
) -> None:
    """The distance from an edge of the base to the same of a piece, for one of some edges that do
    equally well; within what is to be avoided, it would be taken for a distance of that."""
    ways = (way for edge in edges for way in _ways(canvas, own, base, edge, text))
    _draw_clearest(canvas, ways, own, avoid)


def dimension_between(
    canvas: Canvas,
    start: Place,
    end: Place,
    text: str,
    levels: tuple[float, float],
    base: Rect | None = None,
) -> None:
    """The longer way from a place, or the edge of a ``base`` through it, to another, as a hole's
    centre, with its line between two ``levels`` beside it, to which an extension line leads."""
    (x0, y0), (x1, y1) = start, end
    low, high = sorted(levels)
    side: EdgeName
    if abs(x1 - x0) > abs(y1 - y0):
        side, point, own = "left" if x0 < x1 else "right", y1, Rect(x1, low, x1, high)
    else:
        side, point, own = "bottom" if y0 < y1 else "top", x1, Rect(low, y1, high, y1)
    ways = _ways(canvas, own, base or Rect(x0, y0, x0, y0), side, text, point)
    _draw_clearest(canvas, ways, own)


def _draw_clearest(
    canvas: Canvas, ways: Iterable[_Way], own: Rect, avoid: Sequence[Rect] = ()
) -> None:
    """The way that touches least, or the first that is good enough; nothing if there is none.

    What costs more to ask is asked only of ways that can still be that: of each in turn until it is
    not good enough, then always of the one that counts least by what is known.
    """
    waiting: list[tuple[float, int, Iterator[float], _Way]] = []
    fresh = ((0.0, n, _counts(canvas, way, own, avoid), way) for n, way in enumerate(ways))
    while found := next(fresh, None) or (heappop(waiting) if waiting else None):
        known, number, counts, way = found
        for count in counts:
            known += count
            if known >= _GOOD:
                break
        else:
            dimension(canvas, way.row.span, way.row.feet, way.number.text, way.number)
            return
        heappush(waiting, (known, number, counts, way))


def _ways(
    canvas: Canvas, own: Rect, base: Rect, edge: EdgeName, text: str, point: float | None = None
) -> Iterator[_Way]:
    is_level, own_edge, base_edge = is_upright(edge), own.edge(edge), base.edge(edge)
    near, far = (own_edge, base_edge) if is_far(edge) else (base_edge, own_edge)
    if far - near < 0.05:
        return
    (low, high), (base_low, base_high) = (
        [end[is_level] for end in rect.side(edge)] for rect in (own, base)
    )
    levels = [low + share * (high - low) for share in _SHARES]
    if point is None:
        levels += [level for out in _OUT for level in (low - out, high + out)]
    spans = [Span(near, far, level, is_level) for level in levels]
    if _TICKS_APART <= far - near <= _MOST_TICKED:
        spans += [replace(span, is_ticked=True) for span in spans]
    for span in spans:
        foot = max(low, min(high, span.level)) if point is None else point
        base_foot = max(base_low, min(base_high, span.level))
        row = _Row(canvas, span, (foot, base_foot) if is_far(edge) else (base_foot, foot))
        found = span.numbers(text)
        if len(found) == 1:
            # An edge may run through the middle.
            found = (*found, *span.beyond(text))
        # Within the piece it reads like a distance in that: beside it first.
        numbers = ((number, text_rect(number)) for number in found)
        for number, filled in sorted(numbers, key=lambda each: own.meets(each[1])):
            yield _Way(row, number, filled)


def _counts(canvas: Canvas, way: _Way, own: Rect, avoid: Sequence[Rect]) -> Iterator[float]:
    """What counts against a way, one after another, what is dearer to ask last: where it stands,
    what it would be taken for, its extension lines, and what it would touch of what is drawn."""
    row, span, box = way.row, way.row.span, way.filled.grown(BOX_MARGIN)
    line = span.line(way.number, way.filled)
    clutter = _SHORT * math.dist(*line) + _IN_PIECE * own.meets(box) + _TICKED * span.is_ticked
    yield clutter + 9 * _TOUCHED * (not canvas.frame.contains(box.grown(0.5)))
    yield _MISLEADING * sum(map(box.meets, avoid))
    yield _INSIDE * sum(map(Rect(*line[0], *line[1]).meets, avoid))
    extensions, are_between = row.extensions, span.is_between(way.number)
    clutter = _EXTENDED * sum(math.dist(*run) for run in extensions)
    clutter += _TOUCHED * sum(segment_meets(*run, box.grown(CLEARANCE)) for run in extensions)
    yield clutter + _TOUCHED * sum(map(box.meets, span.heads(are_between)))
    yield 2 * _TOUCHED * (canvas.words_crossed(*line) + row.words_crossed)
    yield _TOUCHED * canvas.collisions(box)
    yield _CROSSED * (canvas.lines_crossed(*line) + row.lines_crossed)
    yield _LOST * row.lost(are_between)

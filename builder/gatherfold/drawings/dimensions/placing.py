"""Where a dimension is in nobody's way: beside or within what it measures, or farther out.

In: two rectangles on paper, the sides between which it is measured.  Out: the dimension that
touches least of what is on the canvas.
"""

from __future__ import annotations

import math
from collections import deque
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
#: A way that counts less is good enough; sums of the same nearer than this may be one.
_GOOD, _HAIR = 0.45, 1e-9


@dataclass(frozen=True, eq=False)
class _DimensionRow:
    """A dimension at one level, where its extension lines begin, and what its number says."""

    canvas: Canvas
    span: Span
    feet: tuple[float, float]
    text: str
    #: How many arrowheads lines come into, between the edges (True) or outside them.
    _lost: dict[bool, int] = field(init=False, default_factory=dict)

    @cached_property
    def extensions(self) -> list[tuple[Place, Place]]:
        return self.span.extensions(self.feet)

    @cached_property
    def extended(self) -> float:
        """What the length of its extension lines counts."""
        return _EXTENDED * sum(math.dist(*run) for run in self.extensions)

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

    def least(self) -> Iterator[float]:
        """What counts against every way to draw it, but for rounding."""
        lost = min(map(self.lost, {False, self.span.has_room(self.text)}))
        crossed = 2 * _TOUCHED * self.words_crossed + _CROSSED * self.lines_crossed
        yield crossed + self.extended + _TICKED * self.span.is_ticked + _LOST * lost - _HAIR

    def ways(self, own: Rect) -> list[_Way]:
        """Every way to draw it: within the piece the number reads like a distance in that, so
        beside it first."""
        found = self.span.numbers(self.text)
        if len(found) == 1:
            # An edge may run through the middle.
            found = (*found, *self.span.beyond(self.text))
        ways = (_Way(self, number, text_rect(number)) for number in found)
        return sorted(ways, key=lambda way: own.meets(way.filled))


@dataclass(frozen=True, eq=False)
class _Way:
    """One way to draw a dimension: with one of its numbers, whose lettering fills ``filled``."""

    row: _DimensionRow
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
    rows = (row for edge in edges for row in _rows(canvas, own, base, edge, text))
    _draw_clearest(canvas, rows, own, avoid)


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
    rows = _rows(canvas, own, base or Rect(x0, y0, x0, y0), side, text, point)
    _draw_clearest(canvas, rows, own)


#: What is known to count against a row, or a way to draw one; its place among all; and what else
#: counts.
_Rated = tuple[float, tuple[int, int], Iterator[float], _DimensionRow, _Way | None]


def _draw_clearest(
    canvas: Canvas, rows: Iterable[_DimensionRow], own: Rect, avoid: Sequence[Rect] = ()
) -> None:
    """The way that touches least, or the first that is good enough; nothing if there is none.

    What costs more to ask is asked only of ways that can still be that: of each in turn until it is
    not good enough, then always of the one that counts least by what is known.  The ways to draw a
    row are looked at only where what counts against them all leaves one of them that.
    """
    waiting: list[_Rated] = []
    fresh = deque[_Rated]((0.0, (n, 0), row.least(), row, None) for n, row in enumerate(rows))
    while fresh or waiting:
        known, order, counts, row, way = fresh.popleft() if fresh else heappop(waiting)
        for count in counts:
            known += count
            if known >= _GOOD:
                heappush(waiting, (known, order, counts, row, way))
                break
        else:
            if way is not None:
                dimension(canvas, row.span, row.feet, row.text, way.number)
                return
            ways = enumerate(row.ways(own), start=1)
            rated = ((0.0, (order[0], n), _counts(way, own, avoid), row, way) for n, way in ways)
            fresh.extendleft(reversed([*rated]))


def _rows(
    canvas: Canvas, own: Rect, base: Rect, edge: EdgeName, text: str, point: float | None = None
) -> Iterator[_DimensionRow]:
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
        feet = (foot, base_foot) if is_far(edge) else (base_foot, foot)
        yield _DimensionRow(canvas, span, feet, text)


def _counts(way: _Way, own: Rect, avoid: Sequence[Rect]) -> Iterator[float]:
    """What counts against a way, one after another, what is dearer to ask last: where it stands,
    what it would be taken for, its extension lines, and what it would touch of what is drawn."""
    row, span, canvas = way.row, way.row.span, way.row.canvas
    box, are_between = way.filled.grown(BOX_MARGIN), span.is_between(way.number)
    line = span.line(way.number, way.filled)
    clutter = _SHORT * math.dist(*line) + _IN_PIECE * own.meets(box) + _TICKED * span.is_ticked
    yield clutter + 9 * _TOUCHED * (not canvas.frame.contains(box.grown(0.5)))
    yield _MISLEADING * sum(map(box.meets, avoid))
    yield _INSIDE * sum(map(Rect(*line[0], *line[1]).meets, avoid))
    touched = sum(segment_meets(*run, box.grown(CLEARANCE)) for run in row.extensions)
    clutter = row.extended + _TOUCHED * touched
    yield clutter + _TOUCHED * sum(map(box.meets, span.heads(are_between)))
    yield 2 * _TOUCHED * (canvas.words_crossed(*line) + row.words_crossed)
    yield _TOUCHED * canvas.collisions(box)
    yield _CROSSED * (canvas.lines_crossed(*line) + row.lines_crossed)
    yield _LOST * row.lost(are_between)

"""Where a dimension is in nobody's way: beside or within what it measures, or farther out.

In: two rectangles on paper, the sides between which it is measured.  Out: the dimension that
touches least of what is on the canvas.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from heapq import heappop, heappush

from gatherfold.drawings.dimensions.dimensions import Span, dimension
from gatherfold.drawings.kernel.canvas import CLEARANCE, Canvas
from gatherfold.drawings.kernel.lettering import inked_rect, text_rect
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


@dataclass(frozen=True)
class _Way:
    """One way to draw a dimension, with one of its numbers, and where its extension lines begin."""

    span: Span
    number: Text
    feet: tuple[float, float]

    @cached_property
    def box(self) -> Rect:
        """What the number takes."""
        return inked_rect(self.number)

    @cached_property
    def line(self) -> tuple[Place, Place]:
        return self.span.line(self.number)


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
    ways = (way for edge in edges for way in _ways(own, base, edge, text))
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
    ways = _ways(own, base or Rect(x0, y0, x0, y0), side, text, point)
    _draw_clearest(canvas, ways, own)


def _draw_clearest(
    canvas: Canvas, ways: Iterable[_Way], own: Rect, avoid: Sequence[Rect] = ()
) -> None:
    """The way that touches least, or the first that is good enough; nothing if there is none.

    What costs more to ask is asked only of ways that can still be that: in their order of those
    that may be good enough, then of the others from the one that counts least by what is known.
    """
    best, least = None, (math.inf, 0)
    waiting: list[tuple[float, int, bool, _Way]] = []
    for number, way in enumerate(ways):
        known = _counted_first(canvas.frame, way, own)
        is_whole = known < _GOOD
        alone = _counted_alone(way, known, avoid) if is_whole else known
        if alone >= _GOOD:
            heappush(waiting, (alone, number, is_whole, way))
            continue
        counted = _clutter(canvas, way, alone, least[0]), number
        if counted < least:
            best, least = way, counted
        if counted[0] < _GOOD:
            waiting = []
            break
    while waiting and waiting[0][0] <= least[0]:
        known, number, is_whole, way = heappop(waiting)
        if not is_whole:
            heappush(waiting, (_counted_alone(way, known, avoid), number, True, way))
            continue
        counted = _clutter(canvas, way, known, least[0]), number
        if counted < least:
            best, least = way, counted
    if best is not None:
        dimension(canvas, best.span, best.feet, best.number.text, best.number)


def _ways(
    own: Rect, base: Rect, edge: EdgeName, text: str, point: float | None = None
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
        feet = (foot, base_foot) if is_far(edge) else (base_foot, foot)
        found = span.numbers(text)
        if len(found) == 1:
            # An edge may run through the middle.
            found = (*found, *span.beyond(text))
        # Within the piece it reads like a distance in that: beside it first.
        for number in sorted(found, key=lambda number: own.meets(text_rect(number))):
            yield _Way(span, number, feet)


def _counted_first(frame: Rect, way: _Way, own: Rect) -> float:
    """What counts against a way whatever there is beside the piece."""
    clutter = _SHORT * math.dist(*way.line) + _IN_PIECE * own.meets(way.box)
    clutter += 9 * _TOUCHED * (not frame.contains(way.box.grown(0.5)))
    return clutter + _TICKED * way.span.is_ticked


def _counted_alone(way: _Way, known: float, avoid: Sequence[Rect]) -> float:
    """What counts against a way whatever is drawn, with what is ``known`` of that."""
    span, box, line = way.span, way.box, way.line
    extensions = span.extensions(way.feet)
    clutter = known + _MISLEADING * sum(other.meets(box) for other in avoid)
    clutter += _INSIDE * sum(segment_meets(*line, other) for other in avoid)
    clutter += _EXTENDED * sum(math.dist(*run) for run in extensions)
    clutter += _TOUCHED * sum(segment_meets(*run, box.grown(CLEARANCE)) for run in extensions)
    return clutter + _TOUCHED * sum(head.meets(box) for head in span.heads(way.number))


def _clutter(canvas: Canvas, way: _Way, alone: float, least: float) -> float:
    """What counts ``alone``, and how much its number and lines would touch; not counted beyond
    ``least``."""
    span, clutter = way.span, alone + _TOUCHED * canvas.collisions(way.box)
    runs = way.line, *span.extensions(way.feet)
    if clutter <= least:
        clutter += 2 * _TOUCHED * sum(canvas.words_crossed(*run) for run in runs)
    if clutter <= least:
        clutter += _CROSSED * sum(canvas.lines_crossed(*run) for run in runs)
    if clutter <= least:
        heads = span.heads(way.number)
        clutter += _LOST * sum(not canvas.is_clear_of_lines(each) for each in heads)
    return clutter

"""Segments of line by where they lie on paper, so that those near a place are found without looking
at all of them.

Paper is divided into squares; each square lists the segments that pass through it.  Labels ask
about many thousands of places while they look for theirs, so the loops here are written out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import partial
from itertools import product
from math import floor

from builder.drawings.plane import Place, Rect, bounding, ring_holds, segment_meets

#: A stretch of line, and half its width.
Segment = tuple[Place, Place, float]

#: The side of a square, in mm: about three lines of lettering.
_SIDE = 8.0
#: Rounding must not put two segments that meet into different squares.
_HAIR = 1e-6
#: More rows than any paper has squares; a square's number is its column times this and its row.
_ROWS = 1 << 16


#: A segment with its number, whether it runs level or upright, and its extent with its width: left,
#: right, bottom, top.
_Entry = tuple[int, Segment, bool, tuple[float, float, float, float]]
#: By the number of a square, the segments that pass through it.
_Squares = dict[int, list[_Entry]]


class SegmentIndex:
    """Segments, and the squares they pass through, looked at when they are first asked for: in many
    pictures nobody asks.

    Edges of fills are segments too, but only lettering keeps off them: no line crosses them.
    """

    def __init__(self) -> None:
        #: What has been drawn since somebody asked.
        self._drawn: list[Callable[[], None]] = []
        self._segments: list[tuple[Segment, bool]] = []
        self._lines: _Squares = {}
        self._edges: _Squares = {}
        self._sorted = 0
        self._widest = 0.0

    def extend(self, segments: Iterable[Segment], is_line: bool) -> None:
        self._drawn.append(partial(self._extend, segments, is_line))

    def hide_under(self, ring: Sequence[Place]) -> None:
        """Forget the segments that lie wholly under a closed ring."""
        self._drawn.append(partial(self._hide_under, ring))

    def within(self, box: Rect, enough: int) -> int:
        """How many segments come, with their width, into a box, counted to ``enough``."""
        self._sort_in()
        found: set[int] = set()
        around = box.grown(self._widest + _HAIR)
        rows = range(floor(around.bottom / _SIDE), floor(around.top / _SIDE) + 1)
        columns = range(floor(around.left / _SIDE), floor(around.right / _SIDE) + 1)
        left, bottom, right, top = box
        for column, row, squares in product(columns, rows, (self._lines, self._edges)):
            for number, segment, is_straight, extent in squares.get(column * _ROWS + row, ()):
                low_x, high_x, low_y, high_y = extent
                if high_x <= left or low_x >= right or high_y <= bottom or low_y >= top:
                    continue
                if number in found or not (is_straight or _meets(segment, box)):
                    continue
                found.add(number)
                if len(found) >= enough:
                    return enough
        return len(found)

    def across(self, start: Place, end: Place) -> int:
        """How many lines the line between two places crosses."""
        self._sort_in()
        found: set[int] = set()
        (x, y), (far_x, far_y) = start, end
        ux, uy = far_x - x, far_y - y
        for square in _passed(start, end):
            for number, ((ax, ay), (bx, by), _), _, _ in self._lines.get(square, ()):
                # On which side of the line its ends lie, and on which side of it those of the line.
                if (ux * (ay - y) - uy * (ax - x)) * (ux * (by - y) - uy * (bx - x)) >= -1e-9:
                    continue
                vx, vy = bx - ax, by - ay
                near, far = vx * (y - ay) - vy * (x - ax), vx * (far_y - ay) - vy * (far_x - ax)
                if near * far < -1e-9:
                    found.add(number)
        return len(found)

    def _extend(self, segments: Iterable[Segment], is_line: bool) -> None:
        self._segments.extend((segment, is_line) for segment in segments)

    def _hide_under(self, ring: Sequence[Place]) -> None:
        box = bounding(ring)
        left, bottom, right, top = box
        # Most pieces are plain rectangles: what lies well within one needs no further look.
        inside = box.grown(-_HAIR) if set(ring) == set(box.ring) else None
        kept = [
            each
            for each in self._segments
            if not (left <= each[0][0][0] <= right and left <= each[0][1][0] <= right)
            or not (bottom <= each[0][0][1] <= top and bottom <= each[0][1][1] <= top)
            or not _lies_under(ring, inside, each[0])
        ]
        if len(kept) < len(self._segments):
            self._segments, self._lines, self._edges, self._sorted = kept, {}, {}, 0

    def _sort_in(self) -> None:
        for each in self._drawn:
            each()
        self._drawn.clear()
        for number in range(self._sorted, len(self._segments)):
            segment, is_line = self._segments[number]
            self._widest = max(self._widest, segment[2])
            squares = self._lines if is_line else self._edges
            entry = number, segment, *_measured(segment)
            for square in _passed(segment[0], segment[1]):
                squares.setdefault(square, []).append(entry)
        self._sorted = len(self._segments)


def _measured(segment: Segment) -> tuple[bool, tuple[float, float, float, float]]:
    """Whether a segment runs level or upright, and its extent."""
    (x0, y0), (x1, y1), half = segment
    extent = min(x0, x1) - half, max(x0, x1) + half, min(y0, y1) - half, max(y0, y1) + half
    return x0 == x1 or y0 == y1, extent


def _meets(segment: Segment, box: Rect) -> bool:
    start, end, half = segment
    return segment_meets(start, end, box.grown(half))


def _lies_under(ring: Sequence[Place], inside: Rect | None, segment: Segment) -> bool:
    """Whether a segment within the ring's box lies in the ring; ``inside`` is all in it."""
    start, end, _ = segment
    if inside is not None and inside.holds(start) and inside.holds(end):
        return True
    middle = (start[0] + end[0]) / 2, (start[1] + end[1]) / 2
    return all(ring_holds(ring, place) for place in (start, middle, end))


def _passed(start: Place, end: Place) -> Iterator[int]:
    """The squares that a segment passes through, column by column."""
    (x0, y0), (x1, y1) = (start, end) if start[0] <= end[0] else (end, start)
    first, last = floor((x0 - _HAIR) / _SIDE), floor((x1 + _HAIR) / _SIDE)
    slope = (y1 - y0) / (x1 - x0) if last > first and x1 - x0 > _HAIR else 0.0
    for column in range(first, last + 1):
        near, far = y0, y1
        if slope:
            near = y0 + slope * (max(x0, column * _SIDE) - x0)
            far = y0 + slope * (min(x1, (column + 1) * _SIDE) - x0)
        low, high = (near, far) if near <= far else (far, near)
        for row in range(floor((low - _HAIR) / _SIDE), floor((high + _HAIR) / _SIDE) + 1):
            yield column * _ROWS + row

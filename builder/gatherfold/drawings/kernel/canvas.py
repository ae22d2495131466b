"""Where a scene is put together: items in drawing order, and what place is already taken.

A :class:`Canvas` lives only while one scene is computed; it ends as a frozen ``Scene``.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
import shapely
from shapely import Polygon, STRtree

from gatherfold.drawings.kernel.hatching import Hatch, Rings, hatch_runs
from gatherfold.drawings.kernel.lettering import inked_rect
from gatherfold.drawings.kernel.plane import (
    Place,
    Rect,
    around,
    bounding,
    segment_meets,
    segments_apart,
)
from gatherfold.drawings.kernel.scene import Area, Item, Scene, Strokes, Text
from gatherfold.drawings.kernel.styles import TEXTURES, Fill, Line, Tint

BoolArray = np.ndarray[tuple[int, ...], np.dtype[np.bool_]]

#: White kept between lettering and the ink of anything else, in mm.
CLEARANCE = 0.3
#: Leaders keep so far from one another, and from the dots that others end in.
LEADERS_APART = 0.6
#: Lettering keeps so far from the end of another label's leader, and the end from it, in mm: the
#: half of the dot and a clear millimetre, or the dot would seem to belong to it.
ENDS_APART = 1.5
#: And so far from arrowheads and dots.
_BESIDE_MARKS = 0.2
#: The radius of the dot that a leader ends in, in mm.
DOT = 0.45
#: Leaders keep so far from the lettering that they pass.
_LINES_APART = 0.8
#: White kept round a finished scene.
MARGIN = 0.6
#: What only touches a line, but for rounding, does not cross it.
_HAIR = 1e-9


class Canvas:
    """Items so far, with the rectangles and segments that lettering has to keep off."""

    def __init__(self, width: float, height: float) -> None:
        self.frame = Rect(0.0, 0.0, width, height)
        self._items: list[Item] = []
        self._measured: list[Rect] = []
        self._taken: list[Rect] = []
        #: The same with the white that leaders keep off them, and that the ends of leaders do.
        self._clear_of_lines: list[Rect] = []
        self._clear_of_ends: list[Rect] = []
        self._lines, self._textures = DrawnLines(), DrawnLines()
        self._marks: list[Rect] = []
        self._leaders: list[tuple[Place, Place]] = []

    def area(self, rings: Iterable[Sequence[Place]], fill: Fill | Tint) -> None:
        """An opaque area; it hides what lies wholly under it."""
        kept = tuple(tuple(ring) for ring in rings if len(ring) > 2)
        if not kept:
            return
        self._items.append(Area(kept, fill))
        if fill is not Fill.INK:
            # Arrowheads and dots are too small to hide a line.
            self._lines.hide_under(kept[0])
            self._textures.hide_under(kept[0])
        for ring in kept:
            self._lines.add((*ring, ring[0]), 0.0)
        if fill is Fill.INK:
            self._marks.extend(bounding(ring).grown(_BESIDE_MARKS) for ring in kept)

    def strokes(
        self,
        runs: Iterable[Sequence[Place]],
        line: Line,
        subject: str = "",
        *,
        is_obstacle: bool = True,
    ) -> None:
        """Runs of line; lettering placed later keeps off them unless told otherwise."""
        kept = tuple(tuple(run) for run in runs if len(run) > 1)
        if not kept:
            return
        self._items.append(Strokes(kept, line, subject))
        if is_obstacle:
            lines = self._textures if line in TEXTURES else self._lines
            for run in kept:
                lines.add(run, line.look.width / 2)

    def outline(
        self,
        ring: Sequence[Place],
        line: Line,
        subject: str = "",
        *,
        is_obstacle: bool = True,
    ) -> None:
        """A closed run."""
        if len(ring) > 2:
            self.strokes([(*ring, ring[0])], line, subject, is_obstacle=is_obstacle)

    def hatch(self, hatches: Sequence[Hatch], line: Line, rings: Rings, subject: str = "") -> None:
        """Parallel lines inside the rings (even-odd)."""
        self.strokes(hatch_runs(hatches, rings), line, subject)

    def text(self, text: Text) -> None:
        self._items.append(text)
        self.keep_free(inked_rect(text))

    def keep_free(self, rect: Rect) -> None:
        """Lettering placed later keeps off this rectangle."""
        self._taken.append(rect)
        self._clear_of_lines.append(rect.grown(_LINES_APART))
        self._clear_of_ends.append(rect.grown(ENDS_APART))

    def leader(self, start: Place, end: Place) -> None:
        """A thin line from lettering to what it speaks of."""
        self.strokes([(start, end)], Line.LEADER)
        self._leaders.append((start, end))

    def include(self, other: Canvas, dx: float, dy: float = 0.0) -> None:
        """Take over what another canvas holds, moved to the right by ``dx`` and up by ``dy``."""
        self._items += [moved_item(item, dx, dy) for item in other._items]
        for rect in other._taken:
            self.keep_free(rect.moved(dx, dy))

    @property
    def lettered(self) -> tuple[Rect, ...]:
        """What lettering takes so far, and what is kept free of it, in order."""
        return tuple(self._taken)

    @property
    def extent(self) -> Rect:
        """The rectangle round what is drawn so far; the whole paper where nothing is."""
        if not self._items:
            return self.frame
        # What was there when somebody asked before is not measured again.
        self._measured += [item_rect(item) for item in self._items[len(self._measured) :]]
        return around(self._measured)

    def is_free(self, rect: Rect, clearance: float = CLEARANCE) -> bool:
        """Whether lettering in ``rect`` would touch nothing and stay on the paper."""
        return self.frame.contains(rect) and self.collisions(rect, clearance, 1) == 0

    def collisions(self, rect: Rect, clearance: float = CLEARANCE, enough: int = 99) -> int:
        """How many rectangles, ends of leaders and lines lettering in ``rect`` touches; those of a
        kind that is dearer to ask for are left out where there are ``enough`` without."""
        clear = rect.grown(clearance)
        count = _meeting(self._taken, clear)
        if self._leaders:
            beside = rect.grown(ENDS_APART)
            count += sum(1 for _, end in self._leaders if beside.holds(end))
        return count if count >= enough else count + self._lines.within(clear)

    def is_clear_of_lines(self, rect: Rect) -> bool:
        """Whether neither lines nor those of a texture come into a rectangle."""
        return not (self._lines.within(rect) or self._textures.within(rect))

    def neighbours(self, rect: Rect, distance: float) -> int:
        """How many labels stand within ``distance`` of this rectangle."""
        return _meeting(self._taken, rect.grown(distance))

    def is_clear_of_words(self, place: Place) -> bool:
        """Whether a leader can end here without touching lettering."""
        return not any(rect.holds(place) for rect in self._clear_of_lines)

    def is_clear_of_marks(self, place: Place) -> bool:
        """Whether the dot of a leader can lie here without touching an arrowhead or dot."""
        return not any(box.grown(DOT).holds(place) for box in self._marks)

    def lines_under(self, place: Place) -> int:
        """How many lines and edges the dot of a leader would touch here."""
        x, y = place
        return self._lines.within(Rect(x - DOT, y - DOT, x + DOT, y + DOT))

    def words_beside(self, place: Place) -> int:
        """How many words the end of a leader here would seem to belong to."""
        return sum(1 for rect in self._clear_of_ends if rect.holds(place))

    def words_crossed(self, start: Place, end: Place) -> int:
        """How many words, leaders or arrowheads a leader would cross."""
        near = (segments_apart(*each, start, end) < LEADERS_APART for each in self._leaders)
        words = _passed_by(self._clear_of_lines, start, end) + sum(near)
        return words + _passed_by(self._marks, start, end)

    def lines_crossed(self, start: Place, end: Place) -> int:
        """How many other lines a leader would cross."""
        return self._lines.across(start, end)

    def scene(self, key: str, title: str, text_equivalent: str, trim: bool = True) -> Scene:
        """The finished scene, cut down to what was drawn unless ``trim`` is False."""
        items = tuple(self._items)
        if not trim or not items:
            frame = self.frame
            return Scene(key, title, frame.width, frame.height, items, text_equivalent)
        extent = self.extent.grown(MARGIN)
        moved = tuple(moved_item(item, -extent.left, -extent.bottom) for item in items)
        return Scene(key, title, extent.width, extent.height, moved, text_equivalent)


class DrawnLines:
    """Stretches of line and edges of fills, found by where they lie.

    What is drawn is sorted in when somebody asks: in many pictures nobody does.  Edges of fills
    count for lettering only: no line crosses them.
    """

    def __init__(self) -> None:
        #: What was drawn since somebody asked: stretches with half their width, 0 for edges of
        #: fills; and closed rings with how many stretches were drawn before them.
        self._drawn: list[tuple[float, ...]] = []
        self._covers: list[tuple[Sequence[Place], int]] = []
        #: Of each stretch that shows: where it starts, the way to its end, half its width.
        self._shown = np.empty((5, 0))
        #: The same with those first that stand or lie, how many these are, and how far each reaches
        #: with its width to the left, down, and, as less than 0, to the right and up.
        self._stretches: list[list[float]] = []
        self._upright, self._reach = 0, np.empty((4, 0))

    def add(self, run: Sequence[Place], half_width: float) -> None:
        """A run of line, or without width the edges of a fill."""
        self._drawn.extend((*start, *end, half_width) for start, end in pairwise(run))

    def hide_under(self, ring: Sequence[Place]) -> None:
        """Forget the stretches that lie wholly under a closed ring."""
        self._covers.append((ring, len(self._drawn)))

    def within(self, box: Rect) -> int:
        """How many stretches come, with their width, into a box."""
        left, bottom, right, top = box
        near = self._near(box)
        count = int(np.count_nonzero(near[: self._upright]))
        for index in near[self._upright :].nonzero()[0]:
            x, y, dx, dy, half = self._stretches[self._upright + index]
            # The corner of the box nearest to the line lies on the other side than its middle.
            off = dx * (bottom + top - 2 * y) - dy * (left + right - 2 * x)
            reach = abs(dy) * (right - left + 2 * half) + abs(dx) * (top - bottom + 2 * half)
            count += -reach < off < reach
        return count

    def across(self, start: Place, end: Place) -> int:
        """How many lines the line between two places crosses."""
        (from_x, from_y), ux, uy = start, end[0] - start[0], end[1] - start[1]
        count = 0
        for index in self._near(bounding((start, end))).nonzero()[0]:
            x, y, dx, dy, half = self._stretches[index]
            # On which side of the line its ends lie, and on which side of it those of the line.
            begin = ux * (y - from_y) - uy * (x - from_x)
            near = dx * (from_y - y) - dy * (from_x - x)
            turn = ux * dy - uy * dx
            is_apart = begin * (begin + turn) < -_HAIR and near * (near - turn) < -_HAIR
            count += is_apart and half > 0
        return count

    def _near(self, box: Rect) -> BoolArray:
        """Which of the stretches that show reach into a box with the rectangle round them."""
        if self._drawn or self._covers:
            self._sort()
        limits = (box.right,), (box.top,), (-box.left,), (-box.bottom,)
        near: BoolArray = np.logical_and.reduce(self._reach < limits)
        return near

    def _sort(self) -> None:
        """Sort in what was drawn, and forget what it covers."""
        x, y, end_x, end_y, half = np.array(self._drawn).reshape(-1, 5).T
        shown = np.hstack([self._shown, (x, y, end_x - x, end_y - y, half)])
        if self._covers:
            starts = shown[:2].T
            stretches = STRtree(shapely.linestrings(np.stack([starts, starts + shown[2:4].T], 1)))
            fills = [Polygon(ring) for ring, _ in self._covers]
            drawn_before = self._shown.shape[1] + np.array([count for _, count in self._covers])
            fill, under = stretches.query(fills, "covers")
            shown = np.delete(shown, under[under < drawn_before[fill]], 1)
        self._shown, self._drawn, self._covers = shown, [], []
        is_slanted = (shown[2] == 0) == (shown[3] == 0)
        self._upright = len(is_slanted) - int(np.count_nonzero(is_slanted))
        x, y, dx, dy, half = ordered = shown[:, np.argsort(is_slanted, kind="stable")]
        self._stretches = ordered.T.tolist()
        low = x + np.minimum(dx, 0) - half, y + np.minimum(dy, 0) - half
        self._reach = np.stack([*low, -low[0] - abs(dx) - 2 * half, -low[1] - abs(dy) - 2 * half])


# Labels ask these of many thousands of places while they look for theirs: loops are written out.


def _meeting(rects: Iterable[Rect], box: Rect) -> int:
    """How many of the rectangles overlap a box."""
    left, bottom, right, top = box
    count = 0
    for low_x, low_y, high_x, high_y in rects:
        if low_x < right and left < high_x and low_y < top and bottom < high_y:
            count += 1
    return count


def _passed_by(rects: Iterable[Rect], start: Place, end: Place) -> int:
    """How many of the rectangles a line passes through or ends in."""
    left, right = (start[0], end[0]) if start[0] < end[0] else (end[0], start[0])
    bottom, top = (start[1], end[1]) if start[1] < end[1] else (end[1], start[1])
    count = 0
    for rect in rects:
        low_x, low_y, high_x, high_y = rect
        if low_x <= right and left <= high_x and low_y <= top and bottom <= high_y:
            count += rect.holds(end) or segment_meets(start, end, rect)
    return count


def item_rect(item: Item) -> Rect:
    """The upright rectangle round an item, line widths left out."""
    if isinstance(item, Text):
        return inked_rect(item)
    rings = item.rings if isinstance(item, Area) else item.runs
    return bounding(place for ring in rings for place in ring)


def moved_item(item: Item, dx: float, dy: float) -> Item:
    if not (dx or dy):
        return item
    if isinstance(item, Text):
        return replace(item, x=item.x + dx, y=item.y + dy)
    if isinstance(item, Area):
        rings = tuple(tuple((x + dx, y + dy) for x, y in ring) for ring in item.rings)
        return replace(item, rings=rings)
    runs = tuple(tuple((x + dx, y + dy) for x, y in run) for run in item.runs)
    return replace(item, runs=runs)

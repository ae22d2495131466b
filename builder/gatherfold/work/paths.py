"""Whether anything stands in the way of a motion: quarter turns and straight slides.

In: the plates that move and those that stay, and the motion.  Out: what crosses what on the way.
The way is open at both ends: touching is free, and so is lying in one plane.  Straight outlines are
tested without a tolerance; slanted ones where a turn does not keep them straight at some places.

A quarter turn is looked at along its axis.  A plate parallel to the axis is a straight line there,
at distance ``d`` from the axis; the points of it at radius ``r`` have the polar angle ``α ± arccos
(d / r)``, where α is a multiple of a right angle.  So the angle from a point of the moving plate to
one of the still plate at the same radius is compared with 0 and with a right angle by comparing
``d`` with ``d`` or ``r²`` with the sum of both squares, which are exact.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, cached_property
from itertools import pairwise
from typing import NamedTuple

from gatherfold.geometry import around
from gatherfold.work.regions import (
    Along,
    Bounds,
    Interval,
    Plate,
    bounds_of,
    common_spans,
    rectangle_region,
)
from gatherfold.work.space import ACROSS, AXES, Exact, Place, Sense, SpaceAxis, SpaceLine, size

#: Where along a strip of slanted sides the spans of both are compared.
_SHARES = tuple(Fraction(part, 256) for part in (1, 16, 64, 128, 192, 240, 255))
_MIDDLE = (Fraction(1, 2),)
#: Angles that differ by less, in radians, are the same: far below what any two corners differ by.
_SAME_ANGLE = 1e-9


@dataclass(frozen=True)
class Crossing:
    """A moving plate that would pass through a still one; ``depth`` is about how far, in units."""

    moving: Plate
    still: Plate
    depth: float


def crossings_of_turn(
    moving: Sequence[Plate], still: Sequence[Plate], line: SpaceLine, sense: Sense
) -> Iterator[Crossing]:
    """What crosses in a quarter turn about a line."""

    @cache
    def turning(plate: Plate) -> _Turning:
        return _Turning(plate, line, sense)

    for plate, others in _near(moving, still, lambda a, b: turning(a).is_near(turning(b))):
        for other in others:
            depth = turning(plate).depth_of_crossing(turning(other))
            if depth > 0:
                yield Crossing(plate, other, depth)


def _near(
    moving: Sequence[Plate], still: Sequence[Plate], may_meet: Callable[[Plate, Plate], bool]
) -> Iterator[tuple[Plate, Sequence[Plate]]]:
    """The moving plates that may meet something, with the still ones that each may meet: all that
    lie in one plane are first looked at as one rectangle."""
    own, others = _by_plane(moving), _by_plane(still)
    hulls = {plane: _hull(plates) for plane, plates in others.items()}
    near: dict[tuple[SpaceAxis, Exact], list[Plate]] = {}
    for plane, plates in own.items():
        hull = _hull(plates)
        met = {key for key, other in hulls.items() if may_meet(hull, other)}
        near[plane] = [plate for plate in still if (plate.axis, plate.plane) in met] if met else []
    for plate in moving:
        if near[plate.axis, plate.plane]:
            yield plate, near[plate.axis, plate.plane]


def _by_plane(plates: Iterable[Plate]) -> Mapping[tuple[SpaceAxis, Exact], list[Plate]]:
    found: dict[tuple[SpaceAxis, Exact], list[Plate]] = {}
    for plate in plates:
        found.setdefault((plate.axis, plate.plane), []).append(plate)
    return found


def _hull(plates: Sequence[Plate]) -> Plate:
    """One rectangle round some plates, in their plane."""
    first = plates[0]
    if len(plates) == 1 and first.region.is_upright_rectangle:
        return first
    back, (x, y) = first.pose.undone(), ACROSS[first.axis]
    places = []
    for spot in around([plate.bounds for plate in plates]).ring:
        place = [first.plane] * 3
        place[x], place[y] = spot
        places.append(back.apply((place[0], place[1], place[2]))[:2])
    return Plate(first.key, rectangle_region(bounds_of(places)), first.pose)


class _Branch(NamedTuple):
    """A stretch of a line on which the polar angle of a turn grows or falls all the way.

    Its points at radius r have the angle ``foot`` right angles plus or minus arccos(d / r).
    """

    foot: int
    sign: Sense
    distance: Exact
    low: Exact
    high: Exact


class _Turning:
    """A plate as it is seen along the axis of a turn, its distances from that axis."""

    def __init__(self, plate: Plate, line: SpaceLine, sense: Sense) -> None:
        first, second = ACROSS[line.axis]
        places = {first: line.at[0], second: line.at[1]}
        # A turn the other way round is the same turn with both axes exchanged.
        self.axes: tuple[SpaceAxis, SpaceAxis] = (first, second) if sense == 1 else (second, first)
        self.plate, self.axis, self._places = plate, line.axis, places
        self.is_across = plate.axis == line.axis
        self.low, self.high = plate.extent(line.axis)
        ends = [[end - places[axis] for end in plate.extent(axis)] for axis in (first, second)]
        self.farthest = sum(max(low * low, high * high) for low, high in ends)
        self.nearest = sum(
            0 if low <= 0 <= high else min(low * low, high * high) for low, high in ends
        )

    def is_near(self, other: _Turning) -> bool:
        """Whether this one, moving, may pass through the other: the rectangle round it does."""
        if self.nearest >= other.farthest or other.nearest >= self.farthest:
            return False
        if self.is_across or other.is_across:
            across, along = (self, other) if self.is_across else (other, self)
            return not along.is_across and along.low < across.low < along.high
        is_level = self.low < other.high and other.low < self.high
        return is_level and _deepest(self._whole, other._whole) > 0

    def depth_of_crossing(self, other: _Turning) -> float:
        """About how far this one, moving, passes through the other; 0 where it does not."""
        if not self.is_near(other):
            return 0.0
        if self.is_across:
            return self._swept_by(other)
        if other.is_across:
            return _deepest_sweep(self._branches(self._spans(other.low)), other._edges())
        return self._meets(other)

    @property
    def _is_first(self) -> bool:
        """Whether the line that it is stands at right angles to the first axis."""
        return self.plate.axis == self.axes[0]

    @property
    def _distance(self) -> Exact:
        return self.plate.plane - self._places[self.plate.axis]

    @cached_property
    def _whole(self) -> tuple[_Branch, ...]:
        """What its line reaches over, paper or not."""
        return tuple(self._branches([self.plate.extent(self._along)]))

    @property
    def _along(self) -> SpaceAxis:
        """The axis that its line runs along."""
        return self.axes[1] if self._is_first else self.axes[0]

    def _spans(self, place: Exact) -> list[Interval]:
        """What of its line is paper at a place along the axis of the turn."""
        return self.plate.region.spans_at(_index(self.plate, self.axis), place)

    def _edges(self) -> list[tuple[_Float, _Float]]:
        """The edges of a plate at right angles to the axis, in floats."""
        first, second = (ACROSS[self.axis].index(axis) for axis in self.axes)
        x, y = (self._places[axis] for axis in self.axes)
        rings = (
            [(float(spot[first] - x), float(spot[second] - y)) for spot in ring]
            for ring in self.plate.region.rings
        )
        return [edge for ring in rings for edge in zip(ring, [*ring[1:], ring[0]], strict=True)]

    def _swept_by(self, other: _Turning) -> float:
        """How far this plate, turning in its own plane, meets a still one that stands across it:
        as that one turning back through it, from a right angle before it on."""
        branches = other._branches(other._spans(self.low))
        back = (branch._replace(foot=branch.foot - 1) for branch in branches)
        return _deepest_sweep(back, self._edges())

    def _meets(self, other: _Turning) -> float:
        """How far a plate parallel to the axis meets another one."""
        if self.plate.region.is_upright_rectangle and other.plate.region.is_upright_rectangle:
            depth = _deepest(self._whole, other._whole)
            return min(depth, float(min(self.high, other.high) - max(self.low, other.low)))
        deepest = 0.0
        for mine in self.plate.region.trapezoids(_index(self.plate, self.axis)):
            for theirs in other.plate.region.trapezoids(_index(other.plate, other.axis)):
                low, high = max(mine.low, theirs.low), min(mine.high, theirs.high)
                if low >= high:
                    continue
                is_even = mine.is_even and theirs.is_even
                for share in _MIDDLE if is_even else _SHARES:
                    place = low + (high - low) * share
                    own = self._branches([mine.at(place)])
                    depth = _deepest(own, list(other._branches([theirs.at(place)])))
                    deepest = max(deepest, min(depth, float(high - low)))
        return deepest

    def _branches(self, spans: Iterable[Interval]) -> Iterator[_Branch]:
        """Both sides of the foot of the perpendicular from the axis, of each span."""
        place, start = self._distance, self._places[self._along]
        foot = (0 if place >= 0 else 2) if self._is_first else (1 if place >= 0 else 3)
        # Going on along the line the angle grows where the foot is at 0 or at 270 degrees.
        onward: Sense = 1 if foot in (0, 3) else -1
        back: Sense = -1 if onward == 1 else 1
        square = place * place
        for near, far in ((low - start, high - start) for low, high in spans):
            if far > 0:
                begin = max(near, 0)
                yield _Branch(foot, onward, size(place), square + begin * begin, square + far * far)
            if near < 0:
                begin = min(far, 0)
                yield _Branch(foot, back, size(place), square + begin * begin, square + near * near)


def _index(plate: Plate, axis: SpaceAxis) -> Along:
    return 0 if ACROSS[plate.axis][0] == axis else 1


def _deepest(moving: Iterable[_Branch], still: Sequence[_Branch]) -> float:
    return max((_depth(own, other) for own in moving for other in still), default=0.0)


def _depth(moving: _Branch, still: _Branch) -> float:
    """How far two branches meet within a quarter turn of the first, along the radius."""
    least, most = _room(moving, still)
    low, high = max(moving.low, still.low, least), min(moving.high, still.high, most)
    return math.sqrt(high) - math.sqrt(low) if low < high else 0.0


_ANY: tuple[Exact, float] = (0, math.inf)
_NONE: tuple[Exact, float] = (0, 0.0)


def _room(moving: _Branch, still: _Branch) -> tuple[Exact, Exact | float]:
    """The squares of the radii between which the still branch is ahead of the moving one by less
    than a quarter turn, and by more than nothing."""
    ahead = (still.foot - moving.foot) % 4
    if still.sign == moving.sign:
        # arccos falls: of two lines the nearer one is further on, by less than a right angle.
        grows = moving.sign * (moving.distance - still.distance)
        return _ANY if (ahead == 0 and grows > 0) or (ahead == 1 and grows < 0) else _NONE
    # Both arccos add up: to less than a right angle where r² is below the sum of the squares.
    # Where that is nought both run through the axis: straight on or at right angles all the way.
    both = moving.distance**2 + still.distance**2
    below, beyond = (0, 3) if still.sign == 1 else (1, 2)
    if ahead == below:
        return 0, both
    return (both, math.inf) if ahead == beyond and both else _NONE


# ---- a plate parallel to the axis against one that stands across it


_Float = tuple[float, float]
_Edges = Sequence[tuple[_Float, _Float]]


def _deepest_sweep(branches: Iterable[_Branch], edges: _Edges) -> float:
    """How far lines that make a quarter turn about the origin sweep over a region."""
    return max((_depth_of_sweep(branch, edges) for branch in branches), default=0.0)


def _depth_of_sweep(branch: _Branch, edges: _Edges) -> float:
    """The radii at which a branch comes over a region.

    Between two at which a corner of the region, the foot of an edge or a crossing of an edge with
    the line begins or ends, nothing changes but amounts: one radius of each is looked at.
    """
    inner, outer = math.sqrt(branch.low), math.sqrt(branch.high)
    cuts = sorted({inner, outer, *(r for r in _critical(branch, edges) if inner < r < outer)})
    found = 0.0
    for low, high in pairwise(cuts):
        radius = (low + high) / 2
        turn = branch.sign * math.acos(min(float(branch.distance) / radius, 1.0))
        if _is_met(branch.foot * math.pi / 2 + turn, radius, edges):
            found += high - low
    return found


def _critical(branch: _Branch, edges: _Edges) -> Iterator[float]:
    """Radii at which the picture may change."""
    distance = float(branch.distance)
    for (x0, y0), (x1, y1) in edges:
        yield math.hypot(x0, y0)
        length = (x1 - x0) ** 2 + (y1 - y0) ** 2
        share = -(x0 * (x1 - x0) + y0 * (y1 - y0)) / length if length else 0.0
        if 0 < share < 1:
            yield math.hypot(x0 + share * (x1 - x0), y0 + share * (y1 - y0))
        # Where the edge crosses the line as it starts, and as it ends, a quarter turn on.
        for foot in (branch.foot % 4, (branch.foot + 1) % 4):
            at = distance if foot < 2 else -distance
            a0, b0, a1, b1 = (y0, x0, y1, x1) if foot % 2 else (x0, y0, x1, y1)
            if min(a0, a1) < at < max(a0, a1):
                yield math.hypot(at, b0 + (at - a0) / (a1 - a0) * (b1 - b0))


def _is_met(start: float, radius: float, edges: _Edges) -> bool:
    """Whether a circle's arc of a right angle from an angle on runs through the region: across an
    edge of it, or within it from end to end."""
    ahead = ((angle - start) % (2 * math.pi) for angle in _crossed(edges, radius))
    if any(_SAME_ANGLE < angle < math.pi / 2 - _SAME_ANGLE for angle in ahead):
        return True
    x, y = (radius * way(start + math.pi / 4) for way in (math.cos, math.sin))
    crossed = (
        x < x0 + (y - y0) * (x1 - x0) / (y1 - y0)
        for (x0, y0), (x1, y1) in edges
        if (y0 > y) != (y1 > y)
    )
    return sum(crossed) % 2 == 1


def _crossed(edges: _Edges, radius: float) -> Iterator[float]:
    """The angles at which edges cross a circle."""
    for (x0, y0), (x1, y1) in edges:
        dx, dy = x1 - x0, y1 - y0
        a, b, c = dx * dx + dy * dy, x0 * dx + y0 * dy, x0 * x0 + y0 * y0 - radius * radius
        root = b * b - a * c
        if a == 0 or root <= 0:
            continue
        for share in ((-b - math.sqrt(root)) / a, (-b + math.sqrt(root)) / a):
            if 0 <= share <= 1:
                yield math.atan2(y0 + share * dy, x0 + share * dx)


# ---- slides


def crossings_of_slide(
    moving: Sequence[Plate], still: Sequence[Plate], way: Place
) -> Iterator[Crossing]:
    """What crosses in a straight motion along one axis."""
    axis = next((k for k in AXES if way[k]), None)
    if axis is None:
        return
    for plate, others in _near(moving, still, lambda a, b: _slides_through(a, b, axis, way[axis])):
        for other in others:
            if _slides_through(plate, other, axis, way[axis]):
                yield Crossing(plate, other, _slide_depth(plate, other, axis))


def _slides_through(moving: Plate, still: Plate, axis: SpaceAxis, way: Exact) -> bool:
    if moving.axis == still.axis:
        low, high = sorted((moving.plane, moving.plane + way))
        is_passed = moving.axis == axis and low < still.plane < high
        return is_passed and moving.region.overlaps(still.region)
    if moving.axis == axis:
        return _sweeps(moving, way, still)
    if still.axis == axis:
        # As if it came the other way, and what moves stood still.
        return _sweeps(still, -way, moving)
    mine = moving.region.spans_at(_index(moving, still.axis), still.plane)
    theirs = still.region.spans_at(_index(still, moving.axis), moving.plane)
    swept = ((min(near, near + way), max(far, far + way)) for near, far in mine)
    return bool(common_spans(swept, theirs))


def _sweeps(flat: Plate, way: Exact, across: Plate) -> bool:
    """Whether a plate that moves square to its plane meets one that stands across it."""
    low, high = sorted((flat.plane, flat.plane + way))
    ends, other = across.extent(flat.axis), flat.extent(across.axis)
    if not (low < ends[1] and ends[0] < high and other[0] < across.plane < other[1]):
        return False
    is_first = _index(across, flat.axis) == 0
    return any(
        across.region.overlaps(
            rectangle_region(
                Bounds(low, near, high, far) if is_first else Bounds(near, low, far, high)
            )
        )
        for near, far in flat.region.spans_at(_index(flat, across.axis), across.plane)
    )


def _slide_depth(moving: Plate, still: Plate, axis: SpaceAxis) -> float:
    """The least that both share across the way."""
    shared: list[Exact] = []
    for k in (k for k in AXES if k != axis):
        (low, high), (near, far) = moving.extent(k), still.extent(k)
        # What is flat there has no width of its own.
        shared += [high - near, far - low, *(width for width in (high - low, far - near) if width)]
    return float(min(shared))


def glides(
    moving: Iterable[Plate], still: Sequence[Plate], after: Iterable[Plate]
) -> Iterator[tuple[Plate, Plate]]:
    """Plates that turn in their own plane and come to lie over a still one in that plane, which
    they did not before; ``after`` are the moving plates at the end, in the same order."""
    turned = [
        (plate, end) for plate, end in zip(moving, after, strict=True) if plate.shares_plane(end)
    ]
    for plate, end in turned:
        for other in still:
            if end.lies_over(other) and not plate.lies_over(other):
                yield end, other


def crossings_at_rest(moved: Sequence[Plate], still: Sequence[Plate]) -> Iterator[Crossing]:
    """What passes through one another where it has come to rest, by how far it reaches beyond.

    A path alone may meet it by far less: what turns up under an edge only lifts that a little.
    """
    for own, others in _near(moved, still, _stand_across):
        for other in others:
            if not _stand_across(own, other):
                continue
            (low, high), (near, far) = other.extent(own.axis), own.extent(other.axis)
            mine = own.region.spans_at(_index(own, other.axis), other.plane)
            if common_spans(mine, other.region.spans_at(_index(other, own.axis), own.plane)):
                reaches = (own.plane - low, high - own.plane, other.plane - near, far - other.plane)
                yield Crossing(own, other, float(min(reaches)))


def _stand_across(first: Plate, second: Plate) -> bool:
    """Whether the rectangles round two plates cross."""
    if first.axis == second.axis:
        return False
    (low, high), (near, far) = second.extent(first.axis), first.extent(second.axis)
    return low < first.plane < high and near < second.plane < far

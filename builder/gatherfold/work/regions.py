"""Flat regions with exact straight edges, and faces as flat plates in space.

In: closed rings of places, outer and inner ones alike (what lies within an odd number of rings is
inside), and poses.  Out: the trapezoids that they consist of, along either axis; overlaps; the
region of a face in the plane of the two axes that it lies along.  Regions that only touch do not
overlap.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from itertools import pairwise
from typing import Literal, NamedTuple

from gatherfold.geometry import Point, UprightRectangle, common, crosses
from gatherfold.work.space import (
    ACROSS,
    AXES,
    Exact,
    Place,
    Rigid,
    Sense,
    SpaceAxis,
    Spot,
    size,
    whole,
)

Ring = tuple[Spot, ...]
Along = Literal[0, 1]
Interval = tuple[Exact, Exact]


#: A rectangle in units.
Bounds = UprightRectangle[Exact]


def bounds_of(spots: Iterable[Spot]) -> Bounds:
    """The smallest upright rectangle round some places."""
    firsts, seconds = zip(*spots, strict=True)
    return Bounds(min(firsts), min(seconds), max(firsts), max(seconds))


class Trapezoid(NamedTuple):
    """A part of a region between two places along an axis, and between a near and a far side, each
    given at its low and at its high end."""

    low: Exact
    high: Exact
    near_low: Exact
    near_high: Exact
    far_low: Exact
    far_high: Exact

    @property
    def is_even(self) -> bool:
        """Whether both its sides run straight along it."""
        return self.near_low == self.near_high and self.far_low == self.far_high

    def at(self, place: Exact) -> Interval:
        """Both sides at a place along it."""
        if self.is_even or place == self.low:
            return self.near_low, self.far_low
        share = Fraction(place - self.low) / (self.high - self.low)
        return (
            self.near_low + (self.near_high - self.near_low) * share,
            self.far_low + (self.far_high - self.far_low) * share,
        )


@dataclass(frozen=True)
class Region:
    """A flat region by its rings."""

    rings: tuple[Ring, ...]

    @cached_property
    def bounds(self) -> Bounds:
        """The smallest upright rectangle round it."""
        return bounds_of(self.rings[0])

    @cached_property
    def is_upright_rectangle(self) -> bool:
        """Whether it is just its bounds."""
        if len(self.rings) != 1 or len(self.rings[0]) != 4:
            return False
        return set(self.rings[0]) == set(self.bounds.ring)

    @cached_property
    def _parts(self) -> dict[Along, tuple[Trapezoid, ...]]:
        return {}

    def trapezoids(self, along: Along) -> tuple[Trapezoid, ...]:
        """The region cut across at every corner, in order along an axis."""
        if along not in self._parts:
            self._parts[along] = tuple(_trapezoids(self.rings, along))
        return self._parts[along]

    def overlaps(self, other: Region) -> bool:
        """Whether the insides of two regions meet."""
        if not crosses(self.bounds, other.bounds):
            return False
        if self.is_upright_rectangle and other.is_upright_rectangle:
            return True
        return next(self._shared(other, 1), None) is not None

    def common_extent(self, other: Region, along: Along) -> Interval | None:
        """How far what both cover reaches along an axis; None where they do not overlap."""
        shared = common(self.bounds, other.bounds)
        if shared is None:
            return None
        if self.is_upright_rectangle and other.is_upright_rectangle:
            low, high = list(shared)[along::2]
            return low, high
        found = list(self._shared(other, along))
        if not found:
            return None
        return min(low for low, _ in found), max(high for _, high in found)

    def _shared(self, other: Region, along: Along) -> Iterator[Interval]:
        """The stretches along an axis in which both cover something in common."""
        for first in self.trapezoids(along):
            for second in other.trapezoids(along):
                stretch = _stretch_met(first, second)
                if stretch is not None:
                    yield stretch

    def spans_at(self, along: Along, place: Exact) -> list[Interval]:
        """What is inside at a place along an axis; on an edge across it, on both sides of that."""
        parts = [part for part in self.trapezoids(along) if part.low <= place <= part.high]
        below = [part.at(place) for part in parts if part.low < place]
        above = [part.at(place) for part in parts if place < part.high]
        return below if below == above else common_spans(below, above)

    def spans_between(self, along: Along, low: Exact, high: Exact) -> list[Interval]:
        """What is inside half way between two places along an axis, with no corner between them."""
        parts = (p for p in self.trapezoids(along) if p.low <= low and high <= p.high)
        return [p.at(p.low if p.is_even else Fraction(low + high) / 2) for p in parts]

    def holds(self, spot: Spot) -> bool:
        """Whether a place lies inside; on an edge either answer may come."""
        parts = (part for part in self.trapezoids(1) if part.low <= spot[1] <= part.high)
        return any(near < spot[0] < far for near, far in (part.at(spot[1]) for part in parts))


def common_spans(first: Iterable[Interval], second: Sequence[Interval]) -> list[Interval]:
    """What lies in spans of both."""
    shared = ((max(a, c), min(b, d)) for a, b in first for c, d in second)
    return [(near, far) for near, far in shared if near < far]


def rectangle_region(bounds: Bounds) -> Region:
    """The region of an upright rectangle."""
    return Region((bounds.ring,))


def _trapezoids(rings: Sequence[Ring], along: Along) -> Iterator[Trapezoid]:
    other = 1 - along
    edges: list[tuple[Exact, Exact, Exact, Exact]] = []
    for ring in rings:
        for start, end in zip(ring, (*ring[1:], ring[0]), strict=True):
            if start[along] != end[along]:
                first, last = sorted((start, end), key=lambda spot: spot[along])
                edges.append((first[along], last[along], first[other], last[other]))
    cuts = sorted({place for edge in edges for place in edge[:2]})
    for low, high in pairwise(cuts):
        sides = sorted(
            (
                (_at(edge, low), _at(edge, high))
                for edge in edges
                if edge[0] <= low and high <= edge[1]
            ),
            key=lambda side: side[0] + side[1],
        )
        for near, far in zip(sides[::2], sides[1::2], strict=False):
            if near != far:
                yield Trapezoid(low, high, *near, *far)


def _at(edge: tuple[Exact, Exact, Exact, Exact], place: Exact) -> Exact:
    low, high, first, last = edge
    if first == last or place == low:
        return first
    if place == high:
        return last
    return first + Fraction(last - first) * (place - low) / (high - low)


def _stretch_met(first: Trapezoid, second: Trapezoid) -> Interval | None:
    """From where to where two parts of regions share some inside: two conditions, each linear
    along them."""
    start, end = low, high = max(first.low, second.low), min(first.high, second.high)
    if low >= high:
        return None
    (near_low, far_low), (near_high, far_high) = first.at(low), first.at(high)
    (other_low, end_low), (other_high, end_high) = second.at(low), second.at(high)
    for gain, later in (
        (end_low - near_low, end_high - near_high),
        (far_low - other_low, far_high - other_high),
    ):
        if gain <= 0 and later <= 0:
            return None
        if gain < 0 or later < 0:
            zero = low + (high - low) * Fraction(gain) / (gain - later)
            start, end = (max(start, zero), end) if gain < 0 else (start, min(end, zero))
    return (start, end) if start < end else None


class FaceKey(NamedTuple):
    """A face by its piece and its own name."""

    piece: str
    face: str

    def __str__(self) -> str:
        return f"{self.piece}.{self.face}"


@dataclass(frozen=True, eq=False)
class Plate:
    """A face in space.

    ``own`` is its region in its own coordinates; ``region`` the same in space, along the two axes
    ``ACROSS[axis]``.
    """

    key: FaceKey
    own: Region
    pose: Rigid

    @cached_property
    def axis(self) -> SpaceAxis:
        """The axis that it stands at right angles to."""
        return self.pose.axis

    @cached_property
    def facing(self) -> Sense:
        """Whether its front looks towards the positive end of that axis."""
        return self.pose.facing

    @cached_property
    def plane(self) -> Exact:
        """Where its plane crosses that axis."""
        return self.pose.shift[self.axis]

    def ring(self, own: Ring) -> Ring:
        """A ring of its own coordinates, in space."""
        first, second = ACROSS[self.axis]
        (a, b, _), (c, d, _) = self.pose.rotation[first], self.pose.rotation[second]
        e, f = self.pose.shift[first], self.pose.shift[second]
        # Of two numbers of a row one is nought: what is multiplied stays a whole number.
        return tuple((a * x + b * y + e, c * x + d * y + f) for x, y in own)

    def in_space(self, own: Region) -> Region:
        """A region of its own coordinates, in space."""
        return Region(tuple(self.ring(ring) for ring in own.rings))

    @cached_property
    def region(self) -> Region:
        """Its region in space."""
        return self.in_space(self.own)

    def place_of(self, point: Point, scale: int) -> Place:
        """Where a point of its piece, in mm, is in space."""
        return self.pose.apply((whole(point.x, scale), whole(point.y, scale), 0))

    def point_at(self, place: Place, scale: int) -> tuple[Point, Exact]:
        """The point of its piece, in mm, nearest to a place in space, and how far that is."""
        x, y, away = self.pose.undone().apply(place)
        return Point(Fraction(x) / scale, Fraction(y) / scale), size(away)

    @cached_property
    def bounds(self) -> Bounds:
        """The smallest upright rectangle round its region in space."""
        return bounds_of(self.ring(self.own.bounds.ring))

    def extent(self, axis: SpaceAxis) -> tuple[Exact, Exact]:
        """Its low and high end along one of the axes that it lies along, or its plane twice."""
        if axis == self.axis:
            return self.plane, self.plane
        if axis == ACROSS[self.axis][0]:
            return self.bounds.left, self.bounds.right
        return self.bounds.bottom, self.bounds.top

    def moved(self, motion: Rigid) -> Plate:
        """The plate after a motion."""
        return Plate(self.key, self.own, motion.then(self.pose))

    def shares_plane(self, other: Plate) -> bool:
        """Whether both lie in one plane."""
        return self.axis == other.axis and self.plane == other.plane

    def lies_over(self, other: Plate) -> bool:
        """Whether both lie in one plane and share some of it."""
        is_near = self.shares_plane(other) and crosses(self.bounds, other.bounds)
        return is_near and self.region.overlaps(other.region)


def extent(plates: Iterable[Plate]) -> tuple[tuple[Exact, Exact], ...]:
    """From where to where plates reach along each axis, in units."""
    ends = [tuple(plate.extent(axis) for axis in AXES) for plate in plates]
    return tuple(
        (min(each[axis][0] for each in ends), max(each[axis][1] for each in ends)) for axis in AXES
    )

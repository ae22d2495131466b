"""Outlines with exact corners: closed runs of straight edges and circular arcs.

Units: millimetres as Fractions; x to the right, y up.  Outlines run counter-clockwise, their
inside on the left.  Arcs stay arcs until :func:`flattened`, where floats begin.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Generic

from gatherfold.geometry.edges import (
    CornerName,
    EdgeName,
    is_far,
    is_left,
    is_low,
    is_upright,
    opposite,
)
from gatherfold.geometry.pose import Length


@dataclass(frozen=True, order=True)
class Point:
    x: Fraction
    y: Fraction

    def moved(self, dx: Fraction, dy: Fraction) -> Point:
        return Point(self.x + dx, self.y + dy)

    def along(self, edge: EdgeName) -> Fraction:
        """Its place in the direction in which an edge runs."""
        return self.y if is_upright(edge) else self.x

    def across(self, edge: EdgeName) -> Fraction:
        """Its place square to an edge."""
        return self.x if is_upright(edge) else self.y


@dataclass(frozen=True)
class Segment:
    start: Point
    end: Point

    def at(self, share: Fraction) -> Point:
        """The point of it so far along, from 0 at its start to 1 at its end."""
        x, y = self.end.x - self.start.x, self.end.y - self.start.y
        return self.start.moved(share * x, share * y)


@dataclass(frozen=True)
class Arc:
    """A quarter or half circle from ``start`` to ``end`` about ``centre``."""

    start: Point
    end: Point
    centre: Point
    clockwise: bool

    @property
    def radius(self) -> Fraction:
        """The length of its radii, of which the first lies along an axis."""
        return abs(self.start.x - self.centre.x) + abs(self.start.y - self.centre.y)

    def faces(self, across: Fraction, upward: Fraction) -> bool:
        """Whether the ray from its centre in a direction meets it.

        Within half a circle it does where it is left of the start and right of the end.
        """
        first, last = (self.end, self.start) if self.clockwise else (self.start, self.end)
        a = first.moved(-self.centre.x, -self.centre.y)
        b = last.moved(-self.centre.x, -self.centre.y)
        return a.x * upward - a.y * across >= 0 and across * b.y - upward * b.x >= 0


Edge = Segment | Arc


@dataclass(frozen=True)
class Outline:
    """A closed boundary; each edge starts where the one before it ends."""

    edges: tuple[Edge, ...]

    @property
    def corners(self) -> tuple[Point, ...]:
        return tuple(edge.start for edge in self.edges)

    def mapped(self, move: Callable[[Point], Point], mirrored: bool) -> Outline:
        """The outline under a rigid motion; ``mirrored`` says that the motion flips it over."""
        edges = tuple(_moved_edge(edge, move, mirrored) for edge in self.edges)
        return Outline(edges)


@dataclass(frozen=True)
class UprightRectangle(Generic[Length]):
    """An upright rectangle from (left, bottom) to (right, top)."""

    left: Length
    bottom: Length
    right: Length
    top: Length

    def __iter__(self) -> Iterator[Length]:
        """Its low ends, across and up, then its high ones."""
        return iter((self.left, self.bottom, self.right, self.top))

    def __getitem__(self, number: int) -> Length:
        """One of these ends."""
        return tuple(self)[number]

    @property
    def width(self) -> Length:
        return self.right - self.left

    @property
    def height(self) -> Length:
        return self.top - self.bottom

    @property
    def area(self) -> Length:
        """What it takes, in square units."""
        return self.width * self.height

    @property
    def ring(self) -> tuple[tuple[Length, Length], ...]:
        """Its corners, counter-clockwise from the lower left one."""
        left, bottom, right, top = self
        return (left, bottom), (right, bottom), (right, top), (left, top)

    def contains(self, point: Point) -> bool:
        """Whether the point lies within the rectangle or on its edge."""
        return self.left <= point.x <= self.right and self.bottom <= point.y <= self.top

    @property
    def centre(self) -> Point:
        return Point(Fraction(self.left + self.right) / 2, Fraction(self.bottom + self.top) / 2)

    def edge(self, name: EdgeName) -> Length:
        """Where an edge lies: x of an upright one, y of a level one."""
        place: Length = getattr(self, name)
        return place

    def corner(self, name: CornerName) -> Point:
        x = self.left if is_left(name) else self.right
        return Point(Fraction(x), Fraction(self.bottom if is_low(name) else self.top))

    def ends(self, edge: EdgeName) -> tuple[Length, Length]:
        """Where an edge begins and ends along itself, the low end first."""
        return (self.bottom, self.top) if is_upright(edge) else (self.left, self.right)

    def along(self, edge: EdgeName) -> Length:
        """How long an edge is."""
        return self.height if is_upright(edge) else self.width

    def across(self, edge: EdgeName) -> Length:
        """How far it is from an edge to the opposite one."""
        return self.width if is_upright(edge) else self.height

    def strip(self, edge: EdgeName, depth: Length) -> UprightRectangle[Length]:
        """The part along an edge, so deep; beyond the other edge where it is deeper than that."""
        inner = self.edge(edge) + (-depth if is_far(edge) else depth)
        return replace(self, **{opposite(edge): inner})


#: A rectangle in mm.
Box = UprightRectangle[Fraction]


def _moved_edge(edge: Edge, move: Callable[[Point], Point], mirrored: bool) -> Edge:
    if isinstance(edge, Segment):
        return Segment(move(edge.start), move(edge.end))
    clockwise = edge.clockwise != mirrored
    return Arc(move(edge.start), move(edge.end), move(edge.centre), clockwise)


def polygon(points: list[Point]) -> Outline:
    """Straight edges through the points in order; points that repeat are dropped."""
    kept = [point for i, point in enumerate(points) if point != points[i - 1]]
    return Outline(tuple(Segment(a, b) for a, b in zip(kept, kept[1:] + kept[:1], strict=True)))


def rectangle(box: Box) -> Outline:
    return polygon([Point(x, y) for x, y in box.ring])


def circle(centre: Point, radius: Fraction) -> Outline:
    """A full circle as two half-circle arcs."""
    left, right = centre.moved(-radius, Fraction(0)), centre.moved(radius, Fraction(0))
    return Outline((Arc(right, left, centre, False), Arc(left, right, centre, False)))


def flattened(outline: Outline, steps_in_quarter: int = 8) -> list[tuple[float, float]]:
    """The outline as floats, each arc in short chords; for ink and for float geometry."""
    points: list[tuple[float, float]] = []
    for edge in outline.edges:
        points.append((float(edge.start.x), float(edge.start.y)))
        if isinstance(edge, Arc):
            points.extend(_chords(edge, steps_in_quarter))
    return points


def _chords(arc: Arc, steps_in_quarter: int) -> list[tuple[float, float]]:
    centre_x, centre_y = float(arc.centre.x), float(arc.centre.y)
    start_x, start_y = float(arc.start.x) - centre_x, float(arc.start.y) - centre_y
    end_x, end_y = float(arc.end.x) - centre_x, float(arc.end.y) - centre_y
    first, last = math.atan2(start_y, start_x), math.atan2(end_y, end_x)
    if arc.clockwise and last >= first:
        last -= 2 * math.pi
    if not arc.clockwise and last <= first:
        last += 2 * math.pi
    radius = math.hypot(start_x, start_y)
    steps = max(2, round(abs(last - first) / (math.pi / 2) * steps_in_quarter))
    angles = [first + (last - first) * step / steps for step in range(1, steps)]
    return [(centre_x + radius * math.cos(a), centre_y + radius * math.sin(a)) for a in angles]


def bounds(outline: Outline) -> Box:
    """The smallest upright box round the outline, its arcs included."""
    points = [*outline.corners]
    for edge in outline.edges:
        if isinstance(edge, Arc):
            points.extend(_extremes(edge))
    xs, ys = [point.x for point in points], [point.y for point in points]
    return Box(min(xs), min(ys), max(xs), max(ys))


def _extremes(arc: Arc) -> list[Point]:
    """The points of an arc furthest to each side."""
    radius, nothing = arc.radius, Fraction(0)
    sides = ((radius, nothing), (nothing, radius), (-radius, nothing), (nothing, -radius))
    return [arc.centre.moved(x, y) for x, y in sides if arc.faces(x, y)]


def area(outline: Outline) -> float:
    """Area of the flattened outline in mm² (shoelace), positive when counter-clockwise."""
    points = flattened(outline, 32)
    pairs = zip(points, points[1:] + points[:1], strict=True)
    return sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in pairs) / 2

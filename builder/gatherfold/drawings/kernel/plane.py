"""Plane geometry in floats for drawings: rectangles, mappings, clipping, crossing tests."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import shapely
from shapely import LineString, Polygon, transform
from shapely.geometry.base import BaseGeometry

from gatherfold.geometry import CornerName, EdgeName, is_left, is_low, is_upright

Place = tuple[float, float]


class Rect(NamedTuple):
    """An upright rectangle.  Made by the million while labels are placed: a tuple is made fast."""

    left: float
    bottom: float
    right: float
    top: float

    @property
    def width(self) -> float:
        return self.right - self.left

    @property
    def height(self) -> float:
        return self.top - self.bottom

    @property
    def centre(self) -> Place:
        return (self.left + self.right) / 2, (self.bottom + self.top) / 2

    @property
    def ring(self) -> tuple[Place, ...]:
        return (
            (self.left, self.bottom),
            (self.right, self.bottom),
            (self.right, self.top),
            (self.left, self.top),
        )

    def edge(self, name: EdgeName) -> float:
        """Where an edge lies: x of an upright one, y of a level one."""
        at: float = getattr(self, name)
        return at

    def side(self, name: EdgeName) -> tuple[Place, Place]:
        """An edge by its ends, from its lower or left one."""
        at = self.edge(name)
        if is_upright(name):
            return (at, self.bottom), (at, self.top)
        return (self.left, at), (self.right, at)

    def corner(self, name: CornerName) -> Place:
        x = self.left if is_left(name) else self.right
        return x, self.bottom if is_low(name) else self.top

    def grown(self, by: float) -> Rect:
        return Rect(self.left - by, self.bottom - by, self.right + by, self.top + by)

    def moved(self, dx: float, dy: float) -> Rect:
        return Rect(self.left + dx, self.bottom + dy, self.right + dx, self.top + dy)

    def meets(self, other: Rect) -> bool:
        """Whether the insides overlap."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.bottom < other.top
            and other.bottom < self.top
        )

    def contains(self, other: Rect, slack: float = 0.0) -> bool:
        return (
            self.left - slack <= other.left
            and other.right <= self.right + slack
            and self.bottom - slack <= other.bottom
            and other.top <= self.top + slack
        )

    def holds(self, place: Place) -> bool:
        return self.left <= place[0] <= self.right and self.bottom <= place[1] <= self.top

    def common(self, other: Rect) -> Rect | None:
        """The part both share, or None."""
        if not self.meets(other):
            return None
        return Rect(
            max(self.left, other.left),
            max(self.bottom, other.bottom),
            min(self.right, other.right),
            min(self.top, other.top),
        )


def bounding(places: Iterable[Place]) -> Rect:
    xs, ys = zip(*places, strict=True)
    return Rect(min(xs), min(ys), max(xs), max(ys))


def around(rects: Iterable[Rect]) -> Rect:
    """The smallest rectangle round them all."""
    lefts, bottoms, rights, tops = zip(*rects, strict=True)
    return Rect(min(lefts), min(bottoms), max(rights), max(tops))


def turned_rect(rect: Rect, degrees: int, x: float, y: float) -> Rect:
    """The rectangle turned by a quarter turn (0, 90, 180, 270) about the origin, then moved."""
    for _ in range(degrees // 90):
        rect = Rect(-rect.top, rect.left, -rect.bottom, rect.right)
    return rect.moved(x, y)


@dataclass(frozen=True)
class ToPaper:
    """From model mm to paper mm: ``paper = scale · (mirror · model) + shift``, then turned."""

    scale: float
    shift_x: float
    shift_y: float
    mirrored: bool = False
    tilt: float = 0.0

    def __call__(self, x: float, y: float) -> Place:
        u = (-x if self.mirrored else x) * self.scale
        v = y * self.scale
        if self.tilt:
            cosine, sine = math.cos(self.tilt), math.sin(self.tilt)
            u, v = cosine * u - sine * v, sine * u + cosine * v
        return u + self.shift_x, v + self.shift_y

    def ring(self, places: Iterable[Place]) -> tuple[Place, ...]:
        return tuple(self(x, y) for x, y in places)

    def rect(self, rect: Rect) -> Rect:
        return bounding(self.ring(rect.ring))

    def shape(self, shape: BaseGeometry) -> BaseGeometry:
        """A shape of the model on paper."""
        return transform(shape, lambda places: np.stack(self(*places.T), axis=-1))


def fitted(model: Rect, into: Rect, largest_scale: float, mirrored: bool = False) -> ToPaper:
    """The mapping that shows ``model`` as large as it fits, centred in ``into``."""
    scale = min(into.width / model.width, into.height / model.height, largest_scale)
    middle_x, middle_y = model.centre
    if mirrored:
        middle_x = -middle_x
    target_x, target_y = into.centre
    return ToPaper(scale, target_x - scale * middle_x, target_y - scale * middle_y, mirrored)


def part_way(start: Place, end: Place, share: float) -> Place:
    """The place at a share of the way from one to another."""
    return start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1])


def clipped_rings(ring: Sequence[Place], window: Rect) -> list[tuple[Place, ...]]:
    """The parts of a closed ring's inside that lie in a rectangle."""
    found = shapely.clip_by_rect(Polygon(ring), *window)
    parts = [part for part in getattr(found, "geoms", [found]) if isinstance(part, Polygon)]
    return [tuple(part.exterior.coords[:-1]) for part in parts if part.area > 0]


def clipped_run(run: Sequence[Place], window: Rect) -> list[tuple[Place, ...]]:
    """The pieces of an open run of line that lie inside a rectangle, or along its rim."""
    # What touches the rim is cut there, and joined again.
    found = shapely.line_merge(LineString(run).intersection(shapely.box(*window)), directed=True)
    parts = [part for part in getattr(found, "geoms", [found]) if isinstance(part, LineString)]
    return [tuple(part.coords) for part in parts if part.length > 0]


def segment_meets(start: Place, end: Place, rect: Rect) -> bool:
    """Whether a segment passes through the inside of a rectangle (touching does not count)."""
    (x0, y0), (x1, y1), (left, bottom, right, top) = start, end, rect
    if max(x0, x1) <= left or min(x0, x1) >= right or max(y0, y1) <= bottom or min(y0, y1) >= top:
        return False
    # The corner that is nearest to the line lies on the other side of it than the middle.
    dx, dy, (x, y) = x1 - x0, y1 - y0, rect.centre
    reach = (abs(dy) * (right - left) + abs(dx) * (top - bottom)) / 2
    return abs(dx * (y - y0) - dy * (x - x0)) < reach or start == end


def segments_cross(a: Place, b: Place, c: Place, d: Place) -> bool:
    """Whether two segments cross at inner places of both."""
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = a, b, c, d
    # On which side of the first the ends of the second lie, and the other way round.
    ux, uy = bx - ax, by - ay
    if (ux * (cy - ay) - uy * (cx - ax)) * (ux * (dy - ay) - uy * (dx - ax)) >= -1e-9:
        return False
    vx, vy = dx - cx, dy - cy
    return (vx * (ay - cy) - vy * (ax - cx)) * (vx * (by - cy) - vy * (bx - cx)) < -1e-9


def segments_apart(a: Place, b: Place, c: Place, d: Place) -> float:
    """The least distance between two segments; 0 where they cross."""
    if segments_cross(a, b, c, d):
        return 0.0
    return min(
        distance_to_segment(a, c, d),
        distance_to_segment(b, c, d),
        distance_to_segment(c, a, b),
        distance_to_segment(d, a, b),
    )


def distance_to_segment(place: Place, start: Place, end: Place) -> float:
    """How far a place is from the nearest place of a segment."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    square = dx * dx + dy * dy
    share = 0.0
    if square:
        share = ((place[0] - start[0]) * dx + (place[1] - start[1]) * dy) / square
    share = min(max(share, 0.0), 1.0)
    return math.dist(place, (start[0] + share * dx, start[1] + share * dy))


def ring_holds(ring: Sequence[Place], place: Place) -> bool:
    """Whether a place lies inside a closed ring (even-odd)."""
    return sum(at > place[0] for at in crossings([ring], 1, place[1])) % 2 == 1


def crossings(rings: Iterable[Sequence[Place]], axis: int, at: float) -> list[float]:
    """Where closed rings cross the line on which the coordinate ``axis`` is ``at``, rising."""
    found = []
    for ring in rings:
        for index, end in enumerate(ring):
            start = ring[index - 1]
            if (start[axis] > at) != (end[axis] > at):
                share = (at - start[axis]) / (end[axis] - start[axis])
                found.append(start[1 - axis] + share * (end[1 - axis] - start[1 - axis]))
    return sorted(found)


def circle_ring(centre: Place, radius: float, steps: int) -> tuple[Place, ...]:
    """A circle in so many chords, from its right end counter-clockwise."""
    angles = (math.tau * step / steps for step in range(steps))
    return tuple(
        (centre[0] + radius * math.cos(a), centre[1] + radius * math.sin(a)) for a in angles
    )

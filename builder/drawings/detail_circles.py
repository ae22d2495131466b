"""Small parts shown once more, larger, in a circle beside the picture.

In: what shows of the work on the plane of projection, and the circle that a part moves in.  Out:
where the large circle stands, what of the work lies in the small one, and both circles' ink.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise

from builder.drawings.canvas import Canvas
from builder.drawings.plane import Mapping, Place, Rect, around, bounding, ring_holds
from builder.drawings.raised_view import RaisedFace, Strip
from builder.drawings.styles import Fill, Line

Ring = tuple[Place, ...]

#: How many times as large a part is shown.
TIMES = 2
#: Places round a circle, steps across the places where the large one may stand, and places along
#: its radius at which it is looked at what it covers.
_ROUND, _STEPS, _FINE = 60, 14, 4
#: White between two circles, as a share of the small one's radius.
_APART = 0.1
#: What it costs to cover the work all over, or to strike one place that has to stay clear; making
#: the picture twice as wide or high costs 1.
_COVERING, _STRIKING = 0.6, 0.1


@dataclass(frozen=True)
class Circle:
    centre: Place
    radius: float

    @property
    def box(self) -> Rect:
        (x, y), r = self.centre, self.radius
        return Rect(x - r, y - r, x + r, y + r)

    @cached_property
    def ring(self) -> Ring:
        """Counter-clockwise."""
        (x, y), r = self.centre, self.radius
        angles = (math.tau * step / _ROUND for step in range(_ROUND))
        return tuple((x + r * math.cos(a), y + r * math.sin(a)) for a in angles)

    def holds(self, place: Place) -> bool:
        return math.dist(place, self.centre) <= self.radius


def circle_round(places: Sequence[Place], beyond: float) -> Circle:
    """A circle about the middle of some places, by a share ``beyond`` them."""
    centre = bounding(places).centre
    return Circle(centre, (1 + beyond) * max(math.dist(place, centre) for place in places))


def placed_beside(
    small: Circle, work: Sequence[Ring], busy: Sequence[Ring], others: Sequence[Circle]
) -> Circle:
    """Where the large circle adds least to the picture and covers least of the work; off the
    small one and the ``others``, and off what lies along the ``busy`` runs."""
    extent = around([bounding(ring) for ring in (*work, *busy)])
    radius = TIMES * small.radius
    marks = [place for run in busy for place in _along(run, radius / 4)]
    covered = _covered(work, radius / _FINE)
    whole = math.pi * _FINE * _FINE

    def cost(circle: Circle) -> float:
        shown = around([extent, circle.box])
        grown = shown.width / extent.width + shown.height / extent.height - 2
        near = sum(
            math.dist(circle.centre, other.centre) < radius + other.radius + _APART * small.radius
            for other in (small, *others)
        )
        struck = sum(circle.holds(mark) for mark in marks)
        over = sum(circle.holds(place) for place in covered) / whole
        return grown + _COVERING * over + 10.0 * near + _STRIKING * struck

    return min((Circle(centre, radius) for centre in _centres(extent, radius)), key=cost)


def _centres(extent: Rect, radius: float) -> Iterator[Place]:
    room = extent.grown(radius)
    shares = [step / _STEPS for step in range(_STEPS + 1)]
    for u in shares:
        for v in shares:
            yield room.left + u * room.width, room.bottom + v * room.height


def _covered(work: Sequence[Ring], step: float) -> list[Place]:
    """The places of a square grid that lie on the work."""
    boxes = [(bounding(ring), ring) for ring in work]
    room = around([box for box, _ in boxes])
    found = []
    for row in range(int(room.height / step) + 1):
        for column in range(int(room.width / step) + 1):
            place = room.left + (column + 0.5) * step, room.bottom + (row + 0.5) * step
            if any(box.holds(place) and ring_holds(ring, place) for box, ring in boxes):
                found.append(place)
    return found


def _along(run: Ring, step: float) -> Iterator[Place]:
    for a, b in pairwise(run):
        count = max(math.ceil(math.dist(a, b) / step), 1)
        for number in range(count + 1):
            share = number / count
            yield a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])


def draw_detail(canvas: Canvas, mapping: Mapping, small: Circle, large: Circle) -> Mapping:
    """Both circles, joined by a line, the large one empty; returns what takes the work in the
    small one to the large one on paper."""
    (a, b), (c, d) = small.centre, large.centre
    away = math.dist(small.centre, large.centre)
    if away > small.radius + large.radius:
        ux, uy = (c - a) / away, (d - b) / away
        start = a + ux * small.radius, b + uy * small.radius
        end = c - ux * large.radius, d - uy * large.radius
        canvas.strokes([mapping.ring((start, end))], Line.DIMENSION, "detail", is_obstacle=False)
    canvas.outline(mapping.ring(small.ring), Line.DIMENSION, "detail", is_obstacle=False)
    canvas.area([mapping.ring(large.ring)], Fill.PAPER)
    scale, (x, y) = TIMES * mapping.scale, mapping(c, d)
    return Mapping(scale, x - scale * a, y - scale * b)


def faces_within(faces: Sequence[RaisedFace], circle: Circle) -> tuple[RaisedFace, ...]:
    """What of the faces lies in a circle."""
    return tuple(kept for face in faces if (kept := _face_within(face, circle)) is not None)


def _face_within(face: RaisedFace, circle: Circle) -> RaisedFace | None:
    if not face.extent.meets(circle.box):
        return None
    rings = [ring_within(ring, circle.ring) for ring in face.rings]
    if len(rings[0]) < 3:
        return None
    edges = (part for run in face.edges for part in runs_within(run, circle))
    folds = ((line, part) for line, run in face.folds for part in runs_within(run, circle))
    kept = tuple(ring for ring in rings if len(ring) > 2)
    return replace(face, rings=kept, edges=tuple(edges), folds=tuple(folds))


def strips_within(
    strips: Sequence[Strip], faces: Sequence[RaisedFace], circle: Circle
) -> tuple[Strip, ...]:
    """What of the strips among the faces lies in a circle."""
    if not strips:
        return ()
    is_kept = [_face_within(face, circle) is not None for face in faces]
    found = []
    for strip in strips:
        rings = tuple(ring_within(ring, circle.ring) for ring in strip.rings)
        if len(rings[0]) > 2:
            kept = tuple(ring for ring in rings if len(ring) > 2)
            found.append(replace(strip, after=sum(is_kept[: strip.after]), rings=kept))
    return tuple(found)


def ring_within(ring: Ring, window: Ring) -> Ring:
    """The part of a closed ring in a convex one that runs counter-clockwise (Sutherland and
    Hodgman); may be empty."""
    for start, end in pairwise((*window, window[0])):
        if not ring:
            break
        inside = [_left_of(start, end, place) for place in ring]
        kept: list[Place] = []
        for index, (here, now) in enumerate(zip(ring, inside, strict=True)):
            before, was = ring[index - 1], inside[index - 1]
            if (now >= 0) != (was >= 0):
                share = was / (was - now)
                dx, dy = here[0] - before[0], here[1] - before[1]
                kept.append((before[0] + share * dx, before[1] + share * dy))
            if now >= 0:
                kept.append(here)
        ring = tuple(kept)
    return ring


def _left_of(start: Place, end: Place, place: Place) -> float:
    """Positive where a place lies on the left of a line, negative on its right."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    return dx * (place[1] - start[1]) - dy * (place[0] - start[0])


def runs_within(run: Ring, circle: Circle) -> list[Ring]:
    """The pieces of an open run of line in a circle."""
    pieces: list[list[Place]] = []
    for start, end in pairwise(run):
        part = _chord(start, end, circle)
        if part is None:
            continue
        if pieces and math.dist(pieces[-1][-1], part[0]) < 1e-9:
            pieces[-1].append(part[1])
        else:
            pieces.append(list(part))
    return [tuple(piece) for piece in pieces]


def _chord(start: Place, end: Place, circle: Circle) -> tuple[Place, Place] | None:
    """The part of a segment in a circle, where |start + share · way − centre| = radius."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    ex, ey = start[0] - circle.centre[0], start[1] - circle.centre[1]
    square, half = dx * dx + dy * dy, ex * dx + ey * dy
    under = half * half - square * (ex * ex + ey * ey - circle.radius**2)
    if square == 0 or under <= 0:
        return None
    low = max((-half - math.sqrt(under)) / square, 0.0)
    high = min((-half + math.sqrt(under)) / square, 1.0)
    if low >= high:
        return None
    return (
        (start[0] + low * dx, start[1] + low * dy),
        (start[0] + high * dx, start[1] + high * dy),
    )

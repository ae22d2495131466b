"""Small parts shown once more, larger, in a circle beside the picture.

In: what shows of the work on the plane of projection, and the circle that a part moves in.  Out:
where the large circle stands, what of the work lies in the small one, and both circles' ink.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from shapely import LineString, MultiLineString, Polygon
from shapely.ops import unary_union

from gatherfold.drawings.kernel.canvas import Canvas
from gatherfold.drawings.kernel.plane import Mapping, Place, Rect, around, bounding, circle_ring
from gatherfold.drawings.kernel.styles import Fill, Line
from gatherfold.drawings.views.raised_view import RaisedFace, Strip
from gatherfold.drawings.views.seen_pieces import rings_of, runs_of

Ring = tuple[Place, ...]

#: How many times as large a part is shown.
TIMES = 2
#: Places round a circle, and steps across the places where the large one may stand.
_ROUND, _STEPS = 60, 14
#: White between two circles, as a share of the small one's radius.
_APART = 0.1
#: What it costs to cover the work all over, or to lie as far as its radius over what has to stay
#: clear; making the picture twice as wide or high costs 1.
_COVERING, _STRIKING = 0.6, 0.4


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
        return circle_ring(self.centre, self.radius, _ROUND)

    @cached_property
    def disc(self) -> Polygon:
        return Polygon(self.ring)

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
    lying = unary_union([Polygon(ring) for ring in work])
    lines = MultiLineString(busy)

    def adding(circle: Circle) -> float:
        shown = around([extent, circle.box])
        grown = shown.width / extent.width + shown.height / extent.height - 2
        near = sum(
            math.dist(circle.centre, other.centre) < radius + other.radius + _APART * small.radius
            for other in (small, *others)
        )
        return grown + 10.0 * near

    best, least = small, math.inf
    for added, centre in sorted(
        (adding(Circle(at, radius)), at) for at in _centres(extent, radius)
    ):
        if added >= least:
            break
        circle = Circle(centre, radius)
        over: float = lying.intersection(circle.disc).area / circle.disc.area
        struck: float = lines.intersection(circle.disc).length / radius
        cost = added + _COVERING * over + _STRIKING * struck
        if cost < least:
            best, least = circle, cost
    return best


def _centres(extent: Rect, radius: float) -> Iterator[Place]:
    room = extent.grown(radius)
    shares = [step / _STEPS for step in range(_STEPS + 1)]
    for u in shares:
        for v in shares:
            yield room.left + u * room.width, room.bottom + v * room.height


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
    rings = _rings_within(face.rings, circle)
    if not rings:
        return None
    edges = (part for run in face.edges for part in runs_in_circle(run, circle))
    folds = ((line, part) for line, run in face.folds for part in runs_in_circle(run, circle))
    return replace(face, rings=rings, edges=tuple(edges), folds=tuple(folds))


def strips_within(
    strips: Sequence[Strip], faces: Sequence[RaisedFace], circle: Circle
) -> tuple[Strip, ...]:
    """What of the strips among the faces lies in a circle."""
    if not strips:
        return ()
    is_kept = [_face_within(face, circle) is not None for face in faces]
    found = [(strip, _rings_within(strip.rings, circle)) for strip in strips]
    return tuple(
        replace(strip, after=sum(is_kept[: strip.after]), rings=rings)
        for strip, rings in found
        if rings
    )


def _rings_within(rings: Sequence[Ring], circle: Circle) -> tuple[Ring, ...]:
    """What of an outline and its openings lies in a circle; nothing where the outline does not."""
    outer, *openings = rings
    return tuple(rings_of(Polygon(outer, openings).intersection(circle.disc)))


def runs_in_circle(run: Ring, circle: Circle) -> list[Ring]:
    """The pieces of an open run of line in a circle."""
    return runs_of(LineString(run).intersection(circle.disc))

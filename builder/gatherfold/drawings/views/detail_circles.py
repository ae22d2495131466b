"""Small parts shown once more, larger, in a circle beside the picture.

In: what shows of the work on the plane of projection, and the circle that a part moves in.  Out:
where the large circle stands, what of the work lies in the small one, and both circles' ink.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import product

from shapely import LineString, MultiLineString, Polygon
from shapely.ops import unary_union

from gatherfold.drawings.kernel.canvas import Canvas
from gatherfold.drawings.kernel.plane import (
    Place,
    Rect,
    ToPaper,
    around,
    bounding,
    circle_ring,
)
from gatherfold.drawings.kernel.styles import Fill, Line
from gatherfold.drawings.views.raised_view import LaidStrip, RaisedFace
from gatherfold.drawings.views.seen_pieces import rings_of, runs_of

Ring = tuple[Place, ...]

#: How many times as large a part is shown.
TIMES = 2
#: Places round a circle, and steps across the places where the large one may stand.
_ROUND, _STEPS = 60, 14
#: White between two circles, as a share of the small one's radius.
_APART = 0.1
#: What it costs to cover the work all over, to lie as far as its radius over what has to stay
#: clear, or to touch another circle; making the picture twice as wide or high costs 1.
_COVERING, _STRIKING, _NEAR = 1.5, 0.4, 10.0


@dataclass(frozen=True)
class DetailCircle:
    """A circle that a part is shown in, small or large."""

    centre: Place
    radius: float

    @property
    def box(self) -> Rect:
        """The square round it."""
        (x, y), r = self.centre, self.radius
        return Rect(x - r, y - r, x + r, y + r)

    @cached_property
    def ring(self) -> Ring:
        """Its rim, counter-clockwise."""
        return circle_ring(self.centre, self.radius, _ROUND)

    @cached_property
    def disc(self) -> Polygon:
        """What it holds."""
        return Polygon(self.ring)

    def runs(self, runs: Iterable[Ring]) -> tuple[Ring, ...]:
        """The stretches of open runs of line that lie in it."""
        return tuple(
            part for run in runs for part in runs_of(LineString(run).intersection(self.disc))
        )

    def face(self, face: RaisedFace) -> RaisedFace:
        """What of a face lies in it; without rings where nothing does."""
        folds = ((line, part) for line, run in face.folds for part in self.runs([run]))
        rings = tuple(rings_of(face.shape.intersection(self.disc)))
        return replace(face, rings=rings, edges=self.runs(face.edges), folds=tuple(folds))

    def strip(self, strip: LaidStrip) -> LaidStrip:
        """What of a strip lies in it."""
        outer, *openings = strip.rings
        return replace(
            strip, rings=tuple(rings_of(Polygon(outer, openings).intersection(self.disc)))
        )


def circle_round(places: Sequence[Place], beyond: float) -> DetailCircle:
    """A circle about the middle of some places, by a share ``beyond`` them."""
    centre = bounding(places).centre
    return DetailCircle(centre, (1 + beyond) * max(math.dist(place, centre) for place in places))


def placed_beside(
    small: DetailCircle, work: Sequence[Ring], busy: Sequence[Ring], others: Sequence[DetailCircle]
) -> DetailCircle:
    """Where the large circle adds least to the picture and covers least of the work; off the
    small one and the ``others``, and off what lies along the ``busy`` runs."""
    extent = around([bounding(ring) for ring in (*work, *busy)])
    radius, apart = TIMES * small.radius, (TIMES + _APART) * small.radius
    lying = unary_union([Polygon(ring) for ring in work])
    lines = MultiLineString(busy)

    def known(centre: Place) -> float:
        shown = around([extent, DetailCircle(centre, radius).box])
        near = sum(math.dist(centre, at.centre) < apart + at.radius for at in (small, *others))
        return shown.width / extent.width + shown.height / extent.height - 2 + _NEAR * near

    room, steps = extent.grown(radius), range(_STEPS + 1)
    xs, ys = (
        [low + step / _STEPS * (high - low) for step in steps]
        for low, high in ((room.left, room.right), (room.bottom, room.top))
    )
    least, best = math.inf, small.centre
    for cost, centre in sorted((known(each), each) for each in product(xs, ys)):
        # What it would cover is asked only of a circle that can still be the best.
        if cost < least:
            disc = DetailCircle(centre, radius).disc
            cost += _COVERING * lying.intersection(disc).area / disc.area
            cost += _STRIKING * lines.intersection(disc).length / radius
            least, best = min((least, best), (cost, centre))
    return DetailCircle(best, radius)


def draw_detail(
    canvas: Canvas, mapping: ToPaper, small: DetailCircle, large: DetailCircle
) -> ToPaper:
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
    return ToPaper(scale, x - scale * a, y - scale * b)

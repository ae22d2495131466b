"""What is hidden: edges under what lies flat, and lines that run through space beside folded work.

In: a ring and what lies over it; or the faces of an oblique picture and lines in space (mm).  Out:
the stretches of the ring that are covered; for a place how many faces lie before it or behind it,
and of a line the stretches on paper that no face lies before.
"""

import math
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

from shapely import LineString, union_all
from shapely.geometry.base import BaseGeometry

from gatherfold.drawings.kernel.axonometric import Point, Projection
from gatherfold.drawings.kernel.plane import Place, bounding
from gatherfold.drawings.views.raised_view import OVERLAY_GRID, RaisedFace
from gatherfold.drawings.views.seen_pieces import Ring, runs_of
from gatherfold.work import FaceKey

#: An edge this near to that of its cover, in model mm, is drawn with it and not dashed.
COINCIDENT = 0.2


def covered_runs(
    ring: Sequence[Place],
    covers: Iterable[BaseGeometry],
    within: float = COINCIDENT,
    shortest: float = 0.0,
) -> list[Ring]:
    """The stretches of a closed ring, longer than the ``shortest``, that lie further ``within`` a
    cover than an edge that coincides with its own."""
    under = union_all(list(covers)).buffer(-within)
    sides = [LineString(ends) for ends in zip(ring, (*ring[1:], ring[0]), strict=True)]
    runs = [run for side in sides for run in runs_of(side.intersection(under))]
    return [run for run in runs if LineString(run).length > shortest]


#: A face so little before a place, in mm along an axis, lies in one plane with it.
_LEVEL = 0.01
#: Stretches that come so near to one another are one, in mm.
_JOINED = 1e-6


@dataclass(frozen=True)
class Sight:
    """A picture's faces, seen along one direction."""

    faces: tuple[RaisedFace, ...]
    projection: Projection

    @cached_property
    def _planes(self) -> tuple[tuple[RaisedFace, int, float], ...]:
        """Each face, the axis that it stands across, and where on it."""
        return tuple((f, f.axis, float(f.pose.shift[f.axis])) for f in self.faces)

    def is_hidden(self, place: Point) -> bool:
        """Whether a face lies before this place; one in the same plane does not."""
        return self.first_before([place]) < len(self.faces)

    def first_before(self, places: Sequence[Point]) -> int:
        """The number of the first face that lies before one of these places; that of all faces if
        none does."""
        spots = [(place, self.projection(place)) for place in places]
        for number, (face, axis, plane) in enumerate(self._planes):
            for place, spot in spots:
                if face.holds(spot) and self._before(place, axis, plane) > 0:
                    return number
        return len(self.faces)

    def is_over(self, place: Point, keys: Collection[FaceKey] | None = None) -> bool:
        """Whether the place is seen with a face behind it, one of ``keys`` if they are given."""
        spot = self.projection(place)
        return any(face.holds(spot) for face in self.faces if keys is None or face.key in keys)

    def seen_runs(self, line: Sequence[Point]) -> tuple[Ring, ...]:
        """The stretches of a line that nothing hides, on paper."""
        runs: list[list[Place]] = []
        for start, end in pairwise(line):
            for run in self._seen_of(start, end):
                if runs and math.dist(runs[-1][-1], run[0]) < _JOINED:
                    runs[-1] += run[1:]
                else:
                    runs.append([*run])
        return tuple(tuple(run) for run in runs)

    def _seen_of(self, start: Point, end: Point) -> Iterator[Ring]:
        """Where a straight line is seen, part by part: within one the same faces lie before it."""
        box = bounding([self.projection(start), self.projection(end)]).grown(_JOINED)
        near = [each for each in self._planes if each[0].extent.meets(box)]
        turnings = {0.0, 1.0}
        for _, axis, plane in near:
            before, after = (self._before(at, axis, plane) for at in (start, end))
            if (before > 0) != (after > 0):
                turnings.add(before / (before - after))
        for low, high in pairwise(sorted(turnings)):
            middle = _between(start, end, (low + high) / 2)
            over = [f.shape for f, axis, plane in near if self._before(middle, axis, plane) > 0]
            part = [self.projection(_between(start, end, share)) for share in (low, high)]
            nearer = union_all(over, grid_size=OVERLAY_GRID)
            yield from runs_of(LineString(part).difference(nearer, grid_size=OVERLAY_GRID))

    def _before(self, place: Point, axis: int, plane: float) -> float:
        """How far before a place a plane lies, beyond what lies level with it."""
        return (plane - place[axis]) / self.projection.viewer[axis] - _LEVEL


def _between(start: Point, end: Point, share: float) -> Point:
    x, y, z = (a + share * (b - a) for a, b in zip(start, end, strict=True))
    return x, y, z

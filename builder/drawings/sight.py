"""What can be seen, among folded work, of lines that run through space beside it.

In: the faces of an oblique picture and lines in space (mm).  Out: for a place how many lie before
it or behind it; of a line the stretches on paper that no face lies before.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

from builder.drawings.axonometric import Point, Projection
from builder.drawings.plane import Place
from builder.drawings.raised_view import RaisedFace
from builder.work import FaceKey

Ring = tuple[Place, ...]

#: A face so little before a place, in mm along an axis, lies in one plane with it.
_LEVEL = 0.01
#: A line is looked at in steps of about so many mm, and in no more of them than this.
_STEP, _MOST_STEPS = 4.0, 24
_HALVINGS = 8
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
        return tuple((f, f.axis, float(f.placed.pose.shift[f.axis])) for f in self.faces)

    def is_hidden(self, place: Point) -> bool:
        """Whether a face lies before this place; one in the same plane does not."""
        return self.first_before([place]) < len(self.faces)

    def first_before(self, places: Sequence[Point]) -> int:
        """The number of the first face that lies before one of these places; that of all faces if
        none does."""
        viewer = self.projection.viewer
        spots = [(place, self.projection(place)) for place in places]
        for number, (face, axis, plane) in enumerate(self._planes):
            for place, spot in spots:
                if face.holds(spot) and (plane - place[axis]) / viewer[axis] > _LEVEL:
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
            for shares in self._seen_shares(start, end):
                first, last = (self.projection(_between(start, end, at)) for at in shares)
                if runs and math.dist(runs[-1][-1], first) < _JOINED:
                    runs[-1].append(last)
                else:
                    runs.append([first, last])
        return tuple(tuple(run) for run in runs)

    def _seen_shares(self, start: Point, end: Point) -> list[tuple[float, float]]:
        """Where a straight line is seen, from share to share of it."""
        steps = min(max(math.ceil(math.dist(start, end) / _STEP), 1), _MOST_STEPS)

        def is_seen(share: float) -> bool:
            return not self.is_hidden(_between(start, end, share))

        return stretches(is_seen, steps, _HALVINGS)


def _between(start: Point, end: Point, share: float) -> Point:
    x, y, z = (a + share * (b - a) for a, b in zip(start, end, strict=True))
    return x, y, z


def stretches(
    holds: Callable[[float], bool], steps: int, halvings: int
) -> list[tuple[float, float]]:
    """Where along a line something holds, which can only be asked of places, from share to share:
    found in so many steps, their ends closer by halving.  The ends of the line are not asked about,
    for they may lie on the edge of what decides it."""
    shares = [(step + 0.5) / steps for step in range(steps)]
    states = [holds(share) for share in shares]
    ends = [0.0] if states[0] else []
    for (low, was), (high, now) in pairwise(zip(shares, states, strict=True)):
        if was != now:
            ends.append(_turning(holds, low, high, halvings))
    ends += [1.0] if states[-1] else []
    return list(zip(ends[::2], ends[1::2], strict=True))


def _turning(holds: Callable[[float], bool], low: float, high: float, halvings: int) -> float:
    """Where between two shares the answer changes."""
    first = holds(low)
    for _ in range(halvings):
        middle = (low + high) / 2
        low, high = (middle, high) if holds(middle) == first else (low, middle)
    return (low + high) / 2

"""Axonometric projections: how a place in space comes to lie on paper.

In: places in the design's space (x right, y up the page, z towards the reader of the front), in
mm.  Out: places on the plane of projection, in the same measure.  The work is shown as it lies on
a table, its front up: x runs to the right, y away from the reader, z upward.

After ISO 5456-3 (axonometric representations), from memory, not checked against its text: in the
isometric projection the three axes come out equally long and 120 degrees apart.  Lengths along the
axes are drawn at their full measure, as that standard does, so an isometric drawing is 1.22 times
as large as an orthographic view would be.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from gatherfold.drawings.kernel.plane import Place

Point = tuple[float, float, float]


@dataclass(frozen=True)
class Projection:
    """Where one millimetre along each axis goes on paper."""

    x: Place
    y: Place
    z: Place

    def __call__(self, place: Iterable[float]) -> Place:
        a, b, c = (float(length) for length in place)
        return (
            a * self.x[0] + b * self.y[0] + c * self.z[0],
            a * self.x[1] + b * self.y[1] + c * self.z[1],
        )

    @cached_property
    def viewer(self) -> Point:
        """The direction towards the viewer: along it, places come out on one spot."""
        (a, d), (b, e), (c, f) = self.x, self.y, self.z
        across, away, upward = b * f - c * e, c * d - a * f, a * e - b * d
        sign = 1.0 if upward > 0 else -1.0
        return sign * across, sign * away, sign * upward


def _at(degrees: float, length: float = 1.0) -> Place:
    angle = math.radians(degrees)
    return length * math.cos(angle), length * math.sin(angle)


ISOMETRIC = Projection(_at(-30), _at(30), _at(90))
#: Straight from above, as finished work lies on the table.
PLAN = Projection((1.0, 0.0), (0.0, 1.0), (0.0, 0.0))

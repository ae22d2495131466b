"""Faces of pieces as flat plates in space.

In: the rings of a face in its own plane and its pose.  Out: the plate, with its region in the plane
of the two axes that it lies along.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from builder.work.regions import Bounds, Region, Ring
from builder.work.space import ACROSS, AXES, Exact, Rigid, Sense, SpaceAxis


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

    @cached_property
    def region(self) -> Region:
        """Its region in space."""
        return Region(tuple(self.ring(ring) for ring in self.own.rings))

    @property
    def bounds(self) -> Bounds:
        """The smallest upright rectangle round its region in space."""
        return self.region.bounds

    def extent(self, axis: SpaceAxis) -> tuple[Exact, Exact]:
        """Its low and high end along one of the axes that it lies along, or its plane twice."""
        if axis == self.axis:
            return self.plane, self.plane
        if axis == ACROSS[self.axis][0]:
            return self.bounds.low0, self.bounds.high0
        return self.bounds.low1, self.bounds.high1

    def moved(self, motion: Rigid) -> Plate:
        """The plate after a motion."""
        return Plate(self.key, self.own, motion.then(self.pose))

    def shares_plane(self, other: Plate) -> bool:
        """Whether both lie in one plane."""
        return self.axis == other.axis and self.plane == other.plane

    def lies_over(self, other: Plate) -> bool:
        """Whether both lie in one plane and share some of it."""
        return self.shares_plane(other) and self.region.overlaps(other.region)


def extent(plates: Iterable[Plate]) -> tuple[tuple[Exact, Exact], ...]:
    """From where to where plates reach along each axis, in units."""
    ends = [tuple(plate.extent(axis) for axis in AXES) for plate in plates]
    return tuple(
        (min(each[axis][0] for each in ends), max(each[axis][1] for each in ends)) for axis in AXES
    )

"""Exact rigid motions in space by quarter turns: where a flat face lies, and what moves it.

A pose maps a face's own coordinates (x right, y up, z towards the reader of its front) to space.
Rotations are multiples of 90 degrees, so lengths stay exact: fractions of a mm, or whole numbers of
a unit.  Axes are 0, 1 and 2: x, y and z.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, cached_property
from typing import Generic, Literal, TypeVar

#: A whole number of units, or a fraction where a slanted edge is cut.
Exact = int | Fraction
Length = TypeVar("Length", Fraction, Exact)
Vector = tuple[Fraction, Fraction, Fraction]
Rotation = tuple[tuple[int, int, int], tuple[int, int, int], tuple[int, int, int]]
#: 0, 1 or 2: x, y or z.
SpaceAxis = int
Sense = Literal[1, -1]

_COSINE = {0: 1, 90: 0, 180: -1, 270: 0}
_SINE = {0: 0, 90: 1, 180: 0, 270: -1}


@dataclass(frozen=True)
class RigidMotion(Generic[Length]):
    """A motion or a pose: ``place = rotation · own + shift``."""

    rotation: Rotation
    shift: tuple[Length, Length, Length]

    def apply(self, own: tuple[Length, Length, Length | int]) -> tuple[Length, Length, Length]:
        """Where a place goes."""
        (first, second, third), (x, y, z) = self.rotation, self.shift
        return _along(first, own) + x, _along(second, own) + y, _along(third, own) + z

    def then(self, inner: RigidMotion[Length]) -> RigidMotion[Length]:
        """This motion after ``inner``: the pose of something placed within this one."""
        return RigidMotion(_product(self.rotation, inner.rotation), self.apply(inner.shift))

    def undone(self) -> RigidMotion[Length]:
        """The motion back."""
        rotation: Rotation = tuple(zip(*self.rotation, strict=True))  # type: ignore[assignment]
        first, second, third = (-_along(row, self.shift) for row in rotation)
        return RigidMotion(rotation, (first, second, third))

    def direction(self, own: tuple[int, int, int]) -> tuple[int, int, int]:
        """A direction carried along."""
        x, y, z = own
        first, second, third = (a * x + b * y + c * z for a, b, c in self.rotation)
        return first, second, third

    @property
    def normal(self) -> tuple[int, int, int]:
        """The direction in space that the front of a face in this pose looks to."""
        return self.direction((0, 0, 1))

    @cached_property
    def axis(self) -> SpaceAxis:
        """The axis that the front looks along."""
        return next(k for k in (0, 1, 2) if self.rotation[k][2])

    @cached_property
    def facing(self) -> Sense:
        """Whether the front looks towards the positive end of that axis."""
        return 1 if self.rotation[self.axis][2] > 0 else -1


@cache
def _product(outer: Rotation, inner: Rotation) -> Rotation:
    """One turn after another; of quarter turns there are few."""
    columns = tuple(zip(*inner, strict=True))
    return tuple(tuple(a * x + b * y + c * z for x, y, z in columns) for a, b, c in outer)  # type: ignore[return-value]


def _along(row: Iterable[int], place: Iterable[Length]) -> Length:
    """A row or column of a rotation times a place.

    One entry of it is not 0, and that is 1 or −1: multiplying fractions would cost time.
    """
    (a, b, c), (x, y, z) = row, place
    length = x if a else y if b else z
    return length if a + b + c > 0 else -length


#: A pose in mm.
Pose = RigidMotion[Fraction]


_ZERO = Fraction(0)
IDENTITY = Pose(((1, 0, 0), (0, 1, 0), (0, 0, 1)), (_ZERO, _ZERO, _ZERO))


def shifted(x: Fraction, y: Fraction, z: Fraction = _ZERO) -> Pose:
    return Pose(IDENTITY.rotation, (x, y, z))


def turned(degrees: int) -> Pose:
    """A turn in the plane, counter-clockwise, about the origin."""
    cosine, sine = _COSINE[degrees % 360], _SINE[degrees % 360]
    return Pose(((cosine, -sine, 0), (sine, cosine, 0), (0, 0, 1)), IDENTITY.shift)


def flipped() -> Pose:
    """Turned over like a page, about the vertical axis."""
    return Pose(((-1, 0, 0), (0, 1, 0), (0, 0, -1)), IDENTITY.shift)

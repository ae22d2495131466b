"""Exact rigid motions in space: where a flat face lies after quarter turns.

A pose maps a face's own plane coordinates (x right, y up, z towards the reader of its front) to
the design's space, in mm.  Rotations are multiples of 90 degrees, so every entry stays rational.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

Vector = tuple[Fraction, Fraction, Fraction]
Rotation = tuple[tuple[int, int, int], tuple[int, int, int], tuple[int, int, int]]

_COSINE = {0: 1, 90: 0, 180: -1, 270: 0}
_SINE = {0: 0, 90: 1, 180: 0, 270: -1}


@dataclass(frozen=True)
class Pose:
    """``world = rotation · local + shift``."""

    rotation: Rotation
    shift: Vector

    def apply(self, x: Fraction, y: Fraction) -> Vector:
        """The place in space of the face's point (x, y)."""
        (a, b, _), (c, d, _), (e, f, _) = self.rotation
        first, second, third = self.shift
        return _moved(first, a, x, b, y), _moved(second, c, x, d, y), _moved(third, e, x, f, y)

    def then(self, inner: Pose) -> Pose:
        """This pose after ``inner``: the pose of something placed within this one."""
        rotation = _product(self.rotation, inner.rotation)
        first, second, third = (
            move + _along(row, inner.shift)
            for row, move in zip(self.rotation, self.shift, strict=True)
        )
        return Pose(rotation, (first, second, third))

    def undo(self, place: Vector) -> Vector:
        """The face's own coordinates of a place in space; z is the distance before its front."""
        x, y, z = place
        a, b, c = self.shift
        away = x - a, y - b, z - c
        first, second, third = (_along(column, away) for column in zip(*self.rotation, strict=True))
        return first, second, third

    @property
    def normal(self) -> tuple[int, int, int]:
        """The direction in space that the face's front looks to."""
        return self.rotation[0][2], self.rotation[1][2], self.rotation[2][2]


# Every row and column of a rotation holds one entry that is not 0, and that is 1 or −1: what it
# makes of a place is one of the place's lengths, and multiplying fractions would cost time.


def _moved(start: Fraction, a: int, x: Fraction, b: int, y: Fraction) -> Fraction:
    """``start + a · x + b · y``, where one of a and b is 0."""
    if a:
        return start + x if a == 1 else start - x
    if b:
        return start + y if b == 1 else start - y
    return start


def _along(row: tuple[int, ...], place: Vector) -> Fraction:
    """A row or column of a rotation times a place."""
    sign, length = next((s, each) for s, each in zip(row, place, strict=True) if s)
    return length if sign == 1 else -length


def _product(a: Rotation, b: Rotation) -> Rotation:
    return _row(a[0], b), _row(a[1], b), _row(a[2], b)


def _row(row: tuple[int, int, int], other: Rotation) -> tuple[int, int, int]:
    """A row of a rotation times another: one row of that, or its opposite."""
    sign, (x, y, z) = next((s, each) for s, each in zip(row, other, strict=True) if s)
    return (x, y, z) if sign == 1 else (-x, -y, -z)


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

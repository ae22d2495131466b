"""Exact rigid motions in space: where a flat face lies after folds of 0, 90 and 180 degrees.

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
        return (
            first + _times(a, x) + _times(b, y),
            second + _times(c, x) + _times(d, y),
            third + _times(e, x) + _times(f, y),
        )

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
        away = [place[k] - self.shift[k] for k in range(3)]
        first, second, third = (
            sum((Fraction(self.rotation[k][i]) * away[k] for k in range(3)), Fraction(0))
            for i in range(3)
        )
        return first, second, third

    @property
    def normal(self) -> tuple[int, int, int]:
        """The direction in space that the face's front looks to."""
        return self.rotation[0][2], self.rotation[1][2], self.rotation[2][2]

    @property
    def upward(self) -> tuple[int, int, int]:
        """The direction in space of the face's own up."""
        return self.rotation[0][1], self.rotation[1][1], self.rotation[2][1]


def _times(sign: int, length: Fraction) -> Fraction | int:
    """−1, 0 or 1 times a length, without the cost of multiplying fractions."""
    return length if sign == 1 else -length if sign else 0


def _along(row: tuple[int, int, int], place: Vector) -> Fraction | int:
    """A row of a rotation times a place: one of its lengths, since the others count nothing."""
    return next(_times(sign, length) for sign, length in zip(row, place, strict=True) if sign)


def _product(a: Rotation, b: Rotation) -> Rotation:
    rows = [tuple(sum(a[i][k] * b[k][j] for k in range(3)) for j in range(3)) for i in range(3)]
    return rows[0], rows[1], rows[2]  # type: ignore[return-value]


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


def folded(axis: str, at: Fraction, degrees: int, beyond: bool) -> Pose:
    """The motion of the part beyond a fold line.

    ``axis`` is ``vertical`` (the line x = at) or ``horizontal`` (y = at); ``beyond`` is True for
    the part on the right of or above the line.  Positive degrees fold towards the front.
    """
    angle = degrees % 360 if beyond else (-degrees) % 360
    cosine, sine = _COSINE[angle], _SINE[angle]
    if axis == "vertical":
        rotation: Rotation = ((cosine, 0, -sine), (0, 1, 0), (sine, 0, cosine))
        out, back = shifted(at, Fraction(0)), shifted(-at, Fraction(0))
    else:
        rotation = ((1, 0, 0), (0, cosine, -sine), (0, sine, cosine))
        out, back = shifted(Fraction(0), at), shifted(Fraction(0), -at)
    return out.then(Pose(rotation, IDENTITY.shift)).then(back)

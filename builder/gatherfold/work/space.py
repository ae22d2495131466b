"""Exact rigid motions of faces by quarter turns, on whole numbers.

In: lengths multiplied by one common denominator, so that they are whole numbers almost always.
Out: poses and motions that stay exact.  Axes are 0, 1 and 2 (x, y, z); of an axis the two others
are named in the cyclic order in which a positive turn about it goes from the first to the second.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from typing import Literal

from gatherfold.geometry import Pose, Rotation

#: A length in units of the common denominator: whole, or a fraction where a slanted edge is cut.
Exact = int | Fraction
Place = tuple[Exact, Exact, Exact]
Spot = tuple[Exact, Exact]
#: 0, 1 or 2: x, y or z.
SpaceAxis = int
Sense = Literal[1, -1]

AXES: tuple[SpaceAxis, ...] = (0, 1, 2)
#: The axes in the plane at right angles to each axis, in the order of a positive turn.
ACROSS: tuple[tuple[SpaceAxis, SpaceAxis], ...] = ((1, 2), (2, 0), (0, 1))

_NO_TURN: Rotation = ((1, 0, 0), (0, 1, 0), (0, 0, 1))


@dataclass(frozen=True)
class Rigid:
    """A motion or a pose: ``place = rotation · own + shift``."""

    rotation: Rotation
    shift: Place

    def apply(self, own: Place) -> Place:
        """Where a place goes."""
        x, y, z = own
        first, second, third = (
            a * x + b * y + c * z + s
            for (a, b, c), s in zip(self.rotation, self.shift, strict=True)
        )
        return first, second, third

    def then(self, inner: Rigid) -> Rigid:
        """This motion after ``inner``."""
        columns = tuple(zip(*inner.rotation, strict=True))
        rotation: Rotation = tuple(
            tuple(a * x + b * y + c * z for x, y, z in columns) for a, b, c in self.rotation
        )  # type: ignore[assignment]
        return Rigid(rotation, self.apply(inner.shift))

    def undone(self) -> Rigid:
        """The motion back."""
        rotation: Rotation = tuple(zip(*self.rotation, strict=True))  # type: ignore[assignment]
        back = Rigid(rotation, (0, 0, 0)).apply(self.shift)
        return Rigid(rotation, (-back[0], -back[1], -back[2]))

    @cached_property
    def axis(self) -> SpaceAxis:
        """The axis that the front of a face in this pose looks along."""
        return next(k for k in AXES if self.rotation[k][2])

    @cached_property
    def facing(self) -> Sense:
        """Whether the front looks towards the positive end of that axis."""
        return 1 if self.rotation[self.axis][2] > 0 else -1

    def direction(self, own: tuple[int, int, int]) -> tuple[int, int, int]:
        """A direction carried along."""
        x, y, z = own
        first, second, third = (a * x + b * y + c * z for a, b, c in self.rotation)
        return first, second, third


AT_REST = Rigid(_NO_TURN, (0, 0, 0))
#: Turned over sideways, as the page of a book is.
TURNED_OVER = Rigid(((-1, 0, 0), (0, 1, 0), (0, 0, -1)), (0, 0, 0))


def shifted_by(way: Place) -> Rigid:
    """A straight motion."""
    return Rigid(_NO_TURN, way)


@dataclass(frozen=True)
class SpaceLine:
    """A line parallel to ``axis``; ``at`` is where it crosses the plane of the two other axes, in
    their cyclic order."""

    axis: SpaceAxis
    at: Spot


def quarter_turn(line: SpaceLine, sense: Sense) -> Rigid:
    """A quarter turn about a line, by the right-hand rule for ``sense`` 1."""
    first, second = ACROSS[line.axis]
    rows = [[0, 0, 0] for _ in AXES]
    rows[line.axis][line.axis] = 1
    rows[first][second] = -sense
    rows[second][first] = sense
    rotation: Rotation = tuple(tuple(row) for row in rows)  # type: ignore[assignment]
    at: list[Exact] = [0, 0, 0]
    at[first], at[second] = line.at
    moved = Rigid(rotation, (0, 0, 0)).apply((at[0], at[1], at[2]))
    return Rigid(rotation, (at[0] - moved[0], at[1] - moved[1], at[2] - moved[2]))


def as_rigid(pose: Pose, scale: int) -> Rigid:
    """A pose in mm in whole units."""
    x, y, z = (whole(part, scale) for part in pose.shift)
    return Rigid(pose.rotation, (x, y, z))


def as_pose(rigid: Rigid, scale: int) -> Pose:
    """A pose in mm again."""
    x, y, z = (Fraction(part) / scale for part in rigid.shift)
    return Pose(rigid.rotation, (x, y, z))


def along(axis: SpaceAxis, length: Exact) -> Place:
    """A way along an axis."""
    first, second, third = (length if k == axis else 0 for k in AXES)
    return first, second, third


def size(length: Exact) -> Exact:
    """A length without its sign."""
    return length if length >= 0 else -length


def whole(length: Fraction, scale: int) -> Exact:
    """A length in mm in units of the common denominator."""
    found = length * scale
    return found.numerator if found.denominator == 1 else found

"""Exact rigid motions of faces by quarter turns, on whole numbers.

In: lengths multiplied by one common denominator, so that they are whole numbers almost always.
Out: poses and motions that stay exact.  Axes are 0, 1 and 2 (x, y, z); of an axis the two others
are named in the cyclic order in which a positive turn about it goes from the first to the second.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from gatherfold.geometry import (
    Exact as Exact,
    Pose,
    RigidMotion,
    Rotation,
    Sense as Sense,
    SpaceAxis as SpaceAxis,
)

Place = tuple[Exact, Exact, Exact]
Spot = tuple[Exact, Exact]
#: A pose or a motion in units of the common denominator.
Rigid = RigidMotion[Exact]

AXES: tuple[SpaceAxis, ...] = (0, 1, 2)
#: The axes in the plane at right angles to each axis, in the order of a positive turn.
ACROSS: tuple[tuple[SpaceAxis, SpaceAxis], ...] = ((1, 2), (2, 0), (0, 1))

_NO_TURN: Rotation = ((1, 0, 0), (0, 1, 0), (0, 0, 1))


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

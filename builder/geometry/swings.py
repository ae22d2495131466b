"""The way a point takes when the part that it lies on folds.

In: where the point starts and ends, the line of the fold, how far it turns in all, and the side
that it turns towards.  Out: places along the arc, in floats, for drawing.
"""

from __future__ import annotations

import math

Point = tuple[float, float, float]

_STEPS = 24


def swing(start: Point, end: Point, along: Point, degrees: int, towards: Point) -> list[Point]:
    """An arc of ``degrees`` about an axis parallel to ``along``, from ``start`` to ``end``.

    It sets out to the side of ``towards``.  For a fold of several creases it is the arc that
    joins both ends, not the exact way.
    """
    length = math.hypot(*along)
    chord = _minus(end, start)
    middle = _plus(start, chord, 0.5)
    lift = 0.5 / math.tan(math.radians(degrees) / 2) if degrees < 180 else 0.0
    x, y, z = (part / length for part in along)
    axes = ((x, y, z), (-x, -y, -z))
    centre, radius, across = max(
        (_turn(start, _plus(middle, _cross(axis, chord), lift), axis) for axis in axes),
        # A quarter turn the other way round sets out at a right angle, which is not quite 0.
        key=lambda turn: _dot(turn[2], towards),
    )
    places = []
    for step in range(_STEPS + 1):
        angle = math.radians(degrees) * step / _STEPS
        place = _plus(centre, radius, math.cos(angle))
        places.append(_plus(place, across, math.sin(angle)))
    return places


def _turn(start: Point, centre: Point, axis: Point) -> tuple[Point, Point, Point]:
    """The centre of an arc, the way from there to its start, and the way that it sets out."""
    radius = _minus(start, centre)
    return centre, radius, _cross(axis, radius)


def _minus(a: Point, b: Point) -> Point:
    return a[0] - b[0], a[1] - b[1], a[2] - b[2]


def _plus(a: Point, b: Point, share: float) -> Point:
    return a[0] + share * b[0], a[1] + share * b[1], a[2] + share * b[2]


def _cross(a: Point, b: Point) -> Point:
    return a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]


def _dot(a: Point, b: Point) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]

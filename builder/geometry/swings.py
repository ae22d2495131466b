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
    for sign in (1.0, -1.0):
        axis = (along[0] * sign / length, along[1] * sign / length, along[2] * sign / length)
        centre = _plus(middle, _cross(axis, chord), lift)
        radius = _minus(start, centre)
        if _dot(_cross(axis, radius), towards) > 0:
            break
    across = _cross(axis, radius)
    places = []
    for step in range(_STEPS + 1):
        angle = math.radians(degrees) * step / _STEPS
        place = _plus(centre, radius, math.cos(angle))
        places.append(_plus(place, across, math.sin(angle)))
    return places


def _minus(a: Point, b: Point) -> Point:
    return a[0] - b[0], a[1] - b[1], a[2] - b[2]


def _plus(a: Point, b: Point, share: float) -> Point:
    return a[0] + share * b[0], a[1] + share * b[1], a[2] + share * b[2]


def _cross(a: Point, b: Point) -> Point:
    return a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]


def _dot(a: Point, b: Point) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]

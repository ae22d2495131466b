"""The way a point takes when the part that it lies on folds.

In: where the point starts and ends, the line of the fold, how far it turns in all, and the side
that it turns towards.  Out: places along the arc, in floats, for drawing.
"""

from __future__ import annotations

import math

import numpy as np

Point = tuple[float, float, float]

_STEPS = 24


def swing(start: Point, end: Point, along: Point, degrees: int, towards: Point) -> list[Point]:
    """An arc of ``degrees`` about an axis parallel to ``along``, from ``start`` to ``end``.

    It sets out to the side of ``towards``.  For a fold of several creases it is the arc that
    joins both ends, not the exact way.
    """
    first, chord = np.array(start), np.subtract(end, start)
    lift = 0.5 / math.tan(math.radians(degrees) / 2) if degrees < 180 else 0.0
    way = np.array(along) / np.linalg.norm(along)
    turns = []
    for axis in (way, -way):
        centre = first + chord / 2 + lift * np.cross(axis, chord)
        turns.append((centre, first - centre, np.cross(axis, first - centre)))
    # A quarter turn the other way round sets out at a right angle, which is not quite 0.
    centre, radius, across = max(turns, key=lambda turn: float(np.dot(turn[2], towards)))
    angles = np.radians(degrees) * np.arange(_STEPS + 1) / _STEPS
    places = centre + np.outer(np.cos(angles), radius) + np.outer(np.sin(angles), across)
    return [(x, y, z) for x, y, z in places.tolist()]

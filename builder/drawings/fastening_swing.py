"""The way of the far end of a part that turns on a fastening.

In: the part as it lies and the centre that it turns on.  Out: an arc in the work.
"""

from __future__ import annotations

import math

from builder.drawings.plane import Place
from builder.drawings.seen_pieces import SeenPiece

_WIDEST_SWING = 42.0
_SWING = math.radians(24)


def swing_of(top: SeenPiece, centre: Place) -> tuple[Place, ...]:
    """An arc round the centre across the far end of the piece that turns on it."""
    box, (x, y) = top.extent, centre
    ends = [
        (box.right - x, 0.0),
        (x - box.left, math.pi),
        (box.top - y, math.pi / 2),
        (y - box.bottom, -math.pi / 2),
    ]
    far, middle = max(ends, key=lambda end: end[0])
    radius = min(0.78 * far, _WIDEST_SWING)
    angles = [middle + _SWING * step / 10 for step in range(-10, 11)]
    return tuple((x + radius * math.cos(a), y + radius * math.sin(a)) for a in angles)

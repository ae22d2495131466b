"""How far a native edition departs from converting the designer's edition piece by piece.

In: the same design resolved in two editions.  Out: the piece that differs most, in mm.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from builder.resolve.resolved import ResolvedDesign


@dataclass(frozen=True)
class Departure:
    """``difference`` is the size in the edition less the size in the designer's own."""

    piece: str
    axis: str
    size: Fraction
    difference: Fraction


def largest_departure(own: ResolvedDesign, other: ResolvedDesign) -> Departure | None:
    """The largest difference of any piece's width or height; None when there are no pieces."""
    departures = [
        Departure(key, axis, getattr(piece, axis), getattr(piece, axis) - getattr(own_piece, axis))
        for key, piece in other.pieces.items()
        for own_piece in [own.pieces[key]]
        for axis in ("width", "height")
    ]
    return max(departures, key=lambda found: abs(found.difference), default=None)

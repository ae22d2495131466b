"""Where adhesive lies on a piece: bands along its glued edges, or all of the face it lies by.

A band is as wide as the widest tape of the supplies; areas to keep free of adhesive, and windows,
are left out.
"""

from __future__ import annotations

from fractions import Fraction

from builder.choices import GlueEdge
from builder.geometry.areas import difference
from builder.geometry.edges import EDGES_BY_AXIS
from builder.geometry.outline import Box, bounds
from builder.resolve.resolved import ResolvedDesign, ResolvedPiece


def tape_width(resolved: ResolvedDesign) -> Fraction:
    """The widest tape of the supplies; 0 where none has a width: then adhesive is a line."""
    return max((width for width, _ in resolved.supply_sizes.values()), default=Fraction(0))


def glue_bands(piece: ResolvedPiece, width: Fraction) -> dict[GlueEdge, tuple[Box, ...]]:
    """The adhesive along each glued edge of the piece, in its own coordinates.

    Adhesive on the whole face goes by the name ``all``.
    """
    box = piece.face(piece.by).box
    dry = (*piece.glue.keep_off, *(bounds(window) for window in piece.windows))
    if piece.glue.is_all_over:
        return {"all": difference(box, dry)}
    return {
        edge: difference(box.strip(edge, min(width, box.across(edge))), dry)
        for edge in EDGES_BY_AXIS
        if edge in piece.glue.edges
    }

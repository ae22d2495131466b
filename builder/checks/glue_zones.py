"""Where adhesive lies: bands along the glued edges of a piece, or all of the face it lies by.

A band is as wide as the widest tape of the supplies; areas to keep free of adhesive, and windows,
are left out.
A piece behind its host takes adhesive only where the host's face lies against it.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import assert_never

from builder.choices import GlueEdge, Relation
from builder.geometry.areas import Slab, common, difference, placed
from builder.geometry.edges import EDGES_BY_AXIS
from builder.geometry.outline import Box, bounds
from builder.resolve.resolved import PlacedFace, ResolvedDesign, ResolvedPiece


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


def glue_zone(
    resolved: ResolvedDesign, piece: ResolvedPiece, faces: Mapping[tuple[str, str], PlacedFace]
) -> tuple[Slab, ...]:
    """Where the adhesive of a piece lies in space, among the placed faces of one state."""
    own = faces.get((piece.key, piece.by))
    if own is None:
        return ()
    boxes = [box for band in glue_bands(piece, tape_width(resolved)).values() for box in band]
    if piece.source.placement is not None and _meets_only_host(piece.source.placement.relation):
        boxes = _against_host(resolved, piece, own, faces, boxes)
    return tuple(placed(own.pose, box) for box in boxes)


def _meets_only_host(relation: Relation) -> bool:
    """Whether a piece may reach beyond its host with its adhesive, where nothing lies against it:
    what is glued behind a frame does."""
    match relation:
        case "behind":
            return True
        case "on" | "on_back" | "inside":
            return False
        case _:
            assert_never(relation)


def _against_host(
    resolved: ResolvedDesign,
    piece: ResolvedPiece,
    own: PlacedFace,
    faces: Mapping[tuple[str, str], PlacedFace],
    boxes: list[Box],
) -> list[Box]:
    """The parts of the boxes, in the piece's coordinates, that the host's face lies against."""
    assert piece.source.placement is not None
    host = faces.get((piece.source.placement.host, piece.host_face))
    if host is None:
        return []
    contact = seen_by(own, host, resolved.pieces[host.piece].face(host.face).box)
    return [part for box in boxes if (part := common(box, contact)) is not None]


def seen_by(viewer: PlacedFace, other: PlacedFace, box: Box) -> Box:
    """A box on one face in the coordinates of another that lies parallel to it."""
    corners = [
        viewer.pose.undo(other.pose.apply(x, y))
        for x, y in ((box.left, box.bottom), (box.right, box.top))
    ]
    xs, ys = [corner[0] for corner in corners], [corner[1] for corner in corners]
    return Box(min(xs), min(ys), max(xs), max(ys))

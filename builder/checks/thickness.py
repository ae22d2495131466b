"""What lies between two parallel faces of a folded piece must fit into the gap they leave.

A spine, gusset or hinge with two folds holds its outer faces apart when it is closed.  The layers
that lie between them there, one upon the other, may not be thicker than that gap.  Calipers are
those of the stocks, indicative where the design does not give them; glue adds nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from builder.checks.report import found
from builder.findings import Finding, Severity
from builder.geometry.outline import Box
from builder.geometry.stacks import Layer, thickest
from builder.lengths import up_to_grid
from builder.resolve.resolved import PlacedFace, ResolvedDesign, ResolvedPiece


def check_thickness(resolved: ResolvedDesign) -> Iterator[Finding]:
    """One error for each folded piece whose closed gap is too small for what lies in it."""
    faces = resolved.states["closed"].faces
    for piece in resolved.pieces.values():
        pair = _facing_pair(piece, faces)
        if pair is None:
            continue
        lower, upper, gap = pair
        pile = thickest(layers_between(resolved, lower, upper))
        if pile is not None and pile.thickness > gap:
            yield _too_thick(resolved, piece, gap, pile.thickness)


def layers_between(resolved: ResolvedDesign, lower: PlacedFace, upper: PlacedFace) -> list[Layer]:
    """The layers whose plane and order lie between two placed faces, as boxes seen from front."""
    low, high = lower.pose.shift[2], upper.pose.shift[2]
    return [
        Layer(face.piece, placed_box(resolved, face), resolved.pieces[face.piece].stock.caliper)
        for face in resolved.states["closed"].faces
        if face.pose.normal[2] != 0
        and low <= face.pose.shift[2] <= high
        and (face.pose.shift[2] > low or face.order > lower.order)
        and (face.pose.shift[2] < high or face.order < upper.order)
    ]


def placed_box(resolved: ResolvedDesign, face: PlacedFace) -> Box:
    """The upright box that a placed face covers, seen from the front."""
    box = resolved.pieces[face.piece].face(face.face).box
    corners = [face.pose.apply(x, y) for x in (box.left, box.right) for y in (box.bottom, box.top)]
    xs, ys = [corner[0] for corner in corners], [corner[1] for corner in corners]
    return Box(min(xs), min(ys), max(xs), max(ys))


def _facing_pair(
    piece: ResolvedPiece, faces: tuple[PlacedFace, ...]
) -> tuple[PlacedFace, PlacedFace, Fraction] | None:
    """The piece's lowest and highest face in the plane of the page, and the gap between them."""
    flat = [face for face in faces if face.piece == piece.key and face.pose.normal[2] != 0]
    if len(flat) < 2:
        return None
    lower = min(flat, key=lambda face: (face.pose.shift[2], face.order))
    upper = max(flat, key=lambda face: (face.pose.shift[2], face.order))
    gap = upper.pose.shift[2] - lower.pose.shift[2]
    return (lower, upper, gap) if gap > 0 else None


def _too_thick(
    resolved: ResolvedDesign, piece: ResolvedPiece, gap: Fraction, thickness: Fraction
) -> Finding:
    units = resolved.edition.units
    wanted = up_to_grid(thickness, resolved.edition.grid)
    return found(
        resolved,
        Severity.ERROR,
        "gap-too-small",
        piece.source.position,
        f"closed, '{piece.key}' leaves a gap of {units.text(gap)}, and the layers in it come to "
        f"{_tenth(thickness)} mm",
        f"Make the gap at least {units.text(wanted)}, or take layers out.",
        gap=gap,
        wanted=wanted,
    )


def _tenth(thickness: Fraction) -> str:
    """Calipers are measured in millimetres whatever the edition; a tenth is what they are worth."""
    return f"{float(thickness):.1f}"

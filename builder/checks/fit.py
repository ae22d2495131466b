"""What lies on something must fit there: mats within panels, inserts within pockets.

Lengths are compared exactly; an insert also needs room to slide.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from builder.checks.report import found
from builder.findings import Finding, Severity
from builder.lengths import up_to_grid
from builder.resolve.resolved import ResolvedDesign, ResolvedPiece

#: The least play, in all, that lets hand-cut card slide (common practice, no source): 1/16 in.
_SLIDING_PLAY = Fraction(254, 160)
_STAYS_INSIDE = ("mat", "photo mat", "strip", "pocket", "liner")


def check_fit(resolved: ResolvedDesign) -> Iterator[Finding]:
    for piece in resolved.pieces.values():
        if piece.source.kind in _STAYS_INSIDE:
            yield from _overhang(resolved, piece)
        placement = piece.source.placement
        if placement is not None and placement.relation == "inside":
            yield from _sliding(resolved, piece, resolved.pieces[placement.host])


def _overhang(resolved: ResolvedDesign, piece: ResolvedPiece) -> Iterator[Finding]:
    """A mat, strip or pocket that reaches beyond the face it lies on."""
    offsets, placement = piece.offsets, piece.source.placement
    if offsets is None or placement is None:
        return
    units = resolved.edition.units
    for edge in ("left", "right", "top", "bottom"):
        beyond: Fraction = -getattr(offsets, edge)
        if beyond > 0:
            yield found(
                resolved,
                Severity.ERROR,
                "overhang",
                piece.source.position,
                f"{piece.source.kind} '{piece.key}' reaches {units.text(beyond)} beyond the {edge} "
                f"edge of '{placement.host}'",
                f"Make it {units.text(beyond)} smaller, or move it.",
                beyond=beyond,
            )


def _sliding(
    resolved: ResolvedDesign, insert: ResolvedPiece, pocket: ResolvedPiece
) -> Iterator[Finding]:
    """An insert must be narrower than its pocket less the glue along the closed sides."""
    glue = _glue_width(resolved)
    units = resolved.edition.units
    closed_sides = [edge for edge in ("left", "right") if edge in pocket.glue.edges]
    if "all" in pocket.glue.edges:
        yield found(
            resolved,
            Severity.ERROR,
            "closed-pocket",
            pocket.source.position,
            f"pocket '{pocket.key}' is glued on all sides, so '{insert.key}' cannot go in",
            "Say which edges are glued, for example 'glue: left, bottom, right'.",
        )
        return
    room = pocket.width - glue * len(closed_sides)
    width = insert.width
    if width + _SLIDING_PLAY > room:
        wanted = up_to_grid(width + _SLIDING_PLAY - room, resolved.edition.grid)
        yield found(
            resolved,
            Severity.ERROR,
            "insert-too-wide",
            insert.source.position,
            f"'{insert.key}' is {units.text(width)} wide, and pocket '{pocket.key}' leaves "
            f"{units.text(room)} between its glued sides",
            f"The pocket needs {units.text(wanted)} more: {units.text(pocket.width + wanted)}.",
            width=width,
            room=room,
        )


def _glue_width(resolved: ResolvedDesign) -> Fraction:
    """The widest tape of the supplies: it takes this much from each glued side."""
    widths = [width for width, _ in resolved.supply_sizes.values()]
    return max(widths, default=Fraction(0))

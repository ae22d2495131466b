"""What lies on something must fit there: mats within panels, inserts within pockets.

Lengths are compared exactly; an insert must slide in the worst case of the cutting tolerance and
rest on no adhesive.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from builder.checks.report import found
from builder.design import EDGES
from builder.findings import Finding, Severity
from builder.lengths import up_to_grid
from builder.resolve.resolved import ResolvedDesign, ResolvedPiece

_STAYS_INSIDE = ("mat", "photo mat", "strip", "pocket", "liner")


def check_fit(resolved: ResolvedDesign) -> Iterator[Finding]:
    for piece in resolved.pieces.values():
        yield from _unmet(resolved, piece)
        if piece.source.kind in _STAYS_INSIDE:
            yield from _overhang(resolved, piece)
        placement = piece.source.placement
        if placement is not None and placement.relation == "inside":
            yield from _sliding(resolved, piece, resolved.pieces[placement.host])
            yield from _through_glue(resolved, piece, resolved.pieces[placement.host])
            yield from _on_glue(resolved, piece, resolved.pieces[placement.host])


def _unmet(resolved: ResolvedDesign, piece: ResolvedPiece) -> Iterator[Finding]:
    """A distance to the host's edge that the piece's own size contradicts."""
    units, placement = resolved.edition.units, piece.source.placement
    for edge, wanted in piece.unmet:
        assert placement is not None and piece.offsets is not None
        left_over: Fraction = getattr(piece.offsets, edge)
        expression = placement.distances.get(edge) or placement.leaving
        yield found(
            resolved,
            Severity.ERROR,
            "sums-do-not-close",
            piece.source.position if expression is None else expression.position,
            f"piece '{piece.key}' should lie {units.text(wanted)} from the {edge} edge of "
            f"'{placement.host}', but its size leaves {units.text(left_over)} there",
            "Leave out its size on that axis, or one of the two distances.",
            wanted=wanted,
            left_over=left_over,
        )


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
    if "all" in pocket.glue.edges or set(pocket.glue.edges) == set(EDGES):
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
    # At worst the insert is cut too wide and the pocket too narrow.
    play = 2 * resolved.tolerance
    width = insert.width
    if width + play > room:
        wanted = up_to_grid(width + play - room, resolved.edition.grid)
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


def _through_glue(
    resolved: ResolvedDesign, insert: ResolvedPiece, pocket: ResolvedPiece
) -> Iterator[Finding]:
    """An insert can look out of its pocket only where the pocket is not glued."""
    if insert.offsets is None or set(pocket.glue.edges) == set(EDGES):
        return
    for edge in pocket.glue.edges:
        if edge in EDGES and getattr(insert.offsets, edge) < 0:
            free = [other for other in EDGES if other not in pocket.glue.edges]
            yield found(
                resolved,
                Severity.ERROR,
                "glued-mouth",
                pocket.source.position,
                f"'{insert.key}' comes out of pocket '{pocket.key}' at its {edge} edge, and that "
                "edge is glued",
                f"Leave the {edge} edge free of glue; free now: {', '.join(free) or 'none'}.",
            )


def _on_glue(
    resolved: ResolvedDesign, insert: ResolvedPiece, pocket: ResolvedPiece
) -> Iterator[Finding]:
    """An insert that lies over the adhesive along the bottom of its pocket sticks there."""
    glue = _glue_width(resolved)
    if insert.offsets is None or "bottom" not in pocket.glue.edges or insert.offsets.bottom >= glue:
        return
    units = resolved.edition.units
    wanted = up_to_grid(glue, resolved.edition.grid)
    yield found(
        resolved,
        Severity.ERROR,
        "insert-on-glue",
        insert.source.position,
        f"'{insert.key}' reaches down to {units.text(insert.offsets.bottom)} above the lower edge "
        f"of pocket '{pocket.key}', into its adhesive",
        f"Let it end {units.text(wanted)} above that edge ('bottom:').",
        bottom=insert.offsets.bottom,
        wanted=wanted,
    )


def _glue_width(resolved: ResolvedDesign) -> Fraction:
    """The widest tape of the supplies: it takes this much from each glued side."""
    widths = [width for width, _ in resolved.supply_sizes.values()]
    return max(widths, default=Fraction(0))

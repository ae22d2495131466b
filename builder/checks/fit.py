"""What lies on something must lie within it, at the distances that the design gives."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from builder.checks.condition import Condition, Rule
from builder.checks.report import found
from builder.findings import Finding, Severity
from builder.geometry.edges import EDGES, EdgeName
from builder.piece_kinds import Trait
from builder.resolve.resolved import ResolvedDesign, ResolvedPiece


def lying_conditions(resolved: ResolvedDesign) -> Iterator[Condition]:
    """No overhang where a piece must stay within its host, and every given distance kept."""
    for piece in resolved.pieces.values():
        if piece.offsets is None:
            continue
        yield from _distances(resolved, piece)
        if piece.source.has(Trait.WITHIN_HOST) and not _hangs_on_tab(resolved, piece):
            for edge in EDGES:
                yield Condition(
                    ("overhang", piece.key, edge),
                    piece.offsets.at(edge),
                    Rule.NOT_NEGATIVE,
                    lambda piece=piece, edge=edge: (  # type: ignore[misc]
                        _overhang(resolved, piece, edge)
                    ),
                )


def _hangs_on_tab(resolved: ResolvedDesign, piece: ResolvedPiece) -> bool:
    """Whether a piece lies on the outermost section of a folded strip and goes on beyond it, as the
    next length of a concertina does on the tab of the one before."""
    placement = piece.source.placement
    if placement is None or len(piece.faces) == 1:
        return False
    host = resolved.pieces[placement.host]
    return sum(piece.host_face in score.sides for score in host.scores) == 1


def _distances(resolved: ResolvedDesign, piece: ResolvedPiece) -> Iterator[Condition]:
    placement = piece.source.placement
    assert placement is not None and piece.offsets is not None
    unmet = dict(piece.unmet)
    for edge in EDGES:
        if edge in placement.distances or placement.leaving is not None:
            left_over = piece.offsets.at(edge)
            wanted = unmet.get(edge, left_over)
            yield Condition(
                ("sums-do-not-close", piece.key, edge),
                left_over - wanted,
                Rule.ZERO,
                lambda edge=edge, wanted=wanted: (  # type: ignore[misc]
                    _unmet(resolved, piece, edge, wanted)
                ),
            )


def _unmet(
    resolved: ResolvedDesign, piece: ResolvedPiece, edge: EdgeName, wanted: Fraction
) -> Finding:
    """A distance to the host's edge that the piece's own size contradicts."""
    units, placement = resolved.edition.units, piece.source.placement
    assert placement is not None and piece.offsets is not None
    left_over = piece.offsets.at(edge)
    expression = placement.distances.get(edge) or placement.leaving
    return found(
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


def _overhang(resolved: ResolvedDesign, piece: ResolvedPiece, edge: EdgeName) -> Finding:
    """A mat, strip or pocket that reaches beyond the face it lies on."""
    placement = piece.source.placement
    assert placement is not None and piece.offsets is not None
    units, beyond = resolved.edition.units, -piece.offsets.at(edge)
    return found(
        resolved,
        Severity.ERROR,
        "overhang",
        piece.source.position,
        f"{piece.source.kind} '{piece.key}' reaches {units.text(beyond)} beyond the {edge} "
        f"edge of '{placement.host}'",
        f"Make it {units.text(beyond)} smaller, or move it.",
        beyond=beyond,
    )

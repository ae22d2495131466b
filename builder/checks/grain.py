"""Folds run along the grain where the stock states it; sources conflict, so this is an advice.

A paper mill's advice is to score from 150 g/m² when a fold runs across the grain (secondary
source); lighter paper folds either way.
"""

from __future__ import annotations

from collections.abc import Iterator

from builder.checks.report import found
from builder.choices import has_direction
from builder.findings import Finding, Severity
from builder.resolve.resolved import ResolvedDesign, ResolvedPiece
from builder.sheet_places import WayRound, along_grain, fits_on_sheet, print_of, way_round

_HEAVY = 150


def check_grain(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Pieces that print, picture or sheet force to be scored across the grain."""
    for piece in resolved.pieces.values():
        wanted = along_grain(piece)
        if not wanted or way_round(piece) == wanted or not _is_heavy(piece):
            continue
        yield found(
            resolved,
            Severity.ADVICE,
            "score-across-grain",
            piece.source.position,
            f"the scores of '{piece.key}' run across the grain of '{piece.stock.key}', because "
            f"{_reason(piece, wanted)}",
            "Cut it from a sheet with the other grain, or score it twice and fold slowly.",
        )


def _is_heavy(piece: ResolvedPiece) -> bool:
    weight = piece.stock.source.weight
    return weight is None or weight.grams >= _HEAVY


def _reason(piece: ResolvedPiece, wanted: WayRound) -> str:
    if has_direction(print_of(piece)):
        return "its print must stand upright"
    if piece.source.motif is not None:
        return "it is cut round a picture"
    assert not fits_on_sheet(piece, wanted)
    return "the sheet is too small the other way round"

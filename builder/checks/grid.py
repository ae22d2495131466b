"""Every size and score must lie on the edition's cutting grid, or a maker cannot mark it."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from builder.checks.report import found
from builder.findings import Finding, Severity
from builder.lengths import is_on_grid, nearest_on_grid
from builder.resolve.resolved import ResolvedDesign, ResolvedPiece


def check_grid(resolved: ResolvedDesign) -> Iterator[Finding]:
    """An error beyond the finest step; half steps of a grid that has them are named as advice."""
    edition = resolved.edition
    for piece in resolved.pieces.values():
        for what, length in _marked_lengths(piece):
            if not is_on_grid(length, edition.finest):
                nearest = nearest_on_grid(length, edition.grid)
                yield found(
                    resolved,
                    Severity.ERROR,
                    "off-grid",
                    piece.source.position,
                    f"{what} of '{piece.key}' comes to {_written(length, resolved)}, which is not "
                    f"on the {edition.units.text(edition.grid)} grid",
                    f"The nearest that can be marked is {edition.units.text(nearest)}; "
                    "use grid_down(…) and let the neighbour take the rest.",
                    length=length,
                    nearest=nearest,
                )


def _written(length: Fraction, resolved: ResolvedDesign) -> str:
    """An off-grid length to the thousandth of its unit, as a proportion nobody can mark."""
    units = resolved.edition.units
    return f"{float(length / units.size):.3f} {units.unit}"


def _marked_lengths(piece: ResolvedPiece) -> Iterator[tuple[str, Fraction]]:
    yield "the width", piece.width
    yield "the height", piece.height
    for score in piece.scores:
        yield "a score", score.at

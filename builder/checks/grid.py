"""Every size and score must lie on the edition's cutting grid, or a maker cannot mark it."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from builder.checks.condition import Condition, Rule
from builder.checks.report import found
from builder.findings import Finding, Severity
from builder.geometry.edges import AXES, is_vertical
from builder.lengths import is_on_grid, nearest_on_grid
from builder.resolve.resolved import ResolvedDesign, ResolvedPiece


def grid_conditions(resolved: ResolvedDesign) -> Iterator[Condition]:
    """Each length that is cut or scored is a whole number of the finest steps."""
    for piece in resolved.pieces.values():
        for what, length in _marked_lengths(piece):
            yield Condition(
                ("off-grid", piece.key, what),
                length,
                Rule.WHOLE,
                lambda piece=piece, what=what, length=length: (  # type: ignore[misc]
                    _off_grid(resolved, piece, what, length)
                ),
                resolved.edition.finest,
            )


def _off_grid(
    resolved: ResolvedDesign, piece: ResolvedPiece, what: str, length: Fraction
) -> Finding:
    edition = resolved.edition
    nearest = nearest_on_grid(length, edition.grid)
    return found(
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


def check_half_steps(resolved: ResolvedDesign) -> Iterator[Finding]:
    """A half step can be marked where it cannot be avoided, and then it is named."""
    edition = resolved.edition
    for piece in resolved.pieces.values():
        for what, length in _marked_lengths(piece):
            if is_on_grid(length, edition.grid) or not is_on_grid(length, edition.finest):
                continue
            yield found(
                resolved,
                Severity.ADVICE,
                "half-step",
                piece.source.position,
                f"{what} of '{piece.key}' is {edition.units.text(length)}, half a step off the "
                f"{edition.units.text(edition.grid)} grid",
                "Give a measure that it is computed from another value in this edition, or "
                "accept the half.",
                length=length,
            )


def _written(length: Fraction, resolved: ResolvedDesign) -> str:
    """An off-grid length to the thousandth of its unit, as a proportion nobody can mark."""
    units = resolved.edition.units
    return f"{float(length / units.size):.3f} {units.unit}"


def _marked_lengths(piece: ResolvedPiece) -> Iterator[tuple[str, Fraction]]:
    yield "the width", piece.width
    yield "the height", piece.height
    for axis in AXES:
        what = "from the left" if is_vertical(axis) else "from the bottom"
        places = sorted({score.at for score in piece.scores if score.axis == axis})
        for number, at in enumerate(places, start=1):
            yield f"score {number} {what}", at

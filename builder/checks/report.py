"""Short ways for checks to make findings that carry the edition and their numbers."""

from __future__ import annotations

from fractions import Fraction

from builder.findings import Finding, Position, Severity
from builder.resolve.resolved import ResolvedDesign


def found(
    resolved: ResolvedDesign,
    severity: Severity,
    code: str,
    position: Position,
    message: str,
    remedy: str = "",
    **numbers: Fraction,
) -> Finding:
    """A finding of this edition; ``numbers`` are lengths and are kept as exact text."""
    units = resolved.edition.units
    shown = tuple((name, units.text(length)) for name, length in numbers.items())
    return Finding(severity, code, position, message, remedy, resolved.edition.name, shown)

"""Short ways for checks to make findings that carry the edition and their numbers."""

from __future__ import annotations

import re
from fractions import Fraction

from builder.findings import Finding, Position, Severity
from builder.resolve.resolved import ResolvedDesign

_QUOTED = re.compile(r"'([a-z][a-z0-9_]*)'")


def found(
    resolved: ResolvedDesign,
    severity: Severity,
    code: str,
    position: Position,
    message: str,
    remedy: str = "",
    about: tuple[str, ...] = (),
    **numbers: Fraction,
) -> Finding:
    """A finding of this edition; ``numbers`` are lengths and are kept as exact text.

    Without ``about`` it is about every part that its sentence names in quotes.
    """
    units = resolved.edition.units
    shown = tuple((name, units.text(length)) for name, length in numbers.items())
    parts = about or _parts_named(resolved, message)
    return Finding(severity, code, position, message, remedy, resolved.edition.name, shown, parts)


def _parts_named(resolved: ResolvedDesign, message: str) -> tuple[str, ...]:
    known = {*resolved.pieces, *resolved.fastenings, *resolved.stocks, *resolved.design.supplies}
    return tuple(dict.fromkeys(name for name in _QUOTED.findall(message) if name in known))


def as_typed(length: Fraction, resolved: ResolvedDesign) -> str:
    """A length as a design file writes it."""
    units = resolved.edition.units
    whole, rest = divmod(length / units.size, 1)
    number = f"{whole} {rest}" if whole and rest else str(rest or whole)
    if not units.is_inch:
        number = units.number(length)
    return f"{number} {units.unit}"


def tenth(thickness: Fraction) -> str:
    """Calipers are measured in millimetres whatever the edition; a tenth is what they are worth."""
    return f"{float(thickness):.1f}"

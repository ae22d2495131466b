"""How a check says what it found: kinds of findings, their words with places for what is measured.

In: what a check measured.  Out: findings that carry the edition and their numbers.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from builder.findings import Finding, Position, Severity
from builder.resolve.resolved import (
    ResolvedDesign,
    ResolvedFastening,
    ResolvedPiece,
    ResolvedStock,
    ResolvedStrip,
)

_QUOTED = re.compile(r"'([a-z][a-z0-9_]*)'")


@dataclass(frozen=True)
class FindingKind:
    """A kind of finding: its code, and its sentence and remedy with ``{places}`` to be filled."""

    code: str
    message: str
    remedy: str
    severity: Severity = Severity.ERROR

    def found(
        self,
        resolved: ResolvedDesign,
        at: ResolvedPiece | ResolvedStrip | ResolvedFastening | ResolvedStock | Position,
        about: tuple[str, ...] = (),
        /,
        **told: Fraction | str | int,
    ) -> Finding:
        """A finding of this edition, at a part of the design, which is ``{key}``, or at a position.

        What is ``told`` fills the places; lengths are written in the edition's unit, and kept as
        numbers.  Without ``about`` it is about every part that its sentence names in quotes.
        """
        text = resolved.edition.units.text
        lengths = {name: text(each) for name, each in told.items() if isinstance(each, Fraction)}
        position, words = at, {**told, **lengths}
        if not isinstance(position, Position):
            words, position = {"key": position.key, **words}, position.source.position
        message, remedy = self.message.format(**words), self.remedy.format(**words)
        edition, numbers = resolved.edition.name, tuple(lengths.items())
        parts = about or _parts_named(resolved, message)
        return Finding(self.severity, self.code, position, message, remedy, edition, numbers, parts)


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

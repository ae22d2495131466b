"""Prices as text: exact to the cent, with the currency as the designer writes it."""

from __future__ import annotations

from fractions import Fraction

from builder.lengths import NO_BREAK_SPACE

_CENTS = 100


def money_text(amount: Fraction, currency: str) -> str:
    """``EUR 1.20`` or ``€1.20``: to the nearest cent, a half going up."""
    cents = (amount * _CENTS + Fraction(1, 2)).__floor__()
    whole, rest = divmod(cents, _CENTS)
    between = NO_BREAK_SPACE if currency[-1:].isalpha() or currency.endswith(".") else ""
    return f"{currency}{between}{whole}.{rest:02d}"

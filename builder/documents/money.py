"""Amounts of money as text: exact to the minor unit, as the language of the pages has them."""

from __future__ import annotations

from fractions import Fraction

from builder.currencies import decimals_of
from builder.lengths import NO_BREAK_SPACE
from builder.wording import Wording


def money_number(amount: Fraction, currency: str) -> str:
    """``1.20``, ``120``, ``1.200``: to the nearest minor unit, a half going up."""
    places = decimals_of(currency)
    units = (amount * 10**places + Fraction(1, 2)).__floor__()
    whole, rest = divmod(units, 10**places)
    return f"{whole}.{rest:0{places}d}" if places else str(whole)


def money_text(amount: Fraction, currency: str, wording: Wording) -> str:
    """``EUR 1.20`` or ``€1.20``, in German ``1,20 EUR`` or ``1,20 €``."""
    number = wording.decimal_text(money_number(amount, currency))
    is_word = currency[-1:].isalpha() or currency.endswith(".")
    name = "money_code" if is_word else "money_sign"
    text = wording.phrase(name, amount=number, currency=currency)
    return text.replace(" ", NO_BREAK_SPACE)

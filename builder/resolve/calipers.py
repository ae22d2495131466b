"""Thickness of one layer of stock: given by the designer, or an indicative value by weight.

Cover weights and thousandths of an inch as published by paper merchants (secondary sources,
tolerance 5 to 7 %): 65 lb 8, 80 lb 9.5, 100 lb 11, 120 lb 15.  Between them the value is
interpolated by grammage; below and above it follows in proportion.
"""

from __future__ import annotations

import itertools
from fractions import Fraction

from builder.choices import Material
from builder.design import Stock
from builder.lengths import INCH
from builder.reading.weights import grams_per_square_metre

_MIL = INCH / 1000
_COVER_CALIPERS = tuple(
    (grams_per_square_metre(Fraction(pounds), "cover"), thousandths * _MIL)
    for pounds, thousandths in (
        (65, Fraction(8)),
        (80, Fraction(19, 2)),
        (100, Fraction(11)),
        (120, Fraction(15)),
    )
)
#: Used where a design gives neither caliper nor weight (common practice, no source).
_WITHOUT_WEIGHT: dict[Material, Fraction] = {
    "cardstock": Fraction(3, 10),
    "paper": Fraction(1, 5),
    "board": Fraction(2),
    "ribbon": Fraction(3, 10),
}


def default_caliper(stock: Stock) -> Fraction:
    """An indicative thickness in mm, rounded to a hundredth."""
    if stock.weight is None:
        return _WITHOUT_WEIGHT[stock.material]
    return Fraction(round(_by_weight(stock.weight.grams) * 100), 100)


def _by_weight(grams: Fraction) -> Fraction:
    first, last = _COVER_CALIPERS[0], _COVER_CALIPERS[-1]
    if grams <= first[0]:
        return first[1] * grams / first[0]
    if grams >= last[0]:
        return last[1] * grams / last[0]
    for (low, thin), (high, thick) in itertools.pairwise(_COVER_CALIPERS):
        if grams <= high:
            return thin + (thick - thin) * (grams - low) / (high - low)
    raise AssertionError("the table is ordered")

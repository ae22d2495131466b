"""Paper weights as written → grams per square metre, and the thickness that goes with a weight.

``80 lb cover`` is the weight of 500 sheets of that grade's basic size, so
g/m² = pounds × 1406.139 / basic area in in² (exact from lb = 0.45359237 kg, in = 25.4 mm; the
trade's own constant is 1406.5).  Basic sizes: common US paper grades, secondary sources.

Cover weights and thousandths of an inch as published by paper merchants (secondary sources,
tolerance 5 to 7 %): 65 lb 8, 80 lb 9.5, 100 lb 11, 120 lb 15.  Between them the value is
interpolated by grammage; below and above it follows in proportion.
"""

import itertools
import re
from fractions import Fraction

from gatherfold.lengths import INCH
from gatherfold.model.choices import Material
from gatherfold.model.design import Stock, Weight

#: Basic size in inches of each grade.
BASIC_SIZES: dict[str, tuple[Fraction, Fraction]] = {
    "cover": (Fraction(20), Fraction(26)),
    "bond": (Fraction(17), Fraction(22)),
    "text": (Fraction(25), Fraction(38)),
    "index": (Fraction(51, 2), Fraction(61, 2)),
    "bristol": (Fraction(45, 2), Fraction(57, 2)),
    "tag": (Fraction(24), Fraction(36)),
}

_POUND = Fraction(45359237, 100000)  # grams
_INCH = Fraction(254, 10000)  # metres
_REAM = 500

_WRITTEN = re.compile(
    r"\s*(?P<number>\d{1,6}(?:\.\d{1,6})?)\s*(?:(?P<gsm>g/m2|g/m²|gsm)|(?P<lb>lb|lbs|#)\s+(?P<grade>\w+))\s*"
)


def grams_per_square_metre(pounds: Fraction, grade: str) -> Fraction:
    """Exact grammage of a basis weight; KeyError for an unknown grade."""
    width, height = BASIC_SIZES[grade]
    return pounds * _POUND / (_REAM * width * height * _INCH**2)


def read_weight(written: str) -> Weight | None:
    """The weight, or None when it is neither ``NUMBER g/m2`` nor ``NUMBER lb GRADE``."""
    match = _WRITTEN.fullmatch(written)
    if match is None:
        return None
    number = Fraction(match["number"])
    if number == 0:
        return None
    if match["gsm"]:
        return Weight(written.strip(), None, "", number)
    if match["grade"] not in BASIC_SIZES:
        return None
    grams = grams_per_square_metre(number, match["grade"])
    return Weight(written.strip(), number, match["grade"], grams)


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
    """Between two known weights by grammage; beyond them in proportion."""
    known = ((Fraction(0), Fraction(0)), *_COVER_CALIPERS)
    for (low, thin), (high, thick) in itertools.pairwise(known):
        if grams <= high:
            return thin + (thick - thin) * (grams - low) / (high - low)
    heaviest, thickest = known[-1]
    return thickest * grams / heaviest

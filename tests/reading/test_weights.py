"""Basis weights against the trade's table, and thickness where a design gives none."""

from __future__ import annotations

from fractions import Fraction

import pytest

from gatherfold.model.design import Stock
from gatherfold.model.weights import (
    BASIC_SIZES,
    default_caliper,
    grams_per_square_metre,
    read_weight,
)
from gatherfold.reading import read_design

# Pairs computed with the trade's constant 1406.5, published by several merchants [S]; allow 1 g/m².
_TABLE = {
    "cover": {65: 175.8, 80: 216.3, 100: 270.4, 110: 297.5, 130: 351.5},
    "bond": {20: 75.2, 24: 90.2, 28: 105.3, 32: 120.3},
    "text": {60: 88.8, 80: 118.4, 100: 148.0},
    "index": {90: 162.7, 110: 198.9, 140: 253.1},
    "bristol": {67: 146.9, 100: 219.3},
    "tag": {100: 162.8, 125: 203.4, 150: 244.1},
}
_ROWS = [(grade, lb, gsm) for grade, row in _TABLE.items() for lb, gsm in row.items()]


@pytest.mark.parametrize(("grade", "pounds", "grams"), _ROWS)
def test_basis_weights(grade: str, pounds: int, grams: float) -> None:
    assert float(grams_per_square_metre(Fraction(pounds), grade)) == pytest.approx(grams, abs=1)


@pytest.mark.parametrize("grade", BASIC_SIZES)
def test_the_exact_constant(grade: str) -> None:
    # 0.45359237 kg per pound, 500 sheets, 25.4 mm per inch: 1406.139 lb/in² per g/m² [C].
    width, height = BASIC_SIZES[grade]
    constant = grams_per_square_metre(Fraction(1), grade) * width * height
    assert float(constant) == pytest.approx(1406.139, abs=0.001)


def test_published_pairs() -> None:
    # As sold: 100 lb cover 270, 20 lb bond 75, 28 lb bond about 105 g/m² [S].
    for written, grams in (("100 lb cover", 270), ("20 lb bond", 75), ("28 lb bond", 105)):
        weight = read_weight(written)
        assert weight is not None
        assert round(weight.grams) == pytest.approx(grams, abs=1)


@pytest.mark.parametrize(
    ("written", "grams"),
    [("190 g/m2", 190), ("190 g/m²", 190), ("190gsm", 190), (" 216.5 gsm ", Fraction("216.5"))],
)
def test_spellings_of_grammage(written: str, grams: Fraction) -> None:
    weight = read_weight(written)
    assert weight is not None
    assert weight.grams == grams


@pytest.mark.parametrize("written", ["80 lb cover", "80lb cover", "80 lbs cover", "80# cover"])
def test_spellings_of_pounds(written: str) -> None:
    weight = read_weight(written)
    assert weight is not None
    assert (weight.pounds, weight.grade) == (80, "cover")


@pytest.mark.parametrize(
    "written",
    ["", "80", "80 lb", "80 lb rover", "heavy", "-3 gsm", "0 gsm", "0 lb cover", "9" * 5000],
)
def test_what_is_no_weight(written: str) -> None:
    assert read_weight(written) is None


@pytest.mark.parametrize(
    ("weight", "mil"),
    [("65 lb cover", 8), ("80 lb cover", 9.5), ("100 lb cover", 11), ("120 lb cover", 15)],
)
def test_caliper_by_weight(weight: str, mil: float) -> None:
    # Indicative, thousandths of an inch, tolerance 5 to 7 % [S].
    stock = _stock(f"material: cardstock, weight: {weight}")
    assert float(default_caliper(stock)) == pytest.approx(mil * 0.0254, rel=0.05)


def test_caliper_grows_with_weight() -> None:
    calipers = [
        default_caliper(_stock(f"material: paper, weight: {grams} g/m2"))
        for grams in range(60, 500, 10)
    ]
    assert calipers == sorted(calipers)
    assert calipers[0] < calipers[-1]


def _stock(text: str) -> Stock:
    content = (
        f"title: T\nstocks:\n  night: {{{text}, sheet: 12 in x 12 in}}\n"
        "pieces:\n  back: {from: night, size: 1 in x 1 in}\n"
    )
    return read_design(content.encode(), "t.yaml").stocks["night"]

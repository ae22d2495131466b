"""Lengths against the outside: units, conversions, rounding and how fractions are written."""

from __future__ import annotations

from fractions import Fraction
from functools import cache

import pint
import pytest
from hypothesis import given, strategies as st

from gatherfold.lengths import (
    IMPERIAL_UNITS,
    INCH,
    METRIC_UNITS,
    UNIT_SIZES,
    down_to_grid,
    is_on_grid,
    millimetres,
    nearest_on_grid,
    up_to_grid,
)

_LENGTHS = st.fractions(min_value=-1000, max_value=1000, max_denominator=64)
_STEPS = st.sampled_from((INCH / 16, INCH / 8, Fraction(1), Fraction(1, 2), Fraction(5)))


@cache
def _pint() -> pint.UnitRegistry[Fraction]:
    """Read pint's own data, which takes seconds."""
    return pint.UnitRegistry(non_int_type=Fraction)


def test_the_inch_is_25_4_mm() -> None:
    # International yard and pound agreement, 1959 [V: pint's data]; NIST SP 811, Appendix B.8 [M].
    assert Fraction("25.4") == INCH
    assert _pint().Quantity(Fraction(1), "inch").to("mm").magnitude == INCH


@given(_LENGTHS, st.sampled_from(sorted(u for u in UNIT_SIZES if u.isalpha())))
def test_every_unit_word_converts_as_pint_does(number: Fraction, word: str) -> None:
    # pint's own unit data [V].
    assert _pint().Quantity(number, word).to("mm").magnitude == number * UNIT_SIZES[word]


def test_rounding_a_conversion() -> None:
    # NIST SP 811, B.7.2: 36 ft is 10.9728 m, rounded 11.0 m [S].
    feet = 36 * 12 * INCH
    assert feet == Fraction("10972.8")
    assert nearest_on_grid(feet, Fraction(100)) == 11000
    # NIST LC 1137: 36 in is 91 cm, 40.1 in is 101.9 cm [S].
    assert nearest_on_grid(36 * INCH, Fraction(10)) == 910
    assert nearest_on_grid(Fraction("40.1") * INCH, Fraction(1)) == 1019


@given(_LENGTHS, _STEPS)
def test_rounding_is_never_off_by_more_than_half_a_step(length: Fraction, step: Fraction) -> None:
    rounded = nearest_on_grid(length, step)
    assert is_on_grid(rounded, step)
    if length > 0:
        assert rounded >= step
    if not 0 < length < step / 2:
        assert abs(rounded - length) <= step / 2


@given(_LENGTHS, _STEPS)
def test_down_and_up_hold_the_length_between_them(length: Fraction, step: Fraction) -> None:
    down, up = down_to_grid(length, step), up_to_grid(length, step)
    assert down <= length <= up
    assert up - down == (0 if is_on_grid(length, step) else step)


def test_a_tie_goes_up_and_a_sliver_stays() -> None:
    assert nearest_on_grid(Fraction(5, 2), Fraction(1)) == 3
    assert nearest_on_grid(Fraction(1, 100), Fraction(1)) == 1
    assert nearest_on_grid(Fraction(0), Fraction(1)) == 0
    assert nearest_on_grid(Fraction(-1, 100), Fraction(1)) == 0


@pytest.mark.parametrize(
    ("inches", "written"),
    [
        ("0", "0"),
        ("8", "8"),
        ("31/4", "7¾"),
        ("1/8", "⅛"),
        ("49/8", "6⅛"),
        ("5/16", "5⁄16"),
        ("101/16", "6\N{NO-BREAK SPACE}5⁄16"),
        ("-3/8", "−⅜"),
        ("-19/16", "−1\N{NO-BREAK SPACE}3⁄16"),
        ("1/3", "1⁄3"),
        ("6/16", "⅜"),
    ],
)
def test_inches_are_written_as_reduced_fractions(inches: str, written: str) -> None:
    assert IMPERIAL_UNITS.number(Fraction(inches) * INCH) == written


@pytest.mark.parametrize(
    ("mm", "written"),
    [
        ("197", "197"),
        ("19/2", "9.5"),
        ("-3", "−3"),
        ("1524/10", "152.4"),
        ("1/3", "0.333"),
        ("0", "0"),
    ],
)
def test_millimetres_are_written_as_decimals(mm: str, written: str) -> None:
    assert METRIC_UNITS.number(Fraction(mm)) == written


@given(st.integers(-16 * 50, 16 * 50))
def test_a_written_inch_reads_back(sixteenths: int) -> None:
    """An independent reader of the printed form finds the same number."""
    written = IMPERIAL_UNITS.number(sixteenths * INCH / 16)
    singles = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
    sign, rest = (-1, written[1:]) if written[0] == "−" else (1, written)
    for single, plain in singles.items():
        rest = rest.replace(single, f" {plain}")
    parts = rest.replace("\N{NO-BREAK SPACE}", " ").replace("⁄", "/").split()
    assert sign * sum(Fraction(part) for part in parts) == Fraction(sixteenths, 16)
    assert "." not in written


def test_number_and_unit_stay_together() -> None:
    assert IMPERIAL_UNITS.text(Fraction(31, 4) * INCH) == "7¾\N{NO-BREAK SPACE}in"
    assert METRIC_UNITS.text(Fraction(197)) == "197\N{NO-BREAK SPACE}mm"
    size = IMPERIAL_UNITS.size_text(Fraction(31, 4) * INCH, Fraction(43, 4) * INCH)
    assert size == "7¾\N{NO-BREAK SPACE}× 10¾\N{NO-BREAK SPACE}in"


def test_millimetres_for_ink() -> None:
    assert millimetres(INCH * 12) == pytest.approx(304.8, abs=1e-12)

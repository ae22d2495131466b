"""Formulas: every spelling of a length, exact arithmetic, and mistakes with units."""

from __future__ import annotations

import operator
from fractions import Fraction

import pytest
from hypothesis import given, strategies as st

from gatherfold.formulas import (
    FormulaProblem,
    Pair,
    Quantity,
    Scope,
    Value,
    length,
    pair,
    parse,
    value,
)
from gatherfold.lengths import INCH, nearest_on_grid

NAMES: dict[str, Value] = {
    "width": Quantity(8 * INCH, 1),
    "reveal": Quantity(INCH / 8, 1),
    "times": Quantity(Fraction(3), 0),
    "photo": Pair(4 * INCH, 6 * INCH),
    "photo.width": Quantity(4 * INCH, 1),
}


def lookup(name: str) -> Value:
    if name in NAMES:
        return NAMES[name]
    raise FormulaProblem("unknown-name", f"no {name}")


def scope(unit: Fraction | None = INCH, grid: Fraction = INCH / 16) -> Scope:
    return Scope(lookup, unit, lambda given, _: given, grid)


def inches(text: str, unit: Fraction | None = INCH) -> Fraction:
    return length(parse(text), scope(unit)) / INCH


@pytest.mark.parametrize(
    "text",
    [
        "7 3/4 in", "7¾ in", "7 ¾ in", '7¾"', '7 3/4"', "7¾″", "7¾”", "7-3/4 in",
        "7-3/4in", "7 3⁄4 in",
        "7.75 in", "7.75in", "31/4 in", "31⁄4 in", "7 3/4 inch", "7 3/4 inches",
        "7\N{NO-BREAK SPACE}¾ in",
        "7\N{THIN SPACE}3⁄4 in", "7 6/8 in", "19.685 cm", "196.85 mm", "196.85mm",
        "(7 + 3/4) * 1 in",
        "7 in + 3/4 in", "8 in - 1/4 in", "7 3 / 4 in",
    ],
)  # fmt: skip
def test_seven_and_three_quarters(text: str) -> None:
    assert inches(text, unit=None) == Fraction(31, 4)


@pytest.mark.parametrize("text", ["7 3/4", "7¾", "7 3⁄4", "7.75", "31/4", "31 / 4", "7 + 3/4"])
def test_bare_numbers_take_the_declared_unit(text: str) -> None:
    assert inches(text) == Fraction(31, 4)
    assert length(parse(text), scope(Fraction(1))) == Fraction(31, 4)


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("197 mm", "197"),
        ("197mm", "197"),
        ("19.7 cm", "197"),
        ("19.7 centimetres", "197"),
        ("197 millimeters", "197"),
        (".5 mm", "1/2"),
        ("5⁄16 in", "127/16"),
        ("5/16 in", "127/16"),
        ("⅛ in", "127/40"),
        ("⅔ mm", "2/3"),
        ("1 in + 1 mm", "132/5"),
    ],
)
def test_other_spellings(text: str, mm: str) -> None:
    assert length(parse(text), scope(None)) == Fraction(mm)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("width - 2 * reveal", "31/4"),
        ("width / 2 / 2", "2"),
        ("width / 4 * 2", "4"),
        ("width / (3/4)", "32/3"),
        ("width * 3/4", "6"),
        ("width - 1 - 1", "6"),
        ("width - (1 - 1)", "8"),
        ("-reveal + width", "63/8"),
        ("2 * (width + reveal)", "65/4"),
        ("width / reveal", "64"),
        ("times * reveal", "3/8"),
        ("photo.width / 2", "2"),
        ("min(width, photo.width, 9)", "4"),
        ("max(reveal, 1/16)", "1/8"),
        ("grid_down(width / 3)", "42/16"),
        ("grid_up(width / 3)", "43/16"),
        ("grid_down(-1/32)", "-1/16"),
        ("(3 + 5) / 2", "4"),
    ],
)
def test_arithmetic(text: str, expected: str) -> None:
    assert inches(text) == Fraction(expected)


@pytest.mark.parametrize(
    ("text", "width", "height"),
    [
        ("4 x 6", 4, 6),
        ("4x6", 4, 6),
        ("4 X 6", 4, 6),
        ("4 × 6", 4, 6),
        ("4 in x 152.4 mm", 4, 6),
        ('4" x 6"', 4, 6),
        ("photo", 4, 6),
        ("photo.width x width - 2", 4, 6),
        ("1 + 3 x 2 * 3", 4, 6),
    ],
)
def test_sizes(text: str, width: int, height: int) -> None:
    assert pair(parse(text), scope()) == Pair(width * INCH, height * INCH)


@pytest.mark.parametrize(
    ("text", "code", "offset"),
    [
        ("7-3/4", "ambiguous-number", 0),
        ("width - 7-3/4", "ambiguous-number", 8),
        ("width / 3/4", "ambiguous-number", 8),
        ("width * width", "unit-mistake", 6),
        ("2 in * 3 in", "unit-mistake", 5),
        ("1 / width", "unit-mistake", 2),
        ("photo + 1", "unit-mistake", 6),
        ("photo * 2", "unit-mistake", 6),
        ("4 x 5 x 6", "formula-syntax", 6),
        ("(4 x 5) x 6", "unit-mistake", 8),
        ("-photo", "unit-mistake", 0),
        ("photo", "unit-mistake", 0),
        ("min(photo)", "unit-mistake", 0),
        ("width / 0", "division-by-zero", 6),
        ("width / (1 - 1)", "division-by-zero", 6),
        ("1/0", "division-by-zero", 1),
        ("heigth", "unknown-name", 0),
        ("1 + heigth", "unknown-name", 4),
        ("", "formula-syntax", 0),
        ("   ", "formula-syntax", 3),
        ("2 +", "formula-syntax", 3),
        ("2 2", "formula-syntax", 2),
        ("(2", "formula-syntax", 2),
        ("2)", "formula-syntax", 1),
        ("2 ** 3", "formula-syntax", 3),
        ("--2", "formula-syntax", 1),
        ("7 ft", "formula-syntax", 2),
        ("19,7 cm", "formula-syntax", 2),
        ("width; 2", "formula-syntax", 5),
        ("__import__('os')", "formula-syntax", 11),
        ("round(2)", "formula-function", 0),
        ("grid_up(1, 2)", "formula-function", 0),
        ("min()", "formula-syntax", 4),
        ("1e3", "formula-syntax", 1),
    ],
)
def test_mistakes(text: str, code: str, offset: int) -> None:
    with pytest.raises(FormulaProblem) as caught:
        length(parse(text), scope())
    assert (caught.value.code, caught.value.offset) == (code, offset)
    assert caught.value.message


@pytest.mark.parametrize(
    "text", ["7 3/4", "7¾", "2 * 3", "width + 1", "1 in - 1/4", "4 x 6", "min(1, width)"]
)
def test_a_number_without_a_unit_where_none_is_declared(text: str) -> None:
    with pytest.raises(FormulaProblem) as caught:
        value(parse(text), scope(unit=None))
    assert caught.value.code == "missing-unit"
    assert "units: inch" in caught.value.remedy


def test_nothing_needs_no_unit() -> None:
    assert length(parse("0"), scope(unit=None)) == 0
    assert inches("width - 0", unit=None) == 8


def test_one_length_is_no_size() -> None:
    with pytest.raises(FormulaProblem) as caught:
        pair(parse("4"), scope())
    assert caught.value.code == "not-a-size"


def test_what_is_typed_snaps_and_what_is_derived_does_not() -> None:
    metric = Scope(lookup, INCH, lambda given, _: nearest_on_grid(given, Fraction(1)), Fraction(1))
    assert length(parse("1/8"), metric) == 3
    assert length(parse("1/8 in"), metric) == 3
    assert length(parse("2 * 1/8 in"), metric) == 6
    assert length(parse("1/8 in / 2"), metric) == Fraction(3, 2)
    assert length(parse("width"), metric) == 8 * INCH
    assert pair(parse("4 x 6"), metric) == Pair(Fraction(102), Fraction(152))


# A second evaluator, of its own making: expressions grow as (text, number, is_length) and are
# computed with Python's Fraction while they are written.

_PLAIN = st.integers(0, 40).map(lambda n: (str(n), Fraction(n), False))
_LENGTH = st.builds(
    lambda whole, over, under: (
        f"{whole} {over}/{under} in",
        (whole + Fraction(over, under)) * Fraction("25.4"),
        True,
    ),
    st.integers(0, 20),
    st.integers(1, 15),
    st.sampled_from((2, 4, 8, 16)),
)
_METRIC = st.integers(1, 400).map(lambda n: (f"{n} mm", Fraction(n), True))
Written = tuple[str, Fraction, bool]


def _combined(parts: tuple[str, Written, Written]) -> Written:
    symbol, (left, a, a_is_length), (right, b, b_is_length) = parts
    if symbol in "+-":
        act = operator.add if symbol == "+" else operator.sub
        a = a * Fraction("25.4") if b_is_length and not a_is_length else a
        b = b * Fraction("25.4") if a_is_length and not b_is_length else b
        return f"({left} {symbol} {right})", act(a, b), a_is_length or b_is_length
    if symbol == "*":
        if a_is_length and b_is_length:
            return left, a, a_is_length
        return f"({left}) * ({right})", a * b, a_is_length or b_is_length
    if b == 0 or (b_is_length and not a_is_length):
        return left, a, a_is_length
    return f"({left}) / ({right})", a / b, a_is_length and not b_is_length


_EXPRESSIONS = st.recursive(
    _PLAIN | _LENGTH | _METRIC,
    lambda inner: st.tuples(st.sampled_from("+-*/"), inner, inner).map(_combined),
    max_leaves=8,
)


@given(_EXPRESSIONS)
def test_any_expression_comes_to_what_fractions_say(written: Written) -> None:
    text, expected, is_length = written
    expected_mm = expected if is_length else expected * Fraction("25.4")
    try:
        assert length(parse(text), scope()) == expected_mm
    except FormulaProblem as problem:
        assert problem.code in {"too-large", "too-fine"}
        assert abs(expected_mm) > 10**7 or expected_mm.denominator > 10**18


@given(
    st.lists(st.tuples(st.sampled_from("*/"), st.integers(1, 4)), min_size=1, max_size=6),
    st.integers(1, 9),
)
def test_multiplying_and_dividing_runs_from_left_to_right(
    parts: list[tuple[str, int]], first: int
) -> None:
    text, expected = f"{first} in", Fraction(first)
    for symbol, number in parts:
        text += f" {symbol} {number}"
        expected = expected * number if symbol == "*" else expected / number
    assert inches(text) == expected


@given(st.text(max_size=60))
def test_any_text_is_a_formula_or_a_problem(text: str) -> None:
    try:
        value(parse(text), scope())
    except FormulaProblem as problem:
        assert 0 <= problem.offset <= len(text)
        assert problem.message


@given(st.text(alphabet='0123456789 ./⁄-+*x()½¾"inm', max_size=24))
def test_any_near_formula(text: str) -> None:
    try:
        value(parse(text), scope())
    except FormulaProblem as problem:
        assert 0 <= problem.offset <= len(text)

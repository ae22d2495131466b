"""The same design in two unit systems: what snaps, what keeps its size, what is derived."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import pytest

from gatherfold.formulas import Pair, Quantity
from gatherfold.lengths import INCH
from gatherfold.resolve import Edition, ResolvedDesign
from gatherfold.resolve.edition import IMPERIAL, METRIC

Resolver = Callable[..., ResolvedDesign]
BACK = "back: {from: night, size: 8 x 11}"


def mm(found: ResolvedDesign, name: str) -> Fraction:
    value = found.measures[name]
    assert isinstance(value, Quantity)
    return value.value


MEASURES = """
measures:
  reveal: 1/8
  border: 2 * reveal
  third: 8 / 3
  photo: {actual: 4 x 6}
  flap: {value: 6 3/4, metric: 172 mm}
  rest: flap - photo.width
"""


def test_the_designers_own_edition_keeps_what_she_typed(resolved: Resolver) -> None:
    found = resolved(BACK, MEASURES, IMPERIAL)
    assert mm(found, "reveal") == INCH / 8
    assert mm(found, "border") == INCH / 4
    assert mm(found, "third") == 8 * INCH / 3
    assert mm(found, "rest") == Fraction(11, 4) * INCH


def test_the_other_edition_snaps_leaves_and_derives_the_rest(resolved: Resolver) -> None:
    found = resolved(BACK, MEASURES, METRIC)
    assert mm(found, "reveal") == 3  # 3.175
    assert mm(found, "border") == 6  # twice the snapped reveal; 6.35 itself would be 6 too
    assert mm(found, "flap") == 172
    assert found.measures["photo"] == Pair(Fraction("101.6"), Fraction("152.4"))
    assert mm(found, "rest") == 172 - Fraction("101.6")


def test_derived_lengths_come_from_snapped_ones_not_from_inches(resolved: Resolver) -> None:
    """Eight reveals of ⅛ in are 1 in = 25.4 mm; in the metric edition they are 8 × 3 = 24 mm."""
    found = resolved(BACK, "measures: {reveal: 1/8, eight: 8 * reveal}\n", METRIC)
    assert mm(found, "eight") == 24


def test_a_metric_design_snaps_to_sixteenths_in_the_imperial_edition(resolved: Resolver) -> None:
    found = resolved("back: {from: night, size: 200 x 280}", edition=IMPERIAL, units="mm")
    back = found.pieces["back"]
    assert back.width == Fraction(126, 16) * INCH  # 200 mm = 7.874 in
    assert back.height == Fraction(176, 16) * INCH  # 280 mm = 11.024 in
    same = resolved("back: {from: night, size: 200 x 280}", edition=METRIC, units="mm")
    assert (same.pieces["back"].width, same.pieces["back"].height) == (200, 280)


def test_a_design_can_set_its_grid(resolved: Resolver) -> None:
    found = resolved(BACK, "editions: {metric: {grid: 5 mm}}\n", METRIC)
    assert (found.pieces["back"].width, found.pieces["back"].height) == (205, 280)
    assert found.edition.finest == Fraction(5, 2)


@pytest.mark.parametrize("edition", (IMPERIAL, METRIC))
def test_thickness_is_a_length_and_never_snaps(resolved: Resolver, edition: Edition) -> None:
    found = resolved(BACK, "measures: {t: 2 * cloud.thickness, up: grid_up(t)}\n", edition)
    assert mm(found, "t") == Fraction("0.4")
    assert mm(found, "up") == edition.grid


def test_what_steps_print(resolved: Resolver) -> None:
    rest = """
measures: {reveal: 1/8}
steps:
  - title: T
    text: Leave {reveal} round {back.width x back.height}, then { 2 * reveal }.
"""
    found = resolved(BACK, rest)
    assert found.printed == {
        "reveal": Quantity(INCH / 8, 1),
        "back.width x back.height": Pair(8 * INCH, 11 * INCH),
        "2 * reveal": Quantity(INCH / 4, 1),
    }


def test_a_mat_fills_what_its_distances_leave(resolved: Resolver) -> None:
    found = resolved(
        """
        back: {from: night, size: 8 x 11}
        mat: {from: night, on: back, leaving: 1/4, top: 2}
        side: {from: night, on: back, left: 1, right: 2, width: 3, turned: 90}
        """
    )
    mat = found.pieces["mat"]
    assert (mat.width / INCH, mat.height / INCH) == (7.5, 8.75)
    side = found.pieces["side"]
    assert (side.width / INCH, side.height / INCH) == (3, 5), "turned, its height lies across"

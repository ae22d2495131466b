"""Folds along the grain: how a piece is laid, and the advice where that cannot be.

Common practice, no source: card folds along its grain; a mill asks for a score across the grain
from 150 g/m² (secondary source).  Sources conflict, so it is never more than an advice.
"""

from __future__ import annotations

import pytest

from gatherfold.checks.printing import check_grain
from gatherfold.lengths import INCH
from gatherfold.plans import grain_axis, plan_stocks, way_round
from gatherfold.reading import read_design
from gatherfold.resolve import ResolvedDesign, resolve
from gatherfold.resolve.edition import IMPERIAL
from gatherfold.work import pierced

TEXT = """\
title: Grain
units: inch
stocks:
  card:
    material: cardstock
    weight: {weight}
    sheet: {sheet}
    grain: {grain}
    front: {{name: Front, print: {print}}}
pieces:
  hinge: {{from: card, across: {{a: 2, b: 1, c: 2}}, height: {height}}}
  plain: {{from: card, size: 3 x 2}}
"""


def resolved(
    weight: str = "80 lb cover",
    sheet: str = "12 in x 12 in",
    grain: str = "long",
    printed: str = "any",
    height: str = "6",
) -> ResolvedDesign:
    text = TEXT.format(weight=weight, sheet=sheet, grain=grain, print=printed, height=height)
    return pierced(resolve(read_design(text.encode(), "grain.yaml"), IMPERIAL))


@pytest.mark.parametrize(
    ("sheet", "grain", "axis"),
    [
        ("12 in x 12 in", "long", "vertical"),
        ("12 in x 12 in", "short", "horizontal"),
        ("8 in x 11 in", "long", "vertical"),
        ("11 in x 8 in", "long", "horizontal"),
        ("11 in x 8 in", "short", "vertical"),
        ("11 in x 8 in", "any", None),
    ],
)
def test_which_way_the_grain_runs_on_the_sheet(sheet: str, grain: str, axis: str | None) -> None:
    assert grain_axis(resolved(sheet=sheet, grain=grain).stocks["card"]) == axis


@pytest.mark.parametrize(
    ("changes", "way", "advised"),
    [
        ({}, "upright", False),
        ({"grain": "short"}, "turned", False),
        ({"grain": "any"}, None, False),
        ({"grain": "short", "printed": "upright"}, "upright", True),
        ({"grain": "long", "printed": "sideways"}, "turned", True),
        ({"grain": "short", "printed": "upright", "weight": "120 g/m2"}, "upright", False),
        ({"grain": "short", "sheet": "6 in x 14 in", "height": "13"}, None, True),
    ],
)
def test_scores_lie_along_the_grain_unless_something_forbids_it(
    changes: dict[str, str], way: str, advised: bool
) -> None:
    found = resolved(**changes)
    assert way_round(found.pieces["hinge"]) == way
    assert way_round(found.pieces["plain"]) in (None, "upright", "turned")
    findings = list(check_grain(found))
    assert [finding.code for finding in findings] == ["score-across-grain"] * advised


def test_the_plan_turns_the_piece() -> None:
    (sheet,) = plan_stocks(resolved(grain="short"))["card"].plan.sheets
    hinge = next(placed for placed in sheet.placed if placed.key == "hinge")
    assert (hinge.width, hinge.height) == (6 * INCH, 5 * INCH)

"""Stocks as they are: margins, limits, prices, scraps, the trimmer and whole classes.

The designs of ``tests/designs`` are harder than the shipped ones: a class of twelve, and a paper
with three pictures to cut round and both sides used.
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from gatherfold.counts.supplies import supplies
from gatherfold.documents.sheets_text import plan_status
from gatherfold.drawings.scene_check import overlaps
from gatherfold.drawings.sheet_map.drawing import sheet_scene
from gatherfold.drawings.sheet_map.mapped import MappedSheet
from gatherfold.editions import check_edition
from gatherfold.editions.checked import Checked
from gatherfold.findings import Finding, Severity
from gatherfold.lengths import INCH, is_on_grid
from gatherfold.native_edition import settle
from gatherfold.plans import StockPlan, plan_stocks, rectangles_of
from gatherfold.reading import read_design
from gatherfold.reading.read_design import read_design_file
from gatherfold.resolve.edition import EDITIONS, IMPERIAL, METRIC, Edition
from gatherfold.sheets import Rectangle, Trimmer
from gatherfold.wording import load_wording
from tests.once import once
from tests.sheets.checker import verify

DESIGNS = Path(__file__).parent / "designs"
EACH_EDITION = pytest.mark.parametrize("edition", EDITIONS.values(), ids=lambda each: each.name)

TEXT = """\
title: Stocks
units: inch
currency: EUR
stocks:
  paper:
    material: paper
    sheet: 12 x 12
    MORE
    front:
      name: Owls
      motifs: {owl: {left: 4, bottom: 5, size: 2 x 2}, low: {left: 5, bottom: 1, size: 1 x 1}}
    back: {name: Moths, motifs: {moth: {left: 1, bottom: 4, size: 1 x 1}}}
  silk: {material: ribbon, width: 1/4 in}
supplies: {tape: {kind: tape, width: 1/4 in, roll: 100 in}}
pieces:
  PIECES
fastenings:
  tie: {kind: ribbon tie, ribbon: silk, length: 10, allowance: 1, count: 2}
  pin: {kind: brad, head: 1/4 in, leg: 1/4 in}
"""


def text(more: str = "{}", pieces: str = "card: {from: paper, size: 4 x 4}", top: str = "") -> str:
    return (
        (TEXT + top)
        .replace("    MORE\n", "" if more == "{}" else f"    {more}\n")
        .replace("PIECES", pieces)
    )


def planned(content: str, kits: int = 1, edition: Edition = IMPERIAL) -> StockPlan:
    resolved = settle(read_design(content.encode(), "stocks.yaml"), edition).resolved
    return plan_stocks(resolved, kits)["paper"]


def errors(content: str, edition: Edition = IMPERIAL, kits: int = 1) -> list[Finding]:
    found = check_edition(read_design(content.encode(), "stocks.yaml"), edition, kits).findings
    return [finding for finding in found if finding.severity is Severity.ERROR]


# Sheets for the planner


def test_nothing_lies_in_a_margin() -> None:
    plan = planned(
        text("margin: {bottom: 1/2, left: 1}", "card: {from: paper, size: 4 x 4, count: 9}")
    )
    for sheet in plan.plan.sheets:
        assert all(p.x >= INCH and p.y >= INCH / 2 for p in sheet.placed)
    assert len(plan.plan.sheets) == 3, "four cards a sheet are left where nine would lie"


@EACH_EDITION
def test_every_guide_setting_is_on_the_grid_beside_a_margin(edition: Edition) -> None:
    """Half an inch is 12.7 mm: the strip cut off is measured from the sheet's other edge."""
    plan = planned(
        text("margin: {bottom: 1/2, left: 3/8}", "card: {from: paper, size: 3 x 5, count: 11}"),
        edition=edition,
    )
    cuts = [cut for sheet in plan.plan.sheets for cut in sheet.cuts]
    assert cuts and all(is_on_grid(Fraction(cut.setting), edition.grid) for cut in cuts)


def test_the_cheaper_of_two_sizes_is_taken_and_scraps_before_either() -> None:
    sizes = "price: 1.20\n    more_sheets: [{sheet: 6 x 12, price: 0.50}]\n    scraps: [4 x 4]"
    found = planned(text(sizes, "card: {from: paper, size: 4 x 4, count: 4}"))
    names = sorted(sheet.sheet.name for sheet in found.plan.sheets)
    assert names == ["paper sheet 2", "paper sheet 3"]
    assert (found.plan.cost, found.plan.proven) == (Fraction(1, 2), True)
    assert plan_status(found, "EUR", load_wording()).startswith("EUR\u00a00.50 is the least")


def test_a_piece_with_a_motif_comes_from_the_printed_sheet_only() -> None:
    found = planned(text("scraps: [11 x 11]", "card: {from: paper front, size: 4 x 4, motif: owl}"))
    assert [sheet.sheet.name for sheet in found.plan.sheets] == ["paper"]


def test_a_long_sheet_is_cut_across_first_for_a_short_trimmer() -> None:
    content = text("{}", "card: {from: paper, size: 12 x 9, count: 4}")
    content = content.replace("sheet: 12 x 12", "sheet: 12 x 36")
    found = planned(content + "trimmer: {longest_cut: 12 in}\n")
    assert found.plan.unplaced == ()
    assert all(cut.axis == "horizontal" for sheet in found.plan.sheets for cut in sheet.cuts)


# Findings


CASES = [
    (
        "limit: 1",
        "card: {from: paper, size: 7 x 7, count: 3}",
        "",
        ("not-enough-sheets", "2 pieces ('card' × 2) cannot come from", "'limit: 3'"),
        ("limit: 1", "limit: 3"),
    ),
    (
        "limit: 1",
        "card: {from: paper front, size: 4 x 4, motif: owl, count: 3}",
        "",
        ("motifs-overlap", "two copies of 'card' want the same 4\u00a0× 4\u00a0in", "'limit: 3'"),
        ("limit: 1", "limit: 3"),
    ),
    (
        "{}",
        "card: {from: paper, size: 4 x 1/8}",
        "trimmer: {narrowest_strip: 1/4 in}\n",
        ("strip-too-narrow", "⅛\u00a0in wide", "Make it ¼\u00a0in wide"),
        ("4 x 1/8", "4 x 1/4"),
    ),
    (
        "{}",
        "card: {from: paper, size: 11 x 11}",
        "trimmer: {longest_cut: 10 in}\n",
        ("cut-too-long", "at most 10\u00a0in", "'longest_cut: 12 in'"),
        ("longest_cut: 10 in", "longest_cut: 12 in"),
    ),
    (
        "margin: {bottom: 1/4}",
        "card: {from: paper front, size: 3 x 3, motif: low}",
        "",
        (
            "no-place-on-sheet",
            "reaches ¼\u00a0in over the margin at the bottom",
            "at most 3\u00a0× 2",
        ),
        ("size: 3 x 3", "size: 3 x 2 7/16"),
    ),
    (
        "margin: {bottom: 1 1/2}",
        "card: {from: paper, size: 3 x 3}",
        "",
        (
            "motif-in-margin",
            "'low' on the front of 'paper' lies ½\u00a0in in the bottom",
            "½\u00a0in",
        ),
        ("bottom: 1 1/2", "bottom: 1"),
    ),
    (
        "margin: {right: 1 1/2}",
        "card: {from: paper, size: 3 x 3}",
        "",
        (
            "motif-in-margin",
            "'moth' on the back of 'paper' lies ½\u00a0in in the left",
            "½\u00a0in",
        ),
        ("right: 1 1/2", "right: 1"),
    ),
    (
        "margin: 1/4",
        "card: {from: paper, size: 12 x 3}",
        "",
        ("larger-than-sheet", "of which its margins leave 11½\u00a0× 11½\u00a0in", "smaller"),
        ("12 x 3", "11 1/2 x 3"),
    ),
]


@pytest.mark.parametrize(
    ("more", "pieces", "top", "found", "mend"), CASES, ids=lambda c: str(c)[:30]
)
def test_what_cannot_be_is_found_with_a_remedy_that_works(
    more: str, pieces: str, top: str, found: tuple[str, str, str], mend: tuple[str, str]
) -> None:
    content = text(more, pieces, top)
    (finding,) = errors(content)
    code, message, remedy = found
    assert finding.code == code
    assert message in finding.message and remedy in finding.remedy
    line = content.splitlines()[finding.position.line - 1]
    assert "card:" in line or "motifs:" in line
    assert errors(content.replace(*mend)) == [], "the remedy must work"


def test_a_strip_too_narrow_in_millimetres_is_moved_to_what_the_trimmer_holds() -> None:
    content = text(
        "{}", "card: {from: paper, size: 4 x 1/4}", "trimmer: {narrowest_strip: 1/4 in}\n"
    )
    assert errors(content, METRIC) == []
    resolved = settle(read_design(content.encode(), "stocks.yaml"), METRIC).resolved
    assert resolved.pieces["card"].height == 7


def test_more_kits_than_a_limited_stock_gives_are_found() -> None:
    content = text("limit: 2", "card: {from: paper, size: 7 x 7}")
    assert errors(content, kits=2) == []
    (finding,) = errors(content, kits=5)
    assert finding.code == "not-enough-sheets" and "'limit: 5'" in finding.remedy


# Supplies


def test_supplies_say_what_one_kit_and_what_all_kits_need() -> None:
    pieces = "card: {from: paper, size: 5 x 6}\n  mat: {from: paper, on: card, leaving: 1/2}"
    content = text("price: 1.25", pieces)
    resolved = settle(read_design(content.encode(), "stocks.yaml"), IMPERIAL).resolved
    lines: dict[str, Any] = {
        line.kind: line for line in supplies(resolved, plan_stocks(resolved, 12), 12)
    }
    sheet, ribbon, tape, brad = (lines[kind] for kind in ("sheet", "ribbon", "tape", "brad"))
    assert (sheet.of_one.count, sheet.cost(sheet.of_one)) == (1, Fraction(5, 4))
    count = sheet.for_all.count
    assert count < 12 and sheet.cost(sheet.for_all) == count * Fraction(5, 4)
    assert (ribbon.of_one.length, ribbon.for_all.length) == (22 * INCH, 264 * INCH)
    assert (tape.of_one.length, tape.for_all.length) == (18 * INCH, 216 * INCH)
    assert (tape.of_one.count, tape.for_all.count) == (1, 3), "216 in from rolls of 100 in"
    assert (brad.of_one.count, brad.for_all.count) == (1, 12)


@pytest.mark.parametrize(
    ("amount", "currency", "written"),
    [("6/5", "EUR", "EUR\u00a01.20"), ("5", "€", "€5.00"), ("1/200", "kr.", "kr.\u00a00.01")],
)
def test_money_is_written_to_the_cent(amount: str, currency: str, written: str) -> None:
    assert load_wording().money(Fraction(amount), currency) == written


# Harder designs


def _wanted(plan: StockPlan, grid: Fraction, kits: int) -> list[Rectangle]:
    once = [copy for piece in plan.pieces for copy in rectangles_of(piece, grid)]
    return [
        Rectangle(f"{r.key}#kit{n}" if n > 1 else r.key, r.width, r.height, r.turns, r.pin, r.sheet)
        for n in range(1, kits + 1)
        for r in once
    ]


@once
def kits_of(name: str, kits: int, edition: Edition) -> Checked:
    """So many kits of a harder design, planned and checked."""
    return check_edition(read_design_file(DESIGNS / f"{name}.yaml"), edition, kits)


@EACH_EDITION
@pytest.mark.parametrize(
    ("name", "kits", "sheets"),
    [
        ("class-keepsake", 1, {"slate": 3, "reeds": 1}),
        ("class-keepsake", 12, {"slate": 13, "reeds": 5}),
        ("pond-paper", 1, {"pond": 1}),
        ("pond-paper", 12, {"pond": 12}),
    ],
)
def test_harder_designs_are_planned_to_the_proven_least(
    name: str, kits: int, sheets: dict[str, int], edition: Edition
) -> None:
    found = kits_of(name, kits, edition)
    plans, limits = found.plans, found.resolved.trimmer
    trimmer = Trimmer(limits.longest_cut, limits.narrowest_strip)
    for plan in plans.values():
        assert plan.plan.proven and plan.plan.unplaced == ()
        assert verify(plan.plan, _wanted(plan, edition.grid, kits), trimmer) == []
    assert {key: len(plan.plan.sheets) for key, plan in plans.items()} == sheets


@EACH_EDITION
@pytest.mark.parametrize(("name", "kits"), [("class-keepsake", 12), ("pond-paper", 1)])
def test_their_maps_can_be_read(name: str, kits: int, edition: Edition) -> None:
    found = kits_of(name, kits, edition)
    for key, plan in found.plans.items():
        for numbers in plan.alike:
            sheet, total = plan.plan.sheets[numbers[0] - 1], len(plan.plan.sheets)
            room = (170, 140) if len(sheet.cuts) > 16 else (105, 98)
            scene = sheet_scene(
                MappedSheet(found.resolved, key, sheet, numbers[0], total, last=numbers[-1]), *room
            )
            assert overlaps(scene) == ()
            words = [item.text for item in scene.texts]
            if key == "pond":
                assert {"the heron", "the newt", "the frog"} <= set(words)
                assert sum(word.startswith("no print") for word in words) == 2


@EACH_EDITION
@pytest.mark.parametrize(("name", "kits"), [("class-keepsake", 12), ("pond-paper", 1)])
def test_harder_designs_fit(name: str, kits: int, edition: Edition) -> None:
    findings = kits_of(name, kits, edition).findings
    assert [str(finding) for finding in findings] == []

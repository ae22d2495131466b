"""Cut list, supplies, tools and hazards of a design small enough to count by hand."""

from __future__ import annotations

from fractions import Fraction

import pytest

from gatherfold.counts.cut_list import cut_list
from gatherfold.counts.supplies import adhesive_length, supplies
from gatherfold.counts.tools import all_hazards, all_tools, step_hazards
from gatherfold.lengths import INCH
from gatherfold.plans import plan_stocks
from gatherfold.reading import read_design
from gatherfold.resolve import ResolvedDesign, resolve
from gatherfold.resolve.edition import IMPERIAL, METRIC
from gatherfold.wording import load_wording
from gatherfold.work import pierced

TEXT = b"""\
title: Counted
units: inch
stocks:
  card: {material: cardstock, weight: 80 lb cover, sheet: 12 in x 12 in}
  paper: {material: paper, sheet: 12 in x 12 in, front: {name: Dots, print: upright}, back: Plain}
  silk: {material: ribbon, width: 1/4 in}
supplies:
  tape: {kind: tape, width: 1/4 in, roll: 20 in}
pieces:
  base: {as: panel, from: card, size: 8 x 6}
  left_mat: {as: mat, from: paper front, on: base, left: 1/2, top: 1/2, bottom: 1/2, width: 3}
  right_mat: {as: mat, from: paper front, on: base, right: 1/2, top: 1/2, bottom: 1/2, width: 3}
  pocket: {as: pocket, from: card, size: 4 x 3, on: left_mat, bottom: 0, width: 3, height: 3, \
glue: "left, bottom, right"}
  tag: {as: tag, from: card, size: 2 x 3, count: 2, corners: {top: mitre 1/2}, \
hole: {diameter: 1/4, top: 3/8}}
fastenings:
  first: {kind: brad, head: 1/4 in, leg: 1/2 in, through: base, left: 1}
  second: {kind: brad, head: 1/4 in, leg: 1/2 in, through: base, right: 1}
  tie: {kind: ribbon tie, ribbon: silk, length: 10, allowance: 1, count: 2}
steps:
  - {title: Cut, text: Cut., cut: all}
  - {title: Fasten, text: Fasten., fasten: "first, second, tie"}
  - {title: Glue, text: Glue., attach: "*_mat, pocket"}
""".replace(b"size: 4 x 3, on", b"on")


@pytest.fixture(scope="module")
def resolved() -> ResolvedDesign:
    return pierced(resolve(read_design(TEXT, "counted.yaml"), IMPERIAL))


def test_alike_pieces_share_a_row(resolved: ResolvedDesign) -> None:
    rows = {tuple(piece.key for piece in row.pieces): row for row in cut_list(resolved)}
    assert rows["left_mat", "right_mat"].count == 2
    assert rows["tag",].count == 2
    features = {feature.kind: feature for feature in rows["tag",].features}
    assert features["mitre"].lengths == (INCH / 2,)
    assert features["hole"].lengths == (INCH / 4, INCH, 3 * INCH - 3 * INCH / 8)


def test_adhesive_runs_once_along_each_glued_edge(resolved: ResolvedDesign) -> None:
    """Two mats of 3 × 5 in: 16 in each; a 3 × 3 in pocket on three sides: 9 in."""
    assert adhesive_length(resolved) == (16 + 16 + 9) * INCH


def test_adhesive_runs_only_where_two_pieces_meet() -> None:
    """An 8 × 6 in cover laid on a tab 1 in wide and 6 in high needs 14 in, not 28 in."""
    text = b"""\
title: Meeting
units: inch
stocks: {card: {material: cardstock, sheet: 12 in x 12 in}}
pieces:
  hinge: {from: card, across: {tab: 1, far: 1}, height: 6}
  cover: {from: card, size: 8 x 6, on: hinge.tab, right: 0}
"""
    resolved = pierced(resolve(read_design(text, "meeting.yaml"), IMPERIAL))
    assert adhesive_length(resolved) == 14 * INCH


def test_supplies_add_up(resolved: ResolvedDesign) -> None:
    lines = {line.key: line for line in supplies(resolved, plan_stocks(resolved))}
    assert lines["card"].for_all.count == 1
    assert lines["silk"].for_all.length == 22 * INCH
    assert lines["first"].for_all.count == 2, "brads of one size are counted together"
    assert lines["tape"].for_all.count == 3, "41 in of tape from rolls of 20 in"


def test_metric_supplies_keep_the_true_size_of_things() -> None:
    """A 12 in sheet is 304.8 mm (25.4 mm to the inch, NIST SP 811) and a ¼ in brad 6.35 mm."""
    metric = pierced(resolve(read_design(TEXT, "counted.yaml"), METRIC))
    lines = {line.key: line for line in supplies(metric, plan_stocks(metric))}
    assert lines["card"].size == (Fraction("304.8"), Fraction("304.8"))
    assert lines["first"].size == (Fraction("6.35"), Fraction("12.7"))
    assert lines["silk"].for_all.length == 2 * (254 + 25), "ribbon is cut by hand, so it snaps"


def test_tools_follow_from_operations_and_hazards_from_tools(resolved: ResolvedDesign) -> None:
    assert set(all_tools(resolved)) == {
        "trimmer", "ruler", "pencil", "scissors", "hole_punch", "awl", "piercing_mat", "adhesive",
    }  # fmt: skip
    assert set(all_hazards(resolved)) == {
        "blade", "scissors", "punch", "piercing", "small_parts", "adhesive",
    }  # fmt: skip
    pierced = [
        number
        for number, step in enumerate(resolved.design.steps, start=1)
        if "piercing" in step_hazards(step, resolved)
    ]
    assert pierced[0] == 2


def test_every_hazard_is_worded_with_a_signal_word_of_ansi_z535() -> None:
    """ANSI Z535.6: DANGER, WARNING and CAUTION are for injury, NOTICE is not."""
    wording = load_wording()
    for hazard in wording.hazards.values():
        assert hazard.signal in ("WARNING", "CAUTION")
        assert hazard.avoid and hazard.danger and hazard.short
    assert wording.hazards["blade"].signal == "CAUTION", "minor cuts are a CAUTION"

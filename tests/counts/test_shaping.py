"""Score, then shape: in which step a piece gets its corners, and what that step needs."""

from __future__ import annotations

import pytest

from builder.counts.cut_list import cut_list
from builder.counts.shaping import piercing_step, shaped_pieces, shaping_of
from builder.counts.tools import section_hazards, step_hazards, step_supplies, step_tools
from builder.documents.cut_list_text import cut_lists
from builder.lengths import INCH
from builder.reading import read_design
from builder.resolve import ResolvedDesign, resolve
from builder.resolve.edition import IMPERIAL
from builder.wording import load_wording

TEXT = """\
title: Shaped
units: inch
stocks: {card: {material: cardstock, sheet: 12 in x 12 in}}
supplies:
  strip: {kind: tape, width: 1/4 in, name: Red tape}
  pad: {kind: ink, name: Blue pad}
pieces:
  tray:
    as: tray
    from: card
    across: {left_wall: 2, base: 4, right_wall: 2}
    up: {front_wall: 2, base: 3, back_wall: 2}
    corners: {all: notch 2 x 2}
    tabs: {left_wall: {top: 3/4, bottom: 3/4, taper: 1/8}, right_wall: {top: 3/4, bottom: 3/4, \
taper: 1/8}}
  plate: {as: panel, from: card, size: 3 x 2, corners: {all: round 1/4}, on: tray.base}
fastenings:
  pin: {kind: brad, head: 1/4 in, leg: 1/2 in, through: plate}
steps:
  - {key: cutting, title: Cut, text: Cut., cut: all}
  - {key: scoring, title: Score, text: Score., score: tray, fold: tray}
  - {key: inking, title: Ink, text: Ink., ink: plate}
  - {key: gluing, title: Glue, text: Glue it., attach: plate}
  - {key: closing, title: Close, text: "Put [strip] on the tabs of the [tray]."}
  - {key: fixing, title: Fix, text: Fix it., fasten: pin}
"""


@pytest.fixture(scope="module")
def resolved() -> ResolvedDesign:
    return resolve(read_design(TEXT.encode(), "shaped.yaml"), IMPERIAL)


def test_what_is_scored_is_shaped_after_its_scores(resolved: ResolvedDesign) -> None:
    cutting, scoring, *_ = resolved.design.steps
    assert shaped_pieces(cutting, "cut", resolved) == ("plate",)
    assert shaped_pieces(scoring, "score", resolved) == ("tray",)
    assert shaping_of("tray", resolved) == ("scoring", "score")
    assert piercing_step("pin", resolved) == 6


def test_tools_and_hazards_are_those_of_the_step_that_shapes(resolved: ResolvedDesign) -> None:
    """The knife cuts the corners out after scoring; the sheet maps' part warns of its own."""
    cutting, scoring, *_ = resolved.design.steps
    assert {"knife", "cutting_mat"} <= set(step_tools(scoring, resolved))
    assert "knife" not in step_tools(cutting, resolved)
    assert "corner_rounder" in step_tools(cutting, resolved)
    assert set(step_hazards(scoring, resolved)) == {"blade"}
    assert section_hazards(frozenset({"cut"}), resolved) == ("blade", "punch")


def test_corners_of_a_section_call_for_their_tool() -> None:
    """Without its mitres the blank needs no scissors."""
    corners = "corners: {all: notch 2 x 2, front_wall bottom: mitre 1/4}"
    text = TEXT.replace("corners: {all: notch 2 x 2}", corners)
    resolved = resolve(read_design(text.encode(), "shaped.yaml"), IMPERIAL)
    assert "scissors" in step_tools(resolved.design.steps[1], resolved)
    plain = resolve(read_design(TEXT.encode(), "shaped.yaml"), IMPERIAL)
    assert "scissors" not in step_tools(plain.design.steps[1], plain)


def test_ink_warns_of_ink_and_tape_of_adhesive(resolved: ResolvedDesign) -> None:
    _, _, inking, gluing, closing, _ = resolved.design.steps
    assert step_hazards(inking, resolved) == ("ink",)
    assert step_hazards(gluing, resolved) == ("adhesive",)
    assert step_hazards(closing, resolved) == ("adhesive",), "the step only names the tape"


def test_a_step_that_glues_has_an_adhesive_though_another_step_names_the_only_one(
    resolved: ResolvedDesign,
) -> None:
    uses = {step.key: step_supplies(step, resolved) for step in resolved.design.steps}
    assert uses["gluing"] == uses["closing"] == ("strip",)
    assert uses["inking"] == ("pad",)
    assert uses["cutting"] == uses["fixing"] == ()


def test_the_cut_list_orders_the_work_so_that_the_tabs_stay_on(resolved: ResolvedDesign) -> None:
    """By hand: tabs 3/4 deep, 1/8 cut away at their ends; corners 2 x 2."""
    rows = cut_list(resolved)
    tab = next(f for row in rows for f in row.features if f.kind == "tab")
    assert tab.lengths == (INCH * 3 / 4, INCH / 8)
    ((tray, plate),) = (each.rows for each in cut_lists(resolved, rows, 1, load_wording()))
    first, tabs, corners = (text.replace("\u00a0", " ") for text in tray.shaping)
    assert first == "in step 2 score first, then:"
    assert tabs.startswith("draw a glue tab ¾ in deep, ⅛ in cut away at both ends: left wall top")
    assert corners == "cut out 2 in × 2 in round the tabs, which stay on: all corners"
    assert plate.shaping[-1].startswith("in step 6: pierce")


def test_without_a_step_that_scores_the_cut_list_still_says_the_order() -> None:
    text = TEXT.replace("score: tray, fold: tray", "fold: tray")
    resolved = resolve(read_design(text.encode(), "shaped.yaml"), IMPERIAL)
    tray = cut_lists(resolved, cut_list(resolved), 1, load_wording())[0].rows[0]
    assert tray.shaping[0] == "score first, then:"

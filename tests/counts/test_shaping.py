"""Score, then shape: in which step a piece gets its corners, and what that step needs."""

from __future__ import annotations

from dataclasses import replace

import pytest

from gatherfold.counts.cut_list import cut_list
from gatherfold.counts.shaping import piercing_step, shaped_pieces, shaping_of
from gatherfold.counts.tools import section_hazards, step_hazards, step_supplies, step_tools
from gatherfold.documents.cut_list_text import CutListText
from gatherfold.drawings.sheet_map.drawing import sheet_scene
from gatherfold.drawings.sheet_map.mapped import MappedSheet
from gatherfold.lengths import INCH
from gatherfold.plans import plan_stocks
from gatherfold.reading import read_design
from gatherfold.resolve import ResolvedDesign, resolve
from gatherfold.resolve.edition import IMPERIAL
from gatherfold.sheets.kits import name_of
from gatherfold.wording import load_wording
from gatherfold.work import pierced

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
    return pierced(resolve(read_design(TEXT.encode(), "shaped.yaml"), IMPERIAL))


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
    assert section_hazards(frozenset({"cut"}), resolved) == ("blade", "punch", "scissors")


def test_corners_of_a_section_call_for_their_tool() -> None:
    """Without its mitres the blank needs no scissors."""
    corners = "corners: {all: notch 2 x 2, front_wall bottom: mitre 1/4}"
    text = TEXT.replace("corners: {all: notch 2 x 2}", corners)
    resolved = pierced(resolve(read_design(text.encode(), "shaped.yaml"), IMPERIAL))
    assert "scissors" in step_tools(resolved.design.steps[1], resolved)
    plain = pierced(resolve(read_design(TEXT.encode(), "shaped.yaml"), IMPERIAL))
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
    ((tray, plate),) = (
        each.rows for each in CutListText(resolved, 1, load_wording()).views(rows, {})
    )
    first, tabs, corners = (text.replace("\u00a0", " ") for text in tray.shaping)
    assert first == "in step 2 score first, then:"
    assert tabs.startswith("draw a glue tab ¾ in deep, ⅛ in cut away at both ends: left wall top")
    assert corners == "cut out 2 in × 2 in round the tabs, which stay on: all corners"
    assert plate.shaping[-1].startswith("in step 6: pierce")


def test_without_a_step_that_scores_the_cut_list_still_says_the_order() -> None:
    text = TEXT.replace("score: tray, fold: tray", "fold: tray")
    resolved = pierced(resolve(read_design(text.encode(), "shaped.yaml"), IMPERIAL))
    tray = CutListText(resolved, 1, load_wording()).views(cut_list(resolved), {})[0].rows[0]
    assert tray.shaping[0] == "score first, then:"


CIRCLE = """\
title: Round
units: inch
stocks:
  reeds:
    name: Reed paper
    material: paper
    sheet: 12 in x 5 in
    front: {name: Reeds, print: upright}
    back: {name: Sand}
pieces:
  seal: {as: tag, from: reeds back, size: 2 x 2, corners: {all: round 1}}
  plate: {as: tag, from: reeds back, size: 2 x 1, corners: {all: round 1/2}}
  strip: {as: tag, from: reeds back, size: 1 x 9}
  pair: {as: tag, from: reeds back, size: 1 x 9}
steps:
  - {title: Cut, text: Cut., cut: all}
"""


def test_a_square_rounded_to_a_circle_is_listed_as_one() -> None:
    """2 in square with corners of 1 in; the plate of 2 × 1 in with corners of ½ in has straight
    edges left."""
    resolved = pierced(resolve(read_design(CIRCLE.encode(), "round.yaml"), IMPERIAL))
    lists = CutListText(resolved, 1, load_wording()).views(cut_list(resolved), {})
    said = {row.title: " ".join(row.shaping).replace("\u00a0", " ") for row in lists[0].rows}
    assert said["Seal"] == "round to a circle 2 in across"
    assert said["Plate"] == "round ½ in: all corners"


def test_the_cut_list_says_which_pieces_a_map_shows_turned() -> None:
    """1 × 9 in lies along a sheet that is 5 in high, and the map's own label has the sizes so."""
    resolved = pierced(resolve(read_design(CIRCLE.encode(), "round.yaml"), IMPERIAL))
    plans = plan_stocks(resolved)
    rows = cut_list(resolved)
    lists = CutListText(resolved, 1, load_wording()).views(rows, plans)
    said = {row.title: row.shaping for row in lists[0].rows}
    assert said["Strip; Pair"] == ("turned on the map",)
    assert "turned on the map" not in said["Seal"]
    (sheet,) = plans["reeds"].plan.sheets
    scene = sheet_scene(MappedSheet(resolved, "reeds", sheet, 1, 1), 170.0, 136.0)
    words = " ".join(text.text for text in scene.texts)
    assert "9 × 1" in words
    assert "1 × 9" not in words
    (copy,) = (each for each in sheet.placed if name_of(each.key) == "pair")
    alone = replace(sheet, placed=tuple(each for each in sheet.placed if each is not copy))
    plan = replace(plans["reeds"], plan=replace(plans["reeds"].plan, sheets=(alone,)))
    lists = CutListText(resolved, 1, load_wording()).views(rows, {"reeds": plan})
    code = resolved.pieces["strip"].code
    (row,) = (row for row in lists[0].rows if row.title == "Strip; Pair")
    assert row.shaping == (f"{code} turned on the map",), "of two made alike only this one"

"""Strips divided later, places that the print gives, spares kept back, and cuts told in words.

``tests/designs/border-album.yaml`` has all of them; small designs ask for one thing each.
"""

from __future__ import annotations

import re
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import pytest

from gatherfold.counts.cut_list import cut_list
from gatherfold.documents.cut_list_text import CutListText, score_first
from gatherfold.documents.sheets_text import SheetsText, Uncut, cut_views
from gatherfold.drawings.scene_check import overlaps
from gatherfold.drawings.sheet_map.drawing import sheet_scene
from gatherfold.drawings.sheet_map.mapped import MappedSheet
from gatherfold.editions import Computed, check_edition
from gatherfold.findings import Finding, Severity
from gatherfold.lengths import INCH
from gatherfold.native_edition import settle
from gatherfold.plans import (
    StockPlan,
    facing_side,
    part_sizes,
    placed_pieces,
    plan_stocks,
    rectangles_of,
    strip_plan,
)
from gatherfold.reading import read_design
from gatherfold.reading.read_design import read_design_file
from gatherfold.record import edition_record
from gatherfold.resolve.edition import EDITIONS, IMPERIAL, Edition
from gatherfold.resolve.resolved import ResolvedDesign
from gatherfold.sheets import Placed, name_of
from gatherfold.wording import load_wording
from tests.documents.test_pdf import _SIZE, _WITH_UNIT, lengths_in, value_of
from tests.sheets.checker import replay, verify

ALBUM = Path(__file__).parent / "designs" / "border-album.yaml"
EACH_EDITION = pytest.mark.parametrize("edition", EDITIONS.values(), ids=lambda each: each.name)

TEXT = """\
title: Places
units: inch
stocks:
  vines:
    material: paper
    sheet: 12 x 12
    KEEP
    front: {name: Vines, print: PRINT, regions: {stem: {left: 2, bottom: 3, size: 4 x 5}}}
    back: {name: Moss, print: any, regions: {leaf: {left: 1, bottom: 2, size: 3 x 3}}}
pieces:
  PIECES
"""


def resolved_of(
    pieces: str, keep: str = "", prints: str = "any", more: str = "", edition: Edition = IMPERIAL
) -> ResolvedDesign:
    text = TEXT.replace("PIECES", pieces).replace("PRINT", prints) + more
    text = text.replace("    KEEP\n", f"    keep: {keep}\n" if keep else "")
    return settle(read_design(text.encode(), "places.yaml"), edition).resolved


def planned(resolved: ResolvedDesign, kits: int = 1) -> StockPlan:
    return plan_stocks(resolved, kits)["vines"]


def placed(plan: StockPlan, key: str) -> Placed:
    return next(each for sheet in plan.plan.sheets for each in sheet.placed if each.key == key)


@pytest.fixture(scope="module", params=EDITIONS)
def album(request: pytest.FixtureRequest) -> ResolvedDesign:
    return settle(read_design_file(ALBUM), EDITIONS[request.param]).resolved


# The album, which uses everything


@EACH_EDITION
def test_the_album_has_no_finding_and_its_sheets_are_proven(edition: Edition) -> None:
    checked = check_edition(read_design_file(ALBUM), edition)
    assert checked.findings == ()
    assert {key: len(plan.plan.sheets) for key, plan in checked.plans.items()} == {
        "slate": 1,
        "vines": 1,
    }
    assert all(plan.plan.proven for plan in checked.plans.values())


def test_every_sheet_of_the_album_is_replayed_and_drawn_clear(album: ResolvedDesign) -> None:
    for key, stock_plan in plan_stocks(album).items():
        outs = [out for out in album.cut_outs.values() if out.stock.key == key]
        wanted = [copy for out in outs for copy in rectangles_of(out, album.edition.grid)]
        assert verify(stock_plan.plan, wanted) == []
        for sheet in stock_plan.plan.sheets:
            assert replay(sheet.sheet, sheet.cuts, sheet.final)
            kept = stock_plan.kept_on(1)
            scene = sheet_scene(MappedSheet(album, key, sheet, 1, 1, kept=kept), 105, 98)
            assert overlaps(scene) == ()


# Strips


def test_a_strip_is_divided_into_exactly_its_pieces(album: ResolvedDesign) -> None:
    """A replay that knows only the strip and the cuts gives every hinge at its size."""
    strip = album.strips["hinge_strip"]
    plan = strip_plan(strip)
    boxes = replay(plan.sheet, plan.cuts, plan.final)
    assert {key: (width, height) for key, (_, _, width, height) in boxes.items()} == {
        piece.key: (piece.width, piece.height) for piece in strip.pieces
    }
    settings = sum(Fraction(cut.setting) for cut in plan.cuts)
    assert settings + strip.allowance == strip.height
    (over,) = plan.offcuts
    assert part_sizes(plan)[over.part] == (strip.width, strip.allowance)


def test_pieces_in_a_strip_lie_within_it_on_the_sheet(album: ResolvedDesign) -> None:
    (sheet,) = plan_stocks(album)["slate"].plan.sheets
    whole = next(each for each in sheet.placed if each.key == "hinge_strip")
    hinges = [each for each in placed_pieces(album, sheet, "front") if name_of(each.key) != "card"]
    assert [each.key for each in hinges] == [part.key for part in album.strips["hinge_strip"].parts]
    assert (
        sum(each.width * each.height for each in hinges)
        + (whole.width * album.strips["hinge_strip"].allowance)
        == whole.width * whole.height
    )
    for each in hinges:
        assert whole.x <= each.x and each.x + each.width <= whole.x + whole.width
        assert whole.y <= each.y and each.y + each.height <= whole.y + whole.height


def test_a_strip_is_told_in_the_cut_list_and_divided_in_its_step(album: ResolvedDesign) -> None:
    wording = load_wording()
    lists = CutListText(album, 3, wording).views(cut_list(album), {})
    rows = {row.codes: row for row in lists[0].rows}
    assert rows["AS1"].shaping == ("divide into A2, A3, A4, A5",)
    assert (rows["AS1"].count, rows["AS1"].all_kits) == (1, "3 in all")
    assert "in strip AS1" in rows["A2, A3, A4, A5"].shaping
    view = SheetsText(album, wording).division(album.strips["hinge_strip"], album.design.steps[1])
    assert view.notes[0].startswith("Score it first, right across, from left:")
    (line,) = view.cuts
    assert (line.number, line.last) == (1, 4)
    assert line.action.startswith("Strip AS1, 4 times: ")
    assert line.action.endswith("from the bottom edge")
    assert line.gives.startswith("A2, A3, A4, A5 done | left over (")


def test_all_copies_of_a_piece_lie_in_its_strip() -> None:
    resolved = resolved_of(
        "bar: {from: vines, size: 1 x 4, count: 3}", more="strips: {bars: {across: bar}}\n"
    )
    strip = resolved.strips["bars"]
    assert (strip.width, strip.height) == (3 * INCH, 4 * INCH)
    assert [part.key for part in strip.parts] == ["bar", "bar#2", "bar#3"]
    plan = strip_plan(strip)
    assert [cut.setting for cut in plan.cuts] == [INCH, INCH]
    assert plan.offcuts == () and plan.settings == 1


def test_a_strip_keeps_the_direction_of_its_print() -> None:
    pieces = "a: {from: vines, size: 1 x 4}\n  b: {from: vines, size: 2 x 4}"
    more = "strips: {both: {across: [a, b]}}\n"
    upright = placed(planned(resolved_of(pieces, prints="upright", more=more)), "both")
    assert (upright.width, upright.height) == (3 * INCH, 4 * INCH)
    resolved = resolved_of(pieces, prints="sideways", more=more)
    stock_plan = planned(resolved)
    turned = placed(stock_plan, "both")
    assert (turned.width, turned.height) == (4 * INCH, 3 * INCH)
    inside = placed_pieces(resolved, stock_plan.plan.sheets[0], "front")
    assert [(each.width, each.height) for each in inside] == [
        (4 * INCH, 1 * INCH),
        (4 * INCH, 2 * INCH),
    ]


def test_pieces_in_a_strip_run_with_a_sideways_print_and_in_the_mirror_from_behind() -> None:
    """A sideways print has its top at the right: what is left on the piece is then at the top."""
    pieces = "a: {from: vines, size: 1 x 4}\n  b: {from: vines, size: 2 x 4}"
    more = "strips: {both: {across: [a, b]}}\n"
    resolved = resolved_of(pieces, prints="sideways", more=more)
    (sheet,) = planned(resolved).plan.sheets
    whole = sheet.placed[0]
    a, b = placed_pieces(resolved, sheet, "front")
    assert (a.x, a.y + a.height) == (whole.x, whole.y + whole.height) and b.y == whole.y
    resolved = resolved_of(pieces, prints="upright", more=more)
    (sheet,) = planned(resolved).plan.sheets
    whole = sheet.placed[0]
    a, b = placed_pieces(resolved, sheet, "back")
    assert (a.x + a.width, b.x) == (whole.x + whole.width, whole.x)


def test_only_scores_right_across_all_pieces_are_made_on_the_strip() -> None:
    hinge = "across: {tab: 1, back: 1}"
    pieces = f"a: {{from: vines, {hinge}, height: 2}}\n  b: {{from: vines, {hinge}, height: 3}}"
    up = resolved_of(pieces, more="strips: {both: {up: [a, b]}}\n").strips["both"]
    assert [(score.axis, score.at) for score in up.scores] == [("vertical", INCH)]
    other = pieces.replace("tab: 1, back: 1}, height: 3", "tab: 3/4, back: 1 1/4}, height: 3")
    assert resolved_of(other, more="strips: {both: {up: [a, b]}}\n").strips["both"].scores == ()


def test_strips_multiply_with_kits() -> None:
    resolved = resolved_of(
        "bar: {from: vines, size: 1 x 4, count: 3}", more="strips: {bars: {across: bar}}\n"
    )
    found = planned(resolved, kits=12)
    strips = [each for sheet in found.plan.sheets for each in sheet.placed]
    assert len(strips) == 12 and all((each.width * each.height) == 12 * INCH**2 for each in strips)


# Places that the print gives


def test_a_piece_touches_its_edge_and_lies_in_its_region() -> None:
    resolved = resolved_of(
        "foot: {from: vines, size: 3 x 2, edge: bottom}\n"
        "  bud: {from: vines, size: 3 x 3, region: stem}\n"
        "  mat: {from: vines, size: 8 x 4}"
    )
    found = planned(resolved)
    assert placed(found, "foot").y == 0
    bud = placed(found, "bud")
    assert bud.x >= 2 * INCH and bud.x + bud.width <= 6 * INCH
    assert bud.y >= 3 * INCH and bud.y + bud.height <= 8 * INCH


def test_edges_and_regions_of_the_back_are_seen_in_the_mirror() -> None:
    """The leaf lies from 1 to 4 in as the back shows it, from 8 to 11 in as the front does."""
    resolved = resolved_of(
        "leaf: {from: vines back, size: 2 x 2, region: leaf}\n"
        "  side: {from: vines back, size: 1 x 5, edge: left}\n"
        "  mats: {from: vines back, size: 2 x 2, count: 3}"
    )
    found = planned(resolved)
    leaf, side = placed(found, "leaf"), placed(found, "side")
    assert leaf.x >= 8 * INCH and leaf.x + leaf.width <= 11 * INCH
    assert side.x + side.width == 12 * INCH
    assert facing_side(resolved, found.plan.sheets[0]) == "front"


def test_the_cut_list_says_where_the_print_places_a_piece(album: ResolvedDesign) -> None:
    _, vines = CutListText(album, 1, load_wording()).views(cut_list(album), {})
    shaping = {row.codes: row.shaping for row in vines.rows}
    assert shaping["B1"] == ("from the vine border", "touches the bottom edge of the sheet")
    assert shaping["B2"] == ("from the sage stripe", "touches the right edge of the sheet")


@EACH_EDITION
def test_the_largest_piece_that_a_remedy_gives_has_a_place(edition: Edition) -> None:
    text = (
        TEXT.replace("    KEEP\n", "")
        .replace("PRINT", "upright")
        .replace("left: 2,", "left: 65/32,")
    )

    def findings(size: str) -> list[Finding]:
        piece = f"bud: {{from: vines, size: {size}, region: stem}}"
        design = read_design(text.replace("PIECES", piece).encode(), "places.yaml")
        found = check_edition(design, edition).findings
        return [each for each in found if each.severity is Severity.ERROR]

    (finding,) = findings("4 in x 5 in" if edition is IMPERIAL else "101.5 mm x 126.5 mm")
    assert finding.code in ("no-place-in-region", "off-grid")
    if finding.code == "no-place-in-region":
        size = dict(finding.numbers)
        assert findings(f"{size['room_width']} x {size['room_height']}") == []


# Spares


def test_an_offcut_that_is_large_enough_is_kept_as_it_is() -> None:
    pieces = "mat: {from: vines, size: 8 x 12}"
    with_spare = planned(resolved_of(pieces, keep="[{size: 3 x 4, for: a second mat}]"))
    without = planned(resolved_of(pieces))
    assert with_spare.plan == without.plan
    ((_, part),) = with_spare.kept
    assert part_sizes(with_spare.plan.sheets[0])[part] == (4 * INCH, 12 * INCH)


def test_a_spare_is_laid_where_no_offcut_would_do_and_costs_no_sheet() -> None:
    """Nine squares of 4 in fill the sheet; of eight, two spares of 4 x 2 in remain."""
    pieces = "square: {from: vines, size: 4 x 4, count: 8}"
    keep = "[{size: 4 x 2, for: labels}, {size: 2 x 4, for: tags}]"
    found = planned(resolved_of(pieces, keep=keep))
    assert len(found.plan.sheets) == 1 and found.missed == ()
    assert sorted(found.kept.values()) == ["labels", "tags"]
    (sheet,) = found.plan.sheets
    sizes = [part_sizes(sheet)[part] for _, part in found.kept]
    assert [sorted(size) for size in sizes] == [[2 * INCH, 4 * INCH]] * 2
    resolved = resolved_of(pieces, keep=keep)
    rectangles = [
        copy for out in resolved.cut_outs.values() for copy in rectangles_of(out, INCH / 16)
    ]
    assert verify(found.plan, rectangles) == []


def test_a_spare_never_costs_a_sheet_and_the_advice_says_by_how_much() -> None:
    text = TEXT.replace("    KEEP\n", "    keep: [{size: 5 x 5, for: a test}]\n")
    text = text.replace("PRINT", "any").replace(
        "PIECES", "square: {from: vines, size: 4 x 4, count: 8}"
    )
    checked = check_edition(read_design(text.encode(), "places.yaml"), IMPERIAL)
    assert len(checked.plans["vines"].plan.sheets) == 1
    (advice,) = [each for each in checked.findings if each.code == "no-spare"]
    assert advice.severity is Severity.ADVICE
    message, remedy = (text.replace("\xa0", " ") for text in (advice.message, advice.remedy))
    assert "the largest offcut is 4 × 4 in, and it would take one sheet more" in message
    assert "Ask for 4 × 4 in at most" in remedy


def test_a_spare_for_every_kit_is_on_the_map_and_in_the_cuts() -> None:
    resolved = resolved_of("mat: {from: vines, size: 8 x 12}", keep="[{size: 3 x 4, for: a tag}]")
    found = planned(resolved, kits=3)
    assert len(found.kept) == 3
    sheet, kept = found.plan.sheets[0], found.kept_on(1)
    scene = sheet_scene(MappedSheet(resolved, "vines", sheet, 1, 1, kept=kept), 105, 98)
    assert any(text.text == "keep 4 × 12 for a tag" for text in scene.texts)
    assert "Keep 4 × 12 for a tag." in scene.text_equivalent
    (line,) = cut_views(sheet, resolved, load_wording(), Uncut("Sheet", kept))
    assert "keep for a tag (4 × 12 in)" in line.gives.replace("\xa0", " ")


# Cuts in words


def test_a_line_says_what_to_lay_when_to_turn_and_when_the_guide_stays() -> None:
    """By hand: the line of each cut follows from what the cut before left in the maker's hand."""
    resolved = resolved_of(
        "square: {from: vines, size: 4 x 4, count: 8}\n  bar: {from: vines, size: 4 x 2}"
    )
    (sheet,) = planned(resolved).plan.sheets
    views = cut_views(sheet, resolved, load_wording(), Uncut("Sheet", {}))
    made = {part: cut for cut in sheet.cuts for part in cut.parts}
    cuts = {cut.number: cut for cut in sheet.cuts}
    assert views[0].action.startswith("Sheet")
    for earlier, view in pairwise(views):
        assert view.number == earlier.last + 1
        before, cut = cuts[earlier.last], cuts[view.number]
        assert ("same setting" in view.action) == (cut.setting == before.setting)
        assert view.action.startswith("Take") == (cut.part not in before.parts)
        assert ("urn " in view.action) == (made[cut.part].axis != cut.axis)
        assert f"{cut.edge} edge" in view.action
    assert views[-1].last == len(sheet.cuts)
    given = " ".join(view.gives for view in views)
    assert len(re.findall(r"\bA1\b", given)) == 8 and len(re.findall(r"\bA2\b", given)) == 1


def test_equal_cuts_in_what_the_cut_before_left_are_one_line() -> None:
    """Six strips of 2 in from a sheet 12 in wide are five cuts at one setting."""
    resolved = resolved_of("strip: {from: vines, size: 2 x 12, count: 6}")
    (sheet,) = planned(resolved).plan.sheets
    (view,) = cut_views(sheet, resolved, load_wording(), Uncut("Sheet", {}))
    assert (view.number, view.last) == (1, 5)
    assert view.action.replace("\xa0", " ") in (
        "Sheet, 5 times: 2 in from the left edge",
        "Sheet, 5 times: 2 in from the bottom edge",
    )
    assert view.gives == "A1, A1, A1, A1, A1 done | A1 done"


def test_every_number_in_the_cuts_and_in_the_cut_list_is_in_the_record(
    album: ResolvedDesign,
) -> None:
    """Read back as the pages are, by an evaluation that shares nothing with the wording."""
    plans, rows, wording = plan_stocks(album), cut_list(album), load_wording()
    computed = Computed(album, plans, (), rows=rows, supplies=())
    record = edition_record(computed, ())
    assert record["strips"]["hinge_strip"]["pieces"][0] == "hinge_one"
    assert record["pieces"]["hinge_one"]["strip"] == "hinge_strip"
    assert record["pieces"]["skirting"]["edge"] == "bottom"
    assert list(record["sheets"]["slate"]["plans"][0]["kept"].values()) == ["a second tag"]
    known = set(lengths_in(record))
    views = [
        view
        for stock_plan in plans.values()
        for sheet in stock_plan.plan.sheets
        for view in cut_views(sheet, album, wording, Uncut("Sheet", stock_plan.kept_on(1)))
    ]
    views += SheetsText(album, wording).division(album.strips["hinge_strip"]).cuts
    words = [f"{view.action} {view.gives}" for view in views]
    lists = CutListText(album, 1, wording).views(rows, {})
    words += [row.size for stock in lists for row in stock.rows]
    found = [number for line in words for size in _SIZE.findall(line) for number in size[:2]]
    found += [number for line in words for number, _ in _WITH_UNIT.findall(line)]
    assert len(found) > 40
    assert {value_of(number) for number in found} <= known


def test_pieces_are_scored_before_they_are_shaped(album: ResolvedDesign) -> None:
    rows = cut_list(album)
    shapes = {row.first.key: row.cut_after_scoring for row in rows}
    assert shapes["card"] == ("round",) and shapes["hinge_one"] == ("mitre",)
    assert shapes["label"] == () and shapes["skirting"] == ()
    assert "Score A1, A2, A3, A4, A5 first" in score_first(rows, load_wording())
    slate, _ = CutListText(album, 1, load_wording()).views(rows, {})
    assert slate.rows[0].shaping[0] == "in step 1 score first, then:"

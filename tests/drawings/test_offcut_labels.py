"""What sheet maps write on offcuts, numbers of short cuts, and the arrow of the grain."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from gatherfold.documents.page import read_page
from gatherfold.drawings.kernel.figures import signs_of
from gatherfold.drawings.kernel.lettering import text_rect
from gatherfold.drawings.kernel.plane import Rect, bounding
from gatherfold.drawings.kernel.scene import Scene, Text
from gatherfold.drawings.kernel.styles import Line
from gatherfold.drawings.registry import sheet_room
from gatherfold.drawings.scene_check import overlaps
from gatherfold.drawings.sheet_map.drawing import sheet_scene
from gatherfold.drawings.sheet_map.mapped import MappedSheet
from gatherfold.editions.checked import Checked
from gatherfold.geometry.edges import Axis
from gatherfold.model.design import StockSheet
from gatherfold.resolve.edition import EDITIONS
from gatherfold.resolve.resolved import ResolvedDesign, ResolvedPiece, ResolvedSheet, Score
from gatherfold.sheets import Cut, Offcut, Placed, Sheet, SheetPlan
from gatherfold.shipped import DESIGNS, LAYOUTS
from gatherfold.wording import load_wording
from tests.benchmarks.figure_check import FOLIO, designs
from tests.drawings.samples import ANY, HERE, ZERO, design, inches, piece, source_piece, stock
from tests.works import checked

#: An offcut by its left and lower edge, width and height, in inches.
Left = tuple[str, str, str, str]
Number = int | Fraction


def plan_of(placed: Sequence[tuple[str, Left]], offcuts: Sequence[Left], *cuts: Cut) -> SheetPlan:
    """A sheet of 12 in with these pieces and offcuts on it."""
    sheet = Sheet("card", inches("12"), inches("12"))
    lying = tuple(Placed(key, *map(inches, box)) for key, box in placed)
    left = tuple(Offcut(n, *map(inches, box)) for n, box in enumerate(offcuts, start=90))
    return SheetPlan(sheet, lying, cuts, {}, left, len(cuts))


def cut(number: int, part: int, axis: Axis, setting: str, parts: tuple[int, int]) -> Cut:
    edge = "left" if axis == "vertical" else "bottom"
    return Cut(number, part, axis, inches(setting), edge, parts)


def made(*pieces: ResolvedPiece) -> ResolvedDesign:
    return design({each.key: each for each in pieces})


def drawn(scene: Scene, left: Left) -> Rect:
    """A part of a sheet of 12 in, as the map shows it."""
    return on_paper(scene, plan_of([], []), tuple(map(inches, left)))


def on_paper(scene: Scene, plan: SheetPlan, part: Sequence[Number]) -> Rect:
    """A part of the sheet by its left and lower edge, width and height, as the map shows it."""
    sheet = bounding(next(s for s in scene.strokes(Line.VISIBLE) if s.subject == "sheet").runs[0])
    scale = sheet.width / float(plan.sheet.width)
    x, y, width, height = (float(each) * scale for each in part)
    return Rect(sheet.left + x, sheet.bottom + y, sheet.left + x + width, sheet.bottom + y + height)


def texts_in(scene: Scene, box: Rect) -> list[Text]:
    return [text for text in scene.texts if box.contains(text_rect(text))]


PANEL: tuple[str, Left] = ("panel", ("0", "0", "10", "12"))
SIDE: Left = ("10", "0", "2", "10 1/4")
CORNER: Left = ("10", "10 1/4", "2", "1 3/4")


def corner_map(width: float = 110, height: float = 70) -> Scene:
    """A panel, a large offcut, and a small one in the upper right corner."""
    resolved = made(piece("panel", "10", "12"))
    return sheet_scene(
        MappedSheet(resolved, "card", plan_of([PANEL], [SIDE, CORNER]), 1, 1), width, height
    )


def test_an_offcut_too_narrow_for_its_words_in_a_line_has_them_in_two() -> None:
    scene = corner_map()
    found = sorted(texts_in(scene, drawn(scene, CORNER)), key=lambda text: -text.y)
    assert [text.text for text in found] == ["offcut", "2 × 1¾"], "not the size alone"
    assert overlaps(scene) == ()


def test_the_size_is_never_broken() -> None:
    for width in range(60, 140, 8):
        for text in corner_map(width, 70).texts:
            assert not text.text.endswith("×") and not text.text.startswith("×")


@pytest.mark.parametrize("name", ["keepsake-box", "letter-envelope"])
def test_a_label_keeps_off_the_cuts_at_its_ends(name: str) -> None:
    """One ran up to the cut beside it."""
    one = checked(DESIGNS / f"{name}.yaml", "metric")
    beside = []
    for key, plan in one.plans.items():
        for number in range(1, len(plan.plan.sheets) + 1):
            scene = map_of(one, key, number)
            cuts = [run for s in scene.strokes(Line.CUT) for run in s.runs]
            labels = [text_rect(t) for t in scene.texts if "offcut" in t.text and not t.rotation]
            beside += [
                abs(x - end)
                for label in labels
                for (x, low), (other, high) in cuts
                if x == other and low < label.top and high > label.bottom
                for end in (label.left, label.right)
            ]
    assert len(beside) >= 10 and min(beside) > 1.6


def map_of(made: Checked, stock_key: str, number: int) -> Scene:
    """A map as the shipped pattern has it."""
    resolved = made.resolved
    rooms = read_page(LAYOUTS / "pattern", resolved.edition).rooms
    sheets = made.plans[stock_key].plan.sheets
    sheet = sheets[number - 1]
    return sheet_scene(
        MappedSheet(resolved, stock_key, sheet, number, len(sheets)), *rooms[sheet_room(sheet)]
    )


STRIP: Left = ("11 5/8", "0", "3/8", "12")


def test_a_strip_too_narrow_for_lettering_has_a_note_where_there_is_room() -> None:
    wide = ("panel", ("0", "0", "11 5/8", "12"))
    plan = plan_of([wide], [STRIP], cut(1, 0, "vertical", "11 5/8", (1, 90)))
    scene = sheet_scene(
        MappedSheet(made(piece("panel", "11 5/8", "12")), "card", plan, 1, 1), 120, 70
    )
    strip = drawn(scene, STRIP)
    (note,) = (text for text in scene.texts if text.text.startswith("offcut ⅜ × 12"))
    ends = [run[1] for s in scene.strokes(Line.LEADER) for run in s.runs]
    assert any(strip.holds(end) for end in ends)
    assert not drawn(scene, ("0", "0", "12", "12")).meets(text_rect(note)), "off the sheet"
    assert overlaps(scene) == ()


def test_it_stays_bare_where_there_is_none() -> None:
    """No room at either side or below: the map is as wide and as high as its paper."""
    wide = ("panel", ("0", "0", "11 5/8", "12"))
    plan = plan_of([wide], [STRIP], cut(1, 0, "vertical", "11 5/8", (1, 90)))
    scene = sheet_scene(
        MappedSheet(made(piece("panel", "11 5/8", "12")), "card", plan, 1, 1), 58, 120
    )
    assert overlaps(scene) == ()
    assert scene.width <= 59.2


@pytest.mark.parametrize("path", designs(), ids=lambda path: path.stem)
@pytest.mark.parametrize("edition", EDITIONS)
def test_a_size_is_written_with_its_word_where_that_fits(path: Path, edition: str) -> None:
    """Two lines fit in every offcut that is so large on paper, and no number stands in it."""
    one = checked(path, edition)
    for key, stock_plan in one.plans.items():
        for index, *_ in stock_plan.alike:
            sheet, scene = stock_plan.plan.sheets[index - 1], map_of(one, key, index)
            circles = [
                bounding(s.runs[0])
                for s in scene.strokes(Line.DIMENSION)
                if s.subject.startswith("cut ")
            ]
            for offcut in sheet.offcuts:
                box = on_paper(scene, sheet, (offcut.x, offcut.y, offcut.width, offcut.height))
                is_plain = not any(circle.meets(box) for circle in circles)
                if min(box.width, box.height) > 12.0 and is_plain:
                    found = [text.text for text in texts_in(scene, box)]
                    assert any("offcut" in text or "keep" in text for text in found), (key, index)


#: A piece, a narrow one beside it, and the offcut over that.
SHORT = (
    [("panel", ("0", "0", "5", "4")), ("tag", ("5", "0", "1 1/4", "2 3/4"))],
    [("0", "4", "12", "8"), ("6 1/4", "0", "5 3/4", "4"), ("5", "2 3/4", "1 1/4", "1 1/4")],
    (
        cut(1, 0, "horizontal", "4", (1, 90)),
        cut(2, 1, "vertical", "5", (2, 3)),
        cut(3, 3, "vertical", "1 1/4", (4, 91)),
        cut(4, 4, "horizontal", "2 3/4", (5, 92)),
    ),
)


def test_a_number_does_not_hide_a_cut_hardly_longer_than_its_circle() -> None:
    placed, offcuts, cuts = SHORT
    resolved = made(piece("panel", "5", "4"), piece("tag", "1 1/4", "2 3/4", "A2"))
    scene = sheet_scene(
        MappedSheet(resolved, "card", plan_of(placed, offcuts, *cuts), 1, 1), 110, 66
    )
    short = min(
        (run for s in scene.strokes(Line.CUT) for run in s.runs), key=lambda r: math.dist(*r)
    )
    circle = next(s for s in scene.strokes(Line.DIMENSION) if s.subject == "cut 4")
    box = bounding(circle.runs[0])
    assert 3.8 < math.dist(*short) < 7.2, "the sample is of such a cut"
    assert not box.meets(bounding(short).grown(0.1))
    ends = [run[1] for s in scene.strokes(Line.LEADER) for run in s.runs]
    assert any(bounding(short).grown(0.1).holds(end) for end in ends)


def folded(key: str, grain: str, axis: str, prints: str = "any") -> ResolvedPiece:
    """A card of 4 × 6 in with one fold, of a stock of this grain."""
    paper = stock(two_sided=prints != "any", prints=prints)
    size = (inches("12"), inches("12"))
    sheet = ResolvedSheet("card", StockSheet(ANY, HERE), *size, (ZERO, ZERO, ZERO, ZERO))
    paper = replace(paper, source=replace(paper.source, grain=grain), sheets=(sheet,))
    score = Score(axis, inches("2"), ZERO, inches("4"), "valley", 90, ("face", "face"))
    card = piece(key, "4", "6", source=source_piece(key), scores=(score,))
    return replace(card, stock=paper)


CARD: tuple[str, Left] = ("card", ("0", "0", "4", "6"))


def grain_map(card: ResolvedPiece, width: float = 120, height: float = 70) -> Scene:
    plan = plan_of([CARD], [("4", "0", "8", "12"), ("0", "6", "4", "6")])
    resolved = replace(made(card), stocks={"card": card.stock})
    return sheet_scene(MappedSheet(resolved, "card", plan, 1, 1), width, height)


@pytest.mark.parametrize(("grain", "is_upright"), [("long", True), ("short", False)])
def test_the_grain_that_a_folded_piece_lies_by_has_its_arrow(grain: str, is_upright: bool) -> None:
    scene = grain_map(folded("card", grain, "vertical"))
    (arrow,) = (s for s in scene.strokes(Line.DIMENSION) if s.subject == "grain")
    box = bounding(arrow.runs[0])
    assert (box.height > box.width) == is_upright
    sheet = drawn(scene, ("0", "0", "12", "12"))
    assert not sheet.meets(box), "beside the map"
    word = next(text for text in scene.texts if text.text == "grain")
    across = text_rect(word)
    assert max(across.left - box.right, box.left - across.right) < 3.0
    assert "grain" in signs_of(scene)
    told = "runs up and down the map" if is_upright else "runs across the map"
    assert told in scene.text_equivalent
    assert overlaps(scene) == ()


def test_without_folds_or_a_stated_grain_there_is_none() -> None:
    plain = replace(folded("card", "long", "vertical"), scores=())
    for card in (plain, folded("card", "any", "vertical")):
        scene = grain_map(card)
        assert "grain" not in signs_of(scene)
        assert "grain" not in scene.text_equivalent


def test_both_arrows_stand_beside_a_printed_sheet() -> None:
    """The print decides how a card lies, and the grain runs as it does."""
    for height in (40, 70):
        scene = grain_map(folded("card", "long", "vertical", "upright"), 120, height)
        assert {"grain", "print"} <= signs_of(scene)
        assert overlaps(scene) == ()


def test_the_maps_of_the_folio_show_the_grain_of_their_hinges() -> None:
    one = checked(FOLIO, "imperial")
    shown = [
        index
        for index, sheet in enumerate(one.plans["night"].plan.sheets, start=1)
        if "grain" in signs_of(map_of(one, "night", index))
    ]
    assert shown, "hinges and spine are folded along it"
    assert load_wording("de").phrase("draw_grain") == "Laufrichtung"

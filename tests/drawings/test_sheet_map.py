"""Sheet maps: every piece named, every cut numbered where the plan says, nothing overlapping."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from fractions import Fraction

import pytest

from gatherfold.documents.page import read_page
from gatherfold.drawings.kernel.scene import Scene
from gatherfold.drawings.kernel.styles import Line
from gatherfold.drawings.registry import SHEET_ROOMS, sheet_room
from gatherfold.drawings.scene_check import overlaps
from gatherfold.drawings.sheet_map.drawing import sheet_scene
from gatherfold.drawings.sheet_map.mapped import MappedSheet
from gatherfold.editions.checked import Checked
from gatherfold.geometry.edges import Axis
from gatherfold.plans import plan_stocks
from gatherfold.resolve.edition import EDITIONS, IMPERIAL
from gatherfold.resolve.resolved import ResolvedDesign
from gatherfold.sheets import Cut, Offcut, Placed, Sheet, SheetPlan
from gatherfold.shipped import LAYOUTS
from tests.benchmarks.figure_check import FOLIO, designs, resolved_of
from tests.drawings.samples import design, inches, piece, source_piece, stock
from tests.sheets.checker import replay
from tests.works import checked


def printed_design() -> ResolvedDesign:
    """Panels, cards and four strips 3/8 in wide on a paper that is printed upright."""
    paper = stock("reeds", two_sided=True, prints="upright")
    sizes = {
        "panel": ("5 3/4", "9 3/4"),
        "card": ("4", "3"),
        "wide_strip": ("6", "1/2"),
        **{f"strip_{n}": ("3/8", "4") for n in range(4)},
    }
    pieces = {}
    for index, (key, (width, height)) in enumerate(sizes.items(), 1):
        source = source_piece(key, side="back" if key == "card" else "front")
        made = piece(key, width, height, f"B{index}", source)
        pieces[key] = replace(made, stock=paper)
    return design(pieces)


#: Part, axis, setting and the two new parts of each cut, in inches.
CUTS: tuple[tuple[int, Axis, str, tuple[int, int]], ...] = (
    (0, "vertical", "5 3/4", (1, 2)),
    (1, "horizontal", "9 3/4", (3, 4)),
    (2, "horizontal", "3", (5, 6)),
    (5, "vertical", "4", (7, 8)),
    (6, "horizontal", "3", (9, 10)),
    (9, "vertical", "4", (11, 12)),
    (10, "horizontal", "4", (13, 14)),
    (13, "vertical", "3/8", (15, 16)),
    (16, "vertical", "3/8", (17, 18)),
    (18, "vertical", "3/8", (19, 20)),
    (20, "vertical", "3/8", (21, 22)),
    (14, "horizontal", "1/2", (23, 24)),
    (23, "vertical", "6", (25, 26)),
)
FINAL = {
    3: "panel",
    7: "card",
    11: "card#2",
    15: "strip_0",
    17: "strip_1",
    19: "strip_2",
    21: "strip_3",
    25: "wide_strip",
}


def planned() -> SheetPlan:
    """A plan by hand, so that it is the same on every computer."""
    cuts = tuple(
        Cut(number, part, axis, inches(setting), "left" if axis == "vertical" else "bottom",
            parts)
        for number, (part, axis, setting, parts) in enumerate(CUTS, start=1)
    )  # fmt: skip
    sheet = Sheet("reeds", inches("12"), inches("12"))
    boxes = replay(sheet, cuts, FINAL)
    placed = tuple(Placed(key, *box) for key, box in boxes.items())
    left = [
        (4, "0", "9 3/4", "5 3/4", "2 1/4"),
        (8, "9 3/4", "0", "2 1/4", "3"),
        (12, "9 3/4", "3", "2 1/4", "3"),
        (22, "7 1/4", "6", "4 3/4", "4"),
        (24, "5 3/4", "10 1/2", "6 1/4", "1 1/2"),
        (26, "11 3/4", "10", "1/4", "1/2"),
    ]
    offcuts = tuple(Offcut(part, *(inches(value) for value in box)) for part, *box in left)
    return SheetPlan(sheet, placed, cuts, FINAL, offcuts, len(cuts))


@pytest.fixture(scope="module")
def resolved() -> ResolvedDesign:
    return printed_design()


@pytest.fixture(scope="module")
def sheet() -> SheetPlan:
    return planned()


@pytest.fixture(scope="module")
def scene(resolved: ResolvedDesign, sheet: SheetPlan) -> Scene:
    return sheet_scene(MappedSheet(resolved, "reeds", sheet, 1, 2), 165, 90)


def test_nothing_overlaps(resolved: ResolvedDesign, sheet: SheetPlan) -> None:
    for width, height in ((165, 90), (165, 120), (99, 98), (110, 90)):
        found = sheet_scene(MappedSheet(resolved, "reeds", sheet, 1, 2), width, height)
        assert overlaps(found) == ()
        assert found.width <= width + 1.2


def test_every_piece_and_copy_is_named(scene: Scene) -> None:
    words = [text.text for text in scene.texts]
    assert sum("B2" in word for word in words) == 2
    for code in ("B1", "B3", "B4", "B5", "B6", "B7"):
        assert sum(word.startswith(code) for word in words) == 1
    assert "B4  ⅜ × 4" in words, "a strip too narrow for its code has a note"


def test_cuts_are_numbered_in_order(scene: Scene, sheet: SheetPlan) -> None:
    badges = [s.subject for s in scene.strokes(Line.DIMENSION) if s.subject.startswith("cut ")]
    assert badges == [f"cut {cut.number}" for cut in sheet.cuts]


def test_cut_lines_bound_the_parts(scene: Scene, sheet: SheetPlan) -> None:
    """The drawn cuts, at the drawing's scale, end where an independent replay has parts."""
    outline = next(s for s in scene.strokes(Line.VISIBLE) if s.subject == "sheet").runs[0]
    left, bottom = min(x for x, _ in outline), min(y for _, y in outline)
    scale = (max(x for x, _ in outline) - left) / float(sheet.sheet.width)
    xs, ys = set(), set()
    pieces = replay(sheet.sheet, sheet.cuts, sheet.final).values()
    offcuts = [(o.x, o.y, o.width, o.height) for o in sheet.offcuts]
    for part in (*pieces, *offcuts):
        x, y, width, height = (float(value) for value in part)
        xs |= {round(x * scale, 4), round((x + width) * scale, 4)}
        ys |= {round(y * scale, 4), round((y + height) * scale, 4)}
    for run in next(s for s in scene.strokes(Line.CUT)).runs:
        for x, y in run:
            assert round(x - left, 4) in xs
            assert round(y - bottom, 4) in ys


@pytest.mark.parametrize("room", [(165, 90), (99, 98), (110, 90), (91, 57), (100, 66)])
def test_no_piece_is_without_its_size(
    resolved: ResolvedDesign, sheet: SheetPlan, room: tuple[float, float]
) -> None:
    """Inside the piece or in a note with a leader, also on a small map."""
    drawn = sheet_scene(MappedSheet(resolved, "reeds", sheet, 1, 2), *room)
    assert sizes_missing(drawn, resolved, sheet) == []


def sizes_missing(drawn: Scene, resolved: ResolvedDesign, sheet: SheetPlan) -> list[str]:
    """The sizes of placed pieces that the map says less often than they lie on the sheet."""
    number = resolved.edition.units.number
    sizes = Counter(
        f"{number(Fraction(placed.width))} × {number(Fraction(placed.height))}"
        for placed in sheet.placed
    )
    written = [text.text for text in drawn.texts]
    return [
        size
        for size, count in sizes.items()
        if sum(text.endswith(size) for text in written) < count
    ]


def test_the_width_of_the_sheet_says_the_unit(scene: Scene) -> None:
    words = [text.text.replace("\xa0", " ") for text in scene.texts]
    assert "12 in" in words and "12" in words
    assert "print upright" in words


def test_words_for_sides_say_one_thing_each(scene: Scene) -> None:
    """A piece lies face down or says nothing: front and back are sides of a stock, and which of
    them is up the heading says by the name of its print."""
    words = " ".join(text.text for text in scene.texts)
    assert words.count("B2 face down") == 2, "both cards are cut from the back"
    assert words.count("face down") == 2
    assert "front" not in words and "(back)" not in words
    assert "(4 × 3, face down)" in scene.text_equivalent
    assert "this faces up: Reeds, print upright" in scene.text_equivalent


Checks = dict[tuple[str, str], Checked]


@pytest.fixture(scope="module")
def all_checked() -> Checks:
    """Every shipped design and those of the tests, with their sheets, by name and edition."""
    return {(path.stem, name): checked(path, name) for path in designs() for name in EDITIONS}


@pytest.mark.parametrize(("layout", "edition"), [("pattern", "imperial"), ("bench", "metric")])
def test_every_map_of_every_design_is_legible_and_says_all_sizes(
    all_checked: Checks, layout: str, edition: str
) -> None:
    """Each layout in an edition; ``test_shipped_designs`` looks at shipped designs in all."""
    faults, seen = [], 0
    for name, one in all_checked.items():
        if name[1] != edition:
            continue
        rooms = read_page(LAYOUTS / layout, one.resolved.edition).rooms
        for key, stock_plan in one.plans.items():
            for numbers in stock_plan.alike:
                sheet = stock_plan.plan.sheets[numbers[0] - 1]
                total, kept = len(stock_plan.plan.sheets), stock_plan.kept_on(numbers[0])
                room = rooms[sheet_room(sheet)]
                drawn = sheet_scene(
                    MappedSheet(
                        one.resolved, key, sheet, numbers[0], total, last=numbers[-1], kept=kept
                    ),
                    *room,
                )
                found = [*overlaps(drawn), *sizes_missing(drawn, one.resolved, sheet)]
                if drawn.width > room[0] + 1.2 or drawn.height > room[1] + 1.2:
                    found.append(f"{drawn.width} x {drawn.height} mm in a room of {room}")
                faults += [(*name, drawn.key, fault) for fault in found]
                seen += 1
    assert faults == []
    assert seen > 50


#: Sizes of the folio, found at random, at whose sheet of comets marks have to make room for one
#: another; on the second, two cuts side by side are half a millimetre long on paper.
CROWDED: tuple[tuple[str, str, dict[str, str]], ...] = (
    ("metric", "pattern", {
        "band_lap": "3/4 in", "reveal": "4/16 in", "page_width": "103/16 in",
        "end_photo": "96/16 in x 81/16 in", "pocket_depth": "58/16 in",
    }),
    ("imperial", "bench", {
        "band_lap": "3/4 in", "end_photo": "104/16 in x 66/16 in", "end_gusset": "2/16 in",
        "panel_width": "141/16 in",
    }),
)  # fmt: skip


@pytest.mark.parametrize(("edition", "layout", "changed"), CROWDED)
def test_marks_of_crowded_sheets_make_room(
    edition: str, layout: str, changed: dict[str, str]
) -> None:
    crowded = resolved_of(FOLIO, edition, changed)
    plan = plan_stocks(crowded)["comets"].plan
    room = read_page(LAYOUTS / layout, crowded.edition).rooms[sheet_room(plan.sheets[0])]
    drawn = sheet_scene(MappedSheet(crowded, "comets", plan.sheets[0], 1, len(plan.sheets)), *room)
    assert overlaps(drawn) == ()
    assert sizes_missing(drawn, crowded, plan.sheets[0]) == []


def test_the_same_sheet_has_the_same_map(resolved: ResolvedDesign, sheet: SheetPlan) -> None:
    first, second = (
        sheet_scene(MappedSheet(resolved, "reeds", sheet, 1, 2), 91, 57) for _ in range(2)
    )
    assert first == second


def test_the_more_cuts_the_larger_the_map(all_checked: Checks) -> None:
    """On the bench a sheet of many cuts has room for the lettering of its smallest pieces."""
    one = all_checked["observatory-folio", "metric"]
    rooms = read_page(LAYOUTS / "bench", one.resolved.edition).rooms
    areas = [rooms[kind][0] * rooms[kind][1] for kind in SHEET_ROOMS]
    assert areas == sorted(set(areas))
    by_cuts = [
        (len(sheet.cuts), list(SHEET_ROOMS).index(sheet_room(sheet)))
        for stock_plan in one.plans.values()
        for sheet in stock_plan.plan.sheets
    ]
    assert max(by_cuts)[1] > min(by_cuts)[1]


def test_text_equivalent(scene: Scene) -> None:
    text = scene.text_equivalent
    assert text.startswith("Reeds, sheet 1 of 2, 12 by 12 inches. 8 pieces:")
    assert IMPERIAL.units.number(inches("5 3/4")) in text

"""Sheet maps: every piece named, every cut numbered where the plan says, nothing overlapping."""

from __future__ import annotations

from dataclasses import replace

import pytest

from builder.drawings.scene import Scene
from builder.drawings.scene_check import overlaps
from builder.drawings.sheet_map import sheet_scene
from builder.drawings.styles import Line
from builder.resolve.edition import IMPERIAL
from builder.resolve.resolved import ResolvedDesign
from builder.sheets import Cut, Offcut, Placed, Sheet, SheetPlan, replay
from builder.sheets.model import Axis
from tests.drawings.samples import design, inches, piece, source_piece, stock


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
            (), parts)
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
    return sheet_scene(resolved, "reeds", sheet, 1, 2, 165, 90)


def test_nothing_overlaps(resolved: ResolvedDesign, sheet: SheetPlan) -> None:
    for width, height in ((165, 90), (165, 120), (99, 98), (110, 90)):
        found = sheet_scene(resolved, "reeds", sheet, 1, 2, width, height)
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


def test_caption_and_print_direction(scene: Scene) -> None:
    words = [text.text for text in scene.texts]
    assert "Reeds · front side up (Reeds) · sheet 1 of 2 · inches" in words
    assert "print upright" in words
    assert any("B2 (back)" in word for word in words)


def test_text_equivalent(scene: Scene) -> None:
    text = scene.text_equivalent
    assert text.startswith("Reeds, sheet 1 of 2, 12 by 12 inches. 8 pieces:")
    assert IMPERIAL.units.number(inches("5 3/4")) in text

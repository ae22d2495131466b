"""Every figure in a black and white print: nothing is lost, nothing is told by colour alone.

Colours are turned to grey as ITU-R BT.601 weighs them (0.299, 0.587, 0.114; from memory) and then
compared by the contrast formula of WCAG 2.2 (1.4.3: lettering 4.5:1; 1.4.11: graphics 3:1).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import combinations
from pathlib import Path

import pytest

from gatherfold.drawings.kernel.hatching import GLUE, KEEP_OFF, MARGIN, PRINTS, WASTE
from gatherfold.drawings.kernel.lettering import text_rect
from gatherfold.drawings.kernel.plane import Place, bounding, ring_holds
from gatherfold.drawings.kernel.scene import Area, Item, Scene, Strokes, Text
from gatherfold.drawings.kernel.stock_tints import drawing_tints, is_plain_card, picture_tints
from gatherfold.drawings.kernel.styles import (
    Fill,
    Line,
    contrast,
    relative_luminance,
)
from gatherfold.drawings.legend.drawing import conventions_scene
from gatherfold.model.choices import SIDES
from gatherfold.resolve.edition import EDITIONS
from tests.benchmarks.figure_check import DESIGNS, designs, resolved_of
from tests.drawn import figures_of

SHIPPED = [path for path in designs() if path.parent == DESIGNS]
WHITE = "#FFFFFF"


def grey(colour: str) -> str:
    red, green, blue = (int(colour[i : i + 2], 16) for i in (1, 3, 5))
    level = round(0.299 * red + 0.587 * green + 0.114 * blue)
    return f"#{level:02X}{level:02X}{level:02X}"


def ground(items: Sequence[Item], index: int, place: Place) -> str:
    """The colour that an item at this place is drawn on."""
    for item in reversed(items[:index]):
        if (
            isinstance(item, Area)
            and bounding(item.rings[0]).holds(place)
            and sum(ring_holds(ring, place) for ring in item.rings) % 2
        ):
            return item.fill.colour
    return WHITE


def faint(scene: Scene) -> Iterator[str]:
    """Lettering and lines of too little contrast in grey."""
    for index, item in enumerate(scene.items):
        if isinstance(item, Text):
            under = WHITE if item.boxed else ground(scene.items, index, text_rect(item).centre)
            ratio = contrast(grey(item.colour), grey(under))
            if ratio < 4.5:
                yield f"{scene.key}: '{item.text}' {ratio:.2f}:1"
        elif isinstance(item, Strokes):
            yield from faint_line(scene, index, item)


def faint_line(scene: Scene, index: int, strokes: Strokes) -> Iterator[str]:
    """On both sides of the middle of each of a line's first runs; a line that runs into a black
    mark (the bar's own black steps, an arrowhead) is a part of it."""
    colour = grey(strokes.line.look.colour)
    for run in strokes.runs[:12]:
        (x0, y0), (x1, y1) = run[len(run) // 2 - 1], run[len(run) // 2]
        length = math.dist((x0, y0), (x1, y1)) or 1.0
        for side in (0.3, -0.3):
            across = side * (y1 - y0) / length, -side * (x1 - x0) / length
            place = (x0 + x1) / 2 + across[0], (y0 + y1) / 2 + across[1]
            under = ground(scene.items, index, place)
            ratio = contrast(colour, grey(under))
            if ratio < 3.0 and under != Fill.INK.colour:
                yield f"{scene.key}: {strokes.line.meaning} {ratio:.2f}:1"


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_every_figure_keeps_its_contrast_in_grey(path: Path, edition: str) -> None:
    scenes = figures_of(path, edition)
    assert [fault for scene in scenes.values() for fault in faint(scene)] == []


def test_what_is_faint_is_found() -> None:
    square = ((0.0, 0.0), (9.0, 0.0), (9.0, 9.0), (0.0, 9.0))
    items = (
        Area((square,), Fill.SHADOW_6),
        Text("pale", 4, 4, 8, colour="#767676"),
        Strokes((((1.0, 2.0), (8.0, 2.0)),), Line.KEEP_OFF),
    )
    found = list(faint(Scene("t", "T", 10, 10, items, "")))
    assert any("pale" in fault for fault in found)
    assert any("keep off" in fault for fault in found)


def test_grey_of_known_colours() -> None:
    """White, black, and Okabe and Ito's vermilion, computed by hand: 0.299·213 + 0.587·94."""
    assert (grey("#FFFFFF"), grey("#000000"), grey("#D55E00")) == ("#FFFFFF", "#000000", "#777777")
    assert relative_luminance("#FFFFFF") == pytest.approx(1.0)


def test_hatches_differ_without_colour() -> None:
    for first, second in combinations((GLUE, KEEP_OFF, WASTE, MARGIN), 2):
        assert {(h.degrees, h.dash) for h in first} != {(h.degrees, h.dash) for h in second}


def test_both_sides_of_every_paper_have_their_own_pattern() -> None:
    assert len({tuple((h.spacing, h.degrees, h.dash) for h in p) for p in PRINTS.values()}) == len(
        PRINTS
    )
    for path in SHIPPED:
        resolved = resolved_of(path, "imperial", {})
        for tints in (picture_tints(resolved), drawing_tints(resolved)):
            printed = [key for key, stock in resolved.stocks.items() if stock.source.two_sided]
            shown = {(key, side): tints.patterns[key, side] for key in printed for side in SIDES}
            assert shown == tints.patterns
            assert len(set(shown.values())) == 2 * len(printed), "no two sides share a pattern"
            for piece in resolved.pieces.values():
                sides = tints.pattern(piece, True), tints.pattern(piece, False)
                assert (None in sides) != piece.stock.source.two_sided


def test_plain_stocks_differ_in_grey() -> None:
    for path in SHIPPED:
        resolved = resolved_of(path, "imperial", {})
        plain = [key for key, stock in resolved.stocks.items() if is_plain_card(stock.source)]
        for tints in (picture_tints(resolved), drawing_tints(resolved)):
            shades = [grey(tints.fills[key, "front"].colour) for key in plain]
            for first, second in combinations(shades, 2):
                assert contrast(first, second) >= 1.15, (path.stem, first, second)


def test_folds_carry_letters_and_the_legend_shows_every_line() -> None:
    """V and M are printed beside the folds; every dash pattern, hatch and sign is explained."""
    scene = conventions_scene(170)
    words = " ".join(text.text for text in scene.texts)
    for sign in (
        "V  valley",
        "M  mountain",
        "glue",
        "keep free",
        "waste",
        "already",
        "hidden",
        "where it was",
        "this way",
    ):
        assert sign in words
    drawn = {item.line for item in scene.items if isinstance(item, Strokes)}
    told = {
        Line.VALLEY,
        Line.MOUNTAIN,
        Line.HIDDEN,
        Line.EXISTING,
        Line.GLUE,
        Line.KEEP_OFF,
        Line.PATH,
    }
    assert told <= drawn

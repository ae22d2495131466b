"""Templates: true size, whole when the tiles are put together again."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from fractions import Fraction
from itertools import combinations, pairwise

import pytest

from gatherfold.drawings.kernel.canvas import item_rect
from gatherfold.drawings.kernel.plane import bounding, ring_holds
from gatherfold.drawings.kernel.scene import Area, Scene, Strokes
from gatherfold.drawings.kernel.styles import Fill, Line
from gatherfold.drawings.scene_check import overlaps
from gatherfold.drawings.template.drawing import needs_template
from gatherfold.drawings.template.tiles import (
    HEADER,
    OVERLAP,
    Tiling,
    template_scenes,
    tile_name,
    tiling_for,
)
from gatherfold.drawings.views.features import FINE, outline_ring
from gatherfold.geometry.outline import Point
from gatherfold.resolve.resolved import Hole
from gatherfold.wording import load_wording
from tests.drawings.samples import design, inches, l_shape, piece, shaped_piece

PAGE = (180.0, 240.0)


def outline_length(scenes: tuple[Scene, ...]) -> list[tuple[tuple[float, float], ...]]:
    return [
        run for scene in scenes for strokes in scene.strokes(Line.VISIBLE) for run in strokes.runs
    ]


def test_small_piece_fits_one_page_at_true_size() -> None:
    made = shaped_piece()
    (scene,) = template_scenes(design({made.key: made}), made.key, *PAGE)
    assert (scene.width, scene.height) == PAGE
    runs = scene.strokes(Line.VISIBLE)[0].runs
    xs = [x for run in runs for x, _ in run]
    ys = [y for run in runs for _, y in run]
    assert max(xs) - min(xs) == pytest.approx(6 * 25.4)
    assert max(ys) - min(ys) == pytest.approx(5 * 25.4)


def test_tiles_cover_the_outline() -> None:
    """Shifted back by the tiles' steps, the pieces of outline lie on the outline, all of it."""
    made = l_shape()
    scenes = template_scenes(design({made.key: made}), made.key, *PAGE)
    tiling = tiling_for(made.width, made.height, Fraction(180), Fraction(240))
    assert len(scenes) == tiling.count == 4
    ring = outline_ring(made.outline, FINE)
    left, top = 4.0, PAGE[1] - float(HEADER) - 4
    step_x = float(tiling.window_width - OVERLAP)
    step_y = float(tiling.window_height - OVERLAP)
    covered = 0.0
    for index, scene in enumerate(scenes):
        row, column = divmod(index, tiling.columns)
        for run in outline_length((scene,)):
            moved = [
                (x - left + column * step_x, y - top - row * step_y + float(made.height))
                for x, y in run
            ]
            assert all(_distance(ring, place) < 0.01 for place in moved)
            covered += sum(math.dist(a, b) for a, b in pairwise(run))
    around = sum(math.dist(a, b) for a, b in pairwise([*ring, ring[0]]))
    assert covered >= around - 0.01, "what tiles share is there twice"


def _distance(ring: tuple[tuple[float, float], ...], place: tuple[float, float]) -> float:
    return min(_to_segment(place, a, b) for a, b in zip(ring, (*ring[1:], ring[0]), strict=True))


def _to_segment(p: tuple[float, float], a: tuple[float, float], b: tuple[float, float]) -> float:
    dx, dy = b[0] - a[0], b[1] - a[1]
    share = ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / (dx * dx + dy * dy)
    share = min(max(share, 0.0), 1.0)
    return math.dist(p, (a[0] + share * dx, a[1] + share * dy))


def test_tiles_are_named_and_registered() -> None:
    made = l_shape()
    scenes = template_scenes(design({made.key: made}), made.key, *PAGE)
    title, names = f"{made.code} {made.title}, ", [scene.title for scene in scenes]
    assert all(name.startswith(title) for name in names)
    assert [name.removeprefix(title) for name in names] == [
        "part 1 of 4 (top left)",
        "part 2 of 4 (top right)",
        "part 3 of 4 (bottom left)",
        "part 4 of 4 (bottom right)",
    ]
    for scene in scenes:
        marks = [s for s in scene.strokes(Line.DIMENSION) if s.subject == "registration"]
        assert marks


@pytest.mark.parametrize(
    ("rows", "columns", "names"),
    [
        (1, 2, ("left", "right")),
        (3, 1, ("top", "middle", "bottom")),
        (2, 3, ("row 1 of 2, column 1 of 3", "row 2 of 2, column 3 of 3")),
        (1, 4, ("column 1 of 4", "column 4 of 4")),
    ],
)
def test_no_name_of_a_tile_is_like_a_code_of_a_piece(
    rows: int, columns: int, names: tuple[str, ...]
) -> None:
    tiling = Tiling(False, columns, rows, Fraction(170), Fraction(210))
    cells = [(row, column) for row in range(rows) for column in range(columns)]
    written = [tile_name(tiling, *cell, load_wording("en")) for cell in cells]
    assert len(set(written)) == rows * columns
    for index, name in zip((0, -1) if len(names) == 2 else (0, 1, 2), names, strict=True):
        number = (index % len(cells)) + 1
        assert written[index] == f"part {number} of {len(cells)} ({name})"
    assert not any(re.search(r"[A-Z]", name) for name in written)


def test_every_tile_says_where_it_is_cut_or_laid_under() -> None:
    """The grey line is cut on the right and the lower tile, never on both, and the words name the
    sides of the page where it runs."""
    made = l_shape()
    scenes = template_scenes(design({made.key: made}), made.key, *PAGE)
    said = [next(t.text for t in s.texts if "cross on cross" in t.text) for s in scenes]
    assert said[0].startswith("Do not cut along the grey line")
    for words, edges in zip(
        said[1:], ("on the left;", "at the top;", "on the left and at the top;"), strict=True
    ):
        assert words.startswith(f"Cut along the grey line {edges}")
    for scene, has_left, has_top in zip(
        scenes, (False, True, False, True), (False, False, True, True), strict=True
    ):
        lines = [run for s in scene.strokes(Line.WASTE) if s.subject == "overlap" for run in s.runs]
        left = [a for a, b in lines if a[0] == b[0] and a[0] < PAGE[0] / 2]
        top = [a for a, b in lines if a[1] == b[1] and a[1] > PAGE[1] / 2]
        assert (bool(left), bool(top)) == (has_left, has_top)


def test_both_strokes_of_every_cross_lie_on_the_grey_line() -> None:
    made = l_shape()
    for scene in template_scenes(design({made.key: made}), made.key, *PAGE):
        order = [item.subject for item in scene.items if isinstance(item, Strokes)]
        assert order.index("registration") > max(
            index for index, subject in enumerate(order) if subject == "overlap"
        )
        for cross in (s for s in scene.strokes(Line.DIMENSION) if s.subject == "registration"):
            level, upright = cross.runs
            assert level[0][1] == level[1][1] and upright[0][0] == upright[1][0]


def test_crosses_lie_within_the_piece_and_far_enough_apart_to_square_by() -> None:
    """A cross beside the piece would be thrown away with what is cut off."""
    made = l_shape()
    scenes = template_scenes(design({made.key: made}), made.key, *PAGE)
    tiling = tiling_for(made.width, made.height, Fraction(180), Fraction(240))
    ring = outline_ring(made.outline, FINE)
    step_x = float(tiling.window_width - OVERLAP)
    step_y = float(tiling.window_height - OVERLAP)
    for index, scene in enumerate(scenes):
        row, column = divmod(index, tiling.columns)
        crosses = [
            bounding(place for run in s.runs for place in run).centre
            for s in scene.strokes(Line.DIMENSION)
            if s.subject == "registration"
        ]
        assert len(crosses) >= 2
        for x, y in crosses:
            on_piece = (
                x - 4.0 + column * step_x,
                y - PAGE[1] + float(HEADER) + 4.0 - row * step_y + float(made.height),
            )
            assert ring_holds(ring, on_piece)
        apart = [
            math.dist(a, b) for a, b in combinations(crosses, 2) if a[0] == b[0] or a[1] == b[1]
        ]
        assert min(apart) > 10.0


def test_a_middle_tile_says_what_its_other_grey_line_is_for_and_all_say_when_to_cut() -> None:
    made = piece("band", "20", "2")
    scenes = template_scenes(design({"band": made}), "band", *PAGE)
    said = [" ".join(text.text for text in scene.texts) for scene in scenes]
    assert len(scenes) == 3
    assert ["the other grey line" in words for words in said] == [False, True, False]
    assert all("Tape all 3 parts together, then cut the piece out." in words for words in said)


def test_every_tile_shows_its_place_in_a_small_plan() -> None:
    """Another part of the plan is shaded on each tile; together the parts fill the plan."""
    made = l_shape()
    scenes = template_scenes(design({made.key: made}), made.key, *PAGE)
    shaded = [
        bounding(item.rings[0])
        for scene in scenes
        for item in scene.items
        if isinstance(item, Area) and item.fill is Fill.SHADOW_6
    ]
    assert len(shaded) == len(scenes) == 4
    assert not any(a.grown(-0.01).meets(b) for a, b in combinations(shaded, 2))
    (plan,) = {item_rect(s) for s in scenes[0].strokes(Line.DIMENSION) if s.subject == "tile plan"}
    assert sum(box.width * box.height for box in shaded) == pytest.approx(plan.width * plan.height)


def test_labels_say_what_to_cut() -> None:
    made = shaped_piece()
    (scene,) = template_scenes(design({made.key: made}), made.key, *PAGE)
    words = [text.text for text in scene.texts]
    assert scene.title == "B2 Shaped"
    assert "B2 Shaped" not in words, "the page's heading has it"
    assert "cut 1 · 6 by 5 inches · Card · front facing you" in words
    assert "Ø ⅛" in words, "its hole, which is not fastened through"
    assert overlaps(scene) == ()


def test_only_shaped_and_punched_pieces_need_a_template() -> None:
    assert needs_template(shaped_piece())
    plain = piece("tag", "2", "3")
    assert not needs_template(plain)
    middle = Point(plain.width / 2, plain.height / 2)
    punched, pierced = Hole(middle, inches("1/8"), None), Hole(middle, inches("1/8"), "brad")
    assert needs_template(replace(plain, holes=(punched,)))
    assert not needs_template(replace(plain, holes=(pierced,))), "pierced through all layers"


def test_a_long_piece_is_turned_when_that_saves_pages() -> None:
    tiling = tiling_for(inches("9"), inches("5"), Fraction(180), Fraction(260))
    assert tiling.turned
    assert tiling.count == 1

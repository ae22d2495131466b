"""Finished views: what lies in front covers what lies behind; no lettering on the cover."""

from __future__ import annotations

from itertools import pairwise

import pytest

from builder.drawings.canvas import MARGIN
from builder.drawings.finished_view import cover_scene, finished_scene, visible_pieces
from builder.drawings.plane import bounding
from builder.drawings.scene import Area
from builder.drawings.scene_check import overlaps
from builder.drawings.styles import Fill, Line
from builder.geometry.pose import IDENTITY
from builder.resolve.resolved import PlacedFace, State
from tests.checks.test_fastenings import made
from tests.drawings.samples import design, folded_piece, matted_design
from tests.resolve.test_turns import shipped


def test_front_shows_the_inner_mat_and_back_the_outer_one() -> None:
    resolved = matted_design()
    assert visible_pieces(resolved, "open", "front") == ("panel", "mat")
    assert visible_pieces(resolved, "open", "back") == ("panel", "outer_mat")


def test_faces_are_painted_from_the_back() -> None:
    scene = finished_scene(matted_design(), "open", 80, 90, "back")
    assert [s.subject for s in scene.strokes(Line.FAINT)] == ["panel", "outer_mat"]


def test_labels_by_leaders() -> None:
    scene = finished_scene(matted_design(), "open", 165, 90, labelled=("panel", "mat"))
    assert {text.text for text in scene.texts} == {"A1 Panel", "B1 Mat"}
    assert len(scene.strokes(Line.LEADER)) == 2
    assert overlaps(scene) == ()


def test_cover_has_no_text() -> None:
    scene = cover_scene(matted_design(), 170, 150)
    assert scene.texts == ()
    assert scene.width <= 172
    assert any(isinstance(item, Area) for item in scene.items)


def test_text_equivalent_has_the_exact_size() -> None:
    text = finished_scene(matted_design(), "open", 80, 90).text_equivalent
    assert "8 by 11 inches over all" in text


def test_folds_that_lie_flat_are_no_edges() -> None:
    """The spine of two folds, open: its folds are drawn as folds, its edges alone as edges; from
    behind, a valley is a mountain."""
    spine = folded_piece()
    faces = tuple(PlacedFace("spine", face.name, IDENTITY, 0) for face in spine.faces)
    states = {name: State(name, faces) for name in ("flat", "open", "closed")}
    resolved = design({"spine": spine}, states)
    for view, kinds in (
        ("front", {Line.SEEN_VALLEY: 19.05, Line.SEEN_MOUNTAIN: 38.1}),
        ("back", {Line.SEEN_MOUNTAIN: 19.05, Line.SEEN_VALLEY: 38.1}),
    ):
        scene = finished_scene(resolved, "open", 120, 290, view)
        edges = [run for s in scene.strokes(Line.FAINT) for run in s.runs]
        box = bounding(place for run in edges for place in run)
        assert box.width == pytest.approx(57.15)
        for run in edges:
            for start, end in pairwise(run):
                is_upright = start[0] == end[0]
                assert not is_upright or min(start[0] - box.left, box.right - start[0]) < 0.01
        for line, at in kinds.items():
            levels = {
                round(place[0], 3) for s in scene.strokes(line) for r in s.runs for place in r
            }
            (level,) = levels
            from_left = level - box.left if view == "front" else box.right - level
            assert from_left == pytest.approx(at, abs=0.01), (view, line)


def test_a_brad_shows_its_head_where_that_side_is_seen_and_its_legs_on_the_other() -> None:
    pieces = (
        "left: {{from: night, size: 4 x 5}}\n"
        "top: {{from: night, size: 2 x 2, {on}: left, left: 1, bottom: 1}}"
    )
    brad = "pin: {{name: Pin, kind: brad, head: 1/4 in, leg: 3/8 in, through: '{through}'}}"
    for on, through, view, seen in (
        ("on", "top, left", "front", ["head"]),
        ("on", "top, left", "back", ["legs", "legs"]),
        ("on_back", "top, left", "back", ["head"]),
        ("on_back", "top, left", "front", ["legs", "legs"]),
    ):
        resolved = made(pieces.format(on=on), brad.format(through=through))
        scene = finished_scene(resolved, "open", 120, 120, view)
        found = [s.subject for s in scene.strokes(Line.FAINT) if s.subject in ("head", "legs")]
        assert found == seen, (on, through, view)


def test_the_latch_of_the_folio_has_a_head_and_no_empty_hole() -> None:
    resolved = shipped("observatory-folio")
    scene = finished_scene(resolved, "open", 178, 108)
    heads = [s for s in scene.strokes(Line.FAINT) if s.subject == "head"]
    assert len(heads) == 1
    head = bounding(heads[0].runs[0])
    latch = [bounding(s.runs[0]) for s in scene.strokes(Line.FAINT) if s.subject == "latch"]
    assert any(box.contains(head) for box in latch)
    fills = [i.fill for i in scene.items if isinstance(i, Area) and i.fill is Fill.SHADOW_6]
    assert fills, "grey, unlike a hole"


@pytest.mark.parametrize(("view", "lines"), [("front", 1 + 2 + 2 * 2 + 1), ("back", 1)])
def test_the_ribbon_round_a_closed_box_shows_from_above_and_below(view: str, lines: int) -> None:
    """5/8 in wide right across the lid of 5 5/8 x 4 1/8 in; above there are two tails, two loops
    with their openings and the knot besides."""
    scene = finished_scene(shipped("keepsake-box"), "closed", 150, 120, view)
    strips = [s for s in scene.strokes(Line.FAINT) if s.subject == "ribbon"]
    assert len(strips) == lines
    band = bounding(strips[0].runs[0])
    wide, high = scene.width - 2 * MARGIN, scene.height - 2 * MARGIN
    assert band.height == pytest.approx(high)
    assert high / wide == pytest.approx(4.125 / 5.625)
    assert band.width / wide == pytest.approx(0.625 / 5.625)
    is_right = band.centre[0] > scene.width / 2
    assert is_right is (view == "front"), "from below it lies on the other side"
    assert scene.text_equivalent.endswith("Tied round it: Ribbon to tie the lid.")

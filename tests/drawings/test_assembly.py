"""Assembly drawings: the right side, the right offsets, glue and keep-off areas."""

from __future__ import annotations

import pytest

from builder.drawings.assembly import assembly_scene, assembly_scenes, laying_order
from builder.drawings.placed_view import laid_pieces
from builder.drawings.scene_check import overlaps
from builder.drawings.styles import Line
from builder.resolve.edition import METRIC
from tests.drawings.samples import matted_design


def test_even_reveal_is_written_once() -> None:
    scene = assembly_scene(matted_design(), ["mat"], ["panel"], 165, 90)
    words = [text.text for text in scene.texts]
    assert words.count("⅛ all round") == 1
    assert "B1 Mat" in words


def test_new_is_bold_and_present_is_grey() -> None:
    scene = assembly_scene(matted_design(), ["mat"], ["panel"], 165, 90)
    assert {s.subject for s in scene.strokes(Line.VISIBLE)} == {"mat"}
    assert {s.subject for s in scene.strokes(Line.EXISTING)} == {"panel"}


def test_reveal_is_drawn_to_scale() -> None:
    scene = assembly_scene(matted_design(), ["mat"], ["panel"], 165, 90)
    mat = scene.strokes(Line.VISIBLE)[0].runs[0]
    panel = [p for run in scene.strokes(Line.EXISTING)[0].runs for p in run]
    scale = (max(x for x, _ in panel) - min(x for x, _ in panel)) / 8
    gap = min(x for x, _ in mat) - min(x for x, _ in panel)
    assert gap / scale == pytest.approx(1 / 8, rel=1e-6)


def test_glue_is_hatched_but_not_in_the_dry_corner() -> None:
    scene = assembly_scene(matted_design(), ["mat"], ["panel"], 165, 90)
    corner = next(s for s in scene.strokes(Line.KEEP_OFF) if s.subject == "keep off").runs[0]
    left, top = min(x for x, _ in corner), max(y for _, y in corner)
    hatched = [run for s in scene.strokes(Line.GLUE) for run in s.runs]
    assert hatched
    for start, end in hatched:
        middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
        assert not (middle[0] > left and middle[1] < top)


def test_dry_corner_is_at_the_lower_right_as_laid() -> None:
    """Seen from behind, the outer mat's own right is still on the right."""
    for key in ("mat", "outer_mat"):
        scene = assembly_scene(matted_design(), [key], ["panel"], 165, 90)
        corner = next(s for s in scene.strokes(Line.KEEP_OFF) if s.subject == "keep off").runs[0]
        mat = scene.strokes(Line.VISIBLE)[0].runs[0]
        assert max(x for x, _ in corner) == pytest.approx(max(x for x, _ in mat))
        assert min(y for _, y in corner) == pytest.approx(min(y for _, y in mat))


def test_each_side_gets_its_own_drawing() -> None:
    scenes = assembly_scenes(matted_design(), ["mat", "outer_mat"], ["panel"], 165, 90)
    captions = ["seen from behind" in " ".join(t.text for t in s.texts) for s in scenes]
    assert captions == [False, True]


def test_pieces_stack_in_the_order_they_are_laid() -> None:
    resolved = matted_design()
    laid = laid_pieces(resolved, ["panel", "mat", "outer_mat"])
    assert laying_order(resolved.pieces, laid) == ["outer_mat", "panel", "mat"]


def test_text_equivalent() -> None:
    scene = assembly_scene(matted_design(METRIC), ["mat"], ["panel"], 165, 90)
    assert scene.text_equivalent == (
        "B1 Mat on A1 Panel; 3.175\N{NO-BREAK SPACE}mm showing all round; glued all over; "
        "no glue at the bottom right."
    )


@pytest.mark.parametrize("size", [(165, 90), (178, 76), (85, 72)])
def test_nothing_overlaps(size: tuple[int, int]) -> None:
    for scene in assembly_scenes(matted_design(), ["mat", "outer_mat"], ["panel"], *size):
        assert overlaps(scene) == ()

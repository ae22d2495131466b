"""Finished views: what lies in front covers what lies behind; no lettering on the cover."""

from __future__ import annotations

from builder.drawings.finished_view import cover_scene, finished_scene, visible_pieces
from builder.drawings.scene import Area
from builder.drawings.scene_check import overlaps
from builder.drawings.styles import Line
from tests.drawings.samples import matted_design


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

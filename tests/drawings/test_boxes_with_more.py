"""A box with dividers that stand up in it and a ribbon that goes round it."""

from __future__ import annotations

import pytest

from builder.drawings.assembly_stages import stages_of
from builder.drawings.fastening import fastening_scene
from builder.drawings.finished_view import OBLIQUE, finished_scene, picture_of
from builder.drawings.scene import Strokes
from builder.drawings.scene_check import overlaps
from tests.drawings.made_designs import made

DIVIDERS = ("back_divider", "middle_divider", "front_divider")


def test_dividers_stand_in_the_open_box() -> None:
    faces = picture_of(made("keepsake-box"), "open", OBLIQUE).faces
    standing = [f for f in faces if f.piece.key in DIVIDERS and f.placed.face == "panel"]
    assert len({face.piece.key for face in standing}) == 3
    assert {face.axis for face in standing} == {1}, "they look to the front"


def test_dividers_that_lie_over_one_another_are_glued_one_after_the_other() -> None:
    box = made("keepsake-box")
    present = ["tray", "lid", "base_mat"]
    stages = stages_of(box, DIVIDERS, present)
    assert [stage.new for stage in stages] == [(key,) for key in DIVIDERS]


def test_the_ribbon_is_tied_beside_the_name_plate() -> None:
    """The plate ends 2 in from the right edge of the mat that both are on; the ribbon is ⅝ in
    wide."""
    box = made("keepsake-box")
    plate = box.pieces["name_plate"].offsets
    ribbon = box.fastenings["lid_ribbon"].point
    assert plate is not None and ribbon is not None
    reach = box.pieces["lid_mat"].width - ribbon.x + box.stocks["twill"].ribbon_width / 2
    assert float(reach) < float(plate.right)
    assert float(plate.right) == pytest.approx(2 * 25.4)


def test_pictures_of_the_closed_box_have_its_ribbon_and_say_so() -> None:
    box = made("keepsake-box")
    closed = finished_scene(box, "closed", 100.0, 80.0, OBLIQUE)
    ribbons = [i for i in closed.items if isinstance(i, Strokes) and i.subject == "ribbon"]
    assert ribbons
    assert "Tied round it" in closed.text_equivalent
    opened = finished_scene(box, "open", 100.0, 80.0, OBLIQUE)
    assert not any(isinstance(i, Strokes) and i.subject == "ribbon" for i in opened.items)
    assert overlaps(fastening_scene(box, "lid_ribbon", 170.0, 62.0)) == ()

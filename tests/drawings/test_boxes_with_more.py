"""A box with dividers that stand up in it and a ribbon that goes round it."""

from __future__ import annotations

import pytest

from gatherfold.drawings.finished.drawing import OBLIQUE, Picture, finished_scene
from gatherfold.drawings.kernel.scene import Strokes
from gatherfold.drawings.scene_check import overlaps
from gatherfold.drawings.step.pictures import step_drawings
from gatherfold.drawings.step.stages import movements_left, stages_of
from tests.drawings.step_pictures import made
from tests.works import shipped

ROOM = (178.0, 62.0)
DIVIDERS = ("back_divider", "middle_divider", "front_divider")


def test_dividers_stand_in_the_open_box() -> None:
    faces = Picture(shipped("keepsake-box"), "open", OBLIQUE).faces
    standing = [f for f in faces if f.piece.key in DIVIDERS and f.key.face == "panel"]
    assert len({face.piece.key for face in standing}) == 3
    assert {face.axis for face in standing} == {1}, "they look to the front"


def test_dividers_that_lie_over_one_another_are_glued_one_after_the_other() -> None:
    stages = stages_of(made("keepsake-box"), 5)
    assert [getattr(stage, "new", ()) for stage in stages] == [(key,) for key in DIVIDERS]


@pytest.mark.parametrize(("step", "piece"), [(5, "tray"), (6, "lid")])
def test_the_step_that_stands_up_a_box_shows_how(step: int, piece: str) -> None:
    """Where its tabs are glued, while it lies flat, and then how it is folded."""
    drawn = [draw for _, draw in step_drawings(made("keepsake-box"))][step]
    scenes = [scene for _, scene in drawn(ROOM, ROOM)]
    glued, moved = [s for s in scenes if s.key.startswith(("close-", "motion-"))]
    assert glued.key.startswith(f"close-{piece}-left")
    assert moved.key == f"motion-{step + 1}"
    for scene in (glued, moved):
        assert overlaps(scene) == ()


def test_the_ribbon_is_tied_beside_the_name_plate() -> None:
    """The plate ends 2 in from the right edge of the mat that both are on; the ribbon is ⅝ in
    wide."""
    box = shipped("keepsake-box")
    plate = box.pieces["name_plate"].offsets
    ribbon = box.fastenings["lid_ribbon"].point
    assert plate is not None and ribbon is not None
    reach = box.pieces["lid_mat"].width - ribbon.x + box.stocks["twill"].ribbon_width / 2
    assert float(reach) < float(plate.right)
    assert float(plate.right) == pytest.approx(2 * 25.4)


def test_pictures_of_the_closed_box_have_its_ribbon_and_say_so() -> None:
    box = shipped("keepsake-box")
    closed = finished_scene(box, "closed", 100.0, 80.0, OBLIQUE)
    ribbons = [i for i in closed.items if isinstance(i, Strokes) and i.subject == "ribbon"]
    assert ribbons
    assert "Tied round it" in closed.text_equivalent
    opened = finished_scene(box, "open", 100.0, 80.0, OBLIQUE)
    assert not any(isinstance(i, Strokes) and i.subject == "ribbon" for i in opened.items)


def test_the_step_that_ties_the_ribbon_shows_it_and_no_other_part_does() -> None:
    """Every step shows its own movements, and there nothing else moves."""
    box = made("keepsake-box")
    *_, tied = [scene for _, scene in list(step_drawings(box))[8][1](ROOM, ROOM)]
    assert tied.key == "motion-9"
    assert overlaps(tied) == ()
    assert movements_left(box) == ()
    folio = made("observatory-folio")
    assert movements_left(folio) == ()


def test_a_step_that_only_closes_shows_how() -> None:
    """The album is tried in step 7 and closed in step 8."""
    album = made("hinged-album")
    drawn = [[key for key, _ in draw(ROOM, ROOM)] for _, draw in step_drawings(album)]
    assert drawn[6:8] == [["step-7-motion-7"], ["step-8-motion-8"]]
    assert movements_left(album) == ()

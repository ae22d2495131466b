"""A box with dividers that stand up in it and a ribbon that goes round it."""

from __future__ import annotations

import pytest

from builder.documents.step_figures import step_drawings
from builder.drawings.fastening import fastening_scene
from builder.drawings.flaps_and_pockets import moving_flaps
from builder.drawings.fold_sequence import fold_frames
from builder.drawings.movements import CLOSING, boxes_folded, movements
from builder.drawings.raised_state import raised_scene, raised_state
from builder.drawings.scene import Strokes
from builder.drawings.scene_check import overlaps
from builder.drawings.step_stages import stages_of
from builder.reading import read_design
from builder.resolve import resolve
from builder.resolve.closed_for_good import there_when_closed
from builder.resolve.edition import IMPERIAL
from builder.shipped import DESIGNS
from builder.work import pierced
from tests.drawings.step_pictures import made
from tests.resolve.test_turns import shipped

ROOM = (178.0, 62.0)
DIVIDERS = ("back_divider", "middle_divider", "front_divider")


def test_a_lid_is_folded_without_the_plate_that_a_later_step_glues_on_it() -> None:
    box = shipped("keepsake-box")
    assert "name_plate" not in (there_when_closed(box, "lid") or ())
    for frame in fold_frames(box, "lid"):
        shown = {face.piece.key for face in frame.faces}
        assert shown.isdisjoint({"name_plate", "plate_mat"})
        assert {"lid", "lid_mat", "lid_front_mat"} & shown
    plate = {f.piece.key for f in fold_frames(box, CLOSING)[-1].faces}
    assert {"name_plate", "plate_mat"} <= plate


def test_a_lid_that_no_step_closes_is_folded_with_what_its_own_step_puts_on_it() -> None:
    text = (DESIGNS / "keepsake-box.yaml").read_text("utf-8")
    close = "    close: lid.left_side, lid.right_side, lid.front_side, lid.back_side\n"
    assert text.count(close) == 1
    box = pierced(resolve(read_design(text.replace(close, "").encode(), "box.yaml"), IMPERIAL))
    there = there_when_closed(box, "lid") or frozenset()
    assert "lid_mat" in there
    assert "name_plate" not in there


def test_dividers_stand_up_before_the_walls_of_their_tray() -> None:
    box = shipped("keepsake-box")
    first, *others = movements(box, "tray")
    assert {piece for piece, _ in first.motion} == set(DIVIDERS)
    assert all({piece for piece, _ in step.motion} == {"tray"} for step in others)
    assert {piece for piece, _ in boxes_folded(box)} == {"tray", "lid", *DIVIDERS}
    assert moving_flaps(box) == ()
    standing = [face for face in raised_state(box, "open") if face.placed.face == "panel"]
    assert {face.axis for face in standing} == {1}, "they look to the front"


def test_dividers_that_lie_over_one_another_are_glued_one_after_the_other() -> None:
    stages = stages_of(made("keepsake-box"), 5)
    assert [getattr(stage, "new", ()) for stage in stages] == [(key,) for key in DIVIDERS]


@pytest.mark.parametrize(("step", "piece"), [(5, "tray"), (6, "lid")])
def test_the_step_that_stands_up_a_box_shows_how(step: int, piece: str) -> None:
    """Where its tabs are glued, while it lies flat, and then how it is folded."""
    drawn = [draw for _, draw in step_drawings(made("keepsake-box"))][step]
    scenes = [scene for _, scene in drawn(ROOM, ROOM) if scene.key.startswith("close-")]
    assert [scene.key.partition("_")[0] for scene in scenes] == [
        f"close-{piece}-left",
        f"close-{piece}",
    ]
    for scene in scenes:
        assert overlaps(scene) == ()


def test_the_ribbon_is_tied_last_and_beside_the_name_plate() -> None:
    box = shipped("keepsake-box")
    *_, last = movements(box, CLOSING)
    assert last.tied == ("lid_ribbon",)
    assert "1⅛\u00a0in from the right edge of D1" in last.caption
    # The plate ends 2 in from the right edge of the mat that both are on; the ribbon is ⅝ in wide.
    plate = box.pieces["name_plate"].offsets
    ribbon = box.fastenings["lid_ribbon"].point
    assert plate is not None and ribbon is not None
    reach = box.pieces["lid_mat"].width - ribbon.x + box.stocks["twill"].ribbon_width / 2
    assert float(reach) < float(plate.right)
    assert float(plate.right) == pytest.approx(2 * 25.4)


def test_pictures_of_the_closed_box_have_its_ribbon_and_say_so() -> None:
    box = shipped("keepsake-box")
    closed = raised_scene(box, "closed", 100.0, 80.0)
    ribbons = [i for i in closed.items if isinstance(i, Strokes) and i.subject == "ribbon"]
    assert ribbons
    assert "Tied round it" in closed.text_equivalent
    opened = raised_scene(box, "open", 100.0, 80.0)
    assert not any(isinstance(i, Strokes) and i.subject == "ribbon" for i in opened.items)
    assert fold_frames(box, CLOSING)[-1].strips
    assert overlaps(fastening_scene(box, "lid_ribbon", 170.0, 62.0)) == ()

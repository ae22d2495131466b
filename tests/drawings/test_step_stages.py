"""What the pictures of steps show of the test designs, as a maker has it in hand then."""

from __future__ import annotations

import pytest

from gatherfold.drawings.kernel.plane import bounding
from gatherfold.drawings.kernel.styles import Line
from gatherfold.drawings.scene_check import overlaps
from gatherfold.drawings.step.stages import PlacedStage, stages_of
from gatherfold.drawings.step.view import work_at
from gatherfold.work import FaceKey
from gatherfold.work.assembly import FoldKey
from gatherfold.work.putting import Way
from gatherfold.work.visible import Look
from tests.drawings.step_pictures import (
    closing_pictures,
    glued_stages,
    made,
    picture,
    placed_stage,
    stages,
    words_in,
    work_with,
)

DESIGNS = (
    *("hinged-album", "concertina-boards", "covered-board", "sleeve-tray", "box-in-box"),
    *("four-flaps", "flap-on-flap", "belly-band", "envelope-liner", "glued-flat-sleeve"),
    *("roll-up", "angled-pocket-card"),
)


@pytest.mark.parametrize("name", DESIGNS)
def test_every_piece_that_a_step_places_is_new_in_one_picture(name: str) -> None:
    """The steps of the design say which: those that ``attach`` and ``insert`` name."""
    resolved = made(name)
    new = [
        key for _, stage in stages(resolved) if isinstance(stage, PlacedStage) for key in stage.new
    ]
    placed = {key for key, piece in resolved.pieces.items() if piece.source.placement is not None}
    assert len(new) == len(set(new))
    assert set(new) == placed


@pytest.mark.parametrize("name", DESIGNS)
def test_what_is_not_joined_yet_is_not_in_the_picture(name: str) -> None:
    """Beside what is placed, joins so far lead from its host to all that the picture shows."""
    for _, stage in stages(made(name)):
        if isinstance(stage, PlacedStage):
            first = stage.placings[0]
            joined = first.before.connected(first.host)
            assert stage.pieces - stage.came <= {key.piece for key in joined}


def test_hinges_go_down_one_after_the_other_with_glue_on_the_tab_that_stands() -> None:
    """The album: each tab is glued to the back of the tab before it, five millimetres further."""
    resolved = made("hinged-album")
    placed = [stage.new for stage in stages_of(resolved, 3) if isinstance(stage, PlacedStage)]
    assert placed == [(f"hinge_{number}",) for number in range(1, 7)]
    work = work_with(resolved, "hinge_3")
    tab = FaceKey("hinge_3", "left_tab")
    assert tab in {edge.key for edge in work.edges}
    scene = picture(resolved, "hinge_3")
    assert "left tab" in scene.text_equivalent and "B2 Hinge 2" in scene.text_equivalent
    assert "B3 left tab glued to B2 right tab" in words_in(scene)
    assert "thick line: glue on a face that stands" in words_in(scene)
    # What is hatched is the gusset's glue alone: it is 5 mm wide, the tabs stand on its edges.
    assert work.host_of("hinge_3") is not None and work.laid("hinge_3").extent.width == 5
    drawn, glue = (
        [x for s in scene.strokes(line) for run in s.runs for x, _ in run]
        for line in (Line.VISIBLE, Line.GLUE)
    )
    assert min(drawn) - 0.01 <= min(glue) and max(glue) <= max(drawn) + 0.01


def test_a_page_that_stands_is_drawn_upright_and_alone() -> None:
    """The album: a page of 115 mm by 144 mm is glued with 18 mm of its edge to a standing tab; the
    pages before and behind it are not in the way."""
    resolved = made("hinged-album")
    work = work_with(resolved, "page_3")
    page = work.laid("page_3").extent
    assert (round(page.width), round(page.height)) == (115, 144)
    assert work.laid("page_3").shown.area == pytest.approx(115 * 144, rel=1e-3)
    assert "18 glued" in words_in(picture(resolved, "page_3"))


def test_margins_that_lie_over_others_are_glued_in_a_picture_of_their_own() -> None:
    """The concertina: the long margins first, then the sides over their ends."""
    resolved = made("concertina-boards")
    first, _ = glued_stages(resolved, 6)
    then, _ = glued_stages(resolved, 7)
    assert {area.face.face for area in first.areas} == {"top_turn", "bottom_turn"}
    assert {area.face.face for area in then.areas} == {"left_turn", "right_turn"}
    angles = {
        name: (first.before.angle(fold), then.before.angle(fold))
        for name in ("top_turn", "left_turn")
        for fold in [FoldKey("front_paper", name)]
    }
    assert angles == {"top_turn": (0, 180), "left_turn": (0, 0)}


def test_mitred_margins_are_glued_in_one_picture() -> None:
    """The covered boards: no margin lies over another, for the corners are cut away."""
    resolved = made("covered-board")
    (stage,) = glued_stages(resolved, 4)
    assert len(stage.areas) == 8
    (scene,) = closing_pictures(resolved, 4)
    assert overlaps(scene) == ()
    assert words_in(scene).count("Case paper") == 1
    assert "turn" not in words_in(scene)


def test_glue_on_a_tab_is_drawn_on_its_outer_side_while_the_sleeve_lies_flat() -> None:
    """The sleeve: tape on the outside of the tab, which sticks inside the front."""
    resolved = made("sleeve-tray")
    (stage,) = glued_stages(resolved, 4)
    assert [area.face for area in stage.areas] == [FaceKey("sleeve", "tab")]
    assert not stage.before.angles
    assert "seen from behind" in words_in(closing_pictures(resolved, 4)[0])


def test_what_is_slid_in_is_on_its_way_under_what_it_goes_under() -> None:
    """The tray goes into the sleeve over the edge of its mouth, 5/8 of the way out still."""
    resolved = made("sleeve-tray")
    stage = placed_stage(resolved, "tray")
    assert stage.way is Way.SLID
    work = work_at(resolved, stage)
    length = max(work.laid("tray").extent.height, work.laid("tray").extent.width)
    assert max(abs(part) for part in work.way) == pytest.approx(5 / 8 * length, rel=0.05)
    assert FaceKey("sleeve", "back") in work.over
    shown, whole = work.laid("tray").shown.area, work.laid("tray").extent
    assert 0 < shown < whole.width * whole.height
    assert picture(resolved, "tray").strokes(Line.HIDDEN)


def test_a_box_is_lowered_into_another_from_above() -> None:
    resolved = made("box-in-box")
    work = work_with(resolved, "inner")
    assert work.put is Way.LOWERED and work.look == Look(1, -1)
    inner, outer = (
        [item.extent for item in work.stack if item.piece.key == key] for key in ("inner", "outer")
    )
    assert min(box.bottom for box in inner) >= max(box.top for box in outer)
    assert work.way[1] < 0


def test_a_seal_is_glued_to_the_flaps_that_lie_on_top_of_four() -> None:
    """Four flaps in a ring, the last tucked under the first at its left half: the seal in the
    middle meets all four."""
    resolved = made("four-flaps")
    work = work_with(resolved, "seal")
    (area,) = work.glue
    assert {key.face for key in area.joined} == {
        *("bottom_flap", "left_flap", "right_flap", "top_flap")
    }
    assert "closed, seen from above" in words_in(picture(resolved, "seal"))


def test_a_card_is_laid_in_while_the_flaps_are_open() -> None:
    resolved = made("four-flaps")
    assert not placed_stage(resolved, "leaf_card").after.angles
    flaps = {face for laid in work_with(resolved, "leaf_card").stack for face in laid.faces}
    assert {"left_flap", "bottom_flap", "right_flap", "top_flap"} <= flaps


def test_a_seam_along_two_edges_is_said_so() -> None:
    """The flap on a flap: the doubling is glued along its lower and its outer edge."""
    (scene,) = closing_pictures(made("flap-on-flap"), 5)
    assert "bottom and right edges of the doubling" in scene.text_equivalent


def test_a_piece_is_named_as_glued_to_what_its_bond_joins_it_to() -> None:
    """The album: page 2 is behind the left tab of hinge 3, on whose back the right tab of hinge 2
    is glued: the page meets that, which is towards the viewer."""
    resolved = made("hinged-album")
    words = words_in(picture(resolved, "page_2"))
    assert "B2 Hinge 2 (right tab)" in words and "flush with B2 (right tab)" in words
    assert "B3" not in words
    assert "B2 (right tab) towards you" in words
    assert "B2 (left tab) towards you" in words_in(picture(resolved, "page_1"))


def test_what_is_folded_up_is_named_by_all_that_it_is() -> None:
    """The concertina: of its two lengths the second lies on top when they are folded up."""
    words = words_in(picture(made("concertina-boards"), "length_a"))
    assert "A1 and A2, folded up" in words


@pytest.mark.parametrize(
    ("name", "step", "goes_away"),
    [("box-in-box", 4, True), ("box-in-box", 5, False), ("sleeve-tray", 4, True)],
)
def test_an_arrow_is_dashed_where_a_fold_goes_away(name: str, step: int, goes_away: bool) -> None:
    """The designs: the outer tray and the sleeve have their glue on the outside of tabs, the inner
    tray has it on their inside; all fold inwards."""
    (scene,) = closing_pictures(made(name), step)
    dashed = [s for s in scene.strokes(Line.HIDDEN) if s.subject == "arrow"]
    assert bool(dashed) is goes_away
    assert ("dashed arrow: folded away from you" in words_in(scene)) is goes_away
    assert overlaps(scene) == ()


def test_a_name_stands_on_no_other_piece() -> None:
    """The lid carries a mat and on it a label, 96 by 76 and 40 by 20 mm, when it is closed."""
    (scene,) = closing_pictures(made("box-in-box"), 6)
    (name,) = (text for text in scene.texts if text.text == "A3 Lid")
    for key in ("lid_mat", "lid_label"):
        edges = [run for s in scene.strokes(Line.EXISTING) if s.subject == key for run in s.runs]
        assert edges and not bounding(p for run in edges for p in run).holds((name.x, name.y))


def test_what_stands_is_drawn_upright_and_named_by_what_is_towards_the_viewer() -> None:
    """The drawer's front wall is doubled when its walls stand: its upper half, which is glued,
    stands above the back wall, over which one looks."""
    resolved = made("sleeve-tray")
    (stage,) = glued_stages(resolved, 6)
    work = work_at(resolved, stage)
    doubling, back = (
        next(item.extent for item in work.stack if face in item.faces)
        for face in ("front_doubling", "back_wall")
    )
    # The front wall itself is behind the back wall.
    assert doubling.bottom == back.bottom and doubling.top > back.top
    (scene,) = closing_pictures(resolved, 6)
    assert "A2 (back wall) towards you" in words_in(scene)
    assert "A2 (back wall) towards you." in scene.text_equivalent


def test_a_sleeve_is_seen_from_outside_what_the_tray_slides_under() -> None:
    words = words_in(picture(made("sleeve-tray"), "tray"))
    assert "A1 (back) towards you" in words
    assert "seen from" not in words


def test_both_laps_that_a_band_is_closed_with_are_named() -> None:
    words = words_in(picture(made("observatory-folio"), "band_front"))
    assert "A17 Band back (left lap)" in words and "A17 Band back (right lap)" in words

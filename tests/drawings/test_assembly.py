"""Assembly drawings: the right side, the right offsets, glue and keep-off areas."""

from __future__ import annotations

from dataclasses import replace

import pytest

from builder.documents.page import standard_page
from builder.documents.step_figures import step_scenes
from builder.drawings.assembly import assembly_scene, assembly_scenes
from builder.drawings.assembly_stages import works_of
from builder.drawings.assembly_view import dimensioned_edges, focus_of
from builder.drawings.laying import laying_order
from builder.drawings.placed_view import laid_pieces
from builder.drawings.plane import Place
from builder.drawings.scene import Scene
from builder.drawings.scene_check import overlaps
from builder.drawings.styles import Line
from builder.geometry.pose import flipped, shifted
from builder.resolve.edition import METRIC
from builder.resolve.resolved import Offsets, PlacedFace, State
from tests.drawings.samples import inches, matted_design, piece, placement, source_piece
from tests.resolve.test_turns import shipped


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


def shown_in(scene: Scene, line: Line) -> set[str]:
    return {strokes.subject for strokes in scene.strokes(line)}


def scenes_of(name: str, new: list[str], present: list[str]) -> tuple[Scene, ...]:
    return assembly_scenes(shipped(name), new, present, 178, 76)


def test_a_piece_whose_host_comes_later_is_drawn_on_that_host_alone() -> None:
    """The card is matted before it goes into the envelope: the envelope is not in the picture."""
    new = ["card_front_mat", "card_inside_mat", "photo_mat"]
    scenes = scenes_of("letter-envelope", new, ["envelope", "lining"])
    assert [shown_in(scene, Line.VISIBLE) - {"score"} for scene in scenes] == [{k} for k in new]
    for scene in scenes:
        assert "letter_card" in shown_in(scene, Line.EXISTING)
        assert not {"envelope", "lining"} & shown_in(scene, Line.EXISTING)
    captions = [" ".join(text.text for text in scene.texts) for scene in scenes]
    assert ["seen from behind" in caption for caption in captions] == [True, False, False]
    assert all(host in words for host, words in zip(
        ("B2 Letter card", "B2 Letter card", "D3 Card inside mat"), captions, strict=True
    ))  # fmt: skip
    assert [caption.count("all round") for caption in captions] == [1, 1, 1]


def test_nothing_new_hides_where_another_new_piece_goes() -> None:
    new = ["left_pocket", "right_pocket", "left_pocket_mat", "right_pocket_mat"]
    present = ["back_cover", "right_hinge", "right_flap", "right_flap_mat"]
    present += ["spine", "front_cover", "left_hinge", "left_flap", "left_flap_mat"]
    pockets, *mats = scenes_of("observatory-folio", new, present)
    assert shown_in(pockets, Line.VISIBLE) == {"left_pocket", "right_pocket"}
    assert [shown_in(mat, Line.VISIBLE) for mat in mats] == [
        {"left_pocket_mat"}, {"right_pocket_mat"}
    ]  # fmt: skip
    assert "A12 flush with E2: left, right and bottom" in words_in_scene(pockets)


def test_what_slides_in_comes_after_what_is_glued_on_it_and_says_so() -> None:
    new = ["left_tag_mat", "left_tag"]
    present = ["spine", "back_cover", "front_cover", "left_hinge", "left_flap", "left_flap_mat"]
    matted, slid = scenes_of("observatory-folio", new, [*present, "left_pocket"])
    assert shown_in(matted, Line.EXISTING) == {"left_tag"}
    assert matted.strokes(Line.GLUE) and not slid.strokes(Line.GLUE)
    assert any(text.text.endswith("slides in, no glue") for text in slid.texts)


def test_a_strip_behind_a_hinge_tab_has_its_depth_and_its_edges() -> None:
    """The folio: the tab is ¾ in deep and as wide as the flap, whose edge is on the score."""
    (scene,) = scenes_of("observatory-folio", ["top_flap"], ["back_cover", "top_hinge"])
    words = [text.text for text in scene.texts]
    assert {"¾ glued", "A4 Top hinge"} <= set(words)
    assert "A9 on the score: bottom" in words
    assert "A9 flush with A4: left and right" in words
    assert "top_hinge" in shown_in(scene, Line.HIDDEN), "the far edge of the tab, behind"


def test_a_part_that_turns_is_pierced_at_a_place_given_on_its_host() -> None:
    """The latch is ¾ in from the left of the mat, its brad ⅜ in from its end: 1⅛ in; half the
    height of the mat is 5⅜ in."""
    (scene,) = scenes_of("observatory-folio", ["latch"], ["back_cover", "back_inner_mat"])
    words = [text.text for text in scene.texts]
    assert {"1⅛", "5⅜"} <= set(words)
    assert "¾" not in words, "one set of distances"
    assert any("no glue" in text for text in words)


def test_a_lid_is_not_drawn_on_the_tray_that_it_only_slides_over() -> None:
    scenes = scenes_of("keepsake-box", ["lid_mat", "lid_front_mat", "lid"], ["tray", "base_mat"])
    assert len(scenes) == 1
    assert shown_in(scenes[0], Line.EXISTING) == {"lid"}


def test_pieces_stack_in_the_order_they_are_laid() -> None:
    resolved = matted_design()
    laid = laid_pieces(resolved, ["panel", "mat", "outer_mat"])
    assert laying_order(resolved.pieces, laid) == ["outer_mat", "panel", "mat"]


def test_text_equivalent() -> None:
    scene = assembly_scene(matted_design(METRIC), ["mat"], ["panel"], 165, 90)
    assert scene.text_equivalent == (
        "B1 Mat, 196.85 by 273.05 millimetres, goes on A1 Panel, centred with 3.175 millimetres "
        "showing all round; glue along all edges except at the bottom right corner."
    )


@pytest.mark.parametrize("size", [(165, 90), (178, 76), (85, 72)])
def test_nothing_overlaps(size: tuple[int, int]) -> None:
    for scene in assembly_scenes(matted_design(), ["mat", "outer_mat"], ["panel"], *size):
        assert overlaps(scene) == ()


def test_offsets_are_measured_at_the_edge_they_are_seen_at() -> None:
    """A piece 1 in from the left of the panel's back, as one looks at the back."""
    resolved = matted_design()
    corner = piece(
        "corner",
        "2",
        "2",
        "B3",
        source_piece("corner", placement=placement("on_back", "panel")),
        host_face="face",
        offsets=Offsets(inches("1"), inches("5"), inches("8"), inches("1")),
    )
    pose = shifted(inches("7"), inches("1")).then(flipped())
    faces = (PlacedFace("corner", "face", pose, -1), *resolved.states["flat"].faces)
    resolved = replace(
        resolved,
        pieces={**resolved.pieces, "corner": corner},
        states={"flat": State("flat", faces)},
    )
    scene = assembly_scene(resolved, ["corner"], ["panel"], 165, 90)
    new = scene.strokes(Line.VISIBLE)[0].runs[0]
    ones = [text for text in scene.texts if text.text == "1"]
    assert len(ones) == 2
    assert any(text.x < min(x for x, _ in new) for text in ones), "seen on the left"


def test_a_small_piece_is_shown_with_the_edges_it_is_measured_from() -> None:
    resolved = matted_design()
    (work,) = works_of(resolved, ["mat"], ["panel"])
    assert focus_of(work, ["mat"]) == work.whole
    assert dimensioned_edges(work, "mat") == (("top", "bottom", "left", "right"),)


def words_in_scene(scene: Scene) -> str:
    return " | ".join(text.text for text in scene.texts)


def test_a_pocket_says_which_edges_alone_are_glued() -> None:
    """A pocket glued all round is no pocket: the strips must not be taken for a glued rim."""
    (scene, *_) = scenes_of("observatory-folio", ["left_pocket"], ["left_flap", "left_flap_mat"])
    assert "A12 Left pocket: glue left, bottom and right only" in words_in_scene(scene)
    assert "hatched: glue underneath, nowhere else" in words_in_scene(scene)
    (mat, *_) = scenes_of("observatory-folio", ["left_flap_mat"], ["left_flap"])
    assert "hatched: glue underneath, along all edges" in words_in_scene(mat)


def test_a_seal_goes_on_the_closed_envelope() -> None:
    """The envelope is drawn over the letter in it, and glue lies on both flaps that it meets."""
    present = ["envelope", "lining", "letter_card", "card_front_mat"]
    (scene,) = scenes_of("letter-envelope", ["seal"], present)
    assert scene.strokes(Line.EXISTING)[-1].subject == "envelope"
    assert "closed, seen from above" in words_in_scene(scene)
    assert "⅝ on top flap" in words_in_scene(scene)
    assert {"A1 Envelope (top flap)", "A1 Envelope (bottom flap)"} <= {t.text for t in scene.texts}
    seal = [place for s in scene.strokes(Line.VISIBLE) for run in s.runs for place in run]
    glue = [place for s in scene.strokes(Line.GLUE) for run in s.runs for place in run]
    heights = [y for _, y in seal]
    middle = (min(heights) + max(heights)) / 2
    assert min(y for _, y in glue) < middle - 2 and max(y for _, y in glue) > middle + 2


def test_a_band_goes_round_the_closed_work() -> None:
    """Its front is glued to both laps, and to nothing between them."""
    order = [key for key in shipped("observatory-folio").pieces if not key.startswith("band_front")]
    scene, *_ = scenes_of("observatory-folio", ["band_front"], order)
    band = [place for s in scene.strokes(Line.VISIBLE) for run in s.runs for place in run]
    glue = [place for s in scene.strokes(Line.GLUE) for run in s.runs for place in run]
    left, right = min(x for x, _ in band), max(x for x, _ in band)
    third = (right - left) / 3
    assert any(x < left + third for x, _ in glue) and any(x > right - third for x, _ in glue)
    assert not any(left + third < x < right - third for x, _ in glue)


def test_folds_of_what_is_there_are_not_drawn_as_edges() -> None:
    (scene,) = scenes_of("keepsake-box", ["base_mat"], ["tray"])
    assert {s.subject for s in scene.strokes(Line.EXISTING_VALLEY)} == {"score"}
    (outside,) = scenes_of("keepsake-box", ["tray_front_mat"], ["tray"])
    assert outside.strokes(Line.EXISTING_MOUNTAIN) and not outside.strokes(Line.EXISTING_VALLEY)


def test_parts_cut_off_end_in_a_wavy_line() -> None:
    """Wherever an edge of what is there ends at the window, a wave begins within 1 mm of it."""
    (scene, *_) = scenes_of("observatory-folio", ["left_pocket_mat"], LEFT_SIDE)
    waves = [run for s in scene.strokes(Line.DIMENSION) if s.subject == "break" for run in s.runs]
    edges = [run for s in scene.strokes(Line.EXISTING) for run in s.runs]
    right = max(x for run in edges for x, _ in run)
    ends = [place for run in edges for place in run if place[0] > right - 0.01]
    assert waves and ends
    for x, y in ends:
        assert any(abs(x - a) < 1 and abs(y - b) < 1 for run in waves for a, b in run)


def test_the_same_above_and_below_is_not_called_each_side() -> None:
    scene, *_ = scenes_of("observatory-folio", ["right_hinge"], ["back_cover"])
    assert "½ above and below" in words_in_scene(scene)


def test_a_name_does_not_stand_in_a_thumb_notch() -> None:
    present = ["front_cover", "front_inner_mat", "front_pocket"]
    (scene,) = scenes_of("observatory-folio", ["front_pocket_mat"], present)
    name = next(text for text in scene.texts if text.text.startswith("A15"))
    strokes = [s for s in scene.strokes(Line.EXISTING) if s.subject == "front_pocket"]
    across = [x for stroke in strokes for run in stroke.runs for x, _ in run]
    middle, scale = (min(across) + max(across)) / 2, (max(across) - min(across)) / 7.5
    assert abs(name.x - middle) > 5 / 8 * scale


def test_no_hole_is_shown_before_it_is_pierced() -> None:
    """The folio pierces for its ribbons in steps 6 and 7: in step 4 the covers are still whole."""
    resolved = shipped("observatory-folio")
    page = standard_page(resolved.edition)
    rooms = page.rooms["step"], page.rooms["fastening"], page.room_of_a_step
    scenes = dict(step_scenes(resolved, *rooms))
    assert not holes_in(scenes["step-4-1"]) and not holes_in(scenes["step-5-1"])
    assert holes_in(scenes["step-8-1"])


def holes_in(scene: Scene) -> int:
    """How many of its closed outlines are small."""
    count = 0
    for stroke in (*scene.strokes(Line.EXISTING), *scene.strokes(Line.VISIBLE)):
        for run in stroke.runs:
            xs, ys = [x for x, _ in run], [y for _, y in run]
            is_small = max(xs) - min(xs) < 3 and max(ys) - min(ys) < 3
            count += is_small and len(run) > 8
    return count


LEFT_SIDE = ["back_cover", "spine", "front_cover", "left_hinge", "left_flap", "left_flap_mat"]
LEFT_SIDE += ["left_pocket"]


def test_a_score_of_the_new_piece_is_not_called_its_edge() -> None:
    """The spine's score lies on the edge of the cover; the spine itself reaches beyond it."""
    (scene,) = scenes_of("observatory-folio", ["spine"], ["back_cover"])
    assert "score of A2 on the edge of A1: left" in words_in_scene(scene)
    assert "A2 flush with A1: bottom and top" in words_in_scene(scene)


def test_an_edge_that_is_seen_from_behind_is_called_as_in_the_words_and_as_on_paper() -> None:
    """The folio says: the right edge of the front cover on the score; from behind it is left."""
    (scene,) = scenes_of("observatory-folio", ["front_cover"], ["back_cover", "spine"])
    assert "A3 on the score: right (here left)" in words_in_scene(scene)
    assert "seen from behind" in words_in_scene(scene)


def test_one_hatch_has_one_meaning_in_a_drawing() -> None:
    """Of a pocket and a mat in one drawing, glued along three edges and along all."""
    present = ["back_cover", "spine", "front_cover", "back_inner_mat", "front_inner_mat"]
    new = ["back_left_photo_mat", "front_pocket"]
    (scene,) = scenes_of("observatory-folio", new, present)
    words = words_in_scene(scene)
    assert words.count("hatched") == 1
    assert "along all edges or only those named" in words
    assert "A15: glue left, bottom and right only" in words


def test_strips_of_glue_are_as_wide_as_the_tape() -> None:
    """A quarter of an inch on a pocket of 5¾ in, so that the tag has its room between them."""
    (scene, *_) = scenes_of("observatory-folio", ["left_pocket"], ["left_flap", "left_flap_mat"])
    pocket = [place for s in scene.strokes(Line.VISIBLE) for run in s.runs for place in run]
    left, right = min(x for x, _ in pocket), max(x for x, _ in pocket)
    scale = (right - left) / 5.75
    middle = sum(y for _, y in pocket) / len(pocket)
    glue = [p for s in scene.strokes(Line.GLUE) for run in s.runs for p in run if p[1] > middle]
    depths = [min(x - left, right - x) / scale for x, _ in glue]
    assert max(depths) == pytest.approx(1 / 4, abs=0.02)


def test_a_print_with_a_direction_has_its_arrow() -> None:
    """Upside down on the backs of the top and bottom flaps, where it is turned by 180°."""
    (title,) = scenes_of("observatory-folio", ["title_mat"], ["front_outer_mat", "title_plate"])
    assert [end[1] - start[1] > 0 for start, end in print_arrows(title)] == [True]
    (cover,) = scenes_of("observatory-folio", ["top_flap_cover_mat"], ["top_hinge", "top_flap"])
    assert [end[1] - start[1] > 0 for start, end in print_arrows(cover)] == [False]
    (plain,) = scenes_of("observatory-folio", ["left_flap"], ["left_hinge"])
    assert not print_arrows(plain)


def print_arrows(scene: Scene) -> list[tuple[Place, Place]]:
    strokes = [s for s in scene.strokes(Line.DIMENSION) if s.subject == "print direction"]
    return [(run[0], run[-1]) for s in strokes for run in s.runs]


def test_a_lining_is_glued_with_its_flap_too() -> None:
    """As in the section through the closed envelope: hatched on the body and on the top flap."""
    (scene,) = scenes_of("letter-envelope", ["lining"], ["envelope"])
    lining = [place for s in scene.strokes(Line.VISIBLE) for run in s.runs for place in run]
    glue = [place for s in scene.strokes(Line.GLUE) for run in s.runs for place in run]
    low, high = min(y for _, y in lining), max(y for _, y in lining)
    assert min(y for _, y in glue) < low + 1 and max(y for _, y in glue) > high - 1

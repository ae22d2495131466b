"""Assembly drawings: the right side, the right offsets, glue and keep-off areas."""

from __future__ import annotations

import pytest

from gatherfold.drawings.kernel.plane import Place, bounding
from gatherfold.drawings.kernel.scene import Scene
from gatherfold.drawings.kernel.styles import Line
from gatherfold.drawings.kernel.wording import named
from gatherfold.drawings.scene_check import overlaps
from gatherfold.drawings.step.drawing import stage_scenes
from gatherfold.drawings.step.stages import PlacedStage
from gatherfold.drawings.step.view import dimensioned_edges, focus_of
from gatherfold.resolve.edition import METRIC
from tests.conftest import FOLIO
from tests.drawings.samples import MATTED, matted_design, read
from tests.drawings.step_pictures import (
    ROOM,
    made,
    picture,
    pictures,
    stages,
    words_in as words_in_scene,
    work_with,
)
from tests.drawn import figures_in


def test_even_reveal_is_written_once() -> None:
    scene = picture(matted_design(), "mat")
    words = [text.text for text in scene.texts]
    assert words.count("⅛ all round") == 1
    assert "B1 Mat" in words


def test_new_is_bold_and_present_is_grey() -> None:
    scene = picture(matted_design(), "mat")
    assert {s.subject for s in scene.strokes(Line.VISIBLE)} == {"mat"}
    assert {s.subject for s in scene.strokes(Line.EXISTING)} == {"panel"}


def test_reveal_is_drawn_to_scale() -> None:
    scene = picture(matted_design(), "mat")
    mat = scene.strokes(Line.VISIBLE)[0].runs[0]
    panel = [p for run in scene.strokes(Line.EXISTING)[0].runs for p in run]
    scale = (max(x for x, _ in panel) - min(x for x, _ in panel)) / 8
    gap = min(x for x, _ in mat) - min(x for x, _ in panel)
    assert gap / scale == pytest.approx(1 / 8, rel=1e-6)


def test_glue_is_hatched_but_not_in_the_dry_corner() -> None:
    scene = picture(matted_design(), "mat")
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
        scene = picture(matted_design(), key)
        corner = next(s for s in scene.strokes(Line.KEEP_OFF) if s.subject == "keep off").runs[0]
        mat = scene.strokes(Line.VISIBLE)[0].runs[0]
        assert max(x for x, _ in corner) == pytest.approx(max(x for x, _ in mat))
        assert min(y for _, y in corner) == pytest.approx(min(y for _, y in mat))


def test_each_side_gets_its_own_drawing() -> None:
    resolved = matted_design()
    scenes = [picture(resolved, key) for key in ("mat", "outer_mat")]
    captions = ["seen from behind" in " ".join(t.text for t in s.texts) for s in scenes]
    assert captions == [False, True]


def shown_in(scene: Scene, line: Line) -> set[str]:
    return {strokes.subject for strokes in scene.strokes(line)}


def scene_of(name: str, *new: str) -> Scene:
    """The picture in which a shipped design places some pieces."""
    return picture(made(name), *new)


def test_a_piece_whose_host_comes_later_is_drawn_on_that_host_alone() -> None:
    """The card is matted before it goes into the envelope: the envelope is not in the picture."""
    new = ["card_front_mat", "card_inside_mat", "photo_mat"]
    scenes = [scene_of("letter-envelope", key) for key in new]
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
    """A pocket is matted before it is glued on: its mat is drawn on the pocket alone."""
    pockets = scene_of("observatory-folio", "left_pocket", "right_pocket")
    assert {"left_pocket", "right_pocket"} <= shown_in(pockets, Line.VISIBLE)
    for side in ("left", "right"):
        mat = scene_of("observatory-folio", f"{side}_pocket_mat")
        assert shown_in(mat, Line.VISIBLE) == {f"{side}_pocket_mat"}
        assert shown_in(mat, Line.EXISTING) == {f"{side}_pocket"}
    assert "left, right and bottom edges of A12 flush with E2" in words_in_scene(pockets)


def test_what_slides_in_is_matted_before_and_says_that_it_slides() -> None:
    matted, slid = (scene_of("observatory-folio", key) for key in ("left_tag_mat", "left_tag"))
    assert shown_in(matted, Line.EXISTING) == {"left_tag"}
    assert matted.strokes(Line.GLUE) and not slid.strokes(Line.GLUE)
    assert any(text.text.endswith("slides in, no glue") for text in slid.texts)
    assert any(getattr(item, "subject", "") == "arrow" for item in slid.items)


def test_a_strip_behind_a_hinge_tab_has_its_depth_and_its_edges() -> None:
    """The folio: the tab is ¾ in deep, wide as the flap, its edge on the fold to the gusset."""
    scene = scene_of("observatory-folio", "top_flap")
    words = [text.text for text in scene.texts]
    assert {"¾ glued", "A4 Top hinge"} <= set(words)
    assert "bottom edge of A9 on the fold to gusset" in words
    assert "left and right edges of A9 flush with A4" in words
    assert "top_hinge" in shown_in(scene, Line.HIDDEN), "the far edge of the tab, behind"


def test_a_part_that_turns_is_pierced_at_a_place_given_on_its_host() -> None:
    """The latch is ¾ in from the left of the mat, its brad ⅜ in from its end: 1⅛ in; half the
    height of the mat is 5⅜ in."""
    scene = scene_of("observatory-folio", "latch")
    words = [text.text for text in scene.texts]
    assert {"1⅛", "5⅜"} <= set(words)
    assert "¾" not in words, "one set of distances"
    assert any("no glue" in text for text in words)


def test_a_lid_is_matted_alone_and_lowered_over_its_tray() -> None:
    """The picture of lowering shows both from the side, the lid above, with an arrow down."""
    mats = scene_of("keepsake-box", "lid_mat", "lid_front_mat")
    assert shown_in(mats, Line.EXISTING) == {"lid"}
    lowered = scene_of("keepsake-box", "lid")
    assert "tray" in shown_in(lowered, Line.EXISTING)
    lid, tray = (
        [y for s in lowered.strokes(line) if s.subject == key for run in s.runs for _, y in run]
        for line, key in ((Line.VISIBLE, "lid"), (Line.EXISTING, "tray"))
    )
    assert min(lid) > max(tray) - 0.5
    assert "A1 (front wall) towards you" in words_in_scene(lowered)


def test_a_mat_lies_over_what_it_is_laid_on() -> None:
    stack = [laid.piece.key for laid in work_with(matted_design(), "mat").stack]
    assert stack == ["panel", "mat"]


def test_text_equivalent() -> None:
    scene = picture(matted_design(METRIC), "mat")
    assert scene.text_equivalent == (
        "B1 Mat, 196.85 by 273.05 millimetres, goes on A1 Panel, centred with 3.175 millimetres "
        "showing all round; glue along all edges except at the bottom right corner."
    )


@pytest.mark.parametrize("size", [(165, 90), (178, 76), (85, 72)])
def test_nothing_overlaps(size: tuple[int, int]) -> None:
    resolved = matted_design()
    for key in ("mat", "outer_mat"):
        for scene in pictures(resolved, key, room=size):
            assert overlaps(scene) == ()


def test_offsets_are_measured_at_the_edge_they_are_seen_at() -> None:
    """A piece 1 in from the left of the panel's back, as one looks at the back."""
    corner = "  corner: {as: mat, from: reeds, size: 2 x 2, on_back: panel, left: 1, bottom: 1}\n"
    scene = picture(read(MATTED[: MATTED.index("  outer_mat:")] + corner), "corner")
    new = scene.strokes(Line.VISIBLE)[0].runs[0]
    ones = [text for text in scene.texts if text.text == "1"]
    assert len(ones) == 2
    assert any(text.x < min(x for x, _ in new) for text in ones), "seen on the left"


def test_a_small_piece_is_shown_with_the_edges_it_is_measured_from() -> None:
    resolved = matted_design()
    work = work_with(resolved, "mat")
    assert focus_of(work, ("mat",)) == work.whole
    assert dimensioned_edges(work, "mat") == (("top", "bottom", "left", "right"),)


def test_a_pocket_says_which_edges_alone_are_glued() -> None:
    """A pocket glued all round is no pocket: the strips must not be taken for a glued rim."""
    scene = scene_of("observatory-folio", "left_pocket")
    assert "A12 Left pocket: glue left, bottom and right only" in words_in_scene(scene)
    assert "hatched: glue underneath, nowhere else" in words_in_scene(scene)
    mat = scene_of("observatory-folio", "left_flap_mat")
    assert "hatched: glue underneath, along all edges" in words_in_scene(mat)


def test_a_seal_goes_on_the_closed_envelope() -> None:
    """The envelope is drawn over the letter in it, and glue lies on both flaps that it meets."""
    scene = scene_of("letter-envelope", "seal")
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
    scene = scene_of("observatory-folio", "band_front")
    band = [place for s in scene.strokes(Line.VISIBLE) for run in s.runs for place in run]
    glue = [place for s in scene.strokes(Line.GLUE) for run in s.runs for place in run]
    left, right = min(x for x, _ in band), max(x for x, _ in band)
    third = (right - left) / 3
    assert any(x < left + third for x, _ in glue) and any(x > right - third for x, _ in glue)
    assert not any(left + third < x < right - third for x, _ in glue)


def test_folds_of_what_is_there_are_not_drawn_as_edges() -> None:
    scene = scene_of("keepsake-box", "base_mat")
    assert {s.subject for s in scene.strokes(Line.EXISTING_VALLEY)} == {"score"}
    outside = scene_of("keepsake-box", "tray_front_mat")
    assert outside.strokes(Line.EXISTING_MOUNTAIN) and not outside.strokes(Line.EXISTING_VALLEY)


def test_parts_cut_off_end_in_a_wavy_line() -> None:
    """Wherever an edge of what is there ends at the window, a wave begins within 1 mm of it."""
    scene = scene_of("observatory-folio", "title_plate")
    waves = [run for s in scene.strokes(Line.DIMENSION) if s.subject == "break" for run in s.runs]
    edges = [run for s in scene.strokes(Line.EXISTING) for run in s.runs]
    right = max(x for run in edges for x, _ in run)
    ends = [place for run in edges for place in run if place[0] > right - 0.01]
    assert waves and ends
    for x, y in ends:
        assert any(abs(x - a) < 1 and abs(y - b) < 1 for run in waves for a, b in run)


def test_the_same_above_and_below_is_not_called_each_side() -> None:
    scene = scene_of("observatory-folio", "right_hinge")
    assert "½ above and below" in words_in_scene(scene)


def test_a_name_does_not_stand_in_a_thumb_notch() -> None:
    scene = scene_of("observatory-folio", "front_pocket_mat")
    name = next(text for text in scene.texts if text.text.startswith("A15"))
    strokes = [s for s in scene.strokes(Line.EXISTING) if s.subject == "front_pocket"]
    across = [x for stroke in strokes for run in stroke.runs for x, _ in run]
    middle, scale = (min(across) + max(across)) / 2, (max(across) - min(across)) / 7.5
    assert abs(name.x - middle) > 5 / 8 * scale


def test_no_hole_is_shown_before_it_is_pierced() -> None:
    """The folio pierces for its ribbons in steps 6 and 7: in step 4 the covers are still whole."""
    scenes = figures_in("pattern", FOLIO, "imperial")
    assert not holes_in(scenes["step-4-1"]) and not holes_in(scenes["step-5-1"])
    # That of the latch is pierced in the step that lays it on.
    assert holes_in(scenes["step-9-1"])


def holes_in(scene: Scene) -> int:
    """How many of its closed outlines are small."""
    count = 0
    for stroke in (*scene.strokes(Line.EXISTING), *scene.strokes(Line.VISIBLE)):
        for run in stroke.runs:
            xs, ys = [x for x, _ in run], [y for _, y in run]
            is_small = max(xs) - min(xs) < 3 and max(ys) - min(ys) < 3
            count += is_small and len(run) > 8
    return count


def test_a_score_of_the_new_piece_is_not_called_its_edge() -> None:
    """The spine's score lies on the edge of the cover; the spine itself reaches beyond it."""
    scene = scene_of("observatory-folio", "spine")
    assert "fold of A2 on the left edge of A1" in words_in_scene(scene)
    assert "bottom and top edges of A2 flush with A1" in words_in_scene(scene)


def test_an_edge_that_is_seen_from_behind_is_called_as_in_the_words_and_as_on_paper() -> None:
    """The folio says: the right edge of the front cover on the score; from behind it is left."""
    scene = scene_of("observatory-folio", "front_cover")
    assert "right (here left) edge of A3 on the fold to gusset" in words_in_scene(scene)
    assert "seen from behind" in words_in_scene(scene)


@pytest.mark.parametrize("name", ["observatory-folio", "letter-envelope", "keepsake-box"])
def test_one_hatch_has_one_meaning_in_a_drawing(name: str) -> None:
    """However many pieces are new in it, along whatever edges each of them is glued."""
    resolved = made(name)
    scenes = [
        scene
        for _, stage in stages(resolved)
        if isinstance(stage, PlacedStage)
        for scene in stage_scenes(resolved, stage, *ROOM)
    ]
    counts = [words_in_scene(scene).count("hatched") for scene in scenes]
    assert max(counts) == 1
    for scene, count in zip(scenes, counts, strict=True):
        assert count == bool(scene.strokes(Line.GLUE)), scene.key


def test_strips_of_glue_are_as_wide_as_the_tape() -> None:
    """A quarter of an inch on a pocket of 5¾ in, so that the tag has its room between them."""
    scene = scene_of("observatory-folio", "left_pocket")
    own = (s for s in scene.strokes(Line.VISIBLE) if s.subject == "left_pocket")
    pocket = [place for s in own for run in s.runs for place in run]
    left, right = min(x for x, _ in pocket), max(x for x, _ in pocket)
    scale = (right - left) / 5.75
    heights = [y for _, y in pocket]
    middle = (min(heights) + max(heights)) / 2
    hatched = [p for s in scene.strokes(Line.GLUE) for run in s.runs for p in run]
    glue = [(x, y) for x, y in hatched if y > middle and left <= x <= right]
    depths = [min(x - left, right - x) / scale for x, _ in glue]
    assert max(depths) == pytest.approx(1 / 4, abs=0.02)


def test_a_print_with_a_direction_has_its_arrow() -> None:
    """Upside down on the backs of the top and bottom flaps, where it is turned by 180°."""
    title = scene_of("observatory-folio", "title_mat")
    assert [end[1] - start[1] > 0 for start, end in print_arrows(title)] == [True]
    cover = scene_of("observatory-folio", "top_flap_cover_mat")
    own = (s for s in cover.strokes(Line.VISIBLE) if s.subject == "top_flap_cover_mat")
    mat = bounding(place for s in own for run in s.runs for place in run)
    arrows = [(start, end) for start, end in print_arrows(cover) if mat.holds(start)]
    assert [end[1] - start[1] > 0 for start, end in arrows] == [False]
    plain = scene_of("observatory-folio", "left_flap")
    assert not print_arrows(plain)


def print_arrows(scene: Scene) -> list[tuple[Place, Place]]:
    strokes = [s for s in scene.strokes(Line.DIMENSION) if s.subject == "print direction"]
    return [(run[0], run[-1]) for s in strokes for run in s.runs]


def test_a_lining_is_glued_with_its_flap_too() -> None:
    """As in the section through the closed envelope: hatched on the body and on the top flap."""
    scene = scene_of("letter-envelope", "lining")
    lining = [place for s in scene.strokes(Line.VISIBLE) for run in s.runs for place in run]
    glue = [place for s in scene.strokes(Line.GLUE) for run in s.runs for place in run]
    low, high = min(y for _, y in lining), max(y for _, y in lining)
    assert min(y for _, y in glue) < low + 1 and max(y for _, y in glue) > high - 1


def test_where_a_piece_folds_with_its_host_both_folds_are_named_by_what_lies_beyond() -> None:
    """The lining goes from the body of the envelope over its fold onto the top flap."""
    words = words_in_scene(scene_of("letter-envelope", "lining"))
    assert "fold of C1 on the fold to top flap" in words


def test_the_section_that_a_piece_is_glued_to_is_named() -> None:
    """The design: photographs go on the second, fourth and seventh panel of the two lengths."""
    front = scene_of("concertina-boards", "photo_2", "photo_7")
    assert {"A1 Length a (p2)", "A2 Length b (p7)"} <= {text.text for text in front.texts}
    back = scene_of("concertina-boards", "photo_4")
    assert "A1 Length a (p4)" in {text.text for text in back.texts}


def test_a_hidden_board_shows_the_print_of_the_paper_that_covers_it() -> None:
    """The covered picture is glued in lining down: its upright print is what a maker sees."""
    scene = scene_of("covered-board", "picture_board")
    assert any(getattr(item, "subject", "") == "print direction" for item in scene.items)
    assert "C3 Picture paper: Herbs up" in words_in_scene(scene)


@pytest.mark.parametrize("name", ["box-in-box", "hinged-album", "keepsake-box", "letter-envelope"])
def test_every_piece_that_is_laid_and_what_it_goes_on_have_their_titles(name: str) -> None:
    """A maker need not turn pages to learn what a code stands for."""
    resolved = made(name)
    titles = {piece.code: named(piece) for piece in resolved.pieces.values()}
    placed = (stage for _, stage in stages(resolved) if isinstance(stage, PlacedStage))
    for scene in (scene for stage in placed for scene in stage_scenes(resolved, stage, *ROOM)):
        assert not titles.keys() & {text.text for text in scene.texts}, scene.title

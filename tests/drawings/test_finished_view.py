"""Finished views: what lies in front covers what lies behind; no lettering on the cover."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from gatherfold.drawings.finished.drawing import (
    OBLIQUE,
    Opening,
    Picture,
    finished_scene,
    view_into,
)
from gatherfold.drawings.kernel.canvas import MARGIN
from gatherfold.drawings.kernel.plane import bounding
from gatherfold.drawings.kernel.scene import Area
from gatherfold.drawings.kernel.styles import Fill, Line
from gatherfold.reading import read_design
from gatherfold.resolve import resolve
from gatherfold.resolve.edition import EDITIONS, IMPERIAL
from gatherfold.work import pierced
from tests.checks.test_fastenings import HEAD
from tests.drawings.made_designs import SHIPPED, made
from tests.drawings.samples import design, folded_piece, matted_design


def test_front_shows_the_inner_mat_and_back_the_outer_one() -> None:
    resolved = matted_design()
    assert Picture(resolved, "open", "front").pieces == ("panel", "mat")
    assert Picture(resolved, "open", "back").pieces == ("panel", "outer_mat")


def test_faces_are_painted_from_the_back() -> None:
    scene = finished_scene(matted_design(), "open", 80, 90, "back")
    assert [s.subject for s in scene.strokes(Line.FAINT)] == ["panel", "outer_mat"]


def test_text_equivalent_has_the_exact_size() -> None:
    text = finished_scene(matted_design(), "open", 80, 90).text_equivalent
    assert "8 by 11 inches over all" in text


def test_folds_that_lie_flat_are_no_edges() -> None:
    """The spine of two folds, open: its folds are drawn as folds, its edges alone as edges; from
    behind, a valley is a mountain."""
    spine = folded_piece()
    resolved = design({"spine": spine})
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
        text = HEAD + "".join(f"  {line}\n" for line in pieces.format(on=on).splitlines())
        text += f"fastenings:\n  {brad.format(through=through)}\nsteps:\n"
        text += "  - {title: Set it, text: Set it., attach: [left, top], fasten: pin}\n"
        resolved = pierced(resolve(read_design(text.encode(), "test.yaml"), IMPERIAL))
        scene = finished_scene(resolved, "open", 120, 120, view)
        found = [s.subject for s in scene.strokes(Line.FAINT) if s.subject in ("head", "legs")]
        assert found == seen, (on, through, view)


def test_the_latch_of_the_folio_has_a_head_and_no_empty_hole() -> None:
    resolved = made("observatory-folio")
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
    scene = finished_scene(made("keepsake-box"), "closed", 150, 120, view)
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


def test_the_closed_box_is_drawn_to_one_scale_along_its_edges() -> None:
    """Lid 5⅝ by 4⅛ in, 1¼ in high: its three edges at the near corner come out in proportion."""
    scene = finished_scene(made("keepsake-box"), "closed", 120, 90, OBLIQUE)
    lengths = [
        math.dist(a, b)
        for strokes in scene.strokes(Line.FAINT)
        if strokes.subject in ("lid", "fold")
        for run in strokes.runs
        for a, b in pairwise(run)
    ]
    scale = max(lengths) / 5.625
    for inches in (5.625, 4.125, 1.25):
        assert any(length == pytest.approx(inches * scale, rel=1e-6) for length in lengths)


def test_the_open_folio_shows_its_inside_only() -> None:
    for view in ("front", OBLIQUE):
        shown = set(Picture(made("observatory-folio"), "open", view).pieces)
        assert {"front_inner_mat", "page", "left_tag", "latch", "top_flap_photo_mat"} <= shown
        assert not any(key.endswith(("outer_mat", "cover_mat")) for key in shown)
    words = finished_scene(made("observatory-folio"), "open", 120, 90).text_equivalent
    assert "A15 Front pocket" in words


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize("name", SHIPPED)
def test_pictures_keep_to_their_room(name: str, edition: str) -> None:
    resolved = made(name, edition)
    both: tuple[Opening, ...] = ("open", "closed")
    for opening in both:
        scene = finished_scene(resolved, opening, 172, 120, OBLIQUE)
        assert scene.items and scene.texts == ()
        assert scene.width <= 172.01
        assert scene.height <= 120.01


@pytest.mark.parametrize(
    ("name", "size", "absent"),
    [
        # 5½ x 4 in, not the net that it is folded from.
        ("keepsake-box", "5½ by 4 inches", "A2 Lid"),
        # Two covers of 3 15/16 in and the 9/16 in spine between them.
        ("belly-band", "8\u00a07⁄16 by 5½ inches", "Band"),
    ],
)
def test_open_work_lies_without_what_only_shuts_it(name: str, size: str, absent: str) -> None:
    words = finished_scene(made(name), "open", 120, 90, OBLIQUE).text_equivalent
    assert f"{size} over all" in words and absent not in words


def test_the_open_box_stands() -> None:
    faces = Picture(made("keepsake-box"), "open", OBLIQUE).faces
    standing = [f for f in faces if not f.pose.normal[2] and f.piece.key == "tray"]
    assert len({face.key.face for face in standing}) >= 4


def test_a_closed_book_lies_on_its_back_cover() -> None:
    """From above its front cover is seen, from below its back cover, not its spine."""
    for view, cover in (("front", "front_cover"), ("back", "back_cover")):
        picture = Picture(made("hinged-album"), "closed", view)
        assert {face.key for face in picture.faces} == {("case", cover)}


def test_the_ribbon_hides_what_it_lies_on_and_lies_under_the_rim_of_the_lid() -> None:
    """One ribbon goes up the front of the lid and over its top without a break, though a mat begins
    and ends on the way; below, that on the tray goes in under the lid."""
    picture = Picture(made("keepsake-box"), "closed", OBLIQUE)
    tray, lid, *bow = picture.ribbons
    # Two tails, two loops and the knot; all but the part on the tray lie over everything.
    assert len(bow) == 5
    assert {strip.after for strip in (lid, *bow)} == {len(picture.faces)}
    assert (len(tray.rings[0]), len(lid.rings[0])) == (4, 6)
    # From the lower edge of the lid, 1¼ in up, and 4⅛ in across: y runs at 30 degrees to the level.
    low, bend, far = lid.rings[0][:3]
    assert math.dist(low, bend) == pytest.approx(1.25 * 25.4)
    assert math.dist(bend, far) == pytest.approx(4.125 * 25.4)
    names = [face.key for face in picture.faces]
    assert names.index(("tray", "front_wall")) < tray.after <= names.index(("lid", "front_side"))
    assert names.index(("tray_front_mat", "face")) < tray.after


@pytest.mark.parametrize(
    ("name", "title"),
    [
        ("observatory-folio", "Open, seen from the inside"),
        ("keepsake-box", "Open, seen from the inside"),
        # Its case lies face down: the inside is at the back.
        ("covered-board", "Open, seen from the inside"),
        # A seal, or glue all round: these do not open.
        ("four-flaps", "Closed, seen from above"),
        ("glued-flat-sleeve", "Closed, seen from above"),
        ("sleeve-tray", "Closed, seen from the front, right and above"),
    ],
)
def test_a_picture_of_open_work_is_called_what_it_shows(name: str, title: str) -> None:
    resolved = made(name)
    scene = finished_scene(resolved, "open", 120, 90, view_into(resolved))
    assert scene.title == title
    assert f"{title[0].lower()}{title[1:]}:" in scene.text_equivalent


def test_open_work_that_lies_face_down_shows_its_linings_and_its_other_side_the_cover() -> None:
    resolved = made("covered-board")
    assert view_into(resolved) == "back"
    assert {"left_lining", "right_lining"} <= set(Picture(resolved, "open", "back").pieces)
    assert Picture(resolved, "open", "front").title == "Open, seen from the outside"

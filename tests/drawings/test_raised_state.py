"""The states seen obliquely: what shows, and how large it comes out."""

from __future__ import annotations

import math
from itertools import pairwise
from pathlib import Path

import pytest

from builder.drawings.axonometric import ISOMETRIC
from builder.drawings.raised_state import raised_equivalent, raised_scene, raised_state
from builder.drawings.raised_view import visible_keys
from builder.drawings.round_ribbons import round_ribbons
from builder.drawings.scene_check import overlaps
from builder.drawings.stock_tints import picture_tints
from builder.drawings.styles import Line
from builder.resolve.edition import EDITIONS
from tests.resolve.test_turns import SHIPPED, shipped

INCH = 25.4


def test_the_closed_box_is_drawn_to_one_scale_along_its_edges() -> None:
    """Lid 5⅝ by 4⅛ in, 1¼ in high: its three edges at the near corner come out in proportion."""
    scene = raised_scene(shipped("keepsake-box"), "closed", 120, 90)
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
    folio = shipped("observatory-folio")
    shown = set(visible_keys(raised_state(folio, "open")))
    assert {"front_inner_mat", "page", "left_tag", "latch", "top_flap_photo_mat"} <= shown
    assert not any(key.endswith(("outer_mat", "cover_mat")) for key in shown)
    assert "A15 Front pocket" in raised_equivalent(folio, "open")


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_labels_are_legible_in_every_state(path: Path, edition: str) -> None:
    resolved = shipped(path.stem, edition)
    for state in ("flat", "open", "closed"):
        shown = visible_keys(raised_state(resolved, state))
        scene = raised_scene(resolved, state, 172, 120, shown)
        assert len(scene.texts) == len(shown) > 0
        assert overlaps(scene) == ()
        assert scene.width <= 172.01
        assert scene.height <= 120.01


def test_an_open_box_stands_without_its_lid() -> None:
    """5½ x 4 in and 2 in high, not the net that it is folded from."""
    resolved = shipped("keepsake-box")
    words = raised_equivalent(resolved, "open")
    assert "5½ by 4 inches over all" in words and "A2 Lid" not in words
    standing = [f for f in raised_state(resolved, "open") if not f.placed.pose.normal[2]]
    assert len({f.placed.face for f in standing if f.placed.piece == "tray"}) >= 4


def test_the_ribbon_hides_what_it_lies_on_and_lies_under_the_rim_of_the_lid() -> None:
    """One ribbon goes up the front of the lid and over its top without a break, though a mat begins
    and ends on the way; below, that on the tray goes in under the lid."""
    box = shipped("keepsake-box")
    faces = raised_state(box, "closed")
    placed = [face.placed for face in faces]
    fills = picture_tints(box).fills
    tray, lid, *bow = round_ribbons(box, "lid_ribbon", placed, faces, ISOMETRIC, fills)
    # Two tails, two loops and the knot; all but the part on the tray lie over everything.
    assert len(bow) == 5
    assert {strip.after for strip in (lid, *bow)} == {len(faces)}
    assert (len(tray.rings[0]), len(lid.rings[0])) == (4, 6)
    # From the lower edge of the lid, 1¼ in up, and 4⅛ in across: y runs at 30 degrees to the level.
    low, bend, far = lid.rings[0][:3]
    assert math.dist(low, bend) == pytest.approx(1.25 * INCH)
    assert math.dist(bend, far) == pytest.approx(4.125 * INCH)
    names = [face.key for face in faces]
    assert names.index(("tray", "front_wall")) < tray.after <= names.index(("lid", "front_side"))
    assert names.index(("tray_front_mat", "face")) < tray.after

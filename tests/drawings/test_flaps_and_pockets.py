"""Flaps and pockets: what turns, what it hides, how far an insert comes out."""

from __future__ import annotations

import pytest

from builder.drawings.axonometric import ISOMETRIC
from builder.drawings.flaps_and_pockets import (
    filled_pockets,
    flap_equivalent,
    flap_scene,
    flap_stages,
    mouth_of,
    moving_flaps,
    pocket_equivalent,
    pocket_scene,
    pocket_stages,
)
from builder.drawings.raised_view import raised_faces, visible_keys
from builder.drawings.scene_check import overlaps
from builder.geometry.areas import Slab, crosses, placed
from builder.reading import read_design
from builder.resolve import resolve
from builder.resolve.edition import IMPERIAL
from builder.resolve.resolved import PlacedFace, ResolvedDesign
from builder.shipped import DESIGNS
from builder.work import pierced
from tests.resolve.test_turns import shipped


def test_which_parts_are_flaps() -> None:
    assert moving_flaps(shipped("keepsake-box")) == ()
    assert moving_flaps(shipped("observatory-folio")) == (
        "top_hinge", "right_hinge", "left_hinge", "spine"
    )  # fmt: skip
    assert moving_flaps(shipped("letter-envelope")) == (
        "envelope.left_flap", "envelope.bottom_flap", "letter_card", "lining.flap"
    )  # fmt: skip


def pieces(stage: tuple[PlacedFace, ...]) -> set[str]:
    return {face.piece for face in stage}


def test_open_half_way_closed() -> None:
    """The right flap looks up, then to the left, then down."""
    normals = []
    for stage in flap_stages(shipped("observatory-folio"), "right_hinge"):
        normals.append(next(f.pose.normal for f in stage if f.piece == "right_flap"))
    assert normals == [(0, 0, 1), (-1, 0, 0), (0, 0, -1)]


def test_a_flap_is_shown_on_what_it_hangs_on_with_earlier_flaps_shut() -> None:
    folio = shipped("observatory-folio")
    opened, _, closed = flap_stages(folio, "right_hinge")
    assert pieces(opened) == pieces(closed)
    assert {"back_cover", "back_left_photo_mat", "right_tag", "top_flap"} <= pieces(opened)
    assert not {"front_cover", "left_flap", "band_back"} & pieces(opened)
    top = next(f for f in opened if f.piece == "top_flap")
    assert top.pose.normal == (0, 0, -1), "shut before the right flap closes"
    assert "back_cover" not in pieces(flap_stages(folio, "left_hinge")[0])


def test_what_is_glued_over_a_fold_is_shown_on_both_its_sides() -> None:
    """The lining covers the body and the top flap before the other flaps are folded; their fold
    is none of those that move.  The letter's card, folded on a line of its own, stays away."""
    letter = shipped("letter-envelope")
    for key in ("envelope.left_flap", "envelope.bottom_flap"):
        for stage in flap_stages(letter, key):
            faces = {(face.piece, face.face) for face in stage}
            assert {("lining", "body"), ("lining", "flap"), ("envelope", "top_flap")} <= faces
            assert "letter_card" not in pieces(stage)
        shown = {face.key for face in raised_faces(letter, stage, ISOMETRIC)}
        assert ("lining", "flap") in shown


def test_what_a_closed_flap_hides() -> None:
    """The right flap covers the right photo mat of the back cover, and its own inside."""
    folio = shipped("observatory-folio")
    opened, _, closed = (
        set(visible_keys(raised_faces(folio, stage, ISOMETRIC)))
        for stage in flap_stages(folio, "right_hinge")
    )
    assert {"back_right_photo_mat", "right_tag", "right_flap_photo_mat"} <= opened - closed
    assert closed - opened == {"right_flap_cover_mat"}
    words = flap_equivalent(folio, "right_hinge")
    assert "B8 Back right photo mat" in words.split("Closed, it hides")[1]


def test_inserts_and_mouths() -> None:
    folio = shipped("observatory-folio")
    assert filled_pockets(folio) == ("left_tag", "right_tag", "page")
    assert {mouth_of(folio, key) for key in filled_pockets(folio)} == {"top"}


def slab_of(resolved: ResolvedDesign, stage: tuple[PlacedFace, ...], key: str) -> Slab:
    face = next(face for face in stage if face.piece == key)
    return placed(face.pose, resolved.pieces[key].face(face.face).box)


@pytest.mark.parametrize("key", ["left_tag", "right_tag", "page"])
def test_out_it_is_clear_of_its_pocket_and_in_it_lies_where_the_design_has_it(key: str) -> None:
    folio = shipped("observatory-folio")
    host = folio.pieces[key].source.placement.host  # type: ignore[union-attr]
    out, half, there = (slab_of(folio, stage, key).seen for stage in pocket_stages(folio, key))
    pocket = slab_of(folio, pocket_stages(folio, key)[0], host).seen
    assert out.bottom == pocket.top
    assert not crosses(out, pocket)
    assert half.bottom == (out.bottom + there.bottom) / 2
    flat = slab_of(folio, folio.states["flat"].faces, key).seen
    assert there == flat


def test_what_lies_on_an_insert_comes_out_with_it() -> None:
    folio = shipped("observatory-folio")
    out, _, there = pocket_stages(folio, "left_tag")
    moved = [
        slab_of(folio, out, key).low[1] - slab_of(folio, there, key).low[1]
        for key in ("left_tag", "left_tag_mat")
    ]
    assert moved[0] == moved[1] > 0
    assert slab_of(folio, out, "left_pocket") == slab_of(folio, there, "left_pocket")


def test_the_pocket_in_words_says_how_far_the_insert_looks_out() -> None:
    """The tag is ¾ in higher than its pocket and rests on ¼ in of tape: 1 in looks out."""
    words = pocket_equivalent(shipped("observatory-folio"), "left_tag")
    assert "glued left, bottom and right" in words
    assert "it looks 1\N{NO-BREAK SPACE}in out of it" in words


def test_three_frames_fit_side_by_side() -> None:
    folio = shipped("observatory-folio")
    for scene in (flap_scene(folio, "spine", 178, 75), pocket_scene(folio, "page", 178, 75)):
        assert [text.text for text in scene.texts if text.bold] == ["a", "b", "c"]
        assert scene.width <= 178
        assert scene.height <= 75
        assert overlaps(scene) == ()


def test_the_latch_is_turned_over_the_flap_in_a_last_frame() -> None:
    folio = shipped("observatory-folio")
    scene = flap_scene(folio, "right_hinge", 178, 75)
    captions = [text.text for text in scene.texts]
    assert "turn A16 Latch aside, open" in captions
    # The caption may run over two lines.
    assert "turn A16 Latch over A13 Right flap" in " ".join(captions)
    assert "At last turn A16 Latch over A13 Right flap." in flap_equivalent(folio, "right_hinge")
    # Aside, it reaches from the brad, 1¼ in from the left edge, to the left over the spine.
    for stage in flap_stages(folio, "right_hinge"):
        latch = slab_of(folio, stage, "latch").seen
        assert float(latch.left) == pytest.approx((1.25 - 2.125) * 25.4)
    # What closes later finds it over the flap, on its plane.
    for stage in flap_stages(folio, "spine"):
        latch, flap = (slab_of(folio, stage, key) for key in ("latch", "right_flap"))
        assert latch.plane == flap.plane
        assert float(latch.seen.right) == pytest.approx((1.25 + 2.125) * 25.4)


def test_an_insert_wider_than_its_ground_has_no_picture() -> None:
    """A draft of such a design is drawn all the same."""
    text = (DESIGNS / "observatory-folio.yaml").read_bytes()
    resolved = pierced(resolve(read_design(text, "wide.yaml", {"page_width": "9 in"}), IMPERIAL))
    assert resolved.pieces["page"].width > resolved.pieces["front_inner_mat"].width
    assert "page" in filled_pockets(shipped("observatory-folio"))
    assert "page" not in filled_pockets(resolved)

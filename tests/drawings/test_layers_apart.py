"""Layers pulled apart: their order, what they lie on and how they are held, from the model."""

from __future__ import annotations

import pytest

from builder.drawings.labels import NOTE_PT
from builder.drawings.layers_apart import (
    end_words,
    layered_faces,
    layers_equivalent,
    layers_scene,
    pile,
)
from builder.drawings.scene_check import overlaps
from builder.drawings.styles import Line
from builder.geometry.areas import crosses
from tests.resolve.test_turns import shipped


def test_which_faces_have_layers_enough() -> None:
    found = {name: layered_faces(shipped(name)) for name in ("keepsake-box", "letter-envelope")}
    assert found == {
        "keepsake-box": (("lid", "panel"),),
        "letter-envelope": (("envelope", "body"),),
    }
    folio = [key for key, _ in layered_faces(shipped("observatory-folio"))]
    assert folio == [
        "back_cover", "front_cover", "top_flap", "bottom_flap", "left_flap", "right_flap"
    ]  # fmt: skip


def test_the_layers_of_the_left_flap_in_order() -> None:
    layers = pile(shipped("observatory-folio"), ("left_flap", "face"))
    assert [(layer.level, layer.placed.piece, layer.held) for layer in layers] == [
        (0, "left_flap_cover_mat", "glued"),
        (1, "left_flap", ""),
        (2, "left_hinge", "glued"),
        (3, "left_flap_mat", "glued"),
        (4, "left_flap_photo_mat", "glued"),
        (5, "left_tag", "slides in"),
        (6, "left_tag_mat", "glued"),
        (7, "left_pocket", "glued left, bottom and right"),
        (8, "left_pocket_mat", "glued"),
    ]


@pytest.mark.parametrize("name", ["observatory-folio", "letter-envelope", "keepsake-box"])
def test_what_lies_over_something_is_a_level_higher(name: str) -> None:
    resolved = shipped(name)
    for base in layered_faces(resolved):
        layers = pile(resolved, base)
        orders = [layer.placed.order for layer in layers]
        assert orders == sorted(orders)
        for index, upper in enumerate(layers):
            for lower in layers[:index]:
                if crosses(upper.slab.seen, lower.slab.seen):
                    assert upper.level > lower.level


def test_loose_parts_are_told_from_glued_ones() -> None:
    folio, letter = shipped("observatory-folio"), shipped("letter-envelope")
    held = {layer.placed.piece: layer.held for layer in pile(folio, ("back_cover", "face"))}
    assert held["latch"] == "turns on the brad"
    assert held["back_inner_mat"] == "glued"
    card = next(x for x in pile(letter, ("envelope", "body")) if x.placed.piece == "letter_card")
    assert card.held == "loose"


@pytest.mark.parametrize("name", ["observatory-folio", "letter-envelope", "keepsake-box"])
def test_every_layer_is_named_once_by_a_leader(name: str) -> None:
    resolved = shipped(name)
    for base in layered_faces(resolved):
        scene, layers = layers_scene(resolved, base, 178, 150), pile(resolved, base)
        # Above and below stands which side each end of the pile is.
        assert len(scene.texts) - 2 == len(layers) == len(scene.strokes(Line.LEADER))
        assert all(text.size_pt == NOTE_PT for text in scene.texts)
        for layer in layers:
            piece = resolved.pieces[layer.placed.piece]
            # Without a number, which would be taken for the order of gluing.
            assert any(text.text.startswith(f"{piece.code} ") for text in scene.texts)
        assert overlaps(scene) == ()


@pytest.mark.parametrize(
    ("name", "base", "ends"),
    [
        ("observatory-folio", ("back_cover", "face"), ("back, outside", "front, inside")),
        ("observatory-folio", ("front_cover", "face"), ("back, outside", "front, inside")),
        ("observatory-folio", ("top_flap", "face"), ("back", "front")),
        ("letter-envelope", ("envelope", "body"), ("back, outside", "front, inside")),
        ("keepsake-box", ("lid", "panel"), ("back, inside", "front, outside")),
    ],
)
def test_both_ends_say_which_is_the_outside(
    name: str, base: tuple[str, str], ends: tuple[str, str]
) -> None:
    """By the designs: the front of the folio is its inside, the front of the lid its outside; a
    folded-in flap looks out on neither side."""
    resolved = shipped(name)
    assert end_words(resolved, pile(resolved, base), base) == ends
    written = [text.text for text in layers_scene(resolved, base, 178, 150).texts]
    lowest, uppermost = ends
    assert uppermost in written
    # Printed layers under the base show their glued side, and the picture says so.
    (below,) = (text for text in written if text == lowest or text.startswith(f"{lowest} ·"))
    assert ("glued side" in below) == (name != "keepsake-box")


def test_levels_stand_at_equal_steps_the_uppermost_highest() -> None:
    """Both mats of the front cover are of one size and in one place: their lowest corners stand
    as many steps apart as they are levels apart, and every dashed line is one step long."""
    folio, base = shipped("observatory-folio"), ("front_cover", "face")
    scene = layers_scene(folio, base, 178, 150)
    runs = [run for strokes in scene.strokes(Line.PATH) for run in strokes.runs]
    assert all(x0 == pytest.approx(x1) for (x0, _), (x1, _) in runs)
    (step,) = {round(y1 - y0, 6) for (_, y0), (_, y1) in runs}
    lowest = {
        strokes.subject: min(y for run in strokes.runs for _, y in run)
        for strokes in scene.strokes(Line.FAINT)
        if strokes.subject in ("front_inner_mat", "front_outer_mat")
    }
    levels = {layer.placed.piece: layer.level for layer in pile(folio, base)}
    apart = levels["front_inner_mat"] - levels["front_outer_mat"]
    assert apart == 3, "the cover and the tabs lie between"
    assert lowest["front_inner_mat"] - lowest["front_outer_mat"] == pytest.approx(apart * step)


@pytest.mark.parametrize("name", ["observatory-folio", "letter-envelope", "keepsake-box"])
def test_dashed_lines_run_from_layer_to_layer(name: str) -> None:
    """None goes below the lowest layer or above the uppermost: the lid lies raised in its box.
    At a rounded or notched corner it is the corner of the uncut layer that is shown."""
    resolved = shipped(name)
    for base in layered_faces(resolved):
        scene = layers_scene(resolved, base, 178, 150)
        edges = [y for s in scene.strokes(Line.FAINT) for run in s.runs for _, y in run]
        threads = [y for s in scene.strokes(Line.PATH) for run in s.runs for _, y in run]
        assert min(edges) - 1.0 <= min(threads)
        assert max(threads) <= max(edges) + 1.0


def test_the_words_go_from_the_lowest_to_the_uppermost() -> None:
    words = layers_equivalent(shipped("letter-envelope"), ("envelope", "body"))
    order = [
        "Address mat",
        "Address plate",
        "Envelope (body)",
        "Lining",
        "Letter card",
        "Photo mat",
    ]
    places = [words.index(name) for name in order]
    assert places == sorted(places)

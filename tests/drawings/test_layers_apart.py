"""Layers pulled apart: their order, what they lie on and how they are held, from the model."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from shapely.geometry import Point, Polygon

from builder.drawings.axonometric import DIMETRIC
from builder.drawings.labels import NOTE_PT
from builder.drawings.layers_apart import (
    _clearest_spread,
    _spread,
    end_words,
    layered_faces,
    layers_equivalent,
    layers_scene,
    pile,
)
from builder.drawings.plane import Rect, distance_to_segment
from builder.drawings.raised_view import shown_parts, visible_places
from builder.drawings.scene_check import overlaps
from builder.drawings.styles import Line
from builder.work import FaceKey, work_of
from tests.works import shipped, structure


def test_which_faces_have_layers_enough() -> None:
    found = {name: layered_faces(shipped(name)) for name in ("keepsake-box", "letter-envelope")}
    assert found == {
        "keepsake-box": (FaceKey("lid", "panel"),),
        "letter-envelope": (FaceKey("envelope", "body"),),
    }
    folio = [key for key, _ in layered_faces(shipped("observatory-folio"))]
    assert folio == [
        "back_cover", "front_cover", "top_flap", "bottom_flap", "left_flap", "right_flap"
    ]  # fmt: skip


def test_the_layers_of_the_left_flap_in_order() -> None:
    layers = pile(shipped("observatory-folio"), FaceKey("left_flap", "face"))
    assert [(layer.level, layer.key.piece, layer.held) for layer in layers] == [
        (0, "left_flap_cover_mat", "glued"),
        (1, "left_flap", ""),
        (2, "left_hinge", "glued"),
        (3, "left_flap_mat", "glued"),
        (4, "left_flap_photo_mat", "glued to E2"),
        (5, "left_tag", "slides in"),
        (6, "left_tag_mat", "glued to B4"),
        (7, "left_pocket", "glued left, bottom and right"),
        (8, "left_pocket_mat", "glued to A12"),
    ]


def test_what_lies_on_an_insert_comes_between_it_and_its_pocket() -> None:
    """The mat of the page does not reach the pocket, and still no layer of the pocket is level
    with it."""
    layers = pile(shipped("observatory-folio"), FaceKey("front_cover", "face"))
    levels = {layer.key.piece: layer.level for layer in layers}
    upper = ["front_inner_mat", "page", "page_mat", "front_pocket", "front_pocket_mat"]
    assert [levels[key] for key in upper] == list(range(5, 10))
    assert [key for key, level in levels.items() if level == levels["page_mat"]] == ["page_mat"]
    held = {layer.key.piece: layer.held for layer in layers}
    assert (held["page_mat"], held["front_inner_mat"]) == ("glued to B9", "glued")


def test_what_stands_out_of_a_pocket_is_shown_beside_it() -> None:
    """Seen from before, the photo mat lies behind the tag, all but covered, and the mat of the
    page behind the pocket; of the wide top flap nothing is gained from the side."""
    folio = shipped("observatory-folio")
    shares = {}
    for base in (
        FaceKey("left_flap", "face"),
        FaceKey("front_cover", "face"),
        FaceKey("top_flap", "face"),
    ):
        spread = _clearest_spread(folio, pile(folio, base), Rect(50, 6, 128, 96))
        for face, part in zip(spread.faces, shown_parts(spread.faces), strict=True):
            shares[face.piece.key] = part.area / face.shape.area
    assert min(shares["left_flap_photo_mat"], shares["page_mat"]) > 0.8
    assert min(shares["left_tag"], shares["left_pocket"], shares["front_pocket"]) > 0.6
    assert shares["top_flap_cover_mat"] > 0.9


def test_of_what_is_half_covered_places_well_within_what_shows_come_first() -> None:
    """Seen from before, the tag leaves a corner of the photo mat, and its middle is on the edge of
    the tag or under it."""
    folio, base = shipped("observatory-folio"), FaceKey("left_flap", "face")
    spread = _spread(folio, pile(folio, base), Rect(50, 6, 128, 96), DIMETRIC)
    index = [face.piece.key for face in spread.faces].index("left_flap_photo_mat")
    shown = Polygon(spread.faces[index].rings[0])
    for other in spread.faces[index + 1 :]:
        shown = shown.difference(Polygon(other.rings[0]))
    best = visible_places(spread.faces, spread.faces[index].key, 10)[0]
    side = max(spread.extent.width, spread.extent.height)
    assert shown.contains(Point(best))
    assert shown.boundary.distance(Point(best)) > 0.015 * side


def test_leaders_end_well_within_what_shows() -> None:
    """Two millimetres round the dot on the photo mat nothing else is to be seen."""
    folio = shipped("observatory-folio")
    for base, code in (
        (FaceKey("left_flap", "face"), "B3 "),
        (FaceKey("right_flap", "face"), "B5 "),
    ):
        scene = layers_scene(folio, base, 178, 102)
        text = next(text for text in scene.texts if text.text.startswith(code))
        leaders = [run for strokes in scene.strokes(Line.LEADER) for run in strokes.runs]
        _, (x, y) = min(leaders, key=lambda run: math.dist(run[0], (text.x, text.y + 1)))
        edges = [
            segment
            for line in (Line.FAINT, Line.VISIBLE)
            for strokes in scene.strokes(line)
            for run in strokes.runs
            for segment in pairwise(run)
        ]
        assert min(distance_to_segment((x, y), *edge) for edge in edges) > 2.0


@pytest.mark.parametrize("name", ["observatory-folio", "letter-envelope", "keepsake-box"])
def test_what_lies_over_something_is_a_level_higher(name: str) -> None:
    """As the pairs of layers of the open work have it, seen from the front of the base; those of
    the lid, which is no part of the open box, as the closed work has them."""
    resolved = shipped(name)
    work = work_of(resolved)
    for base in layered_faces(resolved):
        layers = pile(resolved, base)
        opened = work.opened if base in work.opened.plates else work.closed
        up = opened.plates[base].facing
        for upper in layers:
            for lower in layers:
                if opened.is_above(lower.key, upper.key) is (up > 0):
                    assert upper.level > lower.level


def test_a_pocket_closed_over_its_slip_is_pulled_apart_with_it() -> None:
    """The design: the flap is doubled over the slip, and its lower half is glued shut over it."""
    levels = {
        str(layer.key): layer.level
        for layer in pile(structure("flap-on-flap"), FaceKey("small_flap", "front"))
    }
    assert levels["small_flap.front"] < levels["slip.face"] < levels["small_flap.doubling"]


def test_loose_parts_are_told_from_glued_ones() -> None:
    folio, letter = shipped("observatory-folio"), shipped("letter-envelope")
    held = {layer.key.piece: layer.held for layer in pile(folio, FaceKey("back_cover", "face"))}
    assert held["latch"] == "turns on the brad"
    assert held["back_inner_mat"] == "glued"
    card = next(
        x for x in pile(letter, FaceKey("envelope", "body")) if x.key.piece == "letter_card"
    )
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
            piece = resolved.pieces[layer.key.piece]
            # Without a number, which would be taken for the order of gluing.
            assert any(text.text.startswith(f"{piece.code} ") for text in scene.texts)
        assert overlaps(scene) == ()


@pytest.mark.parametrize(
    ("name", "base", "ends"),
    [
        ("observatory-folio", FaceKey("back_cover", "face"), ("outside", "inside")),
        ("observatory-folio", FaceKey("front_cover", "face"), ("outside", "inside")),
        ("observatory-folio", FaceKey("top_flap", "face"), ("back", "front")),
        ("letter-envelope", FaceKey("envelope", "body"), ("outside", "inside")),
        ("keepsake-box", FaceKey("lid", "panel"), ("inside", "outside")),
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
    folio, base = shipped("observatory-folio"), FaceKey("front_cover", "face")
    scene = layers_scene(folio, base, 178, 150)
    runs = [run for strokes in scene.strokes(Line.PATH) for run in strokes.runs]
    assert all(x0 == pytest.approx(x1) for (x0, _), (x1, _) in runs)
    (step,) = {round(y1 - y0, 6) for (_, y0), (_, y1) in runs}
    lowest = {
        strokes.subject: min(y for run in strokes.runs for _, y in run)
        for strokes in scene.strokes(Line.FAINT)
        if strokes.subject in ("front_inner_mat", "front_outer_mat")
    }
    levels = {layer.key.piece: layer.level for layer in pile(folio, base)}
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
    words = layers_equivalent(shipped("letter-envelope"), FaceKey("envelope", "body"))
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


def test_faces_of_one_piece_are_named_each_where_it_lies() -> None:
    """The front and the doubling of the small flap are two layers of one piece."""
    scene = layers_scene(structure("flap-on-flap"), FaceKey("small_flap", "front"), 178, 140)
    ends = [run[1] for strokes in scene.strokes(Line.LEADER) for run in strokes.runs]
    assert len(ends) == 5
    heights = sorted(y for _, y in ends)
    assert all(second - first > 5.0 for first, second in pairwise(heights))


def test_no_dashed_line_runs_to_a_corner_that_is_cut_off() -> None:
    """The design: the upper edge of the pocket slants from the one side to the other, so the corner
    of its blank lies in the air."""
    resolved, base = structure("angled-pocket-card"), FaceKey("card", "right")
    pocket = next(layer for layer in pile(resolved, base) if layer.key.piece == "pocket")
    assert len(pocket.corners) == 3
    scene = layers_scene(resolved, base, 178, 140)
    top = max(y for s in scene.strokes(Line.FAINT) for run in s.runs for _, y in run)
    assert max(y for s in scene.strokes(Line.PATH) for run in s.runs for _, y in run) <= top

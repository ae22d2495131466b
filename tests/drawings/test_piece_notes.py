"""Notes of piece drawings: what they say of holes and circles, and what they keep clear of."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise, product

import pytest

from gatherfold.documents.page import read_page
from gatherfold.drawings.kernel.lettering import text_rect
from gatherfold.drawings.kernel.plane import Place, Rect, bounding, segments_apart
from gatherfold.drawings.kernel.scene import Scene, Text
from gatherfold.drawings.kernel.styles import Line
from gatherfold.drawings.piece.drawing import piece_scene
from gatherfold.drawings.views.features import smooth_chords
from gatherfold.geometry.outline import Arc, Outline, flattened
from gatherfold.resolve.edition import EDITIONS
from gatherfold.resolve.resolved import ResolvedDesign
from gatherfold.shipped import DESIGNS, LAYOUTS
from gatherfold.wording import load_wording
from tests.benchmarks.figure_check import FOLIO, resolved_of
from tests.drawings.samples import design, folded_piece
from tests.drawn import figures_in

LETTER = DESIGNS / "letter-envelope.yaml"


def words(scene: Scene) -> list[str]:
    return [text.text for text in scene.texts]


def gap(first: Rect, second: Rect) -> float:
    """White between two upright rectangles; 0 where they meet."""
    across = max(first.left - second.right, second.left - first.right, 0.0)
    up = max(first.bottom - second.top, second.bottom - first.top, 0.0)
    return math.hypot(across, up)


def _along(start: Place, end: Place) -> list[Place]:
    """Places close to one another all along a line."""
    (x0, y0), (x1, y1) = start, end
    return [(x0 + (x1 - x0) * n / 100, y0 + (y1 - y0) * n / 100) for n in range(101)]


@pytest.fixture(scope="module")
def folio() -> ResolvedDesign:
    return resolved_of(FOLIO, "imperial", {})


def named(scene: Scene, name: str) -> Text:
    return next(text for text in scene.texts if text.text == name)


@pytest.mark.parametrize(
    ("key", "said"),
    [
        ("back_cover", {"Ø ⅛, pierced in step 7", "Ø ⅛, pierced in step 9"}),
        ("front_cover", {"Ø ⅛, pierced in step 6"}),
        ("right_hinge", {"Ø ⅛, pierced in step 7"}),
        ("left_hinge", {"Ø ⅛, pierced in step 6"}),
        ("latch", {"Ø ⅛, pierced in step 9"}),
        ("back_inner_mat", {"Ø ⅛, pierced in step 9"}),
        ("left_tag", {"Ø ¼"}),
    ],
)
def test_a_hole_for_a_fastening_says_which_step_pierces_it(
    folio: ResolvedDesign, key: str, said: set[str]
) -> None:
    """Brads of the folio's steps 6, 7 and 9 go through several layers; the tag's hole is its
    own."""
    scene = piece_scene(folio, key, 178, 106)
    assert {text for text in words(scene) if text.startswith("Ø ") and "·" not in text} == said
    told = "through all its layers together, and not in the loose piece"
    assert scene.text_equivalent.count(told) == sum("pierced" in text for text in said)


def test_it_is_said_in_german_too() -> None:
    metric = resolved_of(FOLIO, "metric", {})
    written = replace(metric.edition, units=load_wording("de").units(metric.edition.units))
    scene = piece_scene(replace(metric, edition=written), "front_cover", 178, 106)
    assert "Ø 3, in Schritt 6 gestochen" in words(scene)
    assert "in Schritt 6 gestochen, durch alle Lagen zusammen" in scene.text_equivalent


@pytest.fixture(scope="module")
def figures() -> dict[str, Scene]:
    """The figures of the folio, as the shipped pattern has them."""
    return figures_in("pattern", FOLIO, "imperial")


@pytest.mark.parametrize("key", ["back_cover", "front_cover", "right_hinge", "back_inner_mat"])
def test_the_ring_of_a_hole_leaves_white_beside_the_edge(
    figures: dict[str, Scene], key: str
) -> None:
    """⅜ in from the edge of a piece 11 in high, it touched the edge in a small picture."""
    scene = figures[f"piece-{key}"]
    solid = scene.strokes(Line.VISIBLE)
    edge = bounding(next(s for s in solid if s.subject == "outline").runs[0])
    for ring in (bounding(s.runs[0]) for s in solid if s.subject == "hole"):
        white = min(
            ring.left - edge.left, edge.right - ring.right,
            ring.bottom - edge.bottom, edge.top - ring.top,
        )  # fmt: skip
        assert white >= 0.7, "the half of each line is a quarter of a mm"


@pytest.mark.parametrize("key", ["right_hinge", "front_cover", "back_inner_mat"])
def test_the_leader_of_a_hole_ends_on_the_side_that_it_comes_from(
    figures: dict[str, Scene], key: str
) -> None:
    """From the other side it ran along the ring, and over more of the piece."""
    scene = figures[f"piece-{key}"]
    hole = bounding(next(s for s in scene.strokes(Line.VISIBLE) if s.subject == "hole").runs[0])
    centre, radius = hole.centre, hole.width / 2
    runs = [run for s in scene.strokes(Line.LEADER) for run in s.runs]
    start, end = min(runs, key=lambda run: math.dist(run[1], centre))
    assert math.dist(end, centre) - radius < 0.6, "its dot touches the ring"
    assert start[0] > end[0] > centre[0]


def test_a_sections_name_is_clear_of_leaders(figures: dict[str, Scene]) -> None:
    """That of the hole passed just below ``flap tab``."""
    scene = figures["piece-right_hinge"]
    ways = [place for s in scene.strokes(Line.LEADER) for run in s.runs for place in _along(*run)]
    for name in ("cover tab", "flap tab"):
        box = text_rect(named(scene, name))
        assert min(gap(box, Rect(*place, *place)) for place in ways) > 1.4, name


def test_a_leader_passes_the_ends_of_others_at_a_distance(figures: dict[str, Scene]) -> None:
    """The sections of the spine are too narrow for their names."""
    for scene in (
        figures["piece-spine"],
        piece_scene(design({"spine": folded_piece()}), "spine", 86, 58),
    ):
        runs = [run for s in scene.strokes(Line.LEADER) for run in s.runs]
        assert len(runs) == 3
        for one, other in product(runs, runs):
            if one is not other:
                assert segments_apart(*one, other[1], other[1]) > 1.5


def test_notes_are_not_squeezed_between_the_piece_and_its_width(
    figures: dict[str, Scene],
) -> None:
    scene = figures["piece-left_tag"]
    edge = bounding(next(s for s in scene.strokes(Line.VISIBLE) if s.subject == "outline").runs[0])
    assert text_rect(named(scene, "2 × mitre ½")).top < edge.top


@pytest.mark.parametrize("edition", EDITIONS)
def test_a_circle_is_round_and_says_no_radius(edition: str) -> None:
    """The seal, 1¼ in across at true size: chords within 0.02 mm of it are not seen."""
    scene = piece_scene(resolved_of(LETTER, edition, {}), "seal", 86, 58)
    assert not [text for text in words(scene) if "R " in text]
    assert "adius" not in scene.text_equivalent
    ring = next(s for s in scene.strokes(Line.VISIBLE) if s.subject == "outline").runs[0]
    box = bounding(ring)
    middles = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in pairwise(ring)]
    assert min(math.dist(place, box.centre) for place in middles) > box.width / 2 - 0.021


def test_small_arcs_keep_few_chords_and_large_ones_get_more() -> None:
    seal = resolved_of(LETTER, "imperial", {}).pieces["seal"].outline
    assert smooth_chords(seal, 0.05) == 8
    assert smooth_chords(seal, 1.0) > 8
    assert smooth_chords(seal, 10.0) > smooth_chords(seal, 1.0)
    straight = Outline(tuple(edge for edge in seal.edges if not isinstance(edge, Arc)))
    assert smooth_chords(straight, 1.0) == 8
    assert len(flattened(seal, smooth_chords(seal, 1.0))) == 4 * smooth_chords(seal, 1.0)


@pytest.mark.parametrize("edition", EDITIONS)
def test_a_note_keeps_off_the_edges_beside_it(edition: str) -> None:
    """``thumb notch R ⅝`` ran up to the slanting edge of the flap."""
    room = read_page(LAYOUTS / "pattern", EDITIONS[edition]).rooms["large_piece"]
    scene = piece_scene(resolved_of(LETTER, edition, {}), "envelope", *room)
    ring = next(s for s in scene.strokes(Line.VISIBLE) if s.subject == "outline").runs[0]
    box = text_rect(next(text for text in scene.texts if text.text.startswith("thumb notch R")))
    beside = [place for a, b in pairwise(ring) if math.dist(a, b) > 5.0 for place in _along(a, b)]
    assert min(gap(box, Rect(*place, *place)) for place in beside) > 1.2


def test_a_note_does_not_read_as_a_part_of_the_caption(figures: dict[str, Scene]) -> None:
    """``4 × R ¼`` below the plate stood on the height of the caption."""
    for key in ("title_plate", "journal_card"):
        scene = figures[f"piece-{key}"]
        low = min(text_rect(text).top for text in scene.texts if "·" in text.text)
        note = next(text for text in scene.texts if text.text.startswith("4 × R"))
        assert text_rect(note).bottom > low, key

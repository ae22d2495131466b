"""Assembly drawings: what of glue, prints, brads and narrow margins a maker would misread."""

from __future__ import annotations

import math
from collections.abc import Mapping
from itertools import pairwise

import pytest
from shapely.geometry import MultiPoint, Point

from gatherfold.drawings.kernel.canvas import DOT
from gatherfold.drawings.kernel.lettering import text_rect
from gatherfold.drawings.kernel.plane import Rect, bounding, distance_to_segment, segment_meets
from gatherfold.drawings.kernel.scene import Scene
from gatherfold.drawings.kernel.styles import Line
from gatherfold.drawings.scene_check import overlaps
from gatherfold.drawings.step.pictures import step_drawings
from gatherfold.shipped import DESIGNS
from tests.drawings.step_pictures import made, picture
from tests.drawn import figures_in


@pytest.fixture(scope="module")
def steps() -> dict[str, Mapping[str, Scene]]:
    """The drawings of the steps of shipped designs, as the pattern has them."""
    names = ("observatory-folio", "letter-envelope", "keepsake-box")
    found = {name: figures_in("pattern", DESIGNS / f"{name}.yaml", "imperial") for name in names}
    return {
        name: {key: scene for key, scene in scenes.items() if key.startswith("step-")}
        for name, scenes in found.items()
    }


def words(scene: Scene) -> str:
    return " ".join(text.text for text in scene.texts)


def test_glue_keeps_to_a_tab_with_mitred_corners(steps: dict[str, Mapping[str, Scene]]) -> None:
    """The free tab of the hinge lies behind the flap: its slanting edges are dashed, and nothing is
    hatched beyond them."""
    scene = steps["observatory-folio"]["step-11-1"]
    dashed = [s.runs for s in scene.strokes(Line.HIDDEN) if s.subject == "top_hinge"]
    ends = [place for runs in dashed for run in runs for place in run]
    slanting = [
        run
        for runs in dashed
        for run in runs
        if min(abs(run[0][k] - run[-1][k]) for k in range(2)) > 1
    ]
    assert len(slanting) == 2
    tab = MultiPoint(ends).convex_hull.buffer(0.2)
    box = bounding(ends).grown(0.2)
    hatched = [p for s in scene.strokes(Line.GLUE) for run in s.runs for p in run if box.holds(p)]
    assert len(hatched) > 20
    assert all(tab.contains(Point(place)) for place in hatched)


def test_what_is_hatched_all_over_is_not_said_to_be_glued_along_its_edges(
    steps: dict[str, Mapping[str, Scene]],
) -> None:
    folio = steps["observatory-folio"]
    assert "glue underneath, nowhere else" in words(folio["step-4-1"]), "a tab"
    assert "glue underneath, nowhere else" in words(folio["step-22-1"]), "the laps of a band"
    assert "glue underneath, along all edges" in words(folio["step-10-1"]), "mats"
    # The mat that lies on the plate leaves only the rim of its hatch to be seen.
    assert "glue underneath, along all edges" in words(steps["keepsake-box"]["step-8-2"])


def test_the_caption_names_the_print_that_is_seen(steps: dict[str, Mapping[str, Scene]]) -> None:
    """By the design: both inner mats are cut from backs, the base mat from a back too; cardstock
    has no print."""
    inner = words(steps["observatory-folio"]["step-8-1"])
    assert "C1: Midnight dots up" in inner and "G1: Brick weave up" in inner
    assert "C1: Terracotta wash up" in words(steps["keepsake-box"]["step-4-1"])
    assert " up" not in words(steps["observatory-folio"]["step-4-1"])


def test_several_pieces_along_edges_share_a_remark(steps: dict[str, Mapping[str, Scene]]) -> None:
    """The hinges lie with their scores on the edges of the covers; the strips beside the photo mats
    meet edges alone."""
    folio = steps["observatory-folio"]
    assert "folds that meet an edge lie on it" in words(folio["step-5-1"])
    assert "edges that meet are flush" not in words(folio["step-5-1"])
    assert "edges that meet are flush" in words(folio["step-12-1"])


def test_what_is_flush_goes_to_the_caption_where_it_finds_no_place() -> None:
    """In so small a room both notes on a flap have only the strip below it, which holds one."""
    _, drawn = list(step_drawings(made("observatory-folio")))[12]
    (scene,) = (scene for key, scene in drawn((137.6, 49.6), (60.0, 40.0)) if key == "step-13-1")
    note = "bottom and top edges of A13 flush with A6"
    (found,) = (text for text in scene.texts if note in text.text)
    assert found.y == min(text.y for text in scene.texts)
    assert overlaps(scene) == ()


@pytest.mark.parametrize(
    ("design", "key", "new", "distance"),
    [
        ("observatory-folio", "step-16-1", "left_pocket_mat", "⅛ each side"),
        ("observatory-folio", "step-18-2", "left_tag_mat", "⅛ each side"),
    ],
)
def test_a_distance_stands_beside_the_piece_where_there_is_room(
    steps: dict[str, Mapping[str, Scene]], design: str, key: str, new: str, distance: str
) -> None:
    scene = steps[design][key]
    piece = bounding(p for s in scene.strokes(Line.VISIBLE) for run in s.runs for p in run)
    (number,) = (text for text in scene.texts if text.text == distance)
    assert not piece.meets(text_rect(number)), new


def test_a_distance_does_not_stand_in_another_new_piece(
    steps: dict[str, Mapping[str, Scene]],
) -> None:
    """The lid mat lies between four side mats; every one has the same distance all round."""
    scene = steps["keepsake-box"]["step-7-1"]
    numbers = [text_rect(text) for text in scene.texts if text.text.endswith("all round")]
    boxes: dict[str, Rect] = {
        stroke.subject: bounding(p for run in stroke.runs for p in run)
        for stroke in scene.strokes(Line.VISIBLE)
        if stroke.subject in made("keepsake-box").pieces
    }
    assert len(numbers) == len(boxes) == 5
    inside = [[key for key, box in boxes.items() if box.meets(number)] for number in numbers]
    for number, keys in zip(numbers, inside, strict=True):
        foot = number.centre
        nearest = min(boxes, key=lambda key: _apart(boxes[key], foot))
        assert keys in ([], [nearest])


@pytest.mark.parametrize(
    ("design", "key", "new", "distance"),
    [
        ("flap-on-flap", "small_flap", "flap_cover_mat", "12 glued"),
        ("sleeve-tray", "front_label", "front_label", "18.5 each side"),
        ("hinged-album", "hinge_3", "hinge_3", "10"),
    ],
)
def test_a_distance_and_its_line_stand_clear_of_what_they_do_not_measure(
    design: str, key: str, new: str, distance: str
) -> None:
    """The number stands in no new piece, and no part of its line runs into the neighbour."""
    scene = picture(made(design, "metric"), key)
    (number,) = (text for text in scene.texts if text.text == distance)
    box = text_rect(number)
    drawn = [s for s in scene.strokes(Line.VISIBLE) if s.subject in (key, new)]
    pieces = {s.subject: bounding(p for run in s.runs for p in run) for s in drawn}
    assert not any(piece.meets(box) for piece in pieces.values())
    dimensions = [s for s in scene.strokes(Line.DIMENSION) if s.subject == "dimension"]
    own = min(dimensions, key=lambda s: min(_apart(box, run[0]) for run in s.runs))
    assert not any(segment_meets(run[0], run[-1], pieces[new]) for run in own.runs)


@pytest.mark.parametrize("key", ["hinge_2", "hinge_3", "hinge_4", "hinge_5"])
def test_a_very_narrow_piece_is_shown_by_one_end(key: str) -> None:
    """A gusset 5 mm wide in a case 160 mm high: as a whole it would be drawn less than 2 mm wide,
    and its hatching would be lost between its edges."""
    scene = picture(made("hinged-album", "metric"), key)
    assert overlaps(scene) == ()
    own = [s for s in scene.strokes(Line.VISIBLE) if s.subject == key]
    assert bounding(p for s in own for run in s.runs for p in run).width > 4.0
    assert any(s.subject == "break" for s in scene.strokes(Line.DIMENSION))


def _apart(box: Rect, place: tuple[float, float]) -> float:
    return min(distance_to_segment(place, a, b) for a, b in pairwise((*box.ring, box.ring[0])))


def test_a_leader_ends_in_the_middle_of_a_narrow_margin(
    steps: dict[str, Mapping[str, Scene]],
) -> None:
    """The address plate shows 1/8 in all round its mat: the dot keeps clear of both edges."""
    scene = steps["letter-envelope"]["step-4-1"]
    (leader,) = scene.strokes(Line.LEADER)
    end = leader.runs[0][-1]
    edges = [s for line in (Line.VISIBLE, Line.EXISTING) for s in scene.strokes(line)]
    lines = [pair for s in edges for run in s.runs for pair in pairwise(run)]
    assert min(distance_to_segment(end, a, b) for a, b in lines) > DOT


def test_brads_and_ribbons_that_are_set_show_until_they_are_covered(
    steps: dict[str, Mapping[str, Scene]],
) -> None:
    """The ribbons are set in steps 6 and 7, on the outside; the mats of step 10 go over their
    heads.  Their long ends stay loose: they hang over the flaps that are glued on behind them."""
    folio = steps["observatory-folio"]
    outside = folio["step-10-1"]
    assert len([s for s in outside.strokes(Line.FAINT) if s.subject == "ribbon"]) == 2
    for key, count in (("step-13-1", 2), ("step-15-1", 1), ("step-15-2", 1), ("step-11-1", 0)):
        loose = [s for s in folio[key].strokes(Line.FAINT) if s.subject == "ribbon"]
        assert len(loose) == count, key
        assert ("Ribbon tie: loose, keep it out of the glue" in words(folio[key])) == bool(count)
    assert "keep it out" not in words(outside), "no glue lies beyond the mats"
    # The inner mats of step 8 go over their legs, which lie on the tabs of the hinges.
    inside = [key for key in folio if key.split("-")[1] in ("8", "14", "17", "19")]
    assert len(inside) > 4
    for key in inside:
        assert not [s for s in folio[key].strokes(Line.FAINT) if s.subject == "legs"], key
    before = [s for s in folio["step-5-1"].strokes(Line.FAINT) if s.subject in ("head", "legs")]
    assert before == []
    head = [s for s in folio["step-17-1"].strokes(Line.FAINT) if s.subject == "head"]
    assert len(head) == 1, "that of the latch"
    box = bounding(head[0].runs[0])
    assert math.isclose(box.width, box.height, rel_tol=1e-6)

"""Small multiples: rows of frames at one scale, details enlarged, arrows that keep clear."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from shapely.geometry import LineString, Point as ShapelyPoint, Polygon

from gatherfold.drawings.kernel.canvas import Canvas
from gatherfold.drawings.kernel.plane import Rect
from gatherfold.drawings.kernel.scene import Scene
from gatherfold.drawings.kernel.styles import Line
from gatherfold.drawings.motion.drawing import motion_frames, motion_scene
from gatherfold.drawings.motion.frames import draw_arrow
from gatherfold.drawings.scene_check import overlaps
from gatherfold.drawings.views.detail_circles import (
    TIMES,
    DetailCircle,
    placed_beside,
)
from gatherfold.resolve.edition import EDITIONS
from tests.drawings.made_designs import frames_of, moves_of

INCH = 25.4


def scene_of(name: str, step: int, width: float, height: float, edition: str = "imperial") -> Scene:
    return motion_scene(moves_of(name, step, edition), width, height)


@pytest.mark.parametrize("width", [120, 178])
def test_frames_are_lettered_in_order_and_fit(width: int) -> None:
    scene = scene_of("keepsake-box", 6, width, 120)
    letters = [text.text for text in scene.texts if text.bold]
    assert letters == ["a", "b", "c", "d", "e"]
    assert scene.width <= width
    assert scene.height <= 120
    assert overlaps(scene) == ()
    assert scene.strokes(Line.PATH)


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize(("width", "height"), [(140, 62), (120, 56), (178, 62)])
def test_a_caption_is_told_to_its_end(edition: str, width: int, height: int) -> None:
    """Where the ribbon goes round the box is said in more words than two narrow lines hold."""
    scene = scene_of("keepsake-box", 9, width, height, edition)
    captions = [f.caption for f in motion_frames(moves_of("keepsake-box", 9, edition))]
    written = " ".join(text.text for text in scene.texts if not text.bold)
    assert "…" not in written
    assert all(caption in written for caption in captions)


def test_a_short_arrow_keeps_a_shaft() -> None:
    canvas = Canvas(20, 20)
    draw_arrow(canvas, ((5.0, 5.0), (6.0, 5.0), (7.0, 5.0)))
    scene = canvas.scene("arrow", "arrow", "")
    shaft = scene.strokes(Line.FAINT)[0].runs[0]
    assert math.dist(shaft[0], shaft[-1]) > 1.0


def test_only_a_long_arrow_is_wide() -> None:
    for length, line, other in ((40.0, Line.VISIBLE, Line.FAINT), (9.0, Line.FAINT, Line.VISIBLE)):
        canvas = Canvas(60, 20)
        draw_arrow(canvas, tuple((5.0 + length * step / 8, 5.0) for step in range(9)))
        scene = canvas.scene("arrow", "arrow", "")
        assert scene.strokes(line)
        assert not scene.strokes(other)


def edges(scene: Scene, piece: str) -> list[float]:
    """The lengths of the straight edges of a piece in a scene, in mm on paper."""
    runs = [
        run
        for line in (Line.VISIBLE, Line.FAINT)
        for strokes in scene.strokes(line)
        if strokes.subject == piece
        for run in strokes.runs
    ]
    return [math.dist(a, b) for run in runs for a, b in pairwise(run)]


def test_the_closing_of_the_folio_is_drawn_large_and_at_one_scale() -> None:
    """Its covers are 11 in high; in two columns as wide as the open work they came out 18.2 mm."""
    scene = scene_of("observatory-folio", 21, 177.9, 175)
    assert scene.height <= 170
    found = edges(scene, "back_cover")
    assert max(found) >= 22.0
    # In every frame in which the cover is seen whole its long edge has the same length.
    assert sum(length == pytest.approx(max(found), abs=0.01) for length in found) >= 8
    assert edges(scene, "front_cover")
    assert max(edges(scene, "front_cover")) == pytest.approx(max(found), abs=0.01)


def test_a_small_part_that_turns_is_enlarged_in_a_circle_and_a_large_one_is_not() -> None:
    """The latch is 2½ in long; at the scale of the frames that is less than 7 mm."""
    frame = frames_of("observatory-folio", 21)[5]
    (detail,) = frame.details
    small = frame.enlarged(0.1)
    assert small.details[0].beside is not None
    assert small.details[0].beside.radius == pytest.approx(TIMES * detail.circle.radius)
    assert small.ways == frame.arrows, "the arrow is drawn in the circle only"
    large = frame.enlarged(1.0)
    assert large.details[0].beside is None
    assert large.ways == (*frame.arrows, *detail.arrows)
    scene = scene_of("observatory-folio", 21, 177.9, 175)
    circles = [s for s in scene.strokes(Line.DIMENSION) if s.subject == "detail"]
    closed = [s for s in circles if s.runs[0][0] == s.runs[0][-1]]
    # The latch twice, and the ribbon: a small and a large one each.
    widths = sorted(max(x for x, _ in s.runs[0]) - min(x for x, _ in s.runs[0]) for s in closed)
    assert len(widths) == 6
    assert sorted(w * TIMES for w in widths[:3]) == pytest.approx(widths[3:])
    assert any("2 times as large" in text.text for text in scene.texts)
    assert overlaps(scene) == ()


def test_the_arrow_of_a_part_that_turns_keeps_clear_of_it() -> None:
    for frame in frames_of("observatory-folio", 21)[3:6:2]:
        (detail,) = frame.details
        latch = next(face for face in frame.faces if face.piece.key == "latch")
        shape = Polygon(latch.rings[0])
        (way,) = detail.arrows
        assert not LineString(way).intersects(shape)
        # Its head ends beside the far end of the latch, not farther off than the latch is wide.
        assert ShapelyPoint(way[-1]).distance(shape) < 0.75 * INCH
        centre = detail.circle.centre
        assert all(math.dist(place, centre) <= detail.circle.radius for place in way)


def test_the_large_circle_keeps_off_the_small_one_and_what_is_busy() -> None:
    work = Rect(0.0, 0.0, 100.0, 60.0).ring
    small = DetailCircle((20.0, 30.0), 6.0)
    busy = ((60.0, 0.0), (60.0, 60.0))
    large = placed_beside(small, [work], [busy], [])
    assert math.dist(large.centre, small.centre) >= 18.0
    assert LineString(busy).distance(ShapelyPoint(large.centre)) >= 12.0 - 1e-6

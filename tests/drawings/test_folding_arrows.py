"""Arrows of folds and the dotted outlines of where parts were: seen where nothing lies before them.

What lies where on paper is found anew with shapely.
"""

from __future__ import annotations

import math

from shapely.geometry import LineString, Point as ShapelyPoint, Polygon

from gatherfold.drawings.kernel.axonometric import ISOMETRIC
from gatherfold.drawings.motion.frames import MotionFrame
from gatherfold.drawings.views.sight import Sight
from tests.drawings.made_designs import frames_of

INCH = 25.4


def shapes(frame: MotionFrame, *pieces: str) -> list[Polygon]:
    return [Polygon(face.rings[0]) for face in frame.faces if face.piece.key in pieces]


def length_over(way: tuple[tuple[float, float], ...], covers: list[Polygon]) -> float:
    return max((LineString(way).intersection(cover).length for cover in covers), default=0.0)


def test_the_arrow_of_a_flap_keeps_off_the_latch_beside_it() -> None:
    """From the middle of the bottom flap's edge it would run over the latch; from its end it runs
    beside the folio.  That of the right flap would run over the top flap."""
    for number, others in (
        (1, ("latch", "back_left_photo_mat")),
        (2, ("latch", "back_left_photo_mat")),
        (4, ("latch", "top_flap", "bottom_flap")),
    ):
        frame = frames_of("observatory-folio", 21)[number]
        assert frame.arrows
        for way in frame.arrows:
            assert length_over(way, shapes(frame, *others)) == 0.0


def test_the_arrow_of_a_wall_is_not_that_of_its_tab() -> None:
    """The tabs of the right wall stand already: its arrow starts at the edge of the wall, where
    that lay flat, and its head lies beside the tabs."""
    frame = frames_of("keepsake-box", 6)[3]
    # The blank: a wall of 2 in, the base of 5½ in and the other wall.
    flat_end = (2 + 5.5 + 2) * INCH
    right = max(frame.arrows, key=lambda way: way[0][0])
    flat_edge = LineString([ISOMETRIC((flat_end, along * INCH, 0.0)) for along in (0, 8)])
    assert flat_edge.distance(ShapelyPoint(right[0])) < 0.01
    tabs = [Polygon(f.rings[0]) for f in frame.faces if "_wall_" in f.key.face]
    assert tabs
    assert not any(tab.distance(ShapelyPoint(right[-1])) < 1.0 for tab in tabs)


def test_the_edge_that_lay_beside_the_work_is_dotted() -> None:
    """One inch high and tapered by a quarter, on the fold at the right of a body 7¼ in wide that is
    5¼ in high and begins 3¼ in up the sheet."""
    frame = frames_of("letter-envelope", 5)[1]
    places = [place for run in frame.ghosts for place in run]
    right = (1 + 7.25 + 1) * INCH
    for up in (3.25 + 0.25, 3.25 + 5.25 - 0.25):
        corner = ISOMETRIC((right, up * INCH, 0.0))
        assert min(math.dist(corner, place) for place in places) < 0.05


def test_a_line_behind_a_face_is_seen_beside_it_only() -> None:
    """A line 10 mm below the panel of the closed lid runs out of sight and comes into it again."""
    frame = frames_of("keepsake-box", 9)[0]
    sight = Sight(frame.faces, ISOMETRIC)
    lid = next(face for face in frame.faces if face.key == ("lid", "panel"))
    (x, y, z) = (float(part) for part in lid.pose.shift)
    box_of_panel = lid.piece.face("panel").box
    width, depth = float(box_of_panel.width), float(box_of_panel.height)
    x, y = x + float(box_of_panel.left), y + float(box_of_panel.bottom)
    line = [(x - 300, y + depth / 2, z - 10), (x + width + 300, y + depth / 2, z - 10)]
    runs = sight.seen_runs(line)
    assert len(runs) == 2
    whole = LineString([ISOMETRIC(place) for place in line])
    for run in runs:
        assert LineString(run).distance(whole) < 0.01
        assert length_over(run, [Polygon(lid.rings[0])]) < 0.01
    above = [(a, b, z + 10) for a, b, _ in line]
    assert len(sight.seen_runs(above)) == 1

"""Arrows of folds and the dotted outlines of where parts were: seen where nothing lies before them.

What lies where on paper is found anew with shapely.
"""

from __future__ import annotations

import math

from shapely.geometry import LineString, Polygon
from shapely.geometry import Point as ShapelyPoint

from builder.drawings.axonometric import ISOMETRIC
from builder.drawings.flaps_and_pockets import _flap_frames, _stages, _turn_of
from builder.drawings.fold_sequence import fold_frames
from builder.drawings.frames import Frame
from builder.drawings.movements import CLOSING
from builder.drawings.sight import Sight
from builder.resolve.resolved import ResolvedDesign
from tests.resolve.test_turns import shipped

INCH = 25.4


def flap_frames(resolved: ResolvedDesign, key: str) -> tuple[Frame, ...]:
    turn, earlier = _turn_of(resolved, key)
    return _flap_frames(resolved, turn, _stages(resolved, turn, earlier), ISOMETRIC)


def shapes(frame: Frame, *pieces: str) -> list[Polygon]:
    return [Polygon(face.rings[0]) for face in frame.faces if face.piece.key in pieces]


def length_over(way: tuple[tuple[float, float], ...], covers: list[Polygon]) -> float:
    return max((LineString(way).intersection(cover).length for cover in covers), default=0.0)


def test_the_arrow_of_a_flap_keeps_off_the_latch_beside_it() -> None:
    """From the middle of the bottom flap's edge it would run over the latch; from its end it runs
    beside the folio.  That of the right flap would run over the top flap."""
    folio = shipped("observatory-folio")
    for key, others in (
        ("top_hinge", ("latch", "back_left_photo_mat")),
        ("right_hinge", ("latch", "top_flap", "bottom_flap")),
    ):
        frame = flap_frames(folio, key)[2]
        assert frame.arrows
        for way in frame.arrows:
            assert length_over(way, shapes(frame, *others)) == 0.0


def test_the_arrow_of_a_wall_is_not_that_of_its_tab() -> None:
    """The tabs of the right wall stand already: its arrow starts at the edge of the wall, where
    that lay flat, and its head lies beside the tabs."""
    frame = fold_frames(shipped("keepsake-box"), "tray")[3]
    # The blank: a wall of 2 in, the base of 5½ in and the other wall.
    flat_end = (2 + 5.5 + 2) * INCH
    right = max(frame.arrows, key=lambda way: way[0][0])
    flat_edge = LineString([ISOMETRIC((flat_end, along * INCH, 0.0)) for along in (0, 8)])
    assert flat_edge.distance(ShapelyPoint(right[0])) < 0.01
    tabs = [Polygon(f.rings[0]) for f in frame.faces if "_wall_" in f.placed.face]
    assert tabs
    assert not any(tab.distance(ShapelyPoint(right[-1])) < 1.0 for tab in tabs)


def test_an_arrow_that_goes_behind_the_work_ends_where_it_goes_out_of_sight() -> None:
    """The walls and tabs of the lid fold down behind its panel: no arrow crosses the panel or a
    wall that still lies flat."""
    for frame in fold_frames(shipped("keepsake-box"), "lid")[1:]:
        still = [
            Polygon(face.rings[0]).buffer(-1.0)
            for face in frame.faces
            if face.key not in frame.bold and face.axis == 2
        ]
        assert frame.arrows
        for way in frame.arrows:
            assert length_over(way, still) == 0.0, frame.caption


def test_the_edge_that_stood_before_the_work_is_dotted_over_it() -> None:
    """The right flap of the envelope stands on the near side of the body: half way its upper
    corners are before all else, and the outline that led to them is drawn over the work."""
    letter = shipped("letter-envelope")
    frame = flap_frames(letter, "envelope.left_flap")[2]
    assert frame.ghosts == ()
    places = [place for run in frame.over for place in run]
    # One inch high and tapered by a quarter, on the fold at the right of a body 7¼ in wide
    # that is 5¼ in high and begins 3¼ in up the sheet.
    right = (1 + 7.25) * INCH
    for up in (3.25 + 0.25, 3.25 + 5.25 - 0.25):
        corner = ISOMETRIC((right, up * INCH, INCH))
        assert min(math.dist(corner, place) for place in places) < 0.05


def test_a_line_behind_a_face_is_seen_beside_it_only() -> None:
    """A line 10 mm below the panel of the closed lid runs out of sight and comes into it again."""
    box = shipped("keepsake-box")
    frame = fold_frames(box, CLOSING)[1]
    sight = Sight(frame.faces, ISOMETRIC)
    lid = next(face for face in frame.faces if face.key == ("lid", "panel"))
    (x, y, z) = (float(part) for part in lid.placed.pose.shift)
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

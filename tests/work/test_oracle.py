"""The oracle against what a maker sees with her own eyes, and against plane geometry.

All sources here are plain geometry worked out beside the check, unless a check names another one.
"""

from __future__ import annotations

import functools
import math
import random
import time
from collections.abc import Callable, Iterator

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, Polygon

from tests.work.oracle import (
    Crossing,
    Flat,
    FlatPoint,
    Fold,
    Line,
    SheetFace,
    contact_order_is_sound,
    front_normal,
    poses_by_folding,
    slid,
    slide_is_free,
    turn_is_free,
    turned,
)

FINE = 0.06
"""The fine step of a turn, and a little."""


def lying(name: str, x0: float, y0: float, x1: float, y1: float, z: float = 0.0) -> Flat:
    """Give a rectangle that lies flat, its front up."""
    return Flat(name, ((x0, y0, z), (x1, y0, z), (x1, y1, z), (x0, y1, z)))


def across(name: str, x: float, y0: float, y1: float, z0: float, z1: float) -> Flat:
    """Give a rectangle that stands across the x axis."""
    return Flat(name, ((x, y0, z0), (x, y1, z0), (x, y1, z1), (x, y0, z1)))


def along(name: str, y: float, x0: float, x1: float, z0: float, z1: float) -> Flat:
    """Give a rectangle that stands along the x axis."""
    return Flat(name, ((x0, y, z0), (x1, y, z0), (x1, y, z1), (x0, y, z1)))


def corners(face: Flat) -> set[tuple[float, ...]]:
    """Give a face's corners to a thousandth, without a minus before a nought."""
    return {tuple(round(value, 3) + 0.0 for value in corner) for corner in face.corners}


# --- folding ---------------------------------------------------------------------------------

TRAY = (
    SheetFace("base", ((0, 0), (60, 0), (60, 40), (0, 40))),
    SheetFace("north", ((0, 40), (60, 40), (60, 60), (0, 60))),
    SheetFace("east", ((60, 0), (75, 0), (75, 40), (60, 40))),
    SheetFace("tab", ((60, 40), (70, 40), (70, 60), (60, 60))),
)
TRAY_FOLDS = (
    Fold("base", "north", (0, 40), (60, 40), "valley"),
    Fold("base", "east", (60, 0), (60, 40), "valley"),
    Fold("north", "tab", (60, 40), (60, 60), "valley"),
)


def test_a_valley_raises_a_wall_to_the_front_and_a_mountain_to_the_back() -> None:
    raised = poses_by_folding(TRAY, TRAY_FOLDS, (90, 90, 0))
    assert corners(raised["north"]) == {(0, 40, 0), (60, 40, 0), (60, 40, 20), (0, 40, 20)}
    assert corners(raised["east"]) == {(60, 0, 0), (60, 40, 0), (60, 40, 15), (60, 0, 15)}
    mountains = tuple(Fold(f.one, f.other, f.start, f.end, "mountain") for f in TRAY_FOLDS)
    lowered = poses_by_folding(TRAY, mountains, (90, 90, 0))
    assert corners(lowered["north"]) == {(0, 40, 0), (60, 40, 0), (60, 40, -20), (0, 40, -20)}


def test_the_front_of_a_raised_wall_looks_into_the_tray() -> None:
    raised = poses_by_folding(TRAY, TRAY_FOLDS, (90, 90, 90))
    assert front_normal(raised["base"]) == pytest.approx((0, 0, 1))
    assert front_normal(raised["north"]) == pytest.approx((0, -1, 0))
    assert front_normal(raised["east"]) == pytest.approx((-1, 0, 0))


def test_a_tab_of_a_raised_wall_turns_about_the_upright_end_of_the_wall() -> None:
    raised = poses_by_folding(TRAY, TRAY_FOLDS, (90, 90, 90))
    assert corners(raised["tab"]) == {(60, 40, 0), (60, 30, 0), (60, 30, 20), (60, 40, 20)}


def test_the_order_of_folds_and_of_the_names_in_them_changes_nothing() -> None:
    angles = (37.0, 120.0, -65.5)
    turned_about = [Fold(f.other, f.one, f.end, f.start, f.sense) for f in TRAY_FOLDS]
    one = poses_by_folding(TRAY, TRAY_FOLDS, angles)
    other = poses_by_folding(TRAY, turned_about[::-1], angles[::-1])
    for name, face in one.items():
        assert np.allclose(face.corners, other[name].corners)


def test_another_face_at_rest_gives_the_same_work_moved_as_a_whole() -> None:
    angles = (37.0, 120.0, -65.5)
    one = poses_by_folding(TRAY, TRAY_FOLDS, angles)
    other = poses_by_folding(TRAY, TRAY_FOLDS, angles, base="tab")
    assert corners(other["tab"]) == {(60, 40, 0), (70, 40, 0), (70, 60, 0), (60, 60, 0)}
    places, moved = ([p for name in sorted(f) for p in f[name].corners] for f in (one, other))
    for first in range(len(places)):
        for second in range(first):
            assert math.dist(places[first], places[second]) == pytest.approx(
                math.dist(moved[first], moved[second])
            )


def test_three_equal_faces_folded_by_120_degrees_close_to_a_tube() -> None:
    faces = [
        SheetFace(f"{n}", ((n * 10, 0), (n * 10 + 10, 0), (n * 10 + 10, 30), (n * 10, 30)))
        for n in range(3)
    ]
    folds = [
        Fold(f"{n}", f"{n + 1}", (n * 10 + 10, 0), (n * 10 + 10, 30), "valley") for n in range(2)
    ]
    tube = poses_by_folding(faces, folds, (120, 120))
    # An equilateral triangle: its third corner lies 10 × sin 60° over the middle of the first side.
    assert corners(tube["1"]) >= {(5, 0, round(10 * math.sin(math.radians(60)), 3))}
    assert corners(tube["2"]) >= {(0, 0, 0), (0, 30, 0)}


def test_a_concertina_of_valleys_and_mountains_comes_back_over_itself() -> None:
    faces = [
        SheetFace(f"{n}", ((n * 10, 0), (n * 10 + 10, 0), (n * 10 + 10, 30), (n * 10, 30)))
        for n in range(4)
    ]
    folds = [
        Fold(
            f"{n}",
            f"{n + 1}",
            (n * 10 + 10, 0),
            (n * 10 + 10, 30),
            "valley" if n % 2 == 0 else "mountain",
        )
        for n in range(3)
    ]
    shut = poses_by_folding(faces, folds, (180, 180, 180))
    assert all(corners(face) == corners(shut["0"]) for face in shut.values())


def test_a_hole_goes_with_its_face() -> None:
    hole = ((10.0, 45.0), (20.0, 45.0), (20.0, 55.0), (10.0, 55.0))
    faces = (TRAY[0], SheetFace("north", TRAY[1].corners, (hole,)))
    raised = poses_by_folding(faces, TRAY_FOLDS[:1], (90,))
    assert corners(Flat("", raised["north"].holes[0])) == {
        (10, 40, 5),
        (20, 40, 5),
        (20, 40, 15),
        (10, 40, 15),
    }


def test_folds_that_go_round_or_leave_a_face_out_are_refused() -> None:
    with pytest.raises(ValueError, match="ring"):
        poses_by_folding(TRAY[:2], (TRAY_FOLDS[0], TRAY_FOLDS[0]), (90, 90))
    with pytest.raises(ValueError, match="join"):
        poses_by_folding(TRAY, TRAY_FOLDS[:2], (90, 90))


# --- flaps -----------------------------------------------------------------------------------

PLATE = lying("plate", 0, 0, 100, 80)
FAR_EDGE = Line((0, 80, 0), (1, 0, 0))
"""A turn by plus degrees about it raises what lies beyond y = 80 and closes it over the plate."""


def test_a_flap_closes_freely_over_its_plate_and_opens_again() -> None:
    flap = lying("flap", 0, 80, 100, 140)
    assert turn_is_free([flap], [PLATE], FAR_EDGE, 180).clear
    closed = turned(flap, FAR_EDGE, 180)
    assert corners(closed) == {(0, 80, 0), (100, 80, 0), (100, 20, 0), (0, 20, 0)}
    assert turn_is_free([closed], [PLATE], FAR_EDGE, -180).clear


def test_a_flap_is_stopped_by_a_wall_that_stands_across_its_way() -> None:
    flap = lying("flap", 0, 80, 100, 140)
    wall = along("wall", 50, 20, 80, 0, 30)
    verdict = turn_is_free([flap], [PLATE, wall], FAR_EDGE, 180)
    # The wall's top lies 30 before the hinge and 30 over it: the flap, flat at first, has turned
    # by 180° − atan(30 / 30) = 135° there. Its rim is 29.95 high without the shrunk edge.
    assert not verdict.free
    assert verdict.pair == ("flap", "wall")
    assert verdict.first == pytest.approx(180 - math.degrees(math.atan(29.95 / 30)), abs=FINE)
    assert verdict.depth == pytest.approx(60 - 0.1, abs=1e-3)


def test_a_flap_stopped_by_a_wall_is_stopped_the_other_way_about_too() -> None:
    flap = lying("flap", 0, 80, 100, 140)
    wall = along("wall", 50, 20, 80, 0, 30)
    forth = turn_is_free([flap], [wall], FAR_EDGE, 180).crossings[0]
    back = turn_is_free([wall], [flap], FAR_EDGE, -180).crossings[0]
    assert (back.first, back.last) == pytest.approx((forth.first, forth.last))
    assert back.length == pytest.approx(forth.length)


@pytest.mark.parametrize(("length", "free"), [(29.8, True), (30.0, True), (30.2, False)])
def test_a_flap_misses_a_wall_by_a_fifth_of_a_millimetre(length: float, free: bool) -> None:
    # The wall stands 30 before the hinge and is as high as one likes: only what is longer than 30
    # gets at it. A flap of 30 touches it at 180°, when it lies.
    flap = lying("flap", 30, 80, 70, 80 + length)
    wall = along("wall", 50, 20, 80, 0, 60)
    assert turn_is_free([flap], [PLATE, wall], FAR_EDGE, 180).free is free


@pytest.mark.parametrize(("gap", "free"), [(0.2, True), (0.0, True), (-0.2, False)])
def test_a_flap_goes_between_two_walls(gap: float, free: bool) -> None:
    flap = lying("flap", 20, 80, 80, 140)
    walls = [across("left", 20 - gap, 0, 80, 0, 30), across("right", 80 + gap, 0, 80, 0, 30)]
    verdict = turn_is_free([flap], [PLATE, *walls], FAR_EDGE, 180)
    assert verdict.free is free
    if not free:
        assert {crossing.still for crossing in verdict.crossings} == {"left", "right"}


def test_a_longer_flap_is_stopped_half_way_though_both_ends_are_free() -> None:
    # Beyond the hinge (y = 0), 20 away, stands a wall with a slot 2 high at its foot. A flap 40
    # long lies on this side at first and in the slot at last. On its way its end, 40 from the
    # hinge, comes to the wall when 40 × cos(180° − a) = 20, at a = 120°, there
    # 40 × sin 60° = 34.6 high; the wall is 60 high, so that is where it is stopped.
    hinge = Line((0, 0, 0), (0, -1, 0))
    slot = ((-20, -26, 1), (-20, 26, 1), (-20, 26, -1), (-20, -26, -1))
    wall = Flat("wall", across("wall", -20, -40, 40, -5, 60).corners, (slot,))
    flap = lying("flap", 0, -25, 40, 25)
    verdict = turn_is_free([flap], [wall], hinge, 180)
    assert verdict.pair == ("flap", "wall")
    assert verdict.first == pytest.approx(180 - math.degrees(math.acos(20 / 39.95)), abs=FINE)
    # It is out again when the flap's height at the wall is the slot's: 20 × tan(180° − a) = 1.
    assert verdict.crossings[0].last == pytest.approx(
        180 - math.degrees(math.atan(1.05 / 20)), abs=FINE
    )
    for end in (flap, turned(flap, hinge, 180)):
        assert turn_is_free([end], [wall], hinge, 0.5).free
        assert turn_is_free([end], [wall], hinge, -0.5).free
    # Flaps that end 0.2 before the wall go by it; those that reach 0.2 beyond do not.
    for length, free in ((19.8, True), (20.2, False)):
        assert turn_is_free([lying("flap", 0, -25, length, 25)], [wall], hinge, 180).free is free


def test_a_deep_lip_of_a_lid_hits_the_far_wall_though_it_fits_when_closed() -> None:
    # A lid 40 long with a lip 20 deep turns about the near wall's top (the origin) down to 0; the
    # far wall stands at x = 41, its top as high as the hinge. At an angle a over closed, the lip
    # is at the height of the wall's top where x = 40 / cos a, so it comes to the wall at
    # cos a = 40 / 41, a = 12.68°, that is after 77.32° of 90°. It is past it when the lip's end
    # is within: 40 cos a + 20 sin a = 41, or 44.72 cos(a − 26.57°) = 41, at a = 3.03°.
    hinge = Line((0, 0, 0), (0, 1, 0))
    lid, lip = across("lid", 0, 0, 30, 0, 40), lying("lip", 0, 0, 20, 30, z=40)
    wall = across("far wall", 41, -5, 35, -30, 0)
    verdict = turn_is_free([lid, lip], [wall], hinge, 90)
    assert verdict.pair == ("lip", "far wall")
    assert len(verdict.crossings) == 1
    assert verdict.first == pytest.approx(77.32, abs=0.4)
    assert verdict.crossings[0].last == pytest.approx(86.97, abs=0.4)
    assert corners(turned(lip, hinge, 90)) == {(40, 0, 0), (40, 30, 0), (40, 30, -20), (40, 0, -20)}
    # A lip that is 4 deep has its end at 40.2 at the most and fits on its way too.
    assert turn_is_free([lid, lying("lip", 0, 0, 4, 30, z=40)], [wall], hinge, 90).free


def test_an_ear_behind_the_fold_goes_down_where_the_flap_goes_up() -> None:
    # The flap's ear reaches 10 back beside the plate (x from 100 to 110). A shelf 5 under it is hit
    # when the ear's rim, 10 from the line, is 5 low: after 30°.
    ear = ((0, 80, 0), (100, 80, 0), (100, 70, 0), (110, 70, 0), (110, 100, 0), (0, 100, 0))
    shelf = lying("shelf", 101, 40, 109, 90, z=-5)
    verdict = turn_is_free([Flat("flap", ear)], [PLATE, shelf], FAR_EDGE, 90)
    assert verdict.pair == ("flap", "shelf")
    assert verdict.first == pytest.approx(math.degrees(math.asin(5 / 9.95)), abs=FINE)


def test_a_flap_that_reaches_over_its_line_on_both_sides_cuts_a_plate_that_does_too() -> None:
    # Both lie in planes through the line and across it: they meet in 70 of the line at once.
    line = Line((0, 0, 0), (1, 0, 0))
    flap, plate = lying("flap", 0, -10, 80, 30), lying("plate", 10, -20, 100, 20)
    verdict = turn_is_free([flap], [plate], line, 45)
    assert verdict.first == pytest.approx(0.05)
    assert verdict.depth == pytest.approx(70 - 0.1)
    assert turn_is_free([lying("flap", 0, 0, 80, 30)], [plate], line, 45).free


# --- walls with tabs -------------------------------------------------------------------------


def raised_wall_with_tab(at: float) -> list[Flat]:
    """Raise the wall beyond y = 40, the tab at its end turned in at x = `at`."""
    return [along("wall", 40, 0, at, 0, 20), across("tab", at, 28, 40, 0.5, 19.5)]


def test_a_side_wall_closes_outside_a_tab_that_is_turned_in() -> None:
    side = lying("side", 60, 0, 80, 40)
    edge = Line((60, 0, 0), (0, -1, 0))
    base = lying("base", 0, 0, 60, 40)
    assert turn_is_free([side], [base, *raised_wall_with_tab(59.5)], edge, 90).clear
    assert turn_is_free([side], [base, *raised_wall_with_tab(60.0)], edge, 90).clear


def test_a_side_wall_is_stopped_by_a_tab_in_its_way() -> None:
    # The tab stands half a millimetre outside the wall's fold, half a millimetre over the base;
    # the side wall is 0.5 × tan a high there and so gets at it after 45° (without the shrunk edge
    # of the tab at tan a = 0.55 / 0.5), and is past it where it is over the tab's top, 19.45.
    side = lying("side", 60, 0, 80, 40)
    verdict = turn_is_free([side], raised_wall_with_tab(60.5), Line((60, 0, 0), (0, -1, 0)), 90)
    assert verdict.pair == ("side", "tab")
    assert verdict.first == pytest.approx(math.degrees(math.atan(0.55 / 0.5)), abs=FINE)
    assert verdict.crossings[0].last == pytest.approx(
        math.degrees(math.atan(19.45 / 0.5)), abs=FINE
    )
    # The tab's part on the side wall is 12 long, and shrunk at both ends.
    assert verdict.depth == pytest.approx(11.9, abs=1e-3)


def test_a_wall_with_its_tab_turned_in_glides_along_the_side_wall() -> None:
    wall = lying("wall", 0, 40, 60, 60)
    tab = Flat("tab", ((60, 40, 0), (60, 60, 0), (60, 60, 12), (60, 40, 12)))
    side = across("side", 60, 0, 40, 0, 20)
    verdict = turn_is_free([wall, tab], [side], Line((0, 40, 0), (1, 0, 0)), 90)
    assert verdict.clear
    assert [(g.moving, g.still, g.through) for g in verdict.glides] == [("tab", "side", False)]


# --- leaves on one spine ---------------------------------------------------------------------

SPINE = Line((0, 0, 0), (0, -1, 0))
LEAF = lying("leaf", 0, 0, 50, 70)


def test_a_leaf_turns_freely_between_two_others() -> None:
    below, beyond = lying("below", 0, 0, 60, 70), lying("beyond", -60, 0, 0, 70)
    assert turn_is_free([LEAF], [below, beyond], SPINE, 180).clear


def test_a_leaf_cannot_go_through_one_that_stands() -> None:
    # Leaves on one line meet in the line alone, except where they lie in one plane: at 60°.
    standing = turned(lying("standing", 0, 10, 40, 80), SPINE, 60)
    verdict = turn_is_free([LEAF], [standing], SPINE, 180)
    assert verdict.free
    assert not verdict.clear
    (glide,) = verdict.glides
    assert glide.through
    assert glide.first == pytest.approx(60)
    # 40 wide, from y = 10 to 70, less the shrunk edges of both.
    assert glide.area == pytest.approx(39.9 * 59.9, abs=1e-3)


def test_a_leaf_that_lands_on_another_lies_over_it_and_not_under() -> None:
    landed = turned(LEAF, SPINE, 180)
    there = lying("there", -60, 0, 0, 70)
    faces = [there, landed]
    assert contact_order_is_sound(faces, {"leaf"}, {("leaf", "there")}, SPINE, 180).sound
    wrong = contact_order_is_sound(faces, {"leaf"}, {("there", "leaf")}, SPINE, 180)
    assert wrong.wrong == (("there", "leaf"),)
    # Seen from below it is the other way about.
    below = (0.0, 0.0, -1.0)
    assert contact_order_is_sound(faces, {"leaf"}, {("there", "leaf")}, SPINE, 180, below).sound
    assert contact_order_is_sound(faces, {"leaf"}, (), SPINE, 180).unordered == (("leaf", "there"),)


def test_a_leaf_that_lands_from_below_lies_under() -> None:
    landed = turned(LEAF, SPINE, -180)
    there = lying("there", -60, 0, 0, 70)
    pairs = {("there", "leaf")}
    assert contact_order_is_sound([there, landed], {"leaf"}, pairs, SPINE, -180).sound
    pairs = {("leaf", "there")}
    assert not contact_order_is_sound([there, landed], {"leaf"}, pairs, SPINE, -180).sound


def test_a_leaf_far_from_its_line_and_narrow_still_shows_the_wrong_side() -> None:
    strip = lying("strip", -200, 0, -199, 5)
    leaf = turned(lying("leaf", 150, 0, 210, 70), SPINE, 180)
    faces = [strip, leaf]
    assert contact_order_is_sound(faces, {"leaf"}, {("leaf", "strip")}, SPINE, 180).sound
    assert not contact_order_is_sound(faces, {"leaf"}, {("strip", "leaf")}, SPINE, 180).sound


def test_the_ear_of_a_flap_lands_from_the_other_side() -> None:
    # The flap lies closed over the plate, having turned by 180°; its ear, beyond the fold, came
    # up from below against a shelf there. So the flap is over the plate and under the shelf.
    flap = Flat(
        "flap", ((0, 80, 0), (100, 80, 0), (100, 70, 0), (110, 70, 0), (110, 100, 0), (0, 100, 0))
    )
    closed = turned(flap, FAR_EDGE, 180)
    shelf = lying("shelf", 101, 82, 109, 95)
    faces = [PLATE, shelf, closed]
    right = {("flap", "plate"), ("shelf", "flap")}
    assert contact_order_is_sound(faces, {"flap"}, right, FAR_EDGE, 180).sound
    wrong = {("flap", "plate"), ("flap", "shelf")}
    verdict = contact_order_is_sound(faces, {"flap"}, wrong, FAR_EDGE, 180)
    assert verdict.wrong == (("flap", "shelf"),)


def test_four_flaps_laid_in_a_ring_are_judged_pair_by_pair() -> None:
    # Each flap of a square box lies over the one closed before; the last one would have to be
    # tucked under the first, and a plain turn cannot do that (common practice, no source).
    hinges = [
        Line((0, 0, 0), (-1, 0, 0)),
        Line((60, 0, 0), (0, -1, 0)),
        Line((60, 60, 0), (1, 0, 0)),
        Line((0, 60, 0), (0, 1, 0)),
    ]
    flaps = [
        lying("south", 0, 0, 60, 40),
        lying("east", 20, 0, 60, 60),
        lying("north", 0, 20, 60, 60),
        lying("west", 0, 0, 40, 60),
    ]
    ring = {("east", "south"), ("north", "east"), ("west", "north"), ("south", "west")}
    stack = {("east", "south"), ("north", "east"), ("west", "north"), ("west", "south")}
    # Opposite flaps overlap as well.
    opposite = {("north", "south"), ("west", "east")}
    hinge = hinges[3]
    ringed = contact_order_is_sound(flaps, {"west"}, ring | opposite, hinge, 180)
    assert ringed.wrong == (("south", "west"),)
    assert contact_order_is_sound(flaps, {"west"}, stack | opposite, hinge, 180).sound
    # Each of them opens to the front about its hinge, by less than nothing.
    for hinge, flap in zip(hinges, flaps, strict=True):
        assert np.mean(turned(flap, hinge, -10).corners, axis=0)[2] > 0


# --- turns on a fastening --------------------------------------------------------------------


def test_a_tab_that_swings_on_a_brad_glides_and_is_stopped_by_a_wall() -> None:
    tab = lying("tab", -5, 0, 5, 30)
    brad = Line((0, 5, 0), (0, 0, 1))
    verdict = turn_is_free([tab], [lying("plate", -50, -50, 50, 50)], brad, 180)
    assert verdict.clear
    assert [glide.through for glide in verdict.glides] == [False]
    # A corner of the tab is √(25² + 5²) = 25.5 from the brad; a wall 25.2 to its left is met,
    # one 25.7 to its left is not.
    for away, free in ((25.2, False), (25.7, True)):
        wall = across("wall", -away, -50, 50, -5, 5)
        assert turn_is_free([tab], [wall], brad, 180).free is free


# --- slides ----------------------------------------------------------------------------------


def sleeve(wide: float, high: float, long: float) -> list[Flat]:
    """Give a sleeve open at both ends, along y from 0."""
    return [
        lying("floor", 0, 0, wide, long),
        lying("roof", 0, 0, wide, long, z=high),
        across("left", 0, 0, long, 0, high),
        across("right", wide, 0, long, 0, high),
    ]


def drawer(x: float, wide: float, z: float, high: float) -> list[Flat]:
    """Give a drawer before the sleeve, 50 deep."""
    return [
        lying("bottom", x, -60, x + wide, -10, z=z),
        along("front", -60, x, x + wide, z, z + high),
        along("rear", -10, x, x + wide, z, z + high),
        across("left wall", x, -60, -10, z, z + high),
        across("right wall", x + wide, -60, -10, z, z + high),
    ]


@pytest.mark.parametrize(
    ("x", "wide", "z", "high", "free"),
    [
        (0.5, 59, 0.5, 19, True),
        (0.0, 60, 0.0, 20, True),
        (0.2, 59.6, 0.2, 19.6, True),
        (0.5, 59.7, 0.5, 19, False),
        (0.5, 59, 0.5, 19.7, False),
        (-0.2, 60.4, 0.5, 19, False),
    ],
)
def test_a_drawer_goes_into_its_sleeve_if_it_is_no_larger(
    x: float, wide: float, z: float, high: float, free: bool
) -> None:
    verdict = slide_is_free(drawer(x, wide, z, high), sleeve(60, 20, 50), (0, 60, 0))
    assert verdict.clear is free
    if not free:
        # The rear goes 10 before it is at the sleeve's mouth, and both edges are shrunk.
        assert verdict.first == pytest.approx(10.1, abs=0.05)


def test_a_drawer_that_fills_its_sleeve_glides_on_four_walls() -> None:
    verdict = slide_is_free(drawer(0, 60, 0, 20), sleeve(60, 20, 50), (0, 60, 0))
    pairs = {(glide.moving, glide.still) for glide in verdict.glides}
    assert pairs == {("bottom", "floor"), ("left wall", "left"), ("right wall", "right")}
    assert not any(glide.through for glide in verdict.glides)


def test_a_drawer_is_stopped_by_the_shut_end_of_its_sleeve() -> None:
    shut = along("shut end", 50, 0, 60, 0, 20)
    verdict = slide_is_free(drawer(0.5, 59, 0.5, 19), [*sleeve(60, 20, 50), shut], (0, 75, 0))
    # The rear is 10 before the mouth and the end 50 behind it: it passes through it flush, and
    # the walls follow into it.
    assert not verdict.clear
    (glide,) = [glide for glide in verdict.glides if glide.through]
    assert (glide.moving, glide.still) == ("rear", "shut end")
    assert glide.first == pytest.approx(60)
    assert verdict.first == pytest.approx(60, abs=0.1)


def test_a_drawer_cannot_leave_its_sleeve_sideways_nor_upwards() -> None:
    inside = [slid(face, (0, 60, 0)) for face in drawer(0.5, 59, 0.5, 19)]
    for way, stopper in (((30, 0, 0), "right"), ((0, 0, 15), "roof")):
        verdict = slide_is_free(inside, sleeve(60, 20, 50), way)
        assert not verdict.clear
        assert stopper in {crossing.still for crossing in verdict.crossings} | {
            glide.still for glide in verdict.glides
        }
    assert slide_is_free(inside, sleeve(60, 20, 50), (0, -60, 0)).clear


@pytest.mark.parametrize(("wide", "free"), [(29.6, True), (30.4, False)])
def test_a_strip_goes_through_a_window_it_fits(wide: float, free: bool) -> None:
    # The window is 30 wide: the strip clears it, or bites into it, by 0.2 on either side.
    window = ((10, 0, 5), (40, 0, 5), (40, 0, 15), (10, 0, 15))
    wall = Flat("wall", along("wall", 0, 0, 50, 0, 20).corners, (window,))
    strip = lying("strip", 25 - wide / 2, -70, 25 + wide / 2, -10, z=10)
    assert slide_is_free([strip], [wall], (0, 90, 0)).free is free


def test_a_motion_of_nothing_is_free() -> None:
    assert slide_is_free([LEAF], [LEAF], (0, 0, 0)).clear
    assert turn_is_free([LEAF], [LEAF], SPINE, 0).clear


# --- against other reckonings ----------------------------------------------------------------


def places(rng: random.Random, number: int, size: float) -> list[FlatPoint]:
    return [(rng.uniform(-size, size), rng.uniform(-size, size)) for _ in range(number)]


@pytest.mark.parametrize("seed", range(12))
def test_walls_along_the_line_cross_as_segments_in_the_plane_do(seed: int) -> None:
    """Source: GEOS's predicate `crosses` on the segments that the walls are seen from their end."""
    rng = random.Random(seed)
    moving, still = ([places(rng, 2, 50) for _ in range(3)] for _ in range(2))
    degrees = rng.choice((90, 180, -90, -130))

    def wall(name: str, ends: list[FlatPoint]) -> Flat:
        (y0, z0), (y1, z1) = ends
        return Flat(name, ((0, y0, z0), (10, y0, z0), (10, y1, z1), (0, y1, z1)))

    verdict = turn_is_free(
        [wall(f"m{n}", ends) for n, ends in enumerate(moving)],
        [wall(f"s{n}", ends) for n, ends in enumerate(still)],
        Line((0, 0, 0), (1, 0, 0)),
        degrees,
        shrink=0,
    )
    found = {(c.moving, c.still): c for c in verdict.crossings}
    for m, ends in enumerate(moving):
        for s, other in enumerate(still):
            alike = functools.partial(cross_in_the_plane, ends, other, degrees)
            agree(alike, 0.25, abs(degrees), found.get((f"m{m}", f"s{s}")))


def cross_in_the_plane(
    ends: list[FlatPoint], other: list[FlatPoint], degrees: float, amount: float
) -> bool:
    return bool(segment(ends, math.copysign(amount, degrees)).crosses(LineString(other)))


def segment(ends: list[FlatPoint], degrees: float) -> LineString:
    cosine, sine = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return LineString([(cosine * y - sine * z, sine * y + cosine * z) for y, z in ends])


def agree(
    cross: Callable[[float], bool], step: float, total: float, crossing: Crossing | None
) -> None:
    """Assert that another way of telling a crossing, asked at each step, agrees with a verdict."""
    hits = [n * step for n in range(1, math.ceil(total / step)) if cross(n * step)]
    if crossing is None:
        assert not hits
        return
    assert cross(crossing.first) and cross(crossing.last)
    if hits:
        assert crossing.first <= hits[0] + 1e-9 and hits[-1] <= crossing.last + 1e-9


@pytest.mark.parametrize("seed", range(12))
def test_faces_cross_where_an_edge_of_one_goes_through_the_other(seed: int) -> None:
    """Source: the definition, edge by edge, with GEOS telling whether a place is in an outline."""
    rng = random.Random(100 + seed)
    flats = [tilted(rng, f"{n}") for n in range(4)]
    line = Line((rng.uniform(-9, 9), 3, 0), (rng.uniform(-1, 1), rng.uniform(-1, 1), 0.4))
    degrees = rng.choice((90.0, -70.0, 120.0))
    verdict = turn_is_free(flats[:2], flats[2:], line, degrees, shrink=0)
    found = {(c.moving, c.still): c for c in verdict.crossings}
    for one in flats[:2]:
        for other in flats[2:]:
            alike = functools.partial(cross_in_space, one, other, line, degrees)
            agree(alike, 1.0, abs(degrees), found.get((one.name, other.name)))
    assert found or seed not in (0, 1, 2)


def cross_in_space(one: Flat, other: Flat, line: Line, degrees: float, amount: float) -> bool:
    return pierce(turned(one, line, math.copysign(amount, degrees)), other)


def tilted(rng: random.Random, name: str) -> Flat:
    """Give a face that stands anyhow, at times not convex and with a hole."""
    outline = [
        (-20, -15),
        (20, -15),
        (20, 15),
        (rng.uniform(-5, 5), rng.uniform(-8, 12)),
        (-20, 15),
    ]
    hole = [(-12, -9), (-2, -9), (-2, -3), (-12, -3)] if rng.random() < 0.6 else []
    face = Flat(
        name,
        tuple((x, y, 0.0) for x, y in outline),
        (tuple((x, y, 0.0) for x, y in hole),) if hole else (),
    )
    for axis in ((1, 0, 0), (0, 1, 0), (0, 0, 1)):
        face = turned(face, Line((0, 0, 0), axis), rng.uniform(-180, 180))
    return slid(face, (rng.uniform(-25, 25), rng.uniform(-25, 25), rng.uniform(-25, 25)))


def pierce(one: Flat, other: Flat) -> bool:
    return goes_through(one, other) or goes_through(other, one)


def goes_through(edges_of: Flat, face: Flat) -> bool:
    """Tell whether an edge goes through the inside of a face."""
    origin, normal = np.array(face.corners[0]), np.array(front_normal(face))
    # Seen along the axis that the face looks to most, no corner is lost.
    kept = [axis for axis in range(3) if axis != int(np.argmax(np.abs(normal)))]
    outline = Polygon(np.array(face.corners)[:, kept], [np.array(h)[:, kept] for h in face.holes])
    for start, end in edges(edges_of):
        before, after = (start - origin) @ normal, (end - origin) @ normal
        if before * after < 0:
            place = start + (end - start) * (before / (before - after))
            if outline.contains(shapely.Point(place[kept])):
                return True
    return False


def edges(face: Flat) -> Iterator[tuple[np.ndarray, np.ndarray]]:
    for ring in (face.corners, *face.holes):
        for start, end in zip(ring, ring[1:] + ring[:1], strict=True):
            yield np.array(start), np.array(end)


def test_a_verdict_on_twenty_faces_takes_less_than_a_second() -> None:
    rng = random.Random(5)
    flats = [tilted(rng, f"{n}") for n in range(20)]
    started = time.process_time()
    assert not turn_is_free(flats[:10], flats[10:], SPINE, 180).free
    assert time.process_time() - started < 1

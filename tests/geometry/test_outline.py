"""Outlines against hand-computed figures and against shapely."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given, strategies as st
from shapely.geometry import Polygon

from gatherfold.geometry.outline import (
    Arc,
    Box,
    Outline,
    Point,
    Segment,
    area,
    bounds,
    circle,
    flattened,
    polygon,
    rectangle,
)
from gatherfold.geometry.pose import Pose, flipped, shifted, turned


def point(x: int, y: int) -> Point:
    return Point(Fraction(x), Fraction(y))


def box(left: int, bottom: int, right: int, top: int) -> Box:
    return Box(Fraction(left), Fraction(bottom), Fraction(right), Fraction(top))


L_SHAPE = polygon([point(0, 0), point(6, 0), point(6, 2), point(2, 2), point(2, 5), point(0, 5)])


def test_a_rectangle() -> None:
    outline = rectangle(box(1, 2, 5, 10))
    assert area(outline) == 32
    assert bounds(outline) == box(1, 2, 5, 10)
    assert outline.corners == (point(1, 2), point(5, 2), point(5, 10), point(1, 10))


def test_a_polygon_by_hand_and_by_shapely() -> None:
    assert area(L_SHAPE) == 18  # 6 × 2 and 2 × 3
    assert Polygon(flattened(L_SHAPE)).area == 18
    assert bounds(L_SHAPE) == box(0, 0, 6, 5)


def test_repeated_points_are_dropped() -> None:
    outline = polygon(
        [point(0, 0), point(0, 0), point(4, 0), point(4, 3), point(4, 3), point(0, 0)]
    )
    assert len(outline.edges) == 3
    assert area(outline) == 6


def test_a_circle() -> None:
    outline = circle(point(10, 20), Fraction(5))
    assert bounds(outline) == box(5, 15, 15, 25)
    assert area(outline) == pytest.approx(math.pi * 25, rel=1e-3)
    assert Polygon(flattened(outline, 64)).area == pytest.approx(math.pi * 25, rel=1e-3)
    radii = {round(math.hypot(x - 10, y - 20), 9) for x, y in flattened(outline)}
    assert radii == {5.0}


def test_half_a_circle_bulges_beyond_its_ends() -> None:
    half = Outline(
        (Segment(point(-2, 0), point(2, 0)), Arc(point(2, 0), point(-2, 0), point(0, 0), False))
    )
    assert bounds(half) == box(-2, 0, 2, 2)
    assert area(half) == pytest.approx(2 * math.pi, rel=1e-3)
    bite = Outline(
        (
            Segment(point(-4, 3), point(-4, -3)),
            Segment(point(-4, -3), point(4, -3)),
            Segment(point(4, -3), point(4, 3)),
            Segment(point(4, 3), point(2, 3)),
            Arc(point(2, 3), point(-2, 3), point(0, 3), True),
            Segment(point(-2, 3), point(-4, 3)),
        )
    )
    assert bounds(bite) == box(-4, -3, 4, 3)
    assert area(bite) == pytest.approx(48 - 2 * math.pi, rel=1e-3)


@pytest.mark.parametrize("start", range(4))
@pytest.mark.parametrize("quarters", [1, 2])
@pytest.mark.parametrize("clockwise", [False, True])
def test_the_box_of_an_arc_is_that_of_its_chords(
    start: int, quarters: int, clockwise: bool
) -> None:
    around = [point(3, 0), point(0, 3), point(-3, 0), point(0, -3)]
    step = -quarters if clockwise else quarters
    arc = Arc(around[start], around[(start + step) % 4], point(0, 0), clockwise)
    outline = Outline((arc, Segment(arc.end, arc.start)))
    found = bounds(outline)
    xs, ys = zip(*flattened(outline, 16), strict=True)
    for exact, chord in (
        (found.left, min(xs)),
        (found.right, max(xs)),
        (found.bottom, min(ys)),
        (found.top, max(ys)),
    ):
        assert float(exact) == pytest.approx(chord, abs=0.03)


_MOVES = st.sampled_from((0, 90, 180, 270)).flatmap(
    lambda angle: st.tuples(st.just(angle), st.booleans(), st.integers(-9, 9), st.integers(-9, 9))
)
BITTEN = Outline(
    (
        Segment(point(0, 0), point(8, 0)),
        Segment(point(8, 0), point(8, 4)),
        Arc(point(8, 4), point(6, 6), point(6, 4), False),
        Segment(point(6, 6), point(5, 6)),
        Arc(point(5, 6), point(3, 6), point(4, 6), True),
        Segment(point(3, 6), point(0, 6)),
        Segment(point(0, 6), point(0, 0)),
    )
)


@given(_MOVES)
def test_moving_an_outline_keeps_its_area_and_turns_it_as_a_flip_does(
    move: tuple[int, bool, int, int],
) -> None:
    angle, over, x, y = move
    pose: Pose = shifted(Fraction(x), Fraction(y)).then(turned(angle))
    if over:
        pose = pose.then(flipped())
    moved = BITTEN.mapped(lambda p: Point(*pose.apply((p.x, p.y, 0))[:2]), over)
    assert area(moved) == pytest.approx(-area(BITTEN) if over else area(BITTEN))
    shape = Polygon(flattened(moved, 32))
    assert shape.is_valid
    assert shape.area == pytest.approx(area(BITTEN))
    found = bounds(moved)
    assert shape.bounds == pytest.approx(
        tuple(map(float, (found.left, found.bottom, found.right, found.top)))
    )


def test_a_box_knows_its_sides() -> None:
    assert (box(1, 2, 5, 10).width, box(1, 2, 5, 10).height) == (4, 8)
    assert box(1, 2, 5, 10).centre == point(3, 6)

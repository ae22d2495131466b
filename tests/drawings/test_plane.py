"""Plane geometry: clipping, turning, crossing."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from shapely import Polygon, box, unary_union  # type: ignore[import-untyped]

from gatherfold.drawings.dimensions.dimensions import spread
from gatherfold.drawings.kernel.hatching import Hatch, hatch_runs
from gatherfold.drawings.kernel.plane import (
    Rect,
    bounding,
    clipped_rings,
    clipped_run,
    ring_holds,
    segment_meets,
    segments_cross,
    turned_rect,
)

L_SHAPE = ((0.0, 0.0), (6.0, 0.0), (6.0, 2.0), (2.0, 2.0), (2.0, 5.0), (0.0, 5.0))


@pytest.mark.parametrize("degrees", [0, 90, 180, 270])
def test_turned_rectangle_holds_the_turned_corners(degrees: int) -> None:
    rect = Rect(1, 2, 5, 3)
    cosine, sine = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    corners = [(cosine * x - sine * y + 7, sine * x + cosine * y + 8) for x, y in rect.ring]
    expected = bounding(corners)
    turned = turned_rect(rect, degrees, 7, 8)
    found = (turned.left, turned.bottom, turned.right, turned.top)
    assert found == pytest.approx((expected.left, expected.bottom, expected.right, expected.top))


@pytest.mark.parametrize("window", [Rect(1, 1, 4, 4), Rect(-1, -1, 9, 9), Rect(3, 0.5, 5, 1)])
def test_clipping_agrees_with_shapely(window: Rect) -> None:
    clipped = unary_union([Polygon(ring) for ring in clipped_rings(L_SHAPE, window)])
    exact = Polygon(L_SHAPE).intersection(box(window.left, window.bottom, window.right, window.top))
    assert clipped.symmetric_difference(exact).area == pytest.approx(0, abs=1e-9)


def test_runs_are_cut_where_they_leave_the_window() -> None:
    run = ((0.0, 1.0), (10.0, 1.0), (10.0, 3.0), (0.0, 3.0))
    assert clipped_run(run, Rect(2, 0, 8, 4)) == [
        ((2.0, 1.0), (8.0, 1.0)),
        ((8.0, 3.0), (2.0, 3.0)),
    ]


def test_a_run_that_touches_the_rim_is_one() -> None:
    run = ((0.0, 0.0), (4.0, 0.0), (4.0, 2.0), (2.0, 4.0), (0.0, 2.0), (0.0, 0.0))
    (found,) = clipped_run(run, Rect(0, 0, 4, 4))
    assert found == run


def test_hatch_stays_inside_and_out_of_holes() -> None:
    hole = ((0.5, 0.5), (1.5, 0.5), (1.5, 1.5), (0.5, 1.5))
    runs = hatch_runs([Hatch(0.4, 45)], [L_SHAPE, hole])
    assert len(runs) > 5
    for (x0, y0), (x1, y1) in runs:
        middle = ((x0 + x1) / 2, (y0 + y1) / 2)
        assert ring_holds(L_SHAPE, middle)
        assert not ring_holds(hole, middle)


def test_touching_is_not_meeting() -> None:
    rect = Rect(0, 0, 2, 2)
    assert not segment_meets((-1, 2), (3, 2), rect)
    assert segment_meets((-1, 1), (3, 1), rect)
    assert not segments_cross((0, 0), (2, 2), (2, 2), (4, 0))


@pytest.mark.parametrize(
    ("centres", "low", "high"),
    [([10, 10, 10], 0, 100), ([1, 2, 30], 0, 100), ([97, 98, 99], 0, 100), ([50], 0, 100)],
)
def test_spread_keeps_order_distance_and_bounds(
    centres: list[float], low: float, high: float
) -> None:
    places = spread(centres, [3.0] * len(centres), low, high)
    assert all(b - a >= 3 - 1e-9 for a, b in pairwise(places))
    assert low <= places[0]
    assert places[-1] <= high


def test_spread_moves_nothing_that_has_room() -> None:
    assert spread([5, 15, 40], [3, 3, 3], 0, 100) == [5, 15, 40]
    assert spread([], [], 0, 1) == []

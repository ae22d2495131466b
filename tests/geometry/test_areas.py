"""Exact areas of upright rectangles, compared with shapely's own operations (the source)."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings, strategies as st
from shapely.geometry import Point as ShapelyPoint, box as shapely_box
from shapely.geometry.polygon import Polygon
from shapely.ops import unary_union

from gatherfold.geometry.areas import (
    around,
    common,
    crosses,
    difference,
    distance_squared,
)
from gatherfold.geometry.outline import Box, Point
from gatherfold.geometry.pose import Pose

# Whole numbers, so that shapely's floats are exact too.
_NUMBERS = st.integers(-20, 20)
EDGES = ("left", "right", "bottom", "top")


def make(left: int, bottom: int, right: int, top: int) -> Box:
    return Box(Fraction(left), Fraction(bottom), Fraction(right), Fraction(top))


@st.composite
def boxes(draw: st.DrawFn) -> Box:
    left, bottom = draw(_NUMBERS), draw(_NUMBERS)
    return make(left, bottom, left + draw(st.integers(1, 20)), bottom + draw(st.integers(1, 20)))


def shape(box: Box) -> Polygon:
    return shapely_box(float(box.left), float(box.bottom), float(box.right), float(box.top))


def area(box: Box) -> Fraction:
    return box.width * box.height


@settings(max_examples=200, deadline=None)
@given(boxes(), boxes())
def test_common_part(first: Box, second: Box) -> None:
    shared = common(first, second)
    expected = shape(first).intersection(shape(second))
    assert crosses(first, second) == (expected.area > 0)
    assert (shared is not None) == (expected.area > 0)
    if shared is not None:
        assert shape(shared).equals(expected)


@settings(max_examples=200, deadline=None)
@given(boxes(), st.lists(boxes(), max_size=5))
def test_difference(box: Box, holes: list[Box]) -> None:
    parts = difference(box, holes)
    expected = shape(box).difference(unary_union([shape(hole) for hole in holes]))
    assert float(sum(map(area, parts))) == expected.area
    assert unary_union([shape(part) for part in parts]).symmetric_difference(expected).area == 0
    assert not any(crosses(part, other) for i, part in enumerate(parts) for other in parts[i + 1 :])


@settings(max_examples=200, deadline=None)
@given(_NUMBERS, _NUMBERS, boxes())
def test_distance(x: int, y: int, box: Box) -> None:
    expected = ShapelyPoint(x, y).distance(shape(box)) ** 2
    assert float(distance_squared(Point(Fraction(x), Fraction(y)), box)) == pytest.approx(expected)


def test_a_line_crosses_what_it_runs_through_and_not_what_it_bounds() -> None:
    field = make(0, 0, 4, 4)
    line = make(1, 2, 3, 2)
    assert crosses(line, field)
    assert not crosses(make(0, 4, 4, 4), field)
    assert difference(line, [make(2, 0, 5, 5)]) == (make(1, 2, 2, 2),)


def test_around() -> None:
    assert around([make(0, 5, 1, 6), make(-3, 2, 0, 3)]) == make(-3, 2, 1, 6)


def test_a_flap_folded_up_stands_in_a_plane_of_its_own() -> None:
    # About x = 5, and moved by 2.
    pose = Pose(((0, 0, -1), (0, 1, 0), (1, 0, 0)), (Fraction(7), Fraction(0), Fraction(-5)))
    low, high = pose.apply((Fraction(5), Fraction(0), 0)), pose.apply((Fraction(8), Fraction(4), 0))
    assert (pose.axis, low, high) == (0, (7, 0, 0), (7, 4, 3))

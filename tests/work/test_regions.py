"""Flat regions against shapely, and against what is plain on a grid.

Sources: shapely's own geometry in floats; areas and places counted on squared paper.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise

import pytest
from shapely import LineString, Point, Polygon
from shapely.affinity import affine_transform
from shapely.geometry.base import BaseGeometry

from gatherfold.geometry import common, crosses
from gatherfold.work.regions import Bounds, FaceKey, Plate, Region, Ring, rectangle_region
from gatherfold.work.space import ACROSS, AT_REST, Rigid, SpaceLine, quarter_turn, shifted_by

SQUARE = Region((((0, 0), (4, 0), (4, 4), (0, 4)),))


def shape(region: Region) -> BaseGeometry:
    """The even-odd fill of the rings of a region."""
    found: BaseGeometry = Polygon()
    for ring in region.rings:
        found = found.symmetric_difference(Polygon([(float(x), float(y)) for x, y in ring]))
    return found


def at(region: Region, x: float, y: float) -> Region:
    """A region moved by whole numbers."""
    return Region(tuple(tuple((a + x, b + y) for a, b in ring) for ring in region.rings))  # type: ignore[misc]


def random_region(rng: random.Random, low: int = 0, high: int = 8) -> Region:
    """A star-shaped polygon on squared paper, or a rectangle, sometimes with a hole."""
    if rng.random() < 0.3:
        x, y = rng.randint(low, high - 2), rng.randint(low, high - 2)
        bounds = Bounds(x, y, rng.randint(x + 1, high), rng.randint(y + 1, high))
        return rectangle_region(bounds)
    while True:
        spots = [(rng.randint(low, high), rng.randint(low, high)) for _ in range(rng.randint(3, 7))]
        ring: Ring = tuple(spots)
        polygon = Polygon(ring)
        if polygon.is_valid and polygon.area > 2:
            break
    rings = [ring]
    if rng.random() < 0.4:
        x, y = rng.randint(low, high - 1), rng.randint(low, high - 1)
        hole: Ring = ((x, y), (x, y + 1), (x + 1, y + 1), (x + 1, y))
        if polygon.contains_properly(Polygon(hole)):
            rings.append(hole)
    return Region(tuple(rings))


def pairs(count: int = 400) -> Iterator[tuple[Region, Region]]:
    rng = random.Random(5)
    for _ in range(count):
        yield random_region(rng), at(random_region(rng), rng.randint(-6, 6), rng.randint(-6, 6))


def test_two_regions_overlap_where_they_share_an_area() -> None:
    both = 0
    for one, other in pairs():
        area = shape(one).intersection(shape(other)).area
        assert one.overlaps(other) == other.overlaps(one) == (area > 1e-9), (one, other)
        both += area > 1e-9
    assert 50 < both < 350


def test_what_only_touches_does_not_overlap() -> None:
    triangle = Region((((0, 0), (4, 0), (0, 4)),))
    for x, y in ((4, 0), (0, 4), (-4, 0), (0, -4), (4, 4), (-4, 4)):
        assert not SQUARE.overlaps(at(SQUARE, x, y))
        assert not at(SQUARE, x, y).overlaps(SQUARE)
    # Two halves of a square, whose bounds are the same, touch along its diagonal.
    half = Region((((4, 0), (4, 4), (0, 4)),))
    assert not triangle.overlaps(half) and not half.overlaps(triangle)
    assert triangle.overlaps(at(half, -1, 0))
    # In a window of the size of it something lies on nothing.
    frame = Region((((-2, -2), (6, -2), (6, 6), (-2, 6)), ((0, 0), (0, 4), (4, 4), (4, 0))))
    assert not frame.overlaps(SQUARE) and frame.overlaps(at(SQUARE, 1, 0))


@pytest.mark.parametrize("along", [0, 1])
def test_what_two_regions_share_reaches_as_far_as_its_bounds(along: int) -> None:
    for one, other in pairs():
        shared = shape(one).intersection(shape(other))
        found = one.common_extent(other, along)  # type: ignore[arg-type]
        if shared.area < 1e-9:
            assert found is None
            continue
        flat = [part for part in getattr(shared, "geoms", [shared]) if part.area > 1e-12]
        ends = [end for part in flat for end in (part.bounds[along], part.bounds[along + 2])]
        assert found is not None
        assert [float(end) for end in found] == pytest.approx([min(ends), max(ends)])


def test_a_place_is_held_where_it_lies_inside() -> None:
    rng, held = random.Random(6), 0
    for one, _ in pairs(150):
        for _ in range(10):
            x, y = rng.uniform(-1, 9), rng.uniform(-1, 9)
            is_inside = shape(one).contains(Point(x, y))
            assert one.holds((Fraction(x), Fraction(y))) == is_inside
            held += is_inside
        # The middle of a square of the paper, which may lie level with a corner.
        x, y = rng.randint(0, 7) + 0.5, float(rng.randint(0, 8))
        if shape(one).boundary.distance(Point(x, y)) > 1e-9:
            assert one.holds((Fraction(x), Fraction(y))) == shape(one).contains(Point(x, y))
    assert held > 100


@pytest.mark.parametrize("along", [0, 1])
def test_trapezoids_make_up_the_area_and_lie_in_order(along: int) -> None:
    for one, _ in pairs(150):
        parts = one.trapezoids(along)  # type: ignore[arg-type]
        area = 0.0
        for part in parts:
            assert part.low < part.high
            middle = Fraction(part.low + part.high) / 2
            quarter = part.low + (part.high - part.low) * Fraction(1, 4)
            for place in (middle, quarter):
                near, far = part.at(place)
                assert near < far
                spot = (place, (near + far) / Fraction(2))
                assert shape(one).contains(Point(*map(float, spot if along == 0 else spot[::-1])))
            near, far = part.at(middle)
            area += float((far - near) * (part.high - part.low))
        assert area == pytest.approx(shape(one).area)
        for first, second in pairwise(parts):
            is_beside = (first.low, first.high) == (second.low, second.high)
            assert first.high <= second.low or is_beside
            middle = Fraction(first.low + first.high) / 2
            assert not is_beside or first.at(middle)[1] <= second.at(middle)[0]


@pytest.mark.parametrize("along", [0, 1])
def test_what_is_inside_at_a_place_is_what_a_line_across_cuts(along: int) -> None:
    """Level with a corner only what lies on both sides of the line counts."""
    asked = 0
    for one, _ in pairs(150):
        polygon = shape(one)
        for place in (*range(-1, 10), *(Fraction(2 * n + 1, 2) for n in range(8))):
            found = one.spans_at(along, place)  # type: ignore[arg-type]
            cuts = []
            for off in (-1e-4, 1e-4):
                at, low, high = float(place) + off, -9.0, 19.0
                ends = [(at, low), (at, high)] if along == 0 else [(low, at), (high, at)]
                cuts.append(polygon.intersection(LineString(ends)))
            if along == 0:
                spans = [[(p[0][1], p[-1][1]) for p in _lines(cut)] for cut in cuts]
            else:
                spans = [[(p[0][0], p[-1][0]) for p in _lines(cut)] for cut in cuts]
            sides = [[tuple(sorted(each)) for each in side] for side in spans]
            wanted = sorted(
                (max(a, c), min(b, d))
                for a, b in sides[0]
                for c, d in sides[1]
                if min(b, d) - max(a, c) > 0.02
            )
            own = sorted((float(a), float(b)) for a, b in found if float(b) - float(a) > 0.02)
            assert len(own) == len(wanted), (one, along, place)
            for ours, theirs in zip(own, wanted, strict=True):
                assert ours == pytest.approx(theirs, abs=0.01)
            asked += len(own)
    assert asked > 500


def _lines(cut: BaseGeometry) -> list[list[tuple[float, ...]]]:
    parts = getattr(cut, "geoms", [cut])
    return [list(each.coords) for each in parts if each.length > 1e-9]


def test_level_with_corners_only_what_both_sides_have_is_inside() -> None:
    """An L of 6 by 6 whose arm is 2 wide, and a frame."""
    bent = Region((((0, 0), (6, 0), (6, 2), (2, 2), (2, 6), (0, 6)),))
    assert bent.spans_at(1, 1) == [(0, 6)]
    assert bent.spans_at(1, 2) == [(0, 2)]
    assert bent.spans_at(1, 3) == [(0, 2)]
    assert bent.spans_at(1, 0) == bent.spans_at(1, 6) == bent.spans_at(1, 7) == []
    assert bent.spans_at(0, 2) == [(0, 2)] and bent.spans_at(0, 1) == [(0, 6)]
    frame = Region((((-2, -2), (6, -2), (6, 6), (-2, 6)), ((0, 0), (0, 4), (4, 4), (4, 0))))
    assert frame.spans_at(0, 0) == frame.spans_at(0, 2) == [(-2, 0), (4, 6)]
    assert frame.spans_at(0, -1) == [(-2, 6)]


def test_bounds() -> None:
    """By hand."""
    shifted = Bounds(2, 3, 7, 5)
    assert shifted.ring == ((2, 3), (7, 3), (7, 5), (2, 5))
    assert rectangle_region(shifted).bounds == shifted
    assert rectangle_region(shifted).is_upright_rectangle
    assert not Region((((0, 0), (4, 0), (2, 4), (0, 4)),)).is_upright_rectangle
    assert not Region((*SQUARE.rings, ((1, 1), (2, 1), (2, 2), (1, 2)))).is_upright_rectangle
    assert not Region((((0, 0), (4, 0), (4, 4), (2, 4), (0, 4)),)).is_upright_rectangle
    assert common(shifted, Bounds(0, 4, 3, 9)) == Bounds(2, 4, 3, 5)
    assert common(shifted, Bounds(3, 0, 9, 4)) == Bounds(3, 3, 7, 4)
    for other, is_met in (
        (Bounds(0, 4, 3, 9), True),
        (Bounds(7, 3, 9, 5), False),
        (Bounds(0, 3, 2, 5), False),
        (Bounds(2, 5, 7, 6), False),
        (Bounds(2, 0, 7, 3), False),
        (Bounds(6, 4, 9, 9), True),
    ):
        assert crosses(shifted, other) == crosses(other, shifted) == is_met


def poses(rng: random.Random) -> Rigid:
    """Some quarters about lines along all axes, and a shift."""
    pose = AT_REST
    for _ in range(rng.randint(0, 4)):
        line = SpaceLine(rng.randrange(3), (rng.randint(-3, 3), rng.randint(-3, 3)))
        pose = quarter_turn(line, rng.choice((1, -1))).then(pose)
    return shifted_by((rng.randint(-3, 3), rng.randint(-3, 3), rng.randint(-3, 3))).then(pose)


def test_the_region_of_a_moved_plate_is_the_region_moved() -> None:
    """The rings moved corner by corner, all the rest by shapely."""
    rng = random.Random(8)
    for _ in range(250):
        own, pose = random_region(rng), poses(rng)
        plate = Plate(FaceKey("piece", "face"), own, AT_REST).moved(pose)
        places = [[pose.apply((x, y, 0)) for x, y in ring] for ring in own.rings]
        axis = plate.axis
        assert len({place[axis] for ring in places for place in ring}) == 1
        assert plate.plane == places[0][0][axis]
        first, second = ACROSS[axis]
        moved = Region(tuple(tuple((p[first], p[second]) for p in ring) for ring in places))
        assert shape(plate.region).equals(shape(moved))
        assert plate.region.bounds == moved.bounds
        assert plate.region.is_upright_rectangle == moved.is_upright_rectangle
        for along in (0, 1):
            assert plate.region.trapezoids(along) == moved.trapezoids(along)
        for k in (0, 1, 2):
            ends = [place[k] for place in places[0]]
            assert plate.extent(k) == (min(ends), max(ends))
        # Its front looks where the third of its own axes goes.
        front = pose.direction((0, 0, 1))
        assert front[axis] == plate.facing and sum(map(abs, front)) == 1


def test_the_helper_of_these_tests_fills_rings_as_regions_do() -> None:
    """A square with a window of a quarter of it."""
    framed = Region((*SQUARE.rings, ((1, 1), (1, 3), (3, 3), (3, 1))))
    assert shape(framed).area == 12
    assert affine_transform(shape(framed), [1, 0, 0, 1, 5, 0]).equals(shape(at(framed, 5, 0)))

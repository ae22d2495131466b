"""Quarter turns and slides against places sampled along the way, and depths worked out by hand.

Sources: the places of a turning point by sine and cosine in floats, and squared paper: all corners
are whole numbers, so that what crosses does so for a while, and what touches only touches.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterator
from fractions import Fraction

import numpy as np
import pytest
from numpy.typing import NDArray

from gatherfold.work.paths import crossings_of_slide, crossings_of_turn, glides
from gatherfold.work.regions import Bounds, FaceKey, Plate, Region, Ring, rectangle_region
from gatherfold.work.space import ACROSS, AT_REST, Place, Rigid, Sense, SpaceLine, quarter_turn

Array = NDArray[np.float64]
#: A face looks along each axis in one of these poses: the axis, then its own x and y there.
_LOOKING: dict[int, Rigid] = {
    0: Rigid(((0, 0, 1), (1, 0, 0), (0, 1, 0)), (0, 0, 0)),
    1: Rigid(((0, 1, 0), (0, 0, 1), (1, 0, 0)), (0, 0, 0)),
    2: AT_REST,
}


def plate(axis: int, plane: int, *rings: Ring, name: str = "face") -> Plate:
    """A plate across an axis, its rings along the two next axes in cyclic order."""
    shift = [0, 0, 0]
    shift[axis] = plane
    pose = Rigid(_LOOKING[axis].rotation, (shift[0], shift[1], shift[2]))
    return Plate(FaceKey("piece", name), Region(rings), pose)


def block(axis: int, plane: int, low0: int, low1: int, high0: int, high1: int) -> Plate:
    """A rectangle across an axis."""
    return plate(axis, plane, *rectangle_region(Bounds(low0, low1, high0, high1)).rings)


def random_plate(rng: random.Random, shapes: bool) -> Plate:
    axis, plane = rng.randrange(3), rng.randint(-4, 4)
    x, y = rng.randint(-5, 4), rng.randint(-5, 4)
    right, top = rng.randint(x + 1, 6), rng.randint(y + 1, 6)
    if not shapes or rng.random() < 0.3:
        return block(axis, plane, x, y, right, top)
    if rng.random() < 0.5 and right - x > 2 and top - y > 2:
        hole: Ring = ((x + 1, y + 1), (x + 1, top - 1), (right - 1, top - 1), (right - 1, y + 1))
        return plate(axis, plane, *rectangle_region(Bounds(x, y, right, top)).rings, hole)
    corners: tuple[Ring, ...] = (
        ((x, y), (right, y), (right, top)),
        ((x, y), (right, top), (x, top)),
        ((x, y), (right, y), (x, top)),
    )
    return plate(axis, plane, rng.choice(corners))


def inside(of: Plate, first: Array, second: Array) -> NDArray[np.bool_]:
    """Which places of its plane are inside of a plate, well away from its edges; even-odd."""
    found = np.zeros(first.shape, bool)
    near = np.zeros(first.shape, bool)
    for ring in of.region.rings:
        spots = [(float(x), float(y)) for x, y in ring]
        for (x0, y0), (x1, y1) in zip(spots, (*spots[1:], spots[0]), strict=True):
            if y0 != y1:
                crosses = (y0 > second) != (y1 > second)
                found ^= crosses & (first < x0 + (second - y0) * (x1 - x0) / (y1 - y0))
            share = ((first - x0) * (x1 - x0) + (second - y0) * (y1 - y0)) / (
                (x1 - x0) ** 2 + (y1 - y0) ** 2
            )
            share = np.clip(share, 0, 1)
            near |= np.hypot(first - x0 - share * (x1 - x0), second - y0 - share * (y1 - y0)) < 1e-3
    return found & ~near


#: How finely places are looked at: so that every meeting of whole numbers is met.
_FINE = 0.0901


def grid(of: Plate) -> Array:
    """Places inside of a plate, in space."""
    bounds = of.bounds
    first, second = np.meshgrid(
        np.arange(float(bounds.left) + 0.0113, float(bounds.right), _FINE),
        np.arange(float(bounds.bottom) + 0.0131, float(bounds.top), _FINE),
    )
    kept = inside(of, first, second)
    found = np.zeros((int(kept.sum()), 3))
    found[:, of.axis] = float(of.plane)
    found[:, ACROSS[of.axis][0]], found[:, ACROSS[of.axis][1]] = first[kept], second[kept]
    return found


def meets_in_turn(moving: Plate, still: Plate, line: SpaceLine, sense: Sense) -> bool:
    """Whether a place of the one passes through the other on an open quarter turn.

    A place at the distance r and the angle a from the line meets a plane across the first of the
    two other axes, at p, where r cos b = p for an angle b ahead by less than a right angle.
    """
    u, v = ACROSS[line.axis]
    places = grid(moving)
    x, y = places[:, u] - float(line.at[0]), places[:, v] - float(line.at[1])
    radius, start = np.hypot(x, y), np.arctan2(y, x)
    if still.axis == line.axis:
        level = np.abs(places[:, line.axis] - float(still.plane)) < 1e-9
        if moving.axis == line.axis:
            return False
        # Only where it is cut by the plane: along the line in which both planes meet.
        return _line_meets(moving, still, line, sense) if not level.any() else False
    place = float(still.plane) - float(line.at[0 if still.axis == u else 1])
    with np.errstate(invalid="ignore"):
        turn = np.arccos(place / radius)
    for way in (turn, -turn):
        ends = way if still.axis == u else way + math.pi / 2
        ahead = sense * (ends - start) % (2 * math.pi)
        hit = (ahead > 1e-6) & (ahead < math.pi / 2 - 1e-6) & (radius > abs(place) + 1e-6)
        if not hit.any():
            continue
        there = {line.axis: places[hit, line.axis]}
        there[u] = float(line.at[0]) + radius[hit] * np.cos(ends[hit])
        there[v] = float(line.at[1]) + radius[hit] * np.sin(ends[hit])
        first, second = ACROSS[still.axis]
        if inside(still, there[first], there[second]).any():
            return True
    return False


def _line_meets(moving: Plate, still: Plate, line: SpaceLine, sense: Sense) -> bool:
    """Whether the line in which a plane across the axis cuts a moving plate sweeps over a plate."""
    u, v = ACROSS[line.axis]
    along = v if moving.axis == u else u
    low, high = (float(end) for end in moving.extent(along))
    run = np.arange(low + 0.0113, high, _FINE)
    level = np.full(run.shape, float(still.plane))
    own = {line.axis: level, along: run}
    first, second = ACROSS[moving.axis]
    run = run[inside(moving, own[first], own[second])]
    across = np.full(run.shape, float(moving.plane))
    x = (across if moving.axis == u else run) - float(line.at[0])
    y = (run if moving.axis == u else across) - float(line.at[1])
    radius, start = np.hypot(x, y), np.arctan2(y, x)
    for share in np.arange(0.005, 1, 0.01):
        angle = start + sense * share * math.pi / 2
        places = {u: float(line.at[0]) + radius * np.cos(angle)}
        places[v] = float(line.at[1]) + radius * np.sin(angle)
        first, second = ACROSS[line.axis]
        if inside(still, places[first], places[second]).any():
            return True
    return False


def questions(
    seed: int, count: int, shapes: bool
) -> Iterator[tuple[Plate, Plate, SpaceLine, Sense]]:
    rng = random.Random(seed)
    for _ in range(count):
        line = SpaceLine(rng.randrange(3), (rng.randint(-3, 3), rng.randint(-3, 3)))
        sense: Sense = rng.choice((1, -1))
        yield random_plate(rng, shapes), random_plate(rng, shapes), line, sense


@pytest.mark.parametrize("shapes", [False, True])
def test_turns_cross_what_places_of_them_pass_through(shapes: bool) -> None:
    crossed = asked = 0
    for moving, still, line, sense in questions(3, 450, shapes):
        own = list(crossings_of_turn([moving], [still], line, sense))
        # A crossing no deeper than the grid of the places may slip through it.
        if own and own[0].depth < 0.3:
            continue
        met = meets_in_turn(moving, still, line, sense)
        assert bool(own) == met, (moving, still, line, sense, own)
        crossed += met
        asked += 1
    assert asked > 400 and 25 < crossed < asked - 100


def test_a_turn_back_from_its_end_meets_the_same() -> None:
    """A way is the same way when it is gone backwards, and in the mirror of the other plate."""
    for moving, still, line, sense in questions(4, 300, True):
        end = moving.moved(quarter_turn(line, sense))
        back: Sense = 1 if sense == -1 else -1
        there = [each.depth for each in crossings_of_turn([moving], [still], line, sense)]
        again = [each.depth for each in crossings_of_turn([end], [still], line, back)]
        assert again == pytest.approx(there, rel=0.2, abs=0.3)
        # Seen from the moving one, the other turns the other way.
        other = [each.depth for each in crossings_of_turn([still], [moving], line, back)]
        assert bool(other) == bool(there) or max([*other, *there]) < 0.3


def depths(moving: Plate, still: Plate, line: SpaceLine, sense: Sense) -> list[float]:
    return [each.depth for each in crossings_of_turn([moving], [still], line, sense)]


Z = SpaceLine(2, (0, 0))


def test_how_deep_a_turning_wall_crosses_a_standing_one() -> None:
    """Seen along the line: a wall from 2 to 10 on the first axis turns to the second one.

    The other stands across the first axis at 3 from it and reaches from 0 up to 4: what of the
    wall lies between 3 and 5 from the line meets it.  Both are 6 high, from 0 and from 2 on.
    """
    wall = block(1, 0, 0, 2, 6, 10)
    standing = block(0, 3, 0, 2, 4, 8)
    assert depths(wall, standing, Z, 1) == [pytest.approx(5 - 3)]
    # Lower than that it is as deep as both are high together.
    assert depths(wall, block(0, 3, 0, 5, 4, 8), Z, 1) == [pytest.approx(1)]
    assert depths(wall, block(0, 3, 0, 6, 4, 8), Z, 1) == []
    # At 9 from the line, near its far end, it still meets what lies within √(9² + 4²).
    assert depths(wall, block(0, 9, 0, 2, 4, 8), Z, 1) == [pytest.approx(math.hypot(9, 4) - 9)]
    # Turned the other way it goes where nothing stands.
    assert depths(wall, standing, Z, -1) == []
    assert depths(wall, block(0, 3, -4, 2, 0, 8), Z, -1) == [pytest.approx(2)]
    # Nothing of it is as near to the line as one that stands on it up to 2, or as far as at 11.
    assert depths(wall, block(0, 1, 0, 0, 1, 8), Z, 1) == []
    assert depths(wall, block(0, 11, 0, 0, 1, 8), Z, 1) == []
    # One that stands against its edge is touched at the start, and one at its end too.
    assert depths(wall, block(0, 10, 0, 0, 5, 8), Z, 1) == []
    assert depths(wall, block(0, 0, 2, 0, 10, 8), Z, 1) == []
    # At -1 on the first axis it does not arrive.
    assert depths(wall, block(0, -1, 0, 0, 10, 8), Z, 1) == []


def test_how_deep_a_turning_wall_sweeps_over_a_floor() -> None:
    """A wall from 2 to 10 sweeps over a quarter of a ring: a floor of 3 by 3 from (4, 4) on begins
    at 4 √2 from the line and ends at 7 √2."""
    wall = block(1, 0, 0, 2, 6, 10)
    floor = block(2, 3, 4, 4, 7, 7)
    near, far = 4 * math.sqrt(2), 7 * math.sqrt(2)
    assert depths(wall, floor, Z, 1) == [pytest.approx(far - near)]
    assert depths(wall, floor, Z, -1) == []
    # Of a floor across the second axis, and one across the first, the middle of an edge is nearest.
    across = math.hypot(2, 7) - 4
    assert depths(wall, block(2, 3, -2, 4, 2, 7), Z, 1) == [pytest.approx(across)]
    assert depths(wall, block(2, 3, 4, -2, 7, 2), Z, 1) == [pytest.approx(across)]
    assert depths(wall, block(2, 3, -7, -2, -4, 2), Z, -1) == []
    # Level with its edges it touches only.
    assert depths(wall, block(2, 0, 4, 4, 7, 7), Z, 1) == []
    assert depths(wall, block(2, 6, 4, 4, 7, 7), Z, 1) == []
    # A floor on one side of it ahead, one where it sets out and beyond.
    assert depths(wall, block(2, 3, 4, -5, 7, 0), Z, 1) == []
    assert depths(wall, block(2, 3, 0, 11, 7, 12), Z, 1) == []
    assert depths(wall, block(2, 3, 0, 9, 7, 12), Z, 1) == [pytest.approx(1)]
    # A window through which all of it passes.
    hole: Ring = ((1, 1), (1, 12), (12, 12), (12, 1))
    frame = plate(2, 3, ((0, 0), (14, 0), (14, 14), (0, 14)), hole)
    # It leaves the rims of 1 beside the lines: along them the wall sets out and arrives.
    assert depths(wall, frame, Z, 1) == [pytest.approx(8)]
    # The floor turning back through the wall is the same.
    assert depths(floor, wall, Z, -1) == [pytest.approx(far - near)]
    assert depths(floor, wall, Z, 1) == []


def test_two_plates_in_planes_through_the_line_never_cross() -> None:
    """They meet in the line alone, or come to lie in one plane at the end."""
    wall = block(1, 0, 0, 2, 6, 10)
    for still in (block(1, 0, 0, 2, 6, 10), block(0, 0, 2, 0, 10, 6), block(0, 0, -10, 0, -2, 6)):
        for sense in (1, -1):
            assert depths(wall, still, Z, sense) == []


# ---- slides


def meets_in_slide(moving: Plate, still: Plate, axis: int, way: int) -> bool:
    """Whether the one crosses the other at a quarter of a unit, or passes through its plane."""
    if moving.axis == still.axis:
        if moving.axis != axis:
            return False
        if not 0 < (still.plane - moving.plane) / way < 1:
            return False
        places = grid(moving)
        first, second = ACROSS[axis]
        return bool(inside(still, places[:, first], places[:, second]).any())
    # They meet in a line along the third axis.
    third = 3 - moving.axis - still.axis
    low, high = (float(end) for end in moving.extent(third))
    run = np.arange(low + 0.0113, high, _FINE)
    for share in np.arange(0.125, abs(way), 0.125):
        gone = math.copysign(share, way)
        # Of the moving plate, where it began, and of the still one.
        own = {third: run - (gone if third == axis else 0.0) * 0}
        own[still.axis] = np.full(
            run.shape, float(still.plane) - (gone if still.axis == axis else 0)
        )
        there = {third: run + (gone if third == axis else 0.0)}
        there[moving.axis] = np.full(
            run.shape, float(moving.plane) + (gone if moving.axis == axis else 0)
        )
        one = inside(moving, own[ACROSS[moving.axis][0]], own[ACROSS[moving.axis][1]])
        two = inside(still, there[ACROSS[still.axis][0]], there[ACROSS[still.axis][1]])
        if (one & two).any():
            return True
    return False


@pytest.mark.parametrize("shapes", [False, True])
def test_slides_cross_what_places_of_them_pass_through(shapes: bool) -> None:
    rng, crossed = random.Random(11), 0
    for _ in range(450):
        moving, still = random_plate(rng, shapes), random_plate(rng, shapes)
        axis, way = rng.randrange(3), rng.choice((-7, -4, -2, -1, 1, 2, 4, 7))
        out = [0, 0, 0]
        out[axis] = way
        own = list(crossings_of_slide([moving], [still], (out[0], out[1], out[2])))
        met = meets_in_slide(moving, still, axis, way)
        assert bool(own) == met, (moving, still, axis, way)
        crossed += met
    assert 20 < crossed < 400


def test_how_deep_a_slide_crosses() -> None:
    """The least of what both share across the way, or of what one reaches beyond the other."""
    out: Place = (20, 0, 0)

    def depth(moving: Plate, still: Plate) -> list[float]:
        return [each.depth for each in crossings_of_slide([moving], [still], out)]

    # Both across the way: 6 by 4 of them meet.
    assert depth(block(0, 0, 0, 0, 10, 4), block(0, 9, 4, -9, 12, 9)) == [pytest.approx(4)]
    # A sheet that lies meets a wall of 3 below it and 5 above it, 8 of it wide.
    lying = block(2, 0, 0, 0, 5, 10)
    assert depth(lying, block(0, 9, 2, -3, 30, 5)) == [pytest.approx(3)]
    assert depth(lying, block(0, 9, 2, -5, 30, 3)) == [pytest.approx(3)]
    assert depth(lying, block(0, 9, 9, -5, 30, 3)) == [pytest.approx(1)]
    # Nothing moves without a way.
    assert list(crossings_of_slide([lying], [block(0, 9, 2, -3, 30, 5)], (0, 0, 0))) == []


def test_slides_of_slanted_shapes_touch_before_they_cross() -> None:
    """A triangle that stands along the way is 3 deep where it meets a sheet at 1, not 4."""

    def met(moving: Plate, still: Plate, way: int) -> bool:
        return any(crossings_of_slide([moving], [still], (way, 0, 0)))

    ahead = plate(1, 0, ((0, 0), (4, 0), (0, 4)))
    far = block(2, 1, 6, -2, 10, 2)
    assert not met(ahead, far, 3) and met(ahead, far, 4)
    behind = plate(1, 0, ((0, 0), (4, -4), (4, 0)))
    back = block(2, 1, -10, -2, -6, 2)
    assert not met(behind, back, -5) and met(behind, back, -6)
    # A sheet that goes on by 1 passes a triangle that stands half way there.
    standing = Plate(
        FaceKey("piece", "face"),
        Region((((-4, -4), (8, -4), (2, 8)),)),
        Rigid(_LOOKING[0].rotation, (Fraction(1, 2), 0, 0)),
    )
    sheet = block(2, 1, -10, 0, 0, 4)
    assert met(sheet, standing, 1) and not met(sheet, standing, -1)
    other = block(2, 1, 1, 0, 10, 4)
    assert met(other, standing, -1) and not met(other, standing, 1)


def test_what_turns_in_its_plane_and_comes_over_another() -> None:
    """A tab beside a wall, in the plane of it, comes over it by a quarter turn."""
    wall, tab = block(2, 0, 0, 0, 10, 10), block(2, 0, 10, -4, 12, 0)
    turned = tab.moved(quarter_turn(SpaceLine(2, (10, 0)), 1))
    assert turned.bounds == Bounds(10, 0, 14, 2)
    over = tab.moved(quarter_turn(SpaceLine(2, (10, 0)), -1))
    assert over.bounds == Bounds(6, -2, 10, 0)
    up = tab.moved(quarter_turn(SpaceLine(2, (8, -2)), 1))
    assert up.bounds == Bounds(6, 0, 10, 2)
    assert list(glides([tab], [wall], [turned])) == list(glides([tab], [wall], [over])) == []
    assert list(glides([tab], [wall], [up])) == [(up, wall)]
    # Not in another plane, nor where it lay over it before.
    assert list(glides([tab], [block(2, 1, 0, 0, 10, 10)], [up])) == []
    assert list(glides([up], [wall], [up])) == []

"""How deep motions cross, against radii and places sampled along the way.

Sources: points of both plates at one distance from the line, whose angles are compared; squared
paper for what has come to rest.  Corners are whole numbers, so that places half way between them
are well inside or outside.
"""

from __future__ import annotations

import math
import random
from fractions import Fraction
from itertools import pairwise

import numpy as np
import pytest
from numpy.typing import NDArray

from gatherfold.work.paths import crossings_at_rest, crossings_of_slide, crossings_of_turn
from gatherfold.work.regions import Plate, Region, Ring
from gatherfold.work.space import ACROSS, Rigid, Sense, SpaceLine, quarter_turn
from tests.work.test_paths import Array, block, inside, plate, random_plate

#: How finely radii are looked at.
_STEP = 0.02
_RADII = np.arange(_STEP / 2, 15, _STEP)


def frame(axis: int, plane: int, low0: int, low1: int, high0: int, high1: int) -> Plate:
    """A rectangle with a window one unit within its edges."""
    outer: Ring = ((low0, low1), (high0, low1), (high0, high1), (low0, high1))
    hole: Ring = (
        (low0 + 1, low1 + 1), (low0 + 1, high1 - 1), (high0 - 1, high1 - 1), (high0 - 1, low1 + 1)
    )  # fmt: skip
    return plate(axis, plane, outer, hole)


def random_even(rng: random.Random, axes: tuple[int, ...]) -> Plate:
    """A rectangle, or a frame, across one of some axes."""
    axis, plane = rng.choice(axes), rng.randint(-4, 4)
    x, y = rng.randint(-6, 3), rng.randint(-6, 3)
    right, top = rng.randint(x + 1, 7), rng.randint(y + 1, 7)
    if right - x > 2 and top - y > 2 and rng.random() < 0.5:
        return frame(axis, plane, x, y, right, top)
    return block(axis, plane, x, y, right, top)


def points(of: Plate, line: SpaceLine, place: float, side: int) -> tuple[Array, Array]:
    """Of a plate along the line, cut at a place of that: at each radius whether there is paper on
    one side of the foot, and at what angle."""
    first, second = ACROSS[line.axis]
    away = float(of.plane) - float(line.at[0 if of.axis == first else 1])
    with np.errstate(invalid="ignore"):
        along = side * np.sqrt(_RADII**2 - away**2)
    is_there = ~np.isnan(along)
    along = np.nan_to_num(along)
    run = second if of.axis == first else first
    where = {
        line.axis: np.full(along.shape, place),
        run: along + float(line.at[0 if run == first else 1]),
    }
    own = ACROSS[of.axis]
    paper = is_there & inside(of, where[own[0]], where[own[1]])
    x, y = (np.full(along.shape, away), along) if of.axis == first else (along, away + 0 * along)
    return paper, np.arctan2(y, x)


def longest(hit: NDArray[np.bool_]) -> float:
    """The longest run of radii."""
    ends = np.flatnonzero(np.diff(np.concatenate(([0], hit.astype(int), [0]))))
    return float(max((ends[1::2] - ends[::2]), default=0)) * _STEP


def cuts(of: Plate, axis: int) -> set[int]:
    """Where its corners lie along an axis."""
    own = ACROSS[of.axis].index(axis)
    return {int(spot[own]) for ring in of.region.rings for spot in ring}


def depth_of_walls(moving: Plate, still: Plate, line: SpaceLine, sense: Sense) -> float:
    """How far two plates along the line cross: the longest stretch of radii, or as high as both."""
    places = sorted(cuts(moving, line.axis) | cuts(still, line.axis))
    deepest = 0.0
    for low, high in pairwise(places):
        for one in (1, -1):
            own, start = points(moving, line, (low + high) / 2, one)
            for other in (1, -1):
                paper, end = points(still, line, (low + high) / 2, other)
                ahead = sense * (end - start) % (2 * math.pi)
                hit = own & paper & (ahead > 1e-6) & (ahead < math.pi / 2 - 1e-6)
                deepest = max(deepest, min(longest(hit), float(high - low)))
    return deepest


def test_how_far_walls_cross_is_the_stretch_of_radii_at_which_they_meet() -> None:
    rng, crossed = random.Random(5), 0
    for _ in range(160):
        line = SpaceLine(rng.randrange(3), (rng.randint(-3, 3), rng.randint(-3, 3)))
        sense: Sense = rng.choice((1, -1))
        moving, still = (random_even(rng, ACROSS[line.axis]) for _ in range(2))
        found = [each.depth for each in crossings_of_turn([moving], [still], line, sense)]
        wanted = depth_of_walls(moving, still, line, sense)
        if moving.region.is_upright_rectangle and still.region.is_upright_rectangle:
            # As deep as both are high together, wherever corners lie.
            (a, b), (c, d) = moving.extent(line.axis), still.extent(line.axis)
            assert max(found, default=0.0) <= float(max(min(b, d) - max(a, c), 0))
        assert max(found, default=0.0) == pytest.approx(wanted, abs=0.05), (
            moving,
            still,
            line,
            sense,
        )
        crossed += wanted > 0
    assert 20 < crossed < 140


def depth_of_sweep(wall: Plate, floor: Plate, line: SpaceLine, sense: Sense) -> float:
    """How far a wall that turns sweeps over a floor: the radii at which an arc of a right angle
    from it on meets paper."""
    first, second = ACROSS[line.axis]
    turns = sense * (np.arange(0.5, 180, 1) / 180) * math.pi / 2
    deepest = 0.0
    for side in (1, -1):
        own, start = points(wall, line, float(floor.plane), side)
        angles = start[own][:, None] + turns[None, :]
        radii = np.repeat(_RADII[own][:, None], turns.size, axis=1)
        x = radii * np.cos(angles) + float(line.at[0])
        y = radii * np.sin(angles) + float(line.at[1])
        where = {first: x.ravel(), second: y.ravel()}
        axes = ACROSS[floor.axis]
        met = inside(floor, where[axes[0]], where[axes[1]]).reshape(x.shape).any(axis=1)
        # Of two stretches of paper each is looked at by itself.
        radii = _RADII[own][met]
        parts = np.split(np.arange(own.sum()), np.where(np.diff(_RADII[own]) > 2 * _STEP)[0] + 1)
        deepest = max([deepest, *(float(met[part].sum()) * _STEP for part in parts if part.size)])
    return deepest


@pytest.mark.parametrize("is_floor_moving", [False, True])
def test_how_far_a_wall_sweeps_over_a_floor_is_the_radii_at_which_it_meets_it(
    is_floor_moving: bool,
) -> None:
    """A floor that turns back through the wall is the same."""
    rng, crossed = random.Random(6), 0
    for _ in range(240):
        line = SpaceLine(rng.randrange(3), (rng.randint(-3, 3), rng.randint(-3, 3)))
        sense: Sense = rng.choice((1, -1))
        wall = random_even(rng, ACROSS[line.axis])
        floor = random_plate(rng, True)
        while floor.axis != line.axis:
            floor = random_plate(rng, True)
        if floor.plane in cuts(wall, line.axis):
            continue
        wanted = depth_of_sweep(wall, floor, line, sense)
        back: Sense = 1 if sense == -1 else -1
        crossings = (
            crossings_of_turn([floor], [wall], line, back)
            if is_floor_moving
            else crossings_of_turn([wall], [floor], line, sense)
        )
        found = max((each.depth for each in crossings), default=0.0)
        assert found == pytest.approx(wanted, abs=0.12), (wall, floor, line, sense)
        crossed += wanted > 0.12
    assert crossed > 20


def test_what_is_four_times_smaller_crosses_four_times_less() -> None:
    """In quarters of a unit, nearer to the line than one unit too."""
    rng, crossed = random.Random(8), 0

    def smaller(of: Plate) -> Plate:
        rings = tuple(tuple((Fraction(x) / 4, Fraction(y) / 4) for x, y in r) for r in of.own.rings)
        x, y, z = (Fraction(part) / 4 for part in of.pose.shift)
        return Plate(of.key, Region(rings), Rigid(of.pose.rotation, (x, y, z)))

    for _ in range(300):
        at = (rng.randint(-3, 3), rng.randint(-3, 3))
        axis, sense = rng.randrange(3), rng.choice((1, -1))
        moving, still = (random_even(rng, (0, 1, 2)) for _ in range(2))
        large, small = (
            [each.depth for each in crossings_of_turn(*pair, line, sense)]  # type: ignore[arg-type]
            for pair, line in (
                (([moving], [still]), SpaceLine(axis, at)),  # type: ignore[arg-type]
                (
                    ([smaller(moving)], [smaller(still)]),
                    SpaceLine(axis, (Fraction(at[0], 4), Fraction(at[1], 4))),  # type: ignore[arg-type]
                ),
            )
        )
        assert [each * 4 for each in small] == pytest.approx(large)
        crossed += bool(large)
    assert 40 < crossed < 260


def test_what_lies_flat_and_turns_in_its_plane_meets_no_other_that_does() -> None:
    for plane in (0, 1):
        moving, still = block(2, 0, 1, 1, 9, 9), block(2, plane, -5, -5, 9, 9)
        line = SpaceLine(2, (0, 0))
        assert list(crossings_of_turn([moving], [still], line, 1)) == []


# ---- at rest


def depth_at_rest(own: Plate, other: Plate) -> float:
    """How far two plates at right angles reach through one another, where both are paper."""
    if own.axis == other.axis:
        return 0.0
    third = 3 - own.axis - other.axis
    run = np.arange(-7.75, 8, 0.5)
    met = np.ones(run.shape, bool)
    for one, two in ((own, other), (other, own)):
        where = {third: run, two.axis: np.full(run.shape, float(two.plane))}
        low, high = one.extent(two.axis)
        if not low < two.plane < high or two.plane in cuts(one, two.axis):
            return 0.0
        axes = ACROSS[one.axis]
        met &= inside(one, where[axes[0]], where[axes[1]])
    if not met.any():
        return 0.0
    (low, high), (near, far) = other.extent(own.axis), own.extent(other.axis)
    return float(min(own.plane - low, high - own.plane, other.plane - near, far - other.plane))


def test_what_has_come_to_rest_within_another_reaches_so_far_through_it() -> None:
    rng, crossed = random.Random(7), 0
    for _ in range(2500):
        own, other = (random_even(rng, (0, 1, 2)) for _ in range(2))
        if own.axis != other.axis and (
            other.plane in cuts(own, other.axis) or own.plane in cuts(other, own.axis)
        ):
            # It touches an edge; of a frame it may be on its rim.
            if own.region.is_upright_rectangle and other.region.is_upright_rectangle:
                assert list(crossings_at_rest([own], [other])) == []
            continue
        found = [each.depth for each in crossings_at_rest([own], [other])]
        wanted = depth_at_rest(own, other)
        assert found == ([wanted] if wanted else []), (own, other)
        crossed += wanted > 0
    assert crossed > 60


def test_of_many_that_rest_within_one_another_each_pair_is_told() -> None:
    """A floor of 10 by 10 and two walls through it, 2 and 3 from its edges; one beside it."""
    floor = block(2, 0, 0, 0, 10, 10)
    walls = [block(0, 2, 0, -4, 10, 4), block(1, 7, -9, 0, 9, 10), block(0, 12, 0, -4, 10, 4)]
    found = list(crossings_at_rest([floor], walls))
    assert [(each.moving, each.still, each.depth) for each in found] == [
        (floor, walls[0], 2), (floor, walls[1], 3)
    ]  # fmt: skip
    found = list(crossings_at_rest(walls, [floor]))
    assert [(each.moving, each.depth) for each in found] == [(walls[0], 2), (walls[1], 3)]


# ---- slides


@pytest.mark.parametrize("first", [0, 1, 2])
@pytest.mark.parametrize("sense", [1, -1])
def test_how_deep_slides_cross_along_every_axis(first: int, sense: int) -> None:
    """Worked out along the first axis; the others are named on in their cyclic order."""

    def turned(axis: int, plane: int, *ends: int) -> Plate:
        if sense < 0 and axis == 0:
            plane = -plane
        if sense < 0 and axis == 1:
            # Its second axis is the first.
            ends = (ends[0], -ends[3], ends[2], -ends[1])
        if sense < 0 and axis == 2:
            ends = (-ends[2], ends[1], -ends[0], ends[3])
        return block((axis + first) % 3, plane, *ends)

    def depth(moving: Plate, still: Plate) -> list[float]:
        way = [0, 0, 0]
        way[first] = 20 * sense
        return [e.depth for e in crossings_of_slide([moving], [still], (way[0], way[1], way[2]))]

    # A sheet across the way meets one ahead: of 10 by 4 they share 6 by 4, or 2 by 3.
    moving = turned(0, 0, 0, 0, 10, 4)
    assert depth(moving, turned(0, 9, 4, -9, 12, 9)) == [4]
    assert depth(moving, turned(0, 9, 8, 1, 12, 9)) == [2]
    assert depth(moving, turned(0, 20, 4, -9, 12, 9)) == []
    assert depth(moving, turned(0, -3, 4, -9, 12, 9)) == []
    # One that lies meets a wall, 3 below and 5 above it, along 8 or 1 of its breadth.
    lying = turned(2, 0, 0, 0, 5, 10)
    assert depth(lying, turned(0, 9, 2, -3, 30, 5)) == [3]
    assert depth(lying, turned(0, 9, 2, -5, 30, 2)) == [2]
    assert depth(lying, turned(0, 9, 9, -3, 30, 5)) == [1]
    assert depth(lying, turned(0, 9, 10, -3, 30, 5)) == []
    assert depth(lying, turned(0, 9, 2, 0, 30, 5)) == []
    # The wall that comes back over it is the same; one that stands along the way is met too.
    assert depth(turned(0, -15, 2, -3, 30, 5), lying) == [3]
    along = turned(1, 4, -2, 10, 3, 15)
    assert depth(lying, along) == [2]
    assert depth(lying, turned(1, 4, -2, 25, 3, 30)) == []
    assert depth(lying, turned(1, 10, -2, 10, 3, 15)) == []
    assert depth(lying, turned(1, 1, -2, 10, 3, 15)) == [1]
    assert depth(along, turned(2, 1, 18, 0, 30, 10)) == [2]
    assert depth(along, turned(2, 1, 36, 0, 40, 10)) == []


def test_a_turn_of_what_lies_on_the_line_meets_nothing() -> None:
    """A wall in a plane through the line, turned a quarter, against one turned a quarter: both are
    where the other was."""
    line = SpaceLine(2, (0, 0))
    wall = block(1, 0, 0, 2, 6, 10)
    there = wall.moved(quarter_turn(line, 1))
    assert list(crossings_of_turn([wall], [there], line, 1)) == []
    assert list(crossings_of_turn([wall], [there], line, -1)) == []


def test_the_middle_of_a_slanted_edge_is_nearest_to_the_line() -> None:
    """A wall 1 beside the line reaches from √(1² + 2²) to √(1² + 10²).  Edges between 8 on one axis
    and 8 on the other come as near as 4 √2, between 8 and 4 as near as 32 / √80."""
    wall = block(1, 1, 0, 2, 6, 10)
    line = SpaceLine(2, (0, 0))
    far = math.hypot(1, 10)
    for corners, near in (
        (((8, 0), (8, 8), (0, 8)), 4 * math.sqrt(2)),
        (((8, 0), (8, 9), (0, 9), (0, 4)), 32 / math.sqrt(80)),
        (((4, 0), (9, 0), (9, 8), (0, 8)), 32 / math.sqrt(80)),
    ):
        for ring in (corners, corners[::-1], (*corners[1:], corners[0])):
            floor = plate(2, 3, ring)
            (met,) = crossings_of_turn([wall], [floor], line, 1)
            assert met.depth == pytest.approx(far - near)

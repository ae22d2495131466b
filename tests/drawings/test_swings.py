"""The way of a point when its part folds: about the fold, on the side that it folds towards."""

from __future__ import annotations

import math

import pytest

from gatherfold.drawings.motion.arrows import swing


@pytest.mark.parametrize("along", [(0.0, 5.0, 0.0), (0.0, -5.0, 0.0)])
@pytest.mark.parametrize("side", [1.0, -1.0])
@pytest.mark.parametrize("at", [0.0, 7.3, 203.2])
def test_the_second_quarter_of_a_turn_goes_on_about_the_fold(
    along: tuple[float, float, float], side: float, at: float
) -> None:
    """A flap that stands on its fold lies down over the fold's one side: its edge stays equally
    far from the fold and never comes nearer to it, whichever way the fold is told."""
    start, end = (at, 4.0, 25.4), (at + side * 25.4, 4.0, 0.0)
    way = swing(start, end, along, 90, (side, 0.0, 0.0))
    assert way[0] == pytest.approx(start)
    assert way[-1] == pytest.approx(end)
    distances = [math.dist(place, (at, 4.0, 0.0)) for place in way]
    assert distances == pytest.approx([25.4] * len(way))


def test_a_half_turn_goes_over_the_side_that_it_folds_towards() -> None:
    for towards in (1.0, -1.0):
        way = swing((10.0, 0.0, 0.0), (-10.0, 0.0, 0.0), (0, 1, 0), 180, (0, 0, towards))
        assert way[len(way) // 2] == pytest.approx((0.0, 0.0, 10.0 * towards))

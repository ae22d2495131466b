"""Stretches of a line found by asking about places."""

from __future__ import annotations

import pytest

from builder.drawings.sight import stretches


def test_ends_of_a_stretch_come_out_closer_than_the_steps() -> None:
    """Of 16 steps, halved ten times: within 1/16 / 2**10 of where it begins and ends."""
    ((low, high),) = stretches(lambda share: 0.3 < share < 0.7, 16, 10)
    assert (low, high) == pytest.approx((0.3, 0.7), abs=1 / 16 / 2**10)


def test_a_stretch_at_an_end_reaches_it() -> None:
    """The end itself is not asked about: it may lie on the edge of what decides it."""
    assert stretches(lambda share: 0.0 < share < 1.0, 4, 8) == [(0.0, 1.0)]
    (first, second) = stretches(lambda share: abs(share - 0.5) > 0.2, 16, 10)
    assert (first[0], second[1]) == (0.0, 1.0)
    assert (first[1], second[0]) == pytest.approx((0.3, 0.7), abs=1e-3)


def test_there_may_be_none() -> None:
    assert stretches(lambda share: False, 16, 10) == []

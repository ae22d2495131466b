"""Bend allowance against the handbook formula, and against an arc measured piece by piece."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest

from builder.geometry.bends import bend_allowance, clear_between, scores_around


def test_a_sheet_folded_flat_takes_half_pi_of_its_thickness() -> None:
    """θ(r + K t) with θ = π, r = 0, K = ½ is 1.571 t (sheet-metal handbooks; K from memory)."""
    assert float(bend_allowance(180, Fraction(1))) == pytest.approx(1.571, abs=0.0005)
    assert float(bend_allowance(90, Fraction(2))) == pytest.approx(1.571, abs=0.0005)


def test_the_allowance_is_the_length_of_the_neutral_line() -> None:
    """The arc at r + K t, summed over ten thousand chords."""
    radius, thickness, k = 3.0, 0.4, 0.5
    at = radius + k * thickness
    chords = 10_000
    measured = chords * 2 * at * math.sin(math.radians(90) / (2 * chords))
    computed = bend_allowance(90, Fraction(2, 5), Fraction(3))
    assert float(computed) == pytest.approx(measured, rel=1e-6)
    assert float(computed) >= measured, "π is taken from above"


def test_room_and_scores_are_each_others_inverse() -> None:
    card = Fraction(24, 100)
    assert clear_between(scores_around(Fraction(3), card), card) == 3
    assert clear_between(Fraction(3), card) < 3

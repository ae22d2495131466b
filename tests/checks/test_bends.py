"""What a bend takes up of the card, against the handbook formula and an arc measured in pieces."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest

from gatherfold.checks.thickness import bend_allowance


def test_a_card_folded_by_a_right_angle_takes_a_quarter_of_pi_of_its_thickness() -> None:
    """θ(r + K t) with θ = π/2, r = 0, K = ½ is 0.785 t (sheet-metal handbooks; K from memory)."""
    assert float(bend_allowance(Fraction(1))) == pytest.approx(0.785, abs=0.0005)
    assert float(bend_allowance(Fraction(2))) == pytest.approx(1.571, abs=0.0005)


def test_the_allowance_is_the_length_of_the_neutral_line() -> None:
    """The arc in the middle of the card, summed over ten thousand chords."""
    thickness, chords = 0.4, 10_000
    measured = chords * thickness * math.sin(math.radians(90) / (2 * chords))
    computed = bend_allowance(Fraction(2, 5))
    assert float(computed) == pytest.approx(measured, rel=1e-6)
    assert float(computed) >= measured, "π is taken from above"

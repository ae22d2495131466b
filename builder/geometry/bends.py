"""How much card a fold takes up: bend allowance, exact rationals of a millimetre.

The bend allowance of sheet material is ``angle · (r + K · t)`` for inner radius ``r``, thickness
``t`` and the neutral line at ``K`` of the thickness.  Scored card folds sharply (r = 0); K = ½ puts
the neutral line in its middle (K from memory; the formula is that of sheet-metal handbooks).
"""

from __future__ import annotations

from fractions import Fraction

#: π from above, right to six decimals, so that what is compared with it errs to the safe side.
PI = Fraction(355, 113)
NEUTRAL_LINE = Fraction(1, 2)


def bend_allowance(
    degrees: int, thickness: Fraction, radius: Fraction = Fraction(0), k: Fraction = NEUTRAL_LINE
) -> Fraction:
    """The length of neutral line within a bend, in the unit of ``thickness`` and ``radius``."""
    return PI * Fraction(degrees, 180) * (radius + k * thickness)


def clear_between(scores: Fraction, thickness: Fraction) -> Fraction:
    """The clear room between two panels folded by 90° at scores so far apart.

    Each score is the middle of its bend, so half an allowance at either end of the gusset is
    bend and the rest straight; with no inner radius the straight part is the room inside.
    """
    return scores - bend_allowance(90, thickness)


def scores_around(room: Fraction, thickness: Fraction) -> Fraction:
    """How far apart two scores must be so that the panels leave that much clear room."""
    return room + bend_allowance(90, thickness)

"""The least total shift on the grid that keeps every condition: an integer program.

In: what each condition comes to, and how it changes when a typed length moves by one step of the
grid (all exact).  Out: the steps of each typed length, or the conditions that exclude each other.

Minimise the sum of how far each length lies from what the designer typed, with
``amount + Σ change · steps`` not negative, zero, or a whole number of steps.  All coefficients are
made whole numbers before they reach the solver, and the caller checks the answer exactly.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from gatherfold.checks import Rule
from gatherfold.solver import is_solved, silent_solver

#: How far a typed length may move from its nearest place on the grid, in steps.
MOST_STEPS = 8
_SECONDS = 20.0


@dataclass(frozen=True)
class Row:
    """One condition: its amount as things stand, and its change per step of each length."""

    amount: Fraction
    changes: Mapping[int, Fraction]
    rule: Rule
    step: Fraction


@dataclass(frozen=True)
class Movable:
    """A typed length: how far its snapped value lies from what was typed, and the grid's step."""

    beyond: Fraction
    step: Fraction


def least_shift(
    lengths: Sequence[Movable], rows: Sequence[Row], excluded: Sequence[Mapping[int, int]] = ()
) -> dict[int, int] | None:
    """Steps of each length that moves; None when no assignment keeps every row.

    ``excluded`` are answers that turned out not to do; the next best one is wanted.
    """
    model = _Model(lengths)
    for row in rows:
        model.require(row)
    for answer in excluded:
        model.exclude(answer)
    return model.solve()


def conflict(lengths: Sequence[Movable], rows: Sequence[Row]) -> list[int]:
    """Places of rows that cannot all be kept, none of which can be left out of that.

    The deletion filter: each row is dropped in turn, and stays out if what remains is still
    impossible.
    """
    kept = list(range(len(rows)))
    chunk = max(1, len(kept) // 2)
    while True:
        start = 0
        while start < len(kept):
            without = kept[:start] + kept[start + chunk :]
            if without and least_shift(lengths, [rows[k] for k in without]) is None:
                kept = without
            else:
                start += chunk
        if chunk == 1:
            return kept
        chunk = max(1, chunk // 2)


class _Model:
    """Variables: steps of each length, then what each costs, then helpers."""

    def __init__(self, lengths: Sequence[Movable]) -> None:
        self._highs: Any = silent_solver()
        self._highs.setOptionValue("time_limit", _SECONDS)
        self._highs.setOptionValue("mip_rel_gap", 0.0)
        self._steps = [self._highs.addIntegral(-MOST_STEPS, MOST_STEPS) for _ in lengths]
        scale = math.lcm(*(length.beyond.denominator for length in lengths), 1)
        scale = math.lcm(scale, *(length.step.denominator for length in lengths))
        for steps, length in zip(self._steps, lengths, strict=True):
            # Not less than |beyond + step · steps|, the distance from what was typed.
            cost = self._highs.addVariable(0, obj=1.0 / float(length.step * scale))
            beyond, step = int(length.beyond * scale), int(length.step * scale)
            self._highs.addConstr(cost - step * steps >= beyond)
            self._highs.addConstr(cost + step * steps >= -beyond)

    def require(self, row: Row) -> None:
        """Keep one condition."""
        unit = row.step if row.rule is Rule.WHOLE else Fraction(1)
        values = [row.amount / unit, *(change / unit for change in row.changes.values())]
        scale = math.lcm(*(value.denominator for value in values))
        amount, *changes = (int(value * scale) for value in values)
        terms = [
            change * self._steps[place] for place, change in zip(row.changes, changes, strict=True)
        ]
        if row.rule is Rule.WHOLE:
            terms.append(-scale * self._highs.addIntegral(-1e6, 1e6))
        total = self._highs.qsum(terms)
        if row.rule is Rule.NOT_NEGATIVE:
            self._highs.addConstr(total >= -amount)
        else:
            self._highs.addConstr(total == -amount)

    def exclude(self, answer: Mapping[int, int]) -> None:
        """At least one length takes another place than in this answer."""
        width, others = 2 * MOST_STEPS + 1, []
        for place, variable in enumerate(self._steps):
            steps = answer.get(place, 0)
            above, below = self._highs.addBinary(), self._highs.addBinary()
            self._highs.addConstr(variable - width * above >= steps + 1 - width)
            self._highs.addConstr(variable + width * below <= steps - 1 + width)
            others += [above, below]
        self._highs.addConstr(self._highs.qsum(others) >= 1)

    def solve(self) -> dict[int, int] | None:
        self._highs.run()
        if not is_solved(self._highs):
            return None
        steps = {k: round(self._highs.val(variable)) for k, variable in enumerate(self._steps)}
        return {place: count for place, count in steps.items() if count}

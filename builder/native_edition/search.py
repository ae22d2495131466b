"""The least total shift on the grid that keeps every condition: an integer program.

In: what each condition comes to, and how it changes when a typed length moves by one step of the
grid (all exact).  Out: the steps of each typed length, or the conditions that exclude each other.

Minimise the sum of how far each length lies from what the designer typed, with
``amount + Σ change · steps`` not negative, zero, or a whole number of steps.  All coefficients are
made whole numbers before they reach the solver, and the caller checks the answer exactly.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

import highspy
import numpy as np

from builder.checks.condition import Rule
from builder.solver import silent_solver

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
    """Columns: steps of each length, then what each costs, then helpers."""

    def __init__(self, lengths: Sequence[Movable]) -> None:
        self._lengths = lengths
        self._highs: Any = silent_solver()
        self._highs.setOptionValue("time_limit", _SECONDS)
        self._highs.setOptionValue("mip_rel_gap", 0.0)
        self._columns = 0
        self._steps = [self._column(-MOST_STEPS, MOST_STEPS, 0.0) for _ in lengths]
        scale = math.lcm(*(length.beyond.denominator for length in lengths), 1)
        scale = math.lcm(scale, *(length.step.denominator for length in lengths))
        for column, length in zip(self._steps, lengths, strict=True):
            self._add_cost(column, length, scale)

    def _column(self, low: float, high: float, cost: float, whole: bool = True) -> int:
        self._highs.addVar(low, high)
        self._highs.changeColCost(self._columns, cost)
        if whole:
            self._highs.changeColIntegrality(self._columns, highspy.HighsVarType.kInteger)
        self._columns += 1
        return self._columns - 1

    def _add_cost(self, column: int, length: Movable, scale: int) -> None:
        """A column not less than ``|beyond + step · steps|``, the distance from what was typed."""
        cost = self._column(0.0, highspy.kHighsInf, 1.0 / float(length.step * scale), whole=False)
        beyond, step = int(length.beyond * scale), int(length.step * scale)
        self._row(beyond, None, {cost: 1, column: -step})
        self._row(-beyond, None, {cost: 1, column: step})

    def _row(self, low: int | None, high: int | None, terms: Mapping[int, int]) -> None:
        self._highs.addRow(
            -highspy.kHighsInf if low is None else float(low),
            highspy.kHighsInf if high is None else float(high),
            len(terms),
            np.array(list(terms), dtype=np.int32),
            np.array([float(value) for value in terms.values()]),
        )

    def require(self, row: Row) -> None:
        unit = row.step if row.rule is Rule.WHOLE else Fraction(1)
        values = [row.amount / unit, *(change / unit for change in row.changes.values())]
        scale = math.lcm(*(value.denominator for value in values))
        amount = int(values[0] * scale)
        terms = {
            self._steps[place]: int(value * scale)
            for place, value in zip(row.changes, values[1:], strict=True)
        }
        if row.rule is Rule.WHOLE:
            terms[self._column(-1e6, 1e6, 0.0)] = -scale
        self._row(-amount, None if row.rule is Rule.NOT_NEGATIVE else -amount, terms)

    def exclude(self, answer: Mapping[int, int]) -> None:
        """At least one length takes another place than in this answer."""
        width, others = 2 * MOST_STEPS + 1, []
        for place, column in enumerate(self._steps):
            steps = answer.get(place, 0)
            above, below = self._column(0, 1, 0.0), self._column(0, 1, 0.0)
            self._row(steps + 1 - width, None, {column: 1, above: -width})
            self._row(None, steps - 1 + width, {column: 1, below: width})
            others += [above, below]
        self._row(1, None, dict.fromkeys(others, 1))

    def solve(self) -> dict[int, int] | None:
        self._highs.run()
        if self._highs.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            return None
        values = self._highs.getSolution().col_value
        steps = {place: round(values[column]) for place, column in enumerate(self._steps)}
        return {place: count for place, count in steps.items() if count}

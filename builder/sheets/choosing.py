"""The choice of patterns that leaves least outside, as a program over whole patterns.

In: patterns (a bin, and the kinds of item it gives), how many bins of each there are, the area of
each kind and how many of it are wanted. Out: the patterns to take, by rounding the program solved
in parts, or exactly. This is the set covering approach of Monaci and Toth (INFORMS Journal on
Computing 18, 2006), with what is left outside in place of more bins.
"""

import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from random import Random

import highspy
import numpy as np

from builder.sheets.packing import Bin, Effort
from builder.solver import Column, cheapest, silent_solver

# A bin, and the kinds of item that it gives in rising order.
Pattern = tuple[Bin, tuple[int, ...]]

# The patterns cheapest in the program solved in parts, among which wholes are chosen.
MOST_COLUMNS = 1000
NODES = 20
# A part this large is taken for a whole; where none is, the largest after some noise.
NEARLY = 0.95
NOISE = 0.3
SMALL = 1e-6
# The work of one iteration of the solver: in parts (and for so many columns, of which a row
# counts for some), and with branching.
ITERATION, COLUMNS, ROW = 20, 50, 8
BRANCHING = 200


@dataclass(frozen=True)
class Choice:
    """The patterns taken, each as often as it is used, and about what area stays outside."""

    taken: tuple[Pattern, ...]
    outside: float


class Choosing:
    """One program; ``least`` is the area outside that no choice can go below."""

    def __init__(
        self,
        patterns: Sequence[Pattern],
        room: Mapping[Bin, int],
        areas: Sequence[int],
        demand: Sequence[int],
        effort: Effort,
    ) -> None:
        self.room = room
        self.areas = areas
        self.demand = demand
        self.effort = effort
        self.unit = max(1.0, sum(areas) / len(areas))
        self.columns = list(patterns)
        solver = self._solver(whole=False)
        self._run(solver, self._cost())
        self.least = self._outside(solver)
        costs = np.array(solver.getSolution().col_dual)[: len(patterns)]
        cheapest = np.argsort(costs, kind="stable")[:MOST_COLUMNS]
        self.columns = [patterns[number] for number in sorted(int(n) for n in cheapest)]

    def rounded(self, chance: Random) -> Choice:
        """Fix the largest part to a whole and solve again, until there are only wholes."""
        solver = self._solver(whole=False)
        count = len(self.columns)
        fixed = [0] * count
        while True:
            self._run(solver, self._cost())
            values = solver.getSolution().col_value[:count]
            parts = {n: v - fixed[n] for n, v in enumerate(values) if v - fixed[n] > SMALL}
            if not parts:
                break
            noisy = {n: part * (1 - NOISE * chance.random()) for n, part in parts.items()}
            nearly = [n for n, part in parts.items() if part >= NEARLY]
            for n in nearly or [max(noisy, key=noisy.__getitem__)]:
                fixed[n] += max(1, int(parts[n] + 1 - NEARLY))
                most = max(fixed[n], self.room[self.columns[n][0]])
                solver.changeColBounds(n, float(fixed[n]), float(most))
        return self._choice(fixed, self._outside(solver))

    def exact(self) -> Choice | None:
        """The best choice of wholes as far as the nodes allow; None when none was found."""
        solver = self._solver(whole=True)
        self._run(solver, BRANCHING)
        values = solver.getSolution().col_value[: len(self.columns)]
        if not values:
            return None
        return self._choice([round(value) for value in values], self._outside(solver))

    def _choice(self, numbers: Sequence[int], outside: float) -> Choice:
        pairs = zip(self.columns, numbers, strict=True)
        return Choice(tuple(pattern for pattern, n in pairs for _ in range(n)), outside)

    def _cost(self) -> int:
        """The work of one iteration without branching."""
        return ITERATION + (len(self.columns) + ROW * len(self.areas)) // COLUMNS

    def _run(self, solver: highspy.Highs, cost: int) -> None:
        solver.run()
        self.effort.spend(cost * int(solver.getInfo().simplex_iteration_count))

    def _outside(self, solver: highspy.Highs) -> float:
        return float(solver.getInfo().objective_function_value) * self.unit

    def _solver(self, whole: bool) -> highspy.Highs:
        solver = silent_solver()
        if whole:
            solver.setOptionValue("mip_max_nodes", NODES)
        else:
            solver.setOptionValue("presolve", "off")
        # The clock ends it only on a machine too slow for the nodes.
        left = self.effort.deadline - time.monotonic()
        solver.setOptionValue("time_limit", max(0.05, left))
        solver.passModel(self._model(whole))
        return solver

    def _model(self, whole: bool) -> highspy.HighsLp:
        """Columns: patterns, then what stays outside of each kind. Rows: kinds, then bins."""
        kinds, infinite = len(self.areas), highspy.kHighsInf
        row = {one: kinds + j for j, one in enumerate(self.room)}
        patterns = [
            Column(
                0.0,
                self.room[one],
                [*((kind, given.count(kind)) for kind in dict.fromkeys(given)), (row[one], 1)],
                whole,
            )
            for one, given in self.columns
        ]
        outside = [
            Column(area / self.unit, wanted, [(kind, 1)])
            for kind, (area, wanted) in enumerate(zip(self.areas, self.demand, strict=True))
        ]
        least = [(float(wanted), infinite) for wanted in self.demand]
        most = [(-infinite, float(number)) for number in self.room.values()]
        return cheapest([*patterns, *outside], [*least, *most])

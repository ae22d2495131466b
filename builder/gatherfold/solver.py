"""The integer-programming solver, silent and repeatable: one thread, one seed, no banner.

It is imported when it is first asked: most checks of a design never do.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

if TYPE_CHECKING:
    import highspy


@cache
def _silent() -> type[highspy.Highs]:
    import highspy

    class Silent(highspy.Highs):
        """The banner is printed as soon as callbacks are set, so output ends before that."""

        def __init__(self) -> None:
            super().__init__()  # type: ignore[no-untyped-call]

        def enableCallbacks(self) -> None:
            self.setOptionValue("output_flag", False)
            super().enableCallbacks()  # type: ignore[no-untyped-call]

    return Silent


def silent_solver() -> highspy.Highs:
    """A solver that gives the same answer each time; the caller sets limits and the model."""
    solver = _silent()()
    solver.setOptionValue("threads", 1)
    solver.setOptionValue("random_seed", 0)
    return solver


def is_solved(solver: highspy.Highs) -> bool:
    """Whether the best answer was found."""
    import highspy

    return bool(solver.getModelStatus() == highspy.HighsModelStatus.kOptimal)


def has_no_answer(solver: highspy.Highs) -> bool:
    """Whether nothing keeps all rows."""
    import highspy

    return bool(solver.getModelStatus() == highspy.HighsModelStatus.kInfeasible)


class Column(NamedTuple):
    """A number from 0 up to ``most``: what one of it costs, and what it adds to which rows."""

    cost: float
    most: float
    adds: Sequence[tuple[int, float]]
    is_whole: bool = False


def cheapest(columns: Sequence[Column], rows: Sequence[tuple[float, float]]) -> highspy.HighsLp:
    """The program of least cost whose rows add up to no less and no more than ``rows`` say."""
    import highspy

    model = highspy.HighsLp()
    model.num_col_, model.num_row_ = len(columns), len(rows)
    model.col_cost_ = np.array([column.cost for column in columns], dtype=float)
    model.col_lower_ = np.zeros(len(columns))
    model.col_upper_ = np.array([column.most for column in columns], dtype=float)
    model.row_lower_ = np.array([least for least, _ in rows], dtype=float)
    model.row_upper_ = np.array([most for _, most in rows], dtype=float)
    adds = [entry for column in columns for entry in column.adds]
    model.a_matrix_.format_ = highspy.MatrixFormat.kColwise
    model.a_matrix_.start_ = np.cumsum([0, *(len(column.adds) for column in columns)])
    model.a_matrix_.index_ = np.array([row for row, _ in adds])
    model.a_matrix_.value_ = np.array([value for _, value in adds], dtype=float)
    if any(column.is_whole for column in columns):
        whole, any_number = highspy.HighsVarType.kInteger, highspy.HighsVarType.kContinuous
        model.integrality_ = [whole if column.is_whole else any_number for column in columns]
    return model

"""The integer-programming solver, silent and repeatable: one thread, one seed, no banner."""

from __future__ import annotations

import highspy


class _Silent(highspy.Highs):
    """The banner is printed as soon as callbacks are set, so output ends before that."""

    def __init__(self) -> None:
        super().__init__()  # type: ignore[no-untyped-call]

    def enableCallbacks(self) -> None:
        self.setOptionValue("output_flag", False)
        super().enableCallbacks()  # type: ignore[no-untyped-call]


def silent_solver() -> highspy.Highs:
    """A solver that gives the same answer each time; the caller sets limits and the model."""
    solver = _Silent()
    solver.setOptionValue("threads", 1)
    solver.setOptionValue("random_seed", 0)
    return solver

"""Where along a line something is so, when it can only be asked of places.

In: a question about a share of the line, from 0 at its start to 1 at its end.  Out: the stretches
where the answer is yes.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise


def stretches(
    holds: Callable[[float], bool], steps: int, halvings: int
) -> list[tuple[float, float]]:
    """From share to share, found in so many steps, their ends closer by halving.  The ends of the
    line are not asked about, for they may lie on the edge of what decides it."""
    shares = [(step + 0.5) / steps for step in range(steps)]
    states = [holds(share) for share in shares]
    ends = [0.0] if states[0] else []
    for (low, was), (high, now) in pairwise(zip(shares, states, strict=True)):
        if was != now:
            ends.append(_turning(holds, low, high, halvings))
    ends += [1.0] if states[-1] else []
    return list(zip(ends[::2], ends[1::2], strict=True))


def _turning(holds: Callable[[float], bool], low: float, high: float, halvings: int) -> float:
    """Where between two shares the answer changes."""
    first = holds(low)
    for _ in range(halvings):
        middle = (low + high) / 2
        low, high = (middle, high) if holds(middle) == first else (low, middle)
    return (low + high) / 2

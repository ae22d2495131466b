"""Break lines: where a part goes on beyond what a drawing shows of it."""

from __future__ import annotations

import math

from builder.drawings.plane import Place

_WAVE, _HALF_HEIGHT, _STEPS = 7.0, 0.55, 12


def wave(start: Place, end: Place) -> list[Place]:
    """A thin wavy line from one place to another."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    length = math.hypot(dx, dy)
    waves = max(round(length / _WAVE), 1)
    run = []
    for step in range(waves * _STEPS + 1):
        share = step / (waves * _STEPS)
        away = _HALF_HEIGHT * math.sin(math.tau * waves * share)
        run.append(
            (
                start[0] + share * dx - away * dy / length,
                start[1] + share * dy + away * dx / length,
            )
        )
    return run

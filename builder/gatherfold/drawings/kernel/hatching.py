"""Hatches as lines of their own: parallel lines clipped to a region, computed, not left to ink.

A region is what lies inside a set of rings (even-odd).
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from gatherfold.drawings.kernel.plane import Place, crossings

Interval = tuple[float, float]
Rings = Sequence[Sequence[Place]]


@dataclass(frozen=True)
class Hatch:
    """Parallel lines: distance between them in mm and direction in degrees; ``dash`` (drawn,
    gap) breaks each line, alternate lines shifted by half."""

    spacing: float
    degrees: float
    dash: tuple[float, float] | None = None


GLUE = (Hatch(1.3, 45),)
KEEP_OFF = (Hatch(1.6, 45), Hatch(1.6, 135))
WASTE = (Hatch(2.6, 135),)
#: The strip of a sheet that carries no print.
MARGIN = (Hatch(1.1, 90),)

#: Patterns for the sides of printed papers, told apart without colour, by the ends of the
#: catalogues' phrases for what they look like.
PRINTS = {
    "dots": (Hatch(2.0, 0, (0.35, 2.0)),),
    "steep_lines": (Hatch(1.8, 60),),
    "squares": (Hatch(2.2, 90), Hatch(2.2, 0)),
    "rising_dashes": (Hatch(1.6, 30, (1.4, 1.0)),),
    "crossed_dashes": (Hatch(2.0, 120, (0.5, 1.3)), Hatch(2.0, 60, (0.5, 1.3))),
    "upright_lines": (Hatch(1.5, 90),),
    "level_lines": (Hatch(1.7, 0),),
    "falling_lines": (Hatch(1.8, 120),),
    "upright_dashes": (Hatch(1.8, 90, (1.6, 1.1)),),
    "woven_dashes": (Hatch(2.4, 0, (1.2, 1.2)), Hatch(2.4, 90, (1.2, 1.2))),
    "fine_dots": (Hatch(1.2, 45, (0.35, 1.2)),),
    "level_dashes": (Hatch(1.6, 0, (2.2, 1.0)),),
}


def hatch_runs(hatches: Sequence[Hatch], rings: Rings) -> tuple[tuple[Place, ...], ...]:
    """The hatch lines of the region inside the rings.

    Lines keep to one grid from the paper's origin, so neighbouring regions match.
    """
    return tuple(run for hatch in hatches for run in _one_direction(hatch, rings))


def _one_direction(hatch: Hatch, rings: Rings) -> Iterator[tuple[Place, ...]]:
    angle = math.radians(hatch.degrees)
    cosine, sine = math.cos(angle), math.sin(angle)
    region = [[(cosine * x + sine * y, cosine * y - sine * x) for x, y in r] for r in rings]
    heights = [v for ring in region for _, v in ring]
    if not heights:
        return
    first = math.ceil(min(heights) / hatch.spacing)
    last = math.floor(max(heights) / hatch.spacing)
    for index in range(first, last + 1):
        level = (index + 0.0137) * hatch.spacing
        crossed = crossings(region, 1, level)
        spans = list(zip(crossed[::2], crossed[1::2], strict=True))
        for ends in _dashed(spans, hatch, index):
            yield tuple((cosine * u - sine * level, sine * u + cosine * level) for u in ends)


def _dashed(spans: list[Interval], hatch: Hatch, index: int) -> list[Interval]:
    if hatch.dash is None:
        return spans
    drawn, gap = hatch.dash
    period = drawn + gap
    offset = (index % 2) * period / 2
    dashes: list[Interval] = []
    for start, end in spans:
        step = math.ceil((start - offset) / period)
        while (at := step * period + offset) + drawn <= end:
            dashes.append((at, at + drawn))
            step += 1
    return dashes

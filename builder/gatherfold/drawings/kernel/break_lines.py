"""Break lines: where a part goes on beyond what a drawing shows of it."""

import math
from collections.abc import Sequence

from shapely import LineString, unary_union
from shapely.geometry.base import BaseGeometry

from gatherfold.drawings.kernel.canvas import Canvas
from gatherfold.drawings.kernel.plane import Place, Rect
from gatherfold.drawings.kernel.styles import Line
from gatherfold.drawings.views.seen_pieces import runs_of
from gatherfold.geometry import EDGES_BY_AXIS, outward

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


#: How far inside the window's edge it is looked at what goes on beyond, in mm.
_WITHIN = 0.3


def break_off(canvas: Canvas, window: Rect, outlines: Sequence[BaseGeometry]) -> None:
    """Wavy lines where outlines on paper go on beyond what a window shows of them."""
    for edge in EDGES_BY_AXIS:
        (dx, dy), at = outward(edge), window.edge(edge)
        going_on = [
            outline
            for outline in outlines
            if (dx + dy) * (Rect(*outline.bounds).edge(edge) - at) >= _WITHIN
        ]
        side = LineString([(x - dx * _WITHIN, y - dy * _WITHIN) for x, y in window.side(edge)])
        for run in runs_of(side.intersection(unary_union(going_on))):
            if LineString(run).length > 2 * _WITHIN:
                ends = [(x + dx * _WITHIN, y + dy * _WITHIN) for x, y in (run[0], run[-1])]
                canvas.strokes([wave(*ends)], Line.DIMENSION, "break")

"""Break lines: where a part goes on beyond what a drawing shows of it."""

from __future__ import annotations

import math
from collections.abc import Iterator

from builder.drawings.assembly_view import View
from builder.drawings.canvas import Canvas
from builder.drawings.plane import Place, Rect
from builder.drawings.styles import Line
from builder.geometry.edges import EDGES_BY_AXIS, EdgeName, is_far, is_upright

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


def break_off(canvas: Canvas, view: View) -> None:
    """Wavy lines where parts that are there already go on beyond what is shown."""
    for edge in EDGES_BY_AXIS:
        for low, high in _joined(_cut_stretches(view, edge)):
            canvas.strokes([wave(*_on_edge(view.window, edge, low, high))], Line.DIMENSION, "break")


def _cut_stretches(view: View, edge: EdgeName) -> Iterator[tuple[float, float]]:
    """The stretches of one edge of the window at which a part is cut off."""
    axis = 0 if is_upright(edge) else 1
    outwards = 1 if is_far(edge) else -1
    at = view.window.edge(edge)
    lowest, highest = _span(view.window, edge)
    for laid in view.stack:
        if view.is_new(laid):
            continue
        ring = view.rings(laid)[0]
        if max(outwards * (place[axis] - at) for place in ring) < _WITHIN:
            continue
        crossings = sorted(_crossings(ring, axis, at - outwards * _WITHIN))
        for low, high in zip(crossings[::2], crossings[1::2], strict=False):
            low, high = max(low, lowest), min(high, highest)
            if high - low > 2 * _WITHIN:
                yield low, high


def _crossings(ring: tuple[Place, ...], axis: int, at: float) -> Iterator[float]:
    """Where a closed ring crosses the line on which the coordinate ``axis`` is ``at``."""
    for start, end in zip(ring, (*ring[1:], ring[0]), strict=True):
        if (start[axis] < at) != (end[axis] < at):
            share = (at - start[axis]) / (end[axis] - start[axis])
            yield start[1 - axis] + share * (end[1 - axis] - start[1 - axis])


def _joined(stretches: Iterator[tuple[float, float]]) -> list[tuple[float, float]]:
    found: list[tuple[float, float]] = []
    for low, high in sorted(stretches):
        if found and low <= found[-1][1] + _WITHIN:
            found[-1] = (found[-1][0], max(high, found[-1][1]))
        else:
            found.append((low, high))
    return found


def _span(window: Rect, edge: EdgeName) -> tuple[float, float]:
    if is_upright(edge):
        return window.bottom, window.top
    return window.left, window.right


def _on_edge(window: Rect, edge: EdgeName, low: float, high: float) -> tuple[Place, Place]:
    at = window.edge(edge)
    if is_upright(edge):
        return (at, low), (at, high)
    return (low, at), (high, at)

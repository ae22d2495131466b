"""The samples of the legend: every line and sign of the drawings, each small enough for a row.

In: a canvas and a place.  Out: items from x on, ``SAMPLE`` mm wide at most, with y in the middle of
the row.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from builder.drawings.break_lines import wave
from builder.drawings.canvas import Canvas
from builder.drawings.cut_numbers import BADGE
from builder.drawings.dimensions import (
    CROSS_REACH,
    Edge,
    Mark,
    Span,
    arrowhead,
    cross,
    dimension,
    running_dimensions,
    tick,
)
from builder.drawings.fastening_ends import FasteningEnd, draw_end
from builder.drawings.frames import draw_arrow
from builder.drawings.hatching import GLUE, KEEP_OFF, MARGIN, PRINTS, WASTE, Hatch
from builder.drawings.lettering import centred_text
from builder.drawings.placings import pointed_leader
from builder.drawings.plane import Mapping, Rect, circle_ring
from builder.drawings.styles import Fill, Line
from builder.fastenings import EndShape

SAMPLE = 20.0
_HALF_HEIGHT = 2.6

Draw = Callable[[Canvas, float, float], None]


def _line_sample(line: Line) -> Draw:
    def draw(canvas: Canvas, x: float, y: float) -> None:
        canvas.strokes([((x, y), (x + SAMPLE, y))], line)

    return draw


def _box(x: float, y: float) -> Rect:
    return Rect(x, y - _HALF_HEIGHT, x + SAMPLE, y + _HALF_HEIGHT)


def _hatched_sample(
    hatches: Sequence[Hatch], line: Line, edge: Line, fill: Fill | None = None
) -> Draw:
    def draw(canvas: Canvas, x: float, y: float) -> None:
        ring = _box(x, y).ring
        if fill is not None:
            canvas.area([ring], fill)
        canvas.hatch(hatches, line, [ring])
        canvas.outline(ring, edge)

    return draw


def _glue_rim(canvas: Canvas, x: float, y: float) -> None:
    box = _box(x, y)
    canvas.hatch(GLUE, Line.GLUE, [box.ring, box.grown(-1.3).ring])
    canvas.outline(box.ring, Line.VISIBLE)


def _no_print(canvas: Canvas, x: float, y: float) -> None:
    """The corner of a sheet with a strip along two of its edges."""
    box = _box(x, y)
    strip = 1.6
    low = Rect(box.left, box.bottom, box.right, box.bottom + strip)
    side = Rect(box.left, low.top, box.left + strip, box.top)
    for ring in (low.ring, side.ring):
        canvas.hatch(MARGIN, Line.WASTE, [ring])
    canvas.strokes([(box.ring[3], box.ring[0], box.ring[1])], Line.VISIBLE)


def _motif(canvas: Canvas, x: float, y: float) -> None:
    box = _box(x, y)
    canvas.outline(box.ring, Line.VISIBLE)
    for inner, line in (
        (Rect(box.left + 2.0, box.bottom + 1.2, box.left + 9.0, box.top - 1.2), Line.FAINT),
        (Rect(box.left + 11.0, box.bottom + 1.2, box.right - 2.0, box.top - 1.2), Line.HIDDEN),
    ):
        canvas.outline(inner.ring, line)


def _two_sides(canvas: Canvas, x: float, y: float) -> None:
    box = _box(x, y)
    middle = box.centre[0]
    for half, pattern in (
        (Rect(box.left, box.bottom, middle - 0.6, box.top), PRINTS["steep_lines"]),
        (Rect(middle + 0.6, box.bottom, box.right, box.top), PRINTS["rising_dashes"]),
    ):
        canvas.hatch(pattern, Line.PATTERN, [half.ring])
        canvas.outline(half.ring, Line.FAINT)


def _cut_number(canvas: Canvas, x: float, y: float) -> None:
    centre_x = x + SAMPLE - BADGE
    canvas.strokes([((x, y), (centre_x - BADGE, y))], Line.CUT)
    ring = circle_ring((centre_x, y), BADGE, 24)
    canvas.area([ring], Fill.BADGE)
    canvas.outline(ring, Line.DIMENSION)
    canvas.text(centred_text("1", centre_x, y, 7.0, bold=True))


def _print_direction(canvas: Canvas, x: float, y: float) -> None:
    middle = x + SAMPLE / 2
    canvas.strokes([((middle, y - 3.6), (middle, y + 1.6))], Line.VISIBLE)
    arrowhead(canvas, (middle, y + 3.6), 0, 1, 2.0)


def _grain(canvas: Canvas, x: float, y: float) -> None:
    left, right = (x + 3.0, y), (x + SAMPLE - 3.0, y)
    canvas.strokes([(left, right)], Line.DIMENSION)
    arrowhead(canvas, left, -1, 0, 1.5)
    arrowhead(canvas, right, 1, 0, 1.5)


def _fold_arrow(canvas: Canvas, x: float, y: float) -> None:
    """Half an ellipse with a head, as where paper is turned over."""
    angles = [math.pi * (1 - step / 24) for step in range(25)]
    middle, half, rise = x + SAMPLE / 2, 0.4 * SAMPLE, 5.0
    way = [(middle + half * math.cos(a), y - 2.6 + rise * math.sin(a)) for a in angles]
    draw_arrow(canvas, tuple(way))


def _leader(canvas: Canvas, x: float, y: float) -> None:
    pointed_leader(canvas, (x + SAMPLE - 4.0, y + 1.6), (x + 4.0, y - 1.6))


def _head(canvas: Canvas, x: float, y: float) -> None:
    """A head, and the legs that the other side shows."""
    here = Mapping(1.0, 0.0, 0.0)
    for shape, along in ((EndShape.HEAD, 5.0), (EndShape.LEGS, 14.0)):
        draw_end(canvas, FasteningEnd(shape, (x + along, y), 1.8, 0.8, 3.4), here)


def _wavy(canvas: Canvas, x: float, y: float) -> None:
    canvas.strokes([wave((x, y), (x + SAMPLE, y))], Line.DIMENSION)


def _joint(canvas: Canvas, x: float, y: float) -> None:
    canvas.strokes([((x, y), (x + SAMPLE, y))], Line.WASTE)
    cross(canvas, (x + SAMPLE / 2, y), CROSS_REACH, "registration")


def _size(canvas: Canvas, x: float, y: float) -> None:
    feet = (y - 3.0, y - 3.0)
    dimension(canvas, Span(x + 1.0, x + SAMPLE - 1.0, y - 0.4, True), feet, "8")


def _tick(canvas: Canvas, x: float, y: float) -> None:
    canvas.strokes([((x + 4.0, y), (x + SAMPLE - 4.0, y))], Line.DIMENSION)
    for along in (4.0, SAMPLE - 4.0):
        canvas.strokes([((x + along, y - 2.0), (x + along, y + 2.0))], Line.DIMENSION)
        tick(canvas, (x + along, y))


def _running(canvas: Canvas, x: float, y: float) -> None:
    marks = [Mark(x + 9.0, "3"), Mark(x + SAMPLE - 2.0, "7")]
    running_dimensions(canvas, Edge("bottom", y + 4.8), x + 1.0, marks)


#: Every line and sign by its name in the catalogue of wording, in the order of the legend.
SIGNS: dict[str, Draw] = {
    "visible": _line_sample(Line.VISIBLE),
    "valley": _line_sample(Line.VALLEY),
    "mountain": _line_sample(Line.MOUNTAIN),
    "existing": _line_sample(Line.EXISTING),
    "hidden": _line_sample(Line.HIDDEN),
    "path": _line_sample(Line.PATH),
    "wavy": _wavy,
    "leader": _leader,
    "glue": _hatched_sample(GLUE, Line.GLUE, Line.VISIBLE),
    "glue_rim": _glue_rim,
    "keep_off": _hatched_sample(KEEP_OFF, Line.KEEP_OFF, Line.KEEP_OFF),
    "waste": _hatched_sample(WASTE, Line.WASTE, Line.CUT, Fill.WASTE),
    "no_print": _no_print,
    "motif": _motif,
    "two_sides": _two_sides,
    "head": _head,
    "cut_number": _cut_number,
    "print": _print_direction,
    "grain": _grain,
    "fold_arrow": _fold_arrow,
    "size": _size,
    "tick": _tick,
    "running": _running,
    "centre": _line_sample(Line.CENTRE),
    "joint": _joint,
}

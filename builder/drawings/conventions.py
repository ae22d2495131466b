"""The legend of lines and signs, and the calibration bars.

In: an edition.  Out: scenes; the bars are true to size.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from fractions import Fraction

from builder.drawings.canvas import Canvas
from builder.drawings.dimensions import (
    Edge,
    Mark,
    arrowhead,
    horizontal_dimension,
    running_dimensions,
)
from builder.drawings.frames import draw_arrow
from builder.drawings.hatching import GLUE, KEEP_OFF, WASTE
from builder.drawings.labels import NOTE_PT
from builder.drawings.lettering import centred_text, level_text
from builder.drawings.plane import Rect
from builder.drawings.scene import Scene, Text
from builder.drawings.styles import Fill, Line
from builder.drawings.wording import words_in
from builder.lengths import IMPERIAL_UNITS, INCH, METRIC_UNITS, UnitSystem
from builder.resolve.edition import Edition
from builder.wording import Wording, load_wording

_ROW = 9.0
_SAMPLE = 20.0
_LABEL_AT = 23.0
_TEXT_PT = 8.5
_BADGE = 1.9

_LINES = (
    (Line.VISIBLE, "visible"),
    (Line.VALLEY, "valley"),
    (Line.MOUNTAIN, "mountain"),
    (Line.EXISTING, "existing"),
    (Line.HIDDEN, "hidden"),
    (Line.PATH, "path"),
)


def conventions_scene(max_width: float, language: str = "en") -> Scene:
    """Every line and sign that the drawings use, in two columns within ``max_width`` mm."""
    wording = load_wording(language)
    signs: list[_Sign] = [
        (_glue, "glue"),
        (_keep_off, "keep_off"),
        (_waste, "waste"),
        (_cut_number, "cut_number"),
        (_print_direction, "print"),
        (_fold_arrow, "fold_arrow"),
        (_size, "size"),
        (_running, "running"),
    ]
    rows = [*((_line_sample(line), name) for line, name in _LINES), *signs]
    half = (len(rows) + 1) // 2
    canvas = Canvas(max_width, half * _ROW + 2.0)
    for index, (draw, name) in enumerate(rows):
        column, row = divmod(index, half)
        x = column * max_width / 2
        y = canvas.frame.top - 1.0 - (row + 0.5) * _ROW
        draw(canvas, x, y)
        words = wording.phrase(f"sign_{name}")
        canvas.text(level_text(words, x + _LABEL_AT, y, _TEXT_PT, "start"))
    title = wording.phrase("draw_signs")
    return canvas.scene("conventions", title, _equivalent([name for _, name in rows], wording))


_Sign = tuple[Callable[[Canvas, float, float], None], str]


def _equivalent(names: Sequence[str], wording: Wording) -> str:
    """What each line and sign looks like, and what it stands for."""
    sentences = [wording.phrase("draw_signs")]
    for name in names:
        meaning = " ".join(wording.phrase(f"sign_{name}").replace(":", ",").split())
        look = wording.phrase(f"look_{name}")
        sentences.append(f"{look[0].upper()}{look[1:]}: {meaning}")
    return f"{'. '.join(sentences)}."


def _line_sample(line: Line) -> Callable[[Canvas, float, float], None]:
    def draw(canvas: Canvas, x: float, y: float) -> None:
        canvas.strokes([((x, y), (x + _SAMPLE, y))], line)

    return draw


def _box(x: float, y: float) -> Rect:
    return Rect(x, y - 2.6, x + _SAMPLE, y + 2.6)


def _glue(canvas: Canvas, x: float, y: float) -> None:
    ring = _box(x, y).ring
    canvas.hatch(GLUE, Line.GLUE, [ring])
    canvas.outline(ring, Line.VISIBLE)


def _keep_off(canvas: Canvas, x: float, y: float) -> None:
    ring = _box(x, y).ring
    canvas.hatch(KEEP_OFF, Line.KEEP_OFF, [ring])
    canvas.outline(ring, Line.KEEP_OFF)


def _waste(canvas: Canvas, x: float, y: float) -> None:
    ring = _box(x, y).ring
    canvas.area([ring], Fill.WASTE)
    canvas.hatch(WASTE, Line.WASTE, [ring])
    canvas.outline(ring, Line.CUT)


def _cut_number(canvas: Canvas, x: float, y: float) -> None:
    centre_x = x + _SAMPLE - _BADGE
    canvas.strokes([((x, y), (centre_x - _BADGE, y))], Line.CUT)
    angles = [math.tau * step / 24 for step in range(24)]
    ring = tuple((centre_x + _BADGE * math.cos(a), y + _BADGE * math.sin(a)) for a in angles)
    canvas.area([ring], Fill.BADGE)
    canvas.outline(ring, Line.DIMENSION)
    canvas.text(centred_text("1", centre_x, y, 7.0, bold=True))


def _print_direction(canvas: Canvas, x: float, y: float) -> None:
    middle = x + _SAMPLE / 2
    canvas.strokes([((middle, y - 3.6), (middle, y + 1.6))], Line.VISIBLE)
    arrowhead(canvas, (middle, y + 3.6), 0, 1, 2.0)


def _fold_arrow(canvas: Canvas, x: float, y: float) -> None:
    """Half an ellipse with a head, as where paper is turned over."""
    angles = [math.pi * (1 - step / 24) for step in range(25)]
    middle, half, rise = x + _SAMPLE / 2, 0.4 * _SAMPLE, 5.0
    way = [(middle + half * math.cos(a), y - 2.6 + rise * math.sin(a)) for a in angles]
    draw_arrow(canvas, tuple(way))


def _size(canvas: Canvas, x: float, y: float) -> None:
    feet = (y - 3.0, y - 3.0)
    horizontal_dimension(canvas, x + 1.0, x + _SAMPLE - 1.0, y - 0.4, feet, "8")


def _running(canvas: Canvas, x: float, y: float) -> None:
    marks = [Mark(x + 9.0, "3"), Mark(x + _SAMPLE - 2.0, "7")]
    running_dimensions(canvas, Edge("bottom", y + 4.8), x + 1.0, marks)


def calibration_scene(edition: Edition) -> Scene:
    """Bars of 100 mm and 4 in, the edition's own unit first: measure them on the print."""
    wording = words_in(edition.units)
    hundred, four_inches = Fraction(100), 4 * INCH
    bars = [(METRIC_UNITS, hundred, 10), (IMPERIAL_UNITS, four_inches, 4)]
    metric, imperial = (bar_length(units, length, wording) for units, length, _ in bars)
    if edition.units.unit == "in":
        bars.reverse()
    width = float(max(hundred, four_inches)) + 2.0
    canvas = Canvas(width, 20.0)
    for index, (units, length, parts) in enumerate(bars):
        calibration_bar(canvas, 1.0, 13.0 - 10.0 * index, units, length, parts, wording)
    words = wording.phrase("draw_bars", metric=metric, imperial=imperial)
    return canvas.scene("calibration", wording.phrase("draw_bars_title"), words, trim=False)


def bar_length(units: UnitSystem, length: Fraction, wording: Wording) -> str:
    """``100 mm``, ``4 in``."""
    own = wording.units(units)
    return f"{own.number(length)} {own.printed}"


def calibration_bar(
    canvas: Canvas,
    x: float,
    y: float,
    units: UnitSystem,
    length: Fraction,
    parts: int,
    wording: Wording,
) -> None:
    """A bar from x on, ``length`` long, in ``parts`` equal steps drawn black and white."""
    step = float(length) / parts
    bar = Rect(x, y, x + float(length), y + 1.6)
    for part in range(0, parts, 2):
        canvas.area([Rect(x + part * step, y, x + (part + 1) * step, y + 1.6).ring], Fill.INK)
    subject = f"calibration {units.number(length)} {units.unit}"
    canvas.outline(bar.ring, Line.DIMENSION, subject)
    text = wording.phrase("draw_bar", length=bar_length(units, length, wording))
    canvas.text(Text(text, x, y + 2.6, NOTE_PT, "start"))

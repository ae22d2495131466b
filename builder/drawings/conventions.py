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
from builder.drawings.hatching import GLUE, KEEP_OFF, WASTE
from builder.drawings.labels import NOTE_PT
from builder.drawings.lettering import centred_text, level_text
from builder.drawings.plane import Rect
from builder.drawings.scene import Scene, Text
from builder.drawings.styles import Fill, Line
from builder.lengths import INCH
from builder.resolve.edition import Edition

_ROW = 9.0
_SAMPLE = 20.0
_LABEL_AT = 23.0
_TEXT_PT = 8.5
_BADGE = 1.9

_LINES = (
    (Line.VISIBLE, "edge of paper, or cut"),
    (Line.VALLEY, "V  valley fold: folds towards you"),
    (Line.MOUNTAIN, "M  mountain fold: folds away from you"),
    (Line.EXISTING, "already in place"),
    (Line.HIDDEN, "hidden edge"),
)


def conventions_scene(max_width: float) -> Scene:
    """Every line and sign that the drawings use, in two columns within ``max_width`` mm."""
    signs: list[_Sign] = [
        (_glue, "glue on the side that lies down"),
        (_keep_off, "keep free of glue"),
        (_waste, "offcut or waste"),
        (_cut_number, "cut number: cut in this order"),
        (_print_direction, "the print’s upright direction"),
        (_size, "distance between two edges"),
        (_running, "distances all measured from 0"),
    ]
    rows = [*((_line_sample(line), words) for line, words in _LINES), *signs]
    half = (len(rows) + 1) // 2
    canvas = Canvas(max_width, half * _ROW + 2.0)
    for index, (draw, words) in enumerate(rows):
        column, row = divmod(index, half)
        x = column * max_width / 2
        y = canvas.frame.top - 1.0 - (row + 0.5) * _ROW
        draw(canvas, x, y)
        canvas.text(level_text(words, x + _LABEL_AT, y, _TEXT_PT, "start"))
    return canvas.scene("conventions", "Lines and signs", _equivalent(signs))


_Sign = tuple[Callable[[Canvas, float, float], None], str]

#: How each line looks, in words.
_LOOKS = {
    Line.VISIBLE: "a heavy line",
    Line.VALLEY: "a dashed line",
    Line.MOUNTAIN: "a line of dashes and two dots",
    Line.EXISTING: "a grey line",
    Line.HIDDEN: "a line of short dashes",
}
_SIGN_LOOKS = (
    "slanted hatching",
    "crossed hatching",
    "a grey area",
    "a number in a circle",
    "a large arrow",
    "a number over a line between two arrowheads",
    "numbers on one line from a small circle",
)


def _equivalent(signs: Sequence[_Sign]) -> str:
    """What each line and sign looks like, and what it stands for."""
    rows = [(_LOOKS[line], words) for line, words in _LINES]
    rows += [(look, words) for look, (_, words) in zip(_SIGN_LOOKS, signs, strict=True)]
    listed = [f"{look}: {' '.join(words.replace(':', ',').split())}" for look, words in rows]
    return f"Lines and signs. {'. '.join(f'{line[0].upper()}{line[1:]}' for line in listed)}."


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


def _size(canvas: Canvas, x: float, y: float) -> None:
    feet = (y - 3.0, y - 3.0)
    horizontal_dimension(canvas, x + 1.0, x + _SAMPLE - 1.0, y - 0.4, feet, "8")


def _running(canvas: Canvas, x: float, y: float) -> None:
    marks = [Mark(x + 9.0, "3"), Mark(x + _SAMPLE - 2.0, "7")]
    running_dimensions(canvas, Edge("bottom", y + 4.8), x + 1.0, marks)


def calibration_scene(edition: Edition) -> Scene:
    """Bars of 100 mm and 4 in, the edition's own unit first: measure them on the print."""
    hundred, four_inches = Fraction(100), 4 * INCH
    bars = [("100 mm", hundred, 10), ("4 in", four_inches, 4)]
    if edition.units.unit == "in":
        bars.reverse()
    width = float(max(hundred, four_inches)) + 2.0
    canvas = Canvas(width, 20.0)
    for index, (text, length, parts) in enumerate(bars):
        calibration_bar(canvas, 1.0, 13.0 - 10.0 * index, text, length, parts)
    words = (
        "Two bars, 100 mm and 4 in long. Measure them: if they are right, the page was printed "
        "at actual size."
    )
    return canvas.scene("calibration", "Check the print’s size", words, trim=False)


def calibration_bar(
    canvas: Canvas, x: float, y: float, text: str, length: Fraction, parts: int
) -> None:
    """A bar from x on, ``length`` long, in ``parts`` equal steps drawn black and white."""
    step = float(length) / parts
    bar = Rect(x, y, x + float(length), y + 1.6)
    for part in range(0, parts, 2):
        canvas.area([Rect(x + part * step, y, x + (part + 1) * step, y + 1.6).ring], Fill.INK)
    canvas.outline(bar.ring, Line.DIMENSION, f"calibration {text}")
    canvas.text(Text(f"this bar is {text} long", x, y + 2.6, NOTE_PT, "start"))

"""The legend of lines and signs, and the calibration bars.

In: an edition, and which signs its drawings use.  Out: scenes; the bars are true to size.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from fractions import Fraction

from builder.drawings.canvas import Canvas
from builder.drawings.labels import NOTE_PT
from builder.drawings.lettering import level_text
from builder.drawings.plane import Rect
from builder.drawings.scene import Scene, Text
from builder.drawings.signs import SIGNS
from builder.drawings.styles import Fill, Line
from builder.drawings.wording import words_in
from builder.drawings.wrapping import sentence_lines
from builder.lengths import IMPERIAL_UNITS, INCH, METRIC_UNITS, UnitSystem
from builder.resolve.edition import Edition
from builder.wording import Wording, load_wording

_ROW = 9.0
_LABEL_AT = 23.0
_TEXT_PT = 8.5
_LINE_PITCH = 3.8
_EDGE = 1.6


def conventions_scene(
    max_width: float, language: str = "en", used: Collection[str] = tuple(SIGNS)
) -> Scene:
    """The lines and signs that are ``used``, in two columns within ``max_width`` mm."""
    wording = load_wording(language)
    names = [name for name in SIGNS if name in used]
    half = (len(names) + 1) // 2
    canvas = Canvas(max_width, half * _ROW + 2.0)
    for index, name in enumerate(names):
        column, row = divmod(index, half)
        x = column * max_width / 2
        y = canvas.frame.top - 1.0 - (row + 0.5) * _ROW
        SIGNS[name](canvas, x, y)
        room = max_width / 2 - _LABEL_AT - _EDGE
        lines = sentence_lines(wording.phrase(f"sign_{name}"), room, _TEXT_PT)
        for number, line in enumerate(lines):
            level = y + ((len(lines) - 1) / 2 - number) * _LINE_PITCH
            canvas.text(level_text(line, x + _LABEL_AT, level, _TEXT_PT, "start"))
    title = wording.phrase("draw_signs")
    return canvas.scene("conventions", title, _equivalent(names, wording))


def _equivalent(names: Sequence[str], wording: Wording) -> str:
    """What each line and sign looks like, and what it stands for."""
    sentences = [wording.phrase("draw_signs")]
    for name in names:
        meaning = " ".join(wording.phrase(f"sign_{name}").replace(":", ",").split())
        look = wording.phrase(f"look_{name}")
        sentences.append(f"{look[0].upper()}{look[1:]}: {meaning}")
    return f"{'. '.join(sentences)}."


def calibration_scene(edition: Edition) -> Scene:
    """Bars of 100 mm and 4 in, the edition's own unit first: measure them on the print."""
    wording = words_in(edition.units)
    hundred, four_inches = Fraction(100), 4 * INCH
    bars = [(METRIC_UNITS, hundred, 10), (IMPERIAL_UNITS, four_inches, 4)]
    metric, imperial = (bar_length(units, length, wording) for units, length, _ in bars)
    bars.sort(key=lambda bar: bar[0].is_inch != edition.units.is_inch)
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

"""The legend of lines and signs, and the calibration bars.

In: an edition, and which signs its drawings use.  Out: scenes; the bars are true to size.
"""

import math
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from fractions import Fraction

from gatherfold.drawings.dimensions.dimensions import (
    CROSS_REACH,
    Edge,
    RunningMark,
    Span,
    cross,
    dimension,
    running_dimensions,
    tick,
)
from gatherfold.drawings.fastening.ends import FasteningEnd, draw_end
from gatherfold.drawings.kernel.break_lines import wave
from gatherfold.drawings.kernel.canvas import Canvas
from gatherfold.drawings.kernel.hatching import GLUE, KEEP_OFF, MARGIN, PRINTS, WASTE, Hatch
from gatherfold.drawings.kernel.lettering import level_text
from gatherfold.drawings.kernel.plane import Rect, ToPaper
from gatherfold.drawings.kernel.scene import Scene, Text
from gatherfold.drawings.kernel.styles import Fill, Line
from gatherfold.drawings.kernel.wording import words_in
from gatherfold.drawings.kernel.wrapping import sentence_lines
from gatherfold.drawings.labels.cut_numbers import CUT_NUMBER
from gatherfold.drawings.labels.labels import NOTE_PT
from gatherfold.drawings.labels.placings import BADGE, MarkPlace, block, pointed_leader
from gatherfold.drawings.labels.print_arrow import arrow_along, two_headed_arrow
from gatherfold.drawings.motion.frames import draw_arrow
from gatherfold.lengths import IMPERIAL_UNITS, INCH, METRIC_UNITS, UnitSystem
from gatherfold.model import EndShape
from gatherfold.resolve import Edition
from gatherfold.wording import Wording, load_wording

_ROW = 9.0
_LABEL_AT = 23.0
_TEXT_PT = 8.5
_LINE_PITCH = 3.8
_EDGE = 1.6
#: How wide the sample of a sign is, and half its height; x is its left end, y its middle.
_SAMPLE = 20.0
_HALF_HEIGHT = 2.6

Draw = Callable[[Canvas, float, float], None]


def _line_sample(line: Line) -> Draw:
    def draw(canvas: Canvas, x: float, y: float) -> None:
        canvas.strokes([((x, y), (x + _SAMPLE, y))], line)

    return draw


def _box(x: float, y: float) -> Rect:
    return Rect(x, y - _HALF_HEIGHT, x + _SAMPLE, y + _HALF_HEIGHT)


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
    number, end = block([("1", CUT_NUMBER)]), x + _SAMPLE - BADGE
    canvas.strokes([((x, y), (end - BADGE, y))], Line.CUT)
    MarkPlace(number.ground.moved(end, y), 0.0, number.texts, at=(end, y), is_circle=True).write(
        canvas
    )


def _print_direction(canvas: Canvas, x: float, y: float) -> None:
    middle = x + _SAMPLE / 2
    arrow_along(canvas, (middle, y - 3.6), (middle, y + 3.6), Line.VISIBLE)


def _grain(canvas: Canvas, x: float, y: float) -> None:
    two_headed_arrow(canvas, (x + 3.0, y), (x + _SAMPLE - 3.0, y))


def _fold_arrow(canvas: Canvas, x: float, y: float) -> None:
    """Half an ellipse with a head, as where paper is turned over."""
    angles = [math.pi * (1 - step / 24) for step in range(25)]
    middle, half, rise = x + _SAMPLE / 2, 0.4 * _SAMPLE, 5.0
    way = [(middle + half * math.cos(a), y - 2.6 + rise * math.sin(a)) for a in angles]
    draw_arrow(canvas, tuple(way))


def _leader(canvas: Canvas, x: float, y: float) -> None:
    pointed_leader(canvas, (x + _SAMPLE - 4.0, y + 1.6), (x + 4.0, y - 1.6))


def _head(canvas: Canvas, x: float, y: float) -> None:
    """A head, and the legs that the other side shows."""
    here = ToPaper(1.0, 0.0, 0.0)
    for shape, along in ((EndShape.HEAD, 5.0), (EndShape.LEGS, 14.0)):
        draw_end(canvas, FasteningEnd(shape, (x + along, y), 1.8, 0.8, 3.4), here)


def _wavy(canvas: Canvas, x: float, y: float) -> None:
    canvas.strokes([wave((x, y), (x + _SAMPLE, y))], Line.DIMENSION)


def _joint(canvas: Canvas, x: float, y: float) -> None:
    canvas.strokes([((x, y), (x + _SAMPLE, y))], Line.WASTE)
    cross(canvas, (x + _SAMPLE / 2, y), CROSS_REACH, "registration")


def _size(canvas: Canvas, x: float, y: float) -> None:
    feet = (y - 3.0, y - 3.0)
    dimension(canvas, Span(x + 1.0, x + _SAMPLE - 1.0, y - 0.4, True), feet, "8")


def _tick(canvas: Canvas, x: float, y: float) -> None:
    canvas.strokes([((x + 4.0, y), (x + _SAMPLE - 4.0, y))], Line.DIMENSION)
    for along in (4.0, _SAMPLE - 4.0):
        canvas.strokes([((x + along, y - 2.0), (x + along, y + 2.0))], Line.DIMENSION)
        tick(canvas, (x + along, y))


def _running(canvas: Canvas, x: float, y: float) -> None:
    marks = [RunningMark(x + 9.0, "3"), RunningMark(x + _SAMPLE - 2.0, "7")]
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


@dataclass(frozen=True)
class Bar:
    """A bar to measure: its length in the units that it is marked in, and in how many steps."""

    units: UnitSystem
    length: Fraction
    steps: int

    def length_words(self, wording: Wording) -> str:
        """``100 mm``, ``4 in``."""
        own = wording.units(self.units)
        return f"{own.number(self.length)} {own.printed}"


def bars_of(edition: Edition, metric: Fraction, inches: int) -> list[Bar]:
    """A bar in each unit, the edition's own first."""
    centimetres = int(metric / 10)
    bars = [
        Bar(METRIC_UNITS, metric, centimetres),
        Bar(IMPERIAL_UNITS, inches * INCH, max(inches, _LEAST_STEPS)),
    ]
    return sorted(bars, key=lambda bar: bar.units.is_inch != edition.units.is_inch)


#: Fewer steps of a bar are halved.
_LEAST_STEPS = 4


def calibration_scene(edition: Edition) -> Scene:
    """Bars of 100 mm and 4 in, the edition's own unit first: measure them on the print."""
    wording = words_in(edition.units)
    bars = bars_of(edition, Fraction(100), 4)
    canvas = Canvas(float(max(bar.length for bar in bars)) + 2.0, 20.0)
    for index, bar in enumerate(bars):
        calibration_bar(canvas, 1.0, 13.0 - 10.0 * index, bar, edition)
    metric, imperial = sorted(bars, key=lambda bar: bar.units.is_inch)
    words = wording.phrase(
        "draw_bars", metric=metric.length_words(wording), imperial=imperial.length_words(wording)
    )
    return canvas.scene("calibration", wording.phrase("draw_bars_title"), words, trim=False)


def calibration_bar(canvas: Canvas, x: float, y: float, bar: Bar, edition: Edition) -> None:
    """A bar from x on, in equal steps drawn black and white, with its length."""
    wording, length = words_in(edition.units), float(bar.length)
    step = length / bar.steps
    for part in range(0, bar.steps, 2):
        canvas.area([Rect(x + part * step, y, x + (part + 1) * step, y + 1.6).ring], Fill.INK)
    subject = f"calibration {bar.units.number(bar.length)} {bar.units.unit}"
    canvas.outline(Rect(x, y, x + length, y + 1.6).ring, Line.DIMENSION, subject)
    text = wording.phrase("draw_bar", length=bar.length_words(wording))
    canvas.text(Text(text, x, y + 2.6, NOTE_PT, "start"))

"""Dimensions after ISO 129-1, as lines, arrowheads and lettering on a canvas.

Extension lines start after a small gap and pass the dimension line a little; the number stands
above its line and reads from below or from the right.  Where the span is too small, the arrows
point inwards from outside and the number stands beside.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from builder.drawings.canvas import Canvas
from builder.drawings.lettering import capital_height, inked_rect, text_reach, text_rect, text_width
from builder.drawings.plane import Place
from builder.drawings.scene import Anchor, Text
from builder.drawings.styles import Fill, Line
from builder.geometry.edges import EdgeName, is_far, is_upright

NUMBER_PT = 8.0
GAP = 0.8
BEYOND = 1.0
ARROW_LENGTH = 2.1
ARROW_HALF_WIDTH = 0.35
ABOVE = 0.95
OUTSIDE_STUB = 3.2

_NUMBER_HEIGHT = capital_height(NUMBER_PT)


def arrowhead(canvas: Canvas, tip: Place, dx: int, dy: int, size: float = 1.0) -> None:
    """A filled arrowhead, three times as long as wide, that points along (dx, dy)."""
    x, y = tip
    back_x, back_y = x - dx * size * ARROW_LENGTH, y - dy * size * ARROW_LENGTH
    side_x, side_y = dy * size * ARROW_HALF_WIDTH, dx * size * ARROW_HALF_WIDTH
    ring = (tip, (back_x + side_x, back_y + side_y), (back_x - side_x, back_y - side_y))
    canvas.area([ring], Fill.INK)


def horizontal_dimension(
    canvas: Canvas,
    left: float,
    right: float,
    level: float,
    feet: tuple[float, float],
    text: str,
    number: Text | None = None,
) -> None:
    """The distance from x = left to x = right on a line at y = level.

    ``feet`` are the heights of the two edges measured, where the extension lines begin.
    ``number`` is one of :func:`level_numbers`; without it the first free one is taken.
    """
    _extension_lines(canvas, (left, right), level, feet, is_horizontal=True)
    number = number or _first_free(canvas, level_numbers(left, right, level, text))
    if number.anchor == "middle":
        canvas.strokes([((left, level), (right, level))], Line.DIMENSION, "dimension")
        arrowhead(canvas, (left, level), -1, 0)
        arrowhead(canvas, (right, level), 1, 0)
        canvas.text(number)
        return
    box = text_rect(number)
    ends = (min(left - OUTSIDE_STUB, box.left), max(right + OUTSIDE_STUB, box.right))
    stubs = [((ends[0], level), (left, level)), ((right, level), (ends[1], level))]
    canvas.strokes(stubs, Line.DIMENSION, "dimension")
    arrowhead(canvas, (left, level), 1, 0)
    arrowhead(canvas, (right, level), -1, 0)
    canvas.text(number)


def level_numbers(left: float, right: float, level: float, text: str) -> tuple[Text, ...]:
    """Where the number of a horizontal dimension may stand, best first: over the middle, or,
    where that is too narrow, beyond either end."""
    y = level + _lift(text)
    if _is_roomy(right - left, text_width(text, NUMBER_PT)):
        return (Text(text, (left + right) / 2, y, NUMBER_PT, boxed=True),)
    return level_beyond(left, right, level, text)


def level_beyond(left: float, right: float, level: float, text: str) -> tuple[Text, ...]:
    """Where the number of a horizontal dimension may stand past either end of it."""
    y = level + _lift(text)
    numbers: list[Text] = []
    for further in _FURTHER:
        beyond, before = right + OUTSIDE_STUB + further, left - OUTSIDE_STUB - further
        numbers.append(Text(text, beyond, y, NUMBER_PT, "start", boxed=True))
        numbers.append(Text(text, before, y, NUMBER_PT, "end", boxed=True))
    return tuple(numbers)


def _lift(text: str) -> float:
    """How far above its line a number's baseline stands: lowered figures of fractions clear it."""
    return ABOVE - text_reach(text, NUMBER_PT)[0]


#: How much farther out a number may stand where the nearest places are taken.
_FURTHER = (0.0, 5.0, 10.0, 16.0, 24.0)


def vertical_dimension(
    canvas: Canvas,
    bottom: float,
    top: float,
    level: float,
    feet: tuple[float, float],
    text: str,
    number: Text | None = None,
) -> None:
    """The distance from y = bottom to y = top on a line at x = level; reads from the right.

    ``number`` is one of :func:`upright_numbers`; without it the first free one is taken.
    """
    _extension_lines(canvas, (bottom, top), level, feet, is_horizontal=False)
    number = number or _first_free(canvas, upright_numbers(bottom, top, level, text))
    if number.rotation:
        canvas.strokes([((level, bottom), (level, top))], Line.DIMENSION, "dimension")
        arrowhead(canvas, (level, bottom), 0, -1)
        arrowhead(canvas, (level, top), 0, 1)
    else:
        box = text_rect(number)
        upper = max(top + OUTSIDE_STUB, box.bottom - ABOVE if box.bottom > top else top)
        lower = min(bottom - OUTSIDE_STUB, box.top + ABOVE if box.top < bottom else bottom)
        stubs = [((level, lower), (level, bottom)), ((level, top), (level, upper))]
        canvas.strokes(stubs, Line.DIMENSION, "dimension")
        arrowhead(canvas, (level, bottom), 0, 1)
        arrowhead(canvas, (level, top), 0, -1)
    canvas.text(number)


def upright_numbers(bottom: float, top: float, level: float, text: str) -> tuple[Text, ...]:
    """Where the number of a vertical dimension may stand, best first: along its middle, unless
    that is too short, then level past either end or beside it."""
    span, width = top - bottom, text_width(text, NUMBER_PT)
    if not _is_roomy(span, width):
        return upright_beyond(bottom, top, level, text)
    middle = Text(text, level - _lift(text), (bottom + top) / 2, NUMBER_PT, rotation=90, boxed=True)
    is_easy = span > width + _EASY
    return (middle,) if is_easy else (middle, *upright_beyond(bottom, top, level, text))


def upright_beyond(bottom: float, top: float, level: float, text: str) -> tuple[Text, ...]:
    """Where the number of a vertical dimension may stand level past either end or beside it."""
    numbers: list[Text] = []
    for further in _FURTHER:
        upper, lower = top + OUTSIDE_STUB + further, bottom - OUTSIDE_STUB - further
        places: tuple[tuple[float, float, Anchor], ...] = (
            (level, upper + _lift(text), "middle"),
            (level, lower - ABOVE - _NUMBER_HEIGHT, "middle"),
            (level - ABOVE, upper - _NUMBER_HEIGHT, "end"),
            (level + ABOVE, upper - _NUMBER_HEIGHT, "start"),
            (level - ABOVE, lower, "end"),
            (level + ABOVE, lower, "start"),
        )
        numbers.extend(Text(text, x, y, NUMBER_PT, a, boxed=True) for x, y, a in places)
    return tuple(numbers)


def _first_free(canvas: Canvas, numbers: Sequence[Text]) -> Text:
    return next((n for n in numbers if canvas.is_free(inked_rect(n))), numbers[0])


#: What a number needs beside it between two edges: its white box, half of each edge, some white.
_NUMBER_SIDES = 1.7
#: With so much beside it, a number stands in the middle if nothing else of the drawing is there.
_EASY = 3.0


def _is_roomy(span: float, width: float) -> bool:
    return span >= max(2 * ARROW_LENGTH + 1.0, width + _NUMBER_SIDES)


def _extension_lines(
    canvas: Canvas,
    ends: tuple[float, float],
    level: float,
    feet: tuple[float, float],
    is_horizontal: bool,
) -> None:
    for end, foot in zip(ends, feet, strict=True):
        away = 1.0 if level >= foot else -1.0
        if abs(level - foot) <= GAP:
            continue
        start, stop = foot + away * GAP, level + away * BEYOND
        run = ((end, start), (end, stop)) if is_horizontal else ((start, end), (stop, end))
        canvas.strokes([run], Line.DIMENSION)


@dataclass(frozen=True)
class Mark:
    """Something at a distance along an edge: where it is on paper and what its label says.

    ``foot`` is how far inside the edge (negative) the line to it begins; 0 for the edge itself.
    """

    at: float
    text: str
    foot: float = 0.0


@dataclass(frozen=True)
class Edge:
    """One side of a drawn outline: ``side`` names it, ``level`` is its x or y on paper."""

    side: EdgeName
    level: float

    @property
    def is_level(self) -> bool:
        return not is_upright(self.side)

    @property
    def outward(self) -> int:
        return 1 if is_far(self.side) else -1

    def place(self, along: float, out: float) -> Place:
        away = self.level + self.outward * out
        return (along, away) if self.is_level else (away, along)


RUNNING_LINE = 4.0
_JOG_START = RUNNING_LINE + BEYOND
_JOG_END = _JOG_START + 2.6
_PITCH = _NUMBER_HEIGHT + 1.1


def spread(
    centres: Sequence[float], sizes: Sequence[float], low: float, high: float
) -> list[float]:
    """Positions as near the rising ``centres`` as can be without their sizes overlapping."""
    if not centres:
        return []
    offsets = [0.0]
    for first, second in pairwise(sizes):
        offsets.append(offsets[-1] + (first + second) / 2)
    pools: list[tuple[float, int]] = []
    for centre, offset in zip(centres, offsets, strict=True):
        mean, count = centre - offset, 1
        while pools and pools[-1][0] > mean:
            other, others = pools.pop()
            mean = (mean * count + other * others) / (count + others)
            count += others
        pools.append((mean, count))
    start = [mean for mean, count in pools for _ in range(count)]
    last = offsets[-1]
    return [
        max(min(base, high - last), low) + offset
        for base, offset in zip(start, offsets, strict=True)
    ]


def are_apart(marks: Sequence[Mark]) -> bool:
    """Whether level labels of all marks fit side by side where they are."""
    halves = [text_width(mark.text, NUMBER_PT) / 2 + 0.7 for mark in marks]
    return all(
        second.at - first.at >= a + b
        for first, second, a, b in zip(marks, marks[1:], halves, halves[1:], strict=False)
    )


def running_depth(texts: Sequence[str], edge_is_level: bool, apart: bool) -> float:
    """How much room running dimensions need outside the edge."""
    if edge_is_level and apart:
        return _JOG_START + ABOVE + _NUMBER_HEIGHT + 0.8
    return _JOG_END + ABOVE + max(text_width(text, NUMBER_PT) for text in texts)


def running_dimensions(canvas: Canvas, edge: Edge, datum: float, marks: Sequence[Mark]) -> None:
    """Distances of all marks from one datum, on one line that starts with a small circle there.

    ``marks`` rise along the edge; the datum's own 0 is added here.
    """
    rack = [Mark(datum, "0"), *marks]
    _running_line(canvas, edge, rack)
    is_upright = not (edge.is_level and are_apart(rack))
    if not is_upright:
        for mark in rack:
            _straight_label(canvas, edge, mark)
        return
    room = canvas.frame
    low, high = (room.left, room.right) if edge.is_level else (room.bottom, room.top)
    places = spread(
        [mark.at for mark in rack], [_PITCH] * len(rack), low + _PITCH / 2, high - _PITCH / 2
    )
    for mark, along in zip(rack, places, strict=True):
        _jogged_label(canvas, edge, mark, along)


def _running_line(canvas: Canvas, edge: Edge, rack: Sequence[Mark]) -> None:
    first, last = rack[0].at, rack[-1].at
    line = (edge.place(first + 0.5, RUNNING_LINE), edge.place(last, RUNNING_LINE))
    canvas.strokes([line], Line.DIMENSION, "running dimension")
    x, y = edge.place(first, RUNNING_LINE)
    circle = [(x + 0.5 * c, y + 0.5 * s) for c, s in _CIRCLE]
    canvas.outline(circle, Line.DIMENSION)
    for before, mark in pairwise(rack):
        tip = edge.place(mark.at, RUNNING_LINE)
        if mark.at - before.at >= ARROW_LENGTH + 0.5:
            arrowhead(canvas, tip, *((1, 0) if edge.is_level else (0, 1)))
        else:
            tick(canvas, tip)


def tick(canvas: Canvas, place: Place) -> None:
    """An oblique stroke where there is no room for an arrowhead."""
    x, y = place
    run = [(x - _TICK, y - _TICK), (x + _TICK, y + _TICK)]
    canvas.strokes([run], Line.DIMENSION, "tick")


_TICK = 0.6
_CIRCLE = tuple(
    (c, s)
    for c, s in (
        (1.0, 0.0), (0.866, 0.5), (0.5, 0.866), (0.0, 1.0), (-0.5, 0.866), (-0.866, 0.5),
        (-1.0, 0.0), (-0.866, -0.5), (-0.5, -0.866), (0.0, -1.0), (0.5, -0.866), (0.866, -0.5),
    )
)  # fmt: skip


def _straight_label(canvas: Canvas, edge: Edge, mark: Mark) -> None:
    _centre_line(canvas, edge, mark)
    run = (edge.place(mark.at, GAP), edge.place(mark.at, _JOG_START))
    canvas.strokes([run], Line.DIMENSION)
    x, y = edge.place(mark.at, _JOG_START + ABOVE)
    baseline = y if edge.outward > 0 else y - _NUMBER_HEIGHT
    canvas.text(Text(mark.text, x, baseline, NUMBER_PT))


def _centre_line(canvas: Canvas, edge: Edge, mark: Mark) -> None:
    """Within the outline a continuous line would be taken for a cut."""
    if mark.foot:
        run = (edge.place(mark.at, mark.foot), edge.place(mark.at, 0.0))
        canvas.strokes([run], Line.CENTRE, "centre line")


def _jogged_label(canvas: Canvas, edge: Edge, mark: Mark, along: float) -> None:
    _centre_line(canvas, edge, mark)
    run = [
        edge.place(mark.at, GAP),
        edge.place(mark.at, _JOG_START),
        edge.place(along, _JOG_END),
    ]
    canvas.strokes([run], Line.DIMENSION)
    x, y = edge.place(along, _JOG_END + ABOVE)
    half = _NUMBER_HEIGHT / 2
    anchor: Anchor = "start" if edge.outward > 0 else "end"
    if edge.is_level:
        canvas.text(Text(mark.text, x + half, y, NUMBER_PT, anchor, rotation=90))
    else:
        canvas.text(Text(mark.text, x, y - half, NUMBER_PT, anchor))


LETTERS_DEPTH = 5.2


def letters_extent(edge: Edge, count: int) -> float:
    """How much of an edge a row of fold letters needs."""
    return count * (_LETTER if edge.is_level else _PITCH)


_LETTER = text_width("M", NUMBER_PT, bold=True) + 0.9


def edge_letters(
    canvas: Canvas, edge: Edge, marks: Sequence[Mark], low: float, high: float
) -> None:
    """Short bold letters outside an edge, each joined by a thin line to its mark."""
    size = _LETTER if edge.is_level else _PITCH
    places = spread([m.at for m in marks], [size] * len(marks), low + size / 2, high - size / 2)
    for mark, along in zip(marks, places, strict=True):
        run = [edge.place(mark.at, GAP), edge.place(along, 2.2)]
        canvas.strokes([run], Line.DIMENSION)
        x, y = edge.place(along, 2.2 + 0.5 + (_NUMBER_HEIGHT / 2 if edge.is_level else _LETTER / 2))
        canvas.text(Text(mark.text, x, y - _NUMBER_HEIGHT / 2, NUMBER_PT, bold=True))

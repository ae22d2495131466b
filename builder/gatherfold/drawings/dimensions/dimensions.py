"""Dimensions after ISO 129-1, as lines, arrowheads and lettering on a canvas.

Extension lines start after a small gap and pass the dimension line a little; the number stands
above its line and reads from below or from the right.  Where the span is too small, the arrows
point inwards from outside and the number stands beside.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from gatherfold.drawings.kernel.canvas import Canvas
from gatherfold.drawings.kernel.lettering import (
    capital_height,
    inked_rect,
    text_reach,
    text_rect,
    text_width,
)
from gatherfold.drawings.kernel.plane import Place, Rect, bounding, circle_ring
from gatherfold.drawings.kernel.scene import Anchor, Text
from gatherfold.drawings.kernel.styles import Fill, Line
from gatherfold.geometry import EdgeName, is_far, is_upright

NUMBER_PT = 8.0
GAP = 0.8
BEYOND = 1.0
ARROW_LENGTH = 2.1
ARROW_HALF_WIDTH = 0.35
ABOVE = 0.95
OUTSIDE_STUB = 3.2
#: How long the tip of an arrowhead is that touches an edge, and the white that the rest wants.
_TIP, _BESIDE = 1.0, 0.5

_NUMBER_HEIGHT = capital_height(NUMBER_PT)


def arrowhead(canvas: Canvas, tip: Place, dx: float, dy: float, size: float = 1.0) -> None:
    """A filled arrowhead, three times as long as wide, that points along (dx, dy)."""
    x, y = tip
    back_x, back_y = x - dx * size * ARROW_LENGTH, y - dy * size * ARROW_LENGTH
    side_x, side_y = dy * size * ARROW_HALF_WIDTH, dx * size * ARROW_HALF_WIDTH
    ring = (tip, (back_x + side_x, back_y + side_y), (back_x - side_x, back_y - side_y))
    canvas.area([ring], Fill.INK)


#: How much farther out a number may stand where the nearest places are taken.
_FURTHER = (0.0, 5.0, 10.0, 16.0, 24.0)
#: What a number needs beside it between two edges: its white box, half of each edge, some white.
_NUMBER_SIDES = 1.7
#: With so much beside it, a number stands in the middle if nothing else of the drawing is there.
_EASY = 3.0


@dataclass(frozen=True)
class Span:
    """A distance from ``near`` to ``far`` with its dimension line at a ``level``: a level line at
    that height, or an upright one at that x, which reads from the right.

    One that is ticked has oblique strokes for arrows, and its line goes on only to its number.
    """

    near: float
    far: float
    level: float
    is_level: bool
    is_ticked: bool = False

    @property
    def length(self) -> float:
        return self.far - self.near

    def place(self, along: float, across: float) -> Place:
        return (along, across) if self.is_level else (across, along)

    def numbers(self, text: str) -> tuple[Text, ...]:
        """Where the number may stand, best first: over the middle; where that is too narrow, and
        on an upright line also where it is not easy, past either end or beside it."""
        if not self.has_room(text):
            return self.beyond(text)
        middle, lift = (self.near + self.far) / 2, _lift(text)
        if self.is_level:
            return (Text(text, middle, self.level + lift, NUMBER_PT, boxed=True),)
        number = Text(text, self.level - lift, middle, NUMBER_PT, rotation=90, boxed=True)
        is_easy = self.length > text_width(text, NUMBER_PT) + _EASY
        return (number,) if is_easy else (number, *self.beyond(text))

    def has_room(self, text: str) -> bool:
        """Whether the number may stand over the middle, between the arrows."""
        width = text_width(text, NUMBER_PT) + _NUMBER_SIDES
        return not self.is_ticked and self.length >= max(2 * ARROW_LENGTH + 1.0, width)

    def beyond(self, text: str) -> tuple[Text, ...]:
        """Where the number may stand level past either end, or beside an upright line there."""
        places: list[tuple[float, float, Anchor]] = []
        level, lift = self.level, _lift(text)
        for further in _FURTHER:
            after, before = self.far + OUTSIDE_STUB + further, self.near - OUTSIDE_STUB - further
            if self.is_level:
                places += [(after, level + lift, "start"), (before, level + lift, "end")]
                continue
            places += [
                (level, after + lift, "middle"),
                (level, before - ABOVE - _NUMBER_HEIGHT, "middle"),
                (level - ABOVE, after - _NUMBER_HEIGHT, "end"),
                (level + ABOVE, after - _NUMBER_HEIGHT, "start"),
                (level - ABOVE, before, "end"),
                (level + ABOVE, before, "start"),
            ]
        return tuple(Text(text, x, y, NUMBER_PT, anchor, boxed=True) for x, y, anchor in places)

    def extensions(self, feet: tuple[float, float]) -> list[tuple[Place, Place]]:
        """The extension lines from where the two edges measured begin theirs."""
        found = []
        for end, foot in zip((self.near, self.far), feet, strict=True):
            if abs(self.level - foot) > GAP:
                away = 1.0 if self.level >= foot else -1.0
                start, stop = foot + away * GAP, self.level + away * BEYOND
                found.append((self.place(end, start), self.place(end, stop)))
        return found

    def is_between(self, number: Text) -> bool:
        """Whether a number stands over the middle of the line."""
        return number.anchor == "middle" if self.is_level else number.rotation != 0

    def heads(self, are_between: bool) -> list[Rect]:
        """What its arrowheads take, between the edges measured or outside them, but for their tips,
        which touch these."""
        if self.is_ticked:
            return []
        way = -1.0 if are_between else 1.0
        ends = ((self.near, -way), (self.far, way))
        heads = [
            [self.place(end + away * out, self.level) for out in (_TIP, ARROW_LENGTH)]
            for end, away in ends
        ]
        return [bounding(head).grown(_BESIDE) for head in heads]

    def line(self, number: Text, box: Rect | None = None) -> tuple[Place, Place]:
        """The dimension line; where its number, which fills a ``box``, stands outside, with its
        stubs, on a level line also under the number, on an upright one as far as the number."""
        low, high = self.near, self.far
        if not self.is_between(number):
            box = box or text_rect(number)
            low, high = low - OUTSIDE_STUB, high + OUTSIDE_STUB
            if self.is_ticked:
                is_after = box.centre[not self.is_level] > (self.near + self.far) / 2
                low, high = (self.near, high) if is_after else (low, self.far)
            if self.is_level:
                low, high = min(low, box.left), max(high, box.right)
            elif box.bottom > self.far:
                high = max(high, box.bottom - ABOVE)
            elif box.top < self.near:
                low = min(low, box.top + ABOVE)
        return self.place(low, self.level), self.place(high, self.level)


def dimension(
    canvas: Canvas, span: Span, feet: tuple[float, float], text: str, number: Text | None = None
) -> None:
    """A distance with its arrows and its number.

    ``feet`` are how far up, or to the right, the two edges measured begin their extension lines.
    ``number`` is one of those of the span; without it the first free one is taken.
    """
    for run in span.extensions(feet):
        canvas.strokes([run], Line.DIMENSION)
    number = number or _first_free(canvas, span.numbers(text))
    near, far = span.place(span.near, span.level), span.place(span.far, span.level)
    low, high = span.line(number)
    is_between = span.is_between(number)
    is_whole = is_between or span.is_ticked
    lines = [(low, high)] if is_whole else [(low, near), (far, high)]
    canvas.strokes(lines, Line.DIMENSION, "dimension")
    way = -1 if is_between else 1
    for end, ahead in ((near, way), (far, -way)):
        if span.is_ticked:
            tick(canvas, end)
        else:
            arrowhead(canvas, end, *((ahead, 0) if span.is_level else (0, ahead)))
    canvas.text(number)


def _lift(text: str) -> float:
    """How far above its line a number's baseline stands: lowered figures of fractions clear it."""
    return ABOVE - text_reach(text, NUMBER_PT)[0]


def _first_free(canvas: Canvas, numbers: Sequence[Text]) -> Text:
    return next((n for n in numbers if canvas.is_free(inked_rect(n))), numbers[0])


@dataclass(frozen=True)
class RunningMark:
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


def are_apart(marks: Sequence[RunningMark]) -> bool:
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


def running_dimensions(
    canvas: Canvas, edge: Edge, datum: float, marks: Sequence[RunningMark]
) -> None:
    """Distances of all marks from one datum, on one line that starts with a small circle there.

    ``marks`` rise along the edge; the datum's own 0 is added here.
    """
    rack = [RunningMark(datum, "0"), *marks]
    _running_line(canvas, edge, rack)
    if edge.is_level and are_apart(rack):
        for mark in rack:
            _running_label(canvas, edge, mark, mark.at, _JOG_START)
        return
    room = canvas.frame
    low, high = (room.left, room.right) if edge.is_level else (room.bottom, room.top)
    places = spread(
        [mark.at for mark in rack], [_PITCH] * len(rack), low + _PITCH / 2, high - _PITCH / 2
    )
    for mark, along in zip(rack, places, strict=True):
        _running_label(canvas, edge, mark, along, _JOG_END)


def _running_line(canvas: Canvas, edge: Edge, rack: Sequence[RunningMark]) -> None:
    first, last = rack[0].at, rack[-1].at
    line = (edge.place(first + 0.5, RUNNING_LINE), edge.place(last, RUNNING_LINE))
    canvas.strokes([line], Line.DIMENSION, "running dimension")
    canvas.outline(circle_ring(edge.place(first, RUNNING_LINE), 0.5, 12), Line.DIMENSION)
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


#: How far the crosses reach that lie on the same place of a piece on two tiles of its template.
CROSS_REACH = 3.0


def cross(canvas: Canvas, centre: Place, reach: float, subject: str = "centre") -> None:
    """Two thin strokes through a place."""
    x, y = centre
    arms = [((x - reach, y), (x + reach, y)), ((x, y - reach), (x, y + reach))]
    canvas.strokes(arms, Line.DIMENSION, subject)


def _running_label(canvas: Canvas, edge: Edge, mark: RunningMark, along: float, out: float) -> None:
    """A mark's distance beyond the end of its line, which leads from it aside where it has to go so
    far ``out``; along the line then, else level."""
    if mark.foot:
        # Within the outline a continuous line would be taken for a cut.
        run = (edge.place(mark.at, mark.foot), edge.place(mark.at, 0.0))
        canvas.strokes([run], Line.CENTRE, "centre line")
    is_straight = out == _JOG_START
    line = [edge.place(mark.at, GAP), edge.place(mark.at, _JOG_START), edge.place(along, out)]
    canvas.strokes([line[:2] if is_straight else line], Line.DIMENSION)
    x, y = edge.place(along, out + ABOVE)
    half = _NUMBER_HEIGHT / 2
    anchor: Anchor = "start" if edge.outward > 0 else "end"
    if is_straight:
        canvas.text(Text(mark.text, x, y if edge.outward > 0 else y - 2 * half, NUMBER_PT))
    elif edge.is_level:
        canvas.text(Text(mark.text, x + half, y, NUMBER_PT, anchor, rotation=90))
    else:
        canvas.text(Text(mark.text, x, y - half, NUMBER_PT, anchor))


LETTERS_DEPTH = 5.2


def letters_extent(edge: Edge, count: int) -> float:
    """How much of an edge a row of fold letters needs."""
    return count * (_LETTER if edge.is_level else _PITCH)


_LETTER = text_width("M", NUMBER_PT, bold=True) + 0.9


def edge_letters(
    canvas: Canvas, edge: Edge, marks: Sequence[RunningMark], low: float, high: float
) -> None:
    """Short bold letters outside an edge, each joined by a thin line to its mark."""
    size = _LETTER if edge.is_level else _PITCH
    places = spread([m.at for m in marks], [size] * len(marks), low + size / 2, high - size / 2)
    for mark, along in zip(marks, places, strict=True):
        run = [edge.place(mark.at, GAP), edge.place(along, 2.2)]
        canvas.strokes([run], Line.DIMENSION)
        x, y = edge.place(along, 2.2 + 0.5 + (_NUMBER_HEIGHT / 2 if edge.is_level else _LETTER / 2))
        canvas.text(Text(mark.text, x, y - _NUMBER_HEIGHT / 2, NUMBER_PT, bold=True))

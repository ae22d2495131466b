"""A section through a stack of layers and what holds them together, not to scale.

In: the names of the layers from the head down, the fastening's sizes in words and what the sides
are called.  Out: bars, head, shank and legs on a canvas, each named on the right.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, assert_never

from shapely import LineString

from gatherfold.drawings.kernel.canvas import Canvas
from gatherfold.drawings.kernel.lettering import level_text, text_width
from gatherfold.drawings.kernel.plane import Place, Rect
from gatherfold.drawings.kernel.scene import Text
from gatherfold.drawings.kernel.styles import GREY_TEXT, SMALLEST_LETTERING_PT, Fill, Line
from gatherfold.drawings.labels.labels import NOTE_PT
from gatherfold.drawings.views.seen_pieces import rings_of
from gatherfold.model import SectionShape

_TALLEST_BAR = 5.0
_RIBBON = 1.8
#: Of what is turned under: the height of both layers, what is left between them, and how much
#: sooner the end below stops, as a share of the bars.
_DOUBLED, _BETWEEN, _SHORTER = 3.0, 0.4, 0.18
_HEAD_HALF, _HEAD_HEIGHT = 5.0, 2.6
_SHANK_HALF = 1.3
_PLATE, _MAGNET = 1.1, 2.0
_ABOVE, _BELOW = 8.0, 7.5
#: Where the words for either side stand, beyond the head and beyond the legs.
_OVER, _UNDER = 4.2, 6.2
_LABEL_GAP = 2.2
_WIDEST_BAR, _NARROWEST_BAR = 40.0, 22.0


@dataclass(frozen=True)
class StackSection:
    """What the section shows, in words: what lies at its top and at its bottom, what is ``held``
    under the head, if anything, and its layers.

    ``doubled_at`` is the side where the end of what is held is turned under, to be pierced in two
    layers, if it is.
    ``sides`` say which side of the work lies above it and below it, empty where none is told."""

    shape: SectionShape
    head: str
    end: str
    held: str
    layers: tuple[str, ...]
    sides: tuple[str, str]
    note: str
    doubled_at: Literal["left", "right"] | None


@dataclass(frozen=True)
class _Stack:
    """On paper: what is held on top, the bars from the top, and how large the names are."""

    ribbon: Rect | None
    bars: tuple[Rect, ...]
    size: float

    @property
    def x(self) -> float:
        return self.bars[0].centre[0]

    @property
    def top(self) -> float:
        return self.ribbon.top if self.ribbon else self.bars[0].top

    @property
    def bottom(self) -> float:
        return self.bars[-1].bottom


def draw_section(canvas: Canvas, section: StackSection, caption: float) -> None:
    """Draw the section in the middle of the canvas, with a caption below it."""
    stack = _stack_of(canvas.frame, section, caption)
    for index, bar in enumerate(stack.bars):
        canvas.area([bar.ring], Fill.SHADOW_3 if index % 2 else Fill.PAPER)
        canvas.outline(bar.ring, Line.FAINT, f"layer {index + 1}")
    if stack.ribbon is not None:
        _held(canvas, stack.ribbon, section.doubled_at)
    parts, head_y, (end_x, end_y) = _fastener(section.shape, stack)
    for subject, ring in parts:
        placed = [(stack.x + x, y) for x, y in ring]
        canvas.area([placed], Fill.PAPER if subject == "bore" else Fill.SHADOW_6)
        if subject != "bore":
            canvas.outline(placed, Line.VISIBLE, subject)
    _labels(canvas, section, stack, head_y, (stack.x + end_x, end_y))
    heights = stack.top + _OVER, stack.bottom - _UNDER, max(stack.bottom - _BELOW - 4.4, 0.8)
    for words, y in zip((*section.sides, section.note), heights, strict=True):
        if words:
            canvas.text(Text(words, stack.x, y, NOTE_PT, colour=GREY_TEXT))


def _stack_of(frame: Rect, section: StackSection, caption: float) -> _Stack:
    names = section.head, section.end, section.held, *section.layers

    def room_beside(size: float) -> float:
        return frame.width - _LABEL_GAP - max(text_width(text, size) for text in names)

    # Smaller names where the longest leaves too little for the bars.
    size = NOTE_PT if room_beside(NOTE_PT) - 1.0 >= _NARROWEST_BAR else SMALLEST_LETTERING_PT
    width = max(min(room_beside(size) - 1.0, _WIDEST_BAR), _NARROWEST_BAR)
    left = frame.left + max(room_beside(size) - width, 0.0) / 2
    held = _TALLEST_BAR if section.held else 0.0
    room = frame.height - caption - _ABOVE - _BELOW - held
    height = min(room / len(section.layers), _TALLEST_BAR)
    total = height * len(section.layers)
    top = frame.centre[1] + caption / 2 + (total - held + _BELOW - _ABOVE) / 2
    first = Rect(left, top - height, left + width, top)
    ribbon = first._replace(bottom=top, top=top + (_DOUBLED if section.doubled_at else _RIBBON))
    bars = tuple(first.moved(0.0, -index * height) for index in range(len(section.layers)))
    return _Stack(ribbon if section.held else None, bars, size)


def _held(canvas: Canvas, ribbon: Rect, doubled_at: Literal["left", "right"] | None) -> None:
    """What is held under the head: one layer, or two with the fold between them on one side."""
    thick, (_, middle) = ribbon.height, ribbon.centre
    run = [(ribbon.right, middle), (ribbon.left, middle)]
    if doubled_at is not None:
        thick = (ribbon.height - _BETWEEN) / 2
        radius, x = (thick + _BETWEEN) / 2, ribbon.left + ribbon.height / 2
        bends = (math.pi / 2 + math.pi * step / 8 for step in range(9))
        lower_end = ribbon.right - _SHORTER * ribbon.width
        run = [
            (ribbon.right, middle + radius),
            *((x + radius * math.cos(a), middle + radius * math.sin(a)) for a in bends),
            (lower_end, middle - radius),
        ]
    if doubled_at == "right":
        run = [(ribbon.left + ribbon.right - x, y) for x, y in run]
    for ring in rings_of(LineString(run).buffer(thick / 2, cap_style="flat")):
        canvas.area([ring], Fill.TINT_4)
        canvas.outline(ring, Line.FAINT, "held")


#: What a part is, and its outline: how far beside the middle of the stack, and how high on paper.
_Part = tuple[str, Sequence[Place]]


def _fastener(shape: SectionShape, stack: _Stack) -> tuple[list[_Part], float, Place]:
    """The parts of a fastening, how high its head is, and where its end is."""
    top, bottom, reach = stack.top, stack.bottom, 0.38 * stack.bars[0].width
    match shape:
        case SectionShape.HEAD_AND_LEGS:
            # Two legs through the layers, bent apart behind the last; the head over them.
            side, foot, tip = (_SHANK_HALF, bottom - 0.5), (reach, bottom - 1.8), bottom - 2.8
            inside = (reach, tip), (0.4, bottom - 2.0), (0.0, bottom - 1.2)
            leg = (0.0, top), (_SHANK_HALF, top), side, foot, *inside
            angles = [math.pi * step / 16 for step in range(17)]
            dome = [(_HEAD_HALF * math.cos(a), top + _HEAD_HEIGHT * math.sin(a)) for a in angles]
            parts = [*_both_sides("leg", leg), ("head", dome)]
            return parts, top + _HEAD_HEIGHT / 2, (reach, bottom - 2.3)
        case SectionShape.TUBE:
            # A tube through the layers with a flat rim before and one rolled over behind.
            high, low, wide = top + _PLATE, bottom - _PLATE, _SHANK_HALF + 1.0
            rim = (_SHANK_HALF, high), (_HEAD_HALF, high), (_HEAD_HALF, top), (wide, top)
            rolled = (_HEAD_HALF - 1.0, bottom), (_HEAD_HALF - 1.0, low), (_SHANK_HALF, low)
            bore = Rect(-wide, bottom, wide, top).ring
            parts = [("bore", bore), *_both_sides("wall", (*rim, (wide, bottom), *rolled))]
            return parts, top + _PLATE / 2, (_HEAD_HALF - 1.0, bottom - _PLATE / 2)
        case SectionShape.PAIR:
            # One magnet on either side of the layers.
            first, second = (
                Rect(-_HEAD_HALF, low, _HEAD_HALF, low + _MAGNET).ring
                for low in (top, bottom - _MAGNET)
            )
            parts = [("first magnet", first), ("second magnet", second)]
            return parts, top + _MAGNET / 2, (_HEAD_HALF, bottom - _MAGNET / 2)
        case _:
            assert_never(shape)


def _both_sides(subject: str, ring: Sequence[Place]) -> list[_Part]:
    """A part on the left and on the right."""
    return [(subject, [(side * x, y) for x, y in ring]) for side in (-1.0, 1.0)]


def _labels(
    canvas: Canvas, section: StackSection, stack: _Stack, head_y: float, end: Place
) -> None:
    """Names on the right, level with what they name; head and legs are joined by a line."""
    x = stack.bars[0].right + _LABEL_GAP

    def write(text: str, y: float) -> None:
        canvas.text(level_text(text, x, y, stack.size, "start"))

    base = stack.ribbon.bottom + 1.9 if stack.ribbon else stack.bars[0].centre[1]
    high, low = max(head_y, base + 4.0), min(end[1], stack.bottom - 2.6)
    write(section.head, high)
    canvas.leader((x - 0.6, high), (stack.x + _HEAD_HALF * 0.7, head_y))
    write(section.end, low)
    canvas.leader((x - 0.6, low), end)
    if stack.ribbon is not None:
        write(section.held, stack.ribbon.bottom + 1.9)
    for text, bar in zip(section.layers, stack.bars, strict=True):
        write(text, bar.centre[1])

"""A section through a stack of layers and what holds them together, not to scale.

In: the names of the layers from the head down, the fastening's sizes in words and what the sides
are called.  Out: bars, head, shank and legs on a canvas, each named on the right.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, assert_never

from gatherfold.drawings.kernel.canvas import Canvas
from gatherfold.drawings.kernel.lettering import level_text, text_width
from gatherfold.drawings.kernel.plane import Place, Rect
from gatherfold.drawings.kernel.scene import Text
from gatherfold.drawings.kernel.styles import GREY_TEXT, SMALLEST_LETTERING_PT, Fill, Line
from gatherfold.drawings.labels.labels import NOTE_PT
from gatherfold.fastenings import SectionShape

_TALLEST_BAR = 5.0
_RIBBON = 1.8
#: Of what is turned under: the height of both layers, what is left between them, and how much
#: sooner the end below stops, as a share of the bars.
_DOUBLED, _BETWEEN, _SHORTER = 3.0, 0.4, 0.18
_HEAD_HALF, _HEAD_HEIGHT = 5.0, 2.6
_SHANK_HALF = 1.3
_PLATE = 1.1
_ABOVE, _BELOW = 8.0, 7.5
#: Where the words for either side stand, beyond the head and beyond the legs.
_OVER, _UNDER = 4.2, 6.2
_LABEL_GAP = 2.2
_WIDEST_BAR, _NARROWEST_BAR = 40.0, 22.0


@dataclass(frozen=True)
class Section:
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

    @property
    def names(self) -> tuple[str, ...]:
        """All that is written beside it."""
        return self.head, self.end, self.held, *self.layers


@dataclass(frozen=True)
class _Stack:
    """On paper: the bars' left and right end, their common middle, and the bars from the top."""

    left: float
    right: float
    x: float
    ribbon: Rect | None
    bars: tuple[Rect, ...]

    @property
    def top(self) -> float:
        return self.ribbon.top if self.ribbon else self.bars[0].top

    @property
    def bottom(self) -> float:
        return self.bars[-1].bottom


def draw_section(canvas: Canvas, section: Section, caption: float) -> None:
    """Draw the section in the middle of the canvas, with a caption below it."""
    stack = _stack_of(canvas, section, caption)
    for index, bar in enumerate(stack.bars):
        _bar(canvas, bar, Fill.SHADOW_3 if index % 2 else Fill.PAPER, f"layer {index + 1}")
    if stack.ribbon is not None:
        _held(canvas, stack.ribbon, section.doubled_at)
    match section.shape:
        case SectionShape.HEAD_AND_LEGS:
            head_y, end_y, end_x = _head_and_legs(canvas, stack)
        case SectionShape.TUBE:
            head_y, end_y, end_x = _tube(canvas, stack)
        case SectionShape.PAIR:
            head_y, end_y, end_x = _pair(canvas, stack)
        case _:
            assert_never(section.shape)
    _labels(canvas, section, stack, head_y, (end_x, end_y))
    heights = stack.top + _OVER, stack.bottom - _UNDER, max(stack.bottom - _BELOW - 4.4, 0.8)
    for words, y in zip((*section.sides, section.note), heights, strict=True):
        if words:
            canvas.text(Text(words, stack.x, y, NOTE_PT, colour=GREY_TEXT))


def _stack_of(canvas: Canvas, section: Section, caption: float) -> _Stack:
    frame = canvas.frame
    words = max(text_width(text, _size(canvas, section)) for text in section.names)
    width = min(frame.width - words - _LABEL_GAP - 1.0, _WIDEST_BAR)
    width = max(width, _NARROWEST_BAR)
    left = frame.left + max(frame.width - width - words - _LABEL_GAP, 0.0) / 2
    ribbon_height = _TALLEST_BAR if section.held else 0.0
    room = frame.height - caption - _ABOVE - _BELOW - ribbon_height
    height = min(room / len(section.layers), _TALLEST_BAR)
    total = height * len(section.layers) + ribbon_height
    top = frame.centre[1] + caption / 2 + (total + _BELOW - _ABOVE) / 2
    ribbon = None
    if section.held:
        base, high = top - ribbon_height, _DOUBLED if section.doubled_at else _RIBBON
        ribbon = Rect(left, base, left + width, base + high)
    top -= ribbon_height
    bars = tuple(
        Rect(left, top - (index + 1) * height, left + width, top - index * height)
        for index in range(len(section.layers))
    )
    return _Stack(left, left + width, left + width / 2, ribbon, bars)


def _size(canvas: Canvas, section: Section) -> float:
    """The size of the names: smaller where the longest leaves too little for the bars."""
    words = max(text_width(text, NOTE_PT) for text in section.names)
    is_roomy = canvas.frame.width - words - _LABEL_GAP - 1.0 >= _NARROWEST_BAR
    return NOTE_PT if is_roomy else SMALLEST_LETTERING_PT


def _bar(canvas: Canvas, bar: Rect, fill: Fill, subject: str) -> None:
    canvas.area([bar.ring], fill)
    canvas.outline(bar.ring, Line.FAINT, subject)


def _held(canvas: Canvas, ribbon: Rect, doubled_at: Literal["left", "right"] | None) -> None:
    """What is held under the head: one layer, or two with the fold between them on one side."""
    if doubled_at is None:
        _bar(canvas, ribbon, Fill.TINT_4, "held")
        return
    middle, outer = ribbon.centre[1], ribbon.height / 2
    layer = (ribbon.height - _BETWEEN) / 2
    inner = outer - layer
    x = ribbon.left + outer
    bends = [math.pi / 2 + math.pi * step / 8 for step in range(9)]
    round_fold = [(x + outer * math.cos(a), middle + outer * math.sin(a)) for a in bends]
    within = [(x + inner * math.cos(a), middle + inner * math.sin(a)) for a in reversed(bends)]
    lower_end = ribbon.right - _SHORTER * ribbon.width
    ring = [
        (ribbon.right, ribbon.top),
        *round_fold,
        (lower_end, ribbon.bottom),
        (lower_end, ribbon.bottom + layer),
        *within,
        (ribbon.right, ribbon.top - layer),
    ]
    if doubled_at == "right":
        ring = [(ribbon.left + ribbon.right - x, y) for x, y in ring]
    canvas.area([ring], Fill.TINT_4)
    canvas.outline(ring, Line.FAINT, "held")


def _solid(canvas: Canvas, ring: Sequence[Place], subject: str) -> None:
    canvas.area([ring], Fill.SHADOW_6)
    canvas.outline(ring, Line.VISIBLE, subject)


def _dome(x: float, y: float) -> list[Place]:
    angles = [math.pi * step / 16 for step in range(17)]
    return [(x + _HEAD_HALF * math.cos(a), y + _HEAD_HEIGHT * math.sin(a)) for a in angles]


def _head_and_legs(canvas: Canvas, stack: _Stack) -> tuple[float, float, float]:
    """Two legs through the layers, bent apart behind the last; the head over them."""
    x, top, bottom = stack.x, stack.top, stack.bottom
    reach = 0.38 * (stack.right - stack.left)
    for side in (-1.0, 1.0):
        leg = [
            (x, top),
            (x + side * _SHANK_HALF, top),
            (x + side * _SHANK_HALF, bottom - 0.5),
            (x + side * reach, bottom - 1.8),
            (x + side * reach, bottom - 2.8),
            (x + side * 0.4, bottom - 2.0),
            (x, bottom - 1.2),
        ]
        _solid(canvas, leg, "leg")
    _solid(canvas, _dome(x, top), "head")
    return top + _HEAD_HEIGHT / 2, bottom - 2.3, x + reach


def _tube(canvas: Canvas, stack: _Stack) -> tuple[float, float, float]:
    """A tube through the layers with a flat rim before and one rolled over behind."""
    x, top, bottom = stack.x, stack.top, stack.bottom
    wide = _SHANK_HALF + 1.0
    canvas.area([Rect(x - wide, bottom, x + wide, top).ring], Fill.PAPER)
    for side in (-1.0, 1.0):
        wall = [
            (x + side * _SHANK_HALF, top + _PLATE),
            (x + side * _HEAD_HALF, top + _PLATE),
            (x + side * _HEAD_HALF, top),
            (x + side * wide, top),
            (x + side * wide, bottom),
            (x + side * (_HEAD_HALF - 1.0), bottom),
            (x + side * (_HEAD_HALF - 1.0), bottom - _PLATE),
            (x + side * _SHANK_HALF, bottom - _PLATE),
        ]
        _solid(canvas, wall, "wall")
    return top + _PLATE / 2, bottom - _PLATE / 2, x + _HEAD_HALF - 1.0


def _pair(canvas: Canvas, stack: _Stack) -> tuple[float, float, float]:
    """One magnet on either side of the layers."""
    x, top, bottom = stack.x, stack.top, stack.bottom
    high = 2.0
    for low, name in ((top, "first"), (bottom - high, "second")):
        ring = Rect(x - _HEAD_HALF, low, x + _HEAD_HALF, low + high).ring
        _solid(canvas, ring, f"{name} magnet")
    return top + high / 2, bottom - high / 2, x + _HEAD_HALF


def _labels(canvas: Canvas, section: Section, stack: _Stack, head_y: float, end: Place) -> None:
    """Names on the right, level with what they name; head and legs are joined by a line."""
    size = _size(canvas, section)
    x = stack.right + _LABEL_GAP

    def write(text: str, y: float) -> None:
        canvas.text(level_text(text, x, y, size, "start"))

    base = stack.ribbon.bottom + 1.9 if stack.ribbon else stack.bars[0].centre[1]
    high, low = max(head_y, base + 4.0), min(end[1], stack.bottom - 2.6)
    write(section.head, high)
    canvas.leader((x - 0.6, high), (stack.x + _HEAD_HALF * 0.7, head_y))
    write(section.end, low)
    canvas.leader((x - 0.6, low), (end[0], end[1]))
    if stack.ribbon is not None:
        write(section.held, stack.ribbon.bottom + 1.9)
    for text, bar in zip(section.layers, stack.bars, strict=True):
        write(text, bar.centre[1])

"""The arrows that say which way a print runs, and which way the grain: on pieces, and with their
words beside a sheet map.

In: the ends of an arrow; or the layout of the map, the side that lies up, and the axis of the
grain.  Out: arrows on the canvas; for a map, marks with the places that they may stand at.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import assert_never

from gatherfold.drawings.dimensions.dimensions import arrowhead
from gatherfold.drawings.kernel.canvas import Canvas
from gatherfold.drawings.kernel.lettering import text_width
from gatherfold.drawings.kernel.plane import Place, Rect
from gatherfold.drawings.kernel.scene import Text
from gatherfold.drawings.kernel.styles import Line
from gatherfold.drawings.labels.labels import NOTE_PT
from gatherfold.drawings.labels.placings import Mark, MarkPlace
from gatherfold.geometry import Axis, is_vertical
from gatherfold.model import PrintDirection, Side, has_direction
from gatherfold.wording import Wording

#: How large the heads of the print's arrow are, and those of the grain's.
_PRINT_HEAD, _GRAIN_HEAD = 2.0, 1.5
#: What it costs the arrow to stand one step further from the middle.
_OFF_MIDDLE = 0.5


@dataclass(frozen=True)
class MapArrow:
    """An arrow beside a map, with its words: upright on their left, or level below them."""

    words: str
    is_upright: bool
    is_two_headed: bool

    def mark(self, frame: Rect, x: float) -> Mark:
        """The arrow at ``x``, as near the middle of the sheet as can be."""
        return Mark(self.words, self._places(frame, x))

    def _places(self, frame: Rect, x: float) -> Iterator[MarkPlace]:
        half = max(text_width(self.words, NOTE_PT) / 2 + 1.0, 8.0)
        reach = max(frame.height / 2 - half - 2.0, 0.0)
        for step, share in enumerate((0, 1, -1, 2, -2, 3, -3, 4, -4, 5, -5)):
            y = frame.centre[1] + share / 5 * reach
            text = Text(self.words, x + 2.8, y, NOTE_PT, rotation=90)
            ground = Rect(x - 0.6, y - half, x + 3.6, y + half)
            if not self.is_upright:
                text = Text(self.words, x + 3.8, y + 1.5 + half, NOTE_PT, rotation=90)
                ground = Rect(x, y - 1.0, x + 6.0, y + 1.5 + 2 * half)
            yield MarkPlace(ground, step * _OFF_MIDDLE, (text,))

    def draw(self, canvas: Canvas, ground: Rect) -> None:
        x, y = ground.left + 0.6, ground.bottom + 1.0
        ends = ((ground.left, y), (ground.right, y))
        if self.is_upright:
            ends = ((x, ground.bottom), (x, ground.top))
        if self.is_two_headed:
            two_headed_arrow(canvas, *ends)
        else:
            arrow_along(canvas, *ends, Line.VISIBLE)


def map_arrows(side: Side, grain: Axis | None, wording: Wording) -> list[MapArrow]:
    """The way of the print, where it has a direction, and of the grain, where it matters."""
    found = []
    if has_direction(side.print):
        words = wording.phrase(f"draw_print_{side.print}")
        found.append(MapArrow(words, _is_upright(side.print), False))
    if grain is not None:
        found.append(MapArrow(wording.phrase("draw_grain"), is_vertical(grain), True))
    return found


def _is_upright(direction: PrintDirection) -> bool:
    match direction:
        case "upright":
            return True
        case "sideways" | "any":
            return False
        case _:
            assert_never(direction)


def arrow_along(canvas: Canvas, start: Place, tip: Place, line: Line) -> None:
    """The way of a print: within a piece thin, so that nobody takes it for an edge."""
    (x, y), (dx, dy) = tip, _way(start, tip)
    shaft = (start, (x - _PRINT_HEAD * dx, y - _PRINT_HEAD * dy))
    canvas.strokes([shaft], line, "print direction")
    arrowhead(canvas, tip, dx, dy, _PRINT_HEAD)


def two_headed_arrow(canvas: Canvas, start: Place, tip: Place) -> None:
    """The axis of the grain."""
    canvas.strokes([(start, tip)], Line.DIMENSION, "grain")
    arrowhead(canvas, start, *_way(tip, start), _GRAIN_HEAD)
    arrowhead(canvas, tip, *_way(start, tip), _GRAIN_HEAD)


def _way(start: Place, tip: Place) -> tuple[int, int]:
    """The direction of a level or upright line: 1, 0 or -1 both ways."""
    dx, dy = tip[0] - start[0], tip[1] - start[1]
    return (dx > 0) - (dx < 0), (dy > 0) - (dy < 0)

"""The arrows that say which way a print runs, and which way the grain: on pieces, and with their
words beside a sheet map.

In: the ends of an arrow; or the layout of the map, the side that lies up, and the axis of the
grain.  Out: arrows on the canvas; for a map, marks with the places that they may stand at.
"""

from __future__ import annotations

from typing import assert_never

from gatherfold.drawings.dimensions.dimensions import arrowhead
from gatherfold.drawings.kernel.canvas import Canvas
from gatherfold.drawings.kernel.lettering import text_width
from gatherfold.drawings.kernel.plane import Place, Rect
from gatherfold.drawings.kernel.scene import Text
from gatherfold.drawings.kernel.styles import Line
from gatherfold.drawings.labels.labels import NOTE_PT
from gatherfold.drawings.labels.placings import Mark, Placing
from gatherfold.geometry import Axis, is_vertical
from gatherfold.model.choices import PrintDirection, has_direction
from gatherfold.model.design import Side
from gatherfold.wording import Wording

#: How large the heads of the print's arrow are, and those of the grain's.
_PRINT_HEAD, _GRAIN_HEAD = 2.0, 1.5
#: What it costs the arrow to stand one step further from the middle.
_OFF_MIDDLE = 0.5


def print_arrow(frame: Rect, x: float, side: Side, wording: Wording) -> list[Mark]:
    """The arrow with its words at ``x``, as near the middle of the sheet as can be; none where the
    print has no direction."""
    if not has_direction(side.print):
        return []
    words = wording.phrase(f"draw_print_{side.print}")
    return [Mark("print direction", _places(frame, x, words, _is_upright(side.print)))]


def _is_upright(direction: PrintDirection) -> bool:
    match direction:
        case "upright":
            return True
        case "sideways" | "any":
            return False
        case _:
            assert_never(direction)


def grain_arrow(frame: Rect, x: float, axis: Axis | None, wording: Wording) -> list[Mark]:
    """The arrow with two heads, with its word, in the same way; none where no axis matters."""
    if axis is None:
        return []
    return [Mark("grain", _places(frame, x, wording.phrase("draw_grain"), is_vertical(axis)))]


def _places(frame: Rect, x: float, words: str, is_upright: bool) -> list[Placing]:
    """Where an arrow with its words can stand, nearest to the middle of the sheet first."""
    half = max(text_width(words, NOTE_PT) / 2 + 1.0, 8.0)
    reach = max(frame.height / 2 - half - 2.0, 0.0)
    places = []
    for step, share in enumerate((0, 1, -1, 2, -2, 3, -3, 4, -4, 5, -5)):
        y = frame.centre[1] + share / 5 * reach
        text = Text(words, x + 2.8, y, NOTE_PT, rotation=90)
        ground = Rect(x - 0.6, y - half, x + 3.6, y + half)
        if not is_upright:
            text = Text(words, x + 3.8, y + 1.5 + half, NOTE_PT, rotation=90)
            ground = Rect(x, y - 1.0, x + 6.0, y + 1.5 + 2 * half)
        places.append(Placing(ground, step * _OFF_MIDDLE, (text,)))
    return places


def draw_grain(canvas: Canvas, ground: Rect, axis: Axis) -> None:
    """The arrow with two heads on the left of its word, or below it."""
    two_headed_arrow(canvas, *_ends(ground, is_vertical(axis)))


def draw_arrow(canvas: Canvas, ground: Rect, side: Side) -> None:
    """The arrow upright on the left of its words, or level below them."""
    arrow_along(canvas, *_ends(ground, _is_upright(side.print)), Line.VISIBLE)


def _ends(ground: Rect, is_upright: bool) -> tuple[Place, Place]:
    if is_upright:
        x = ground.left + 0.6
        return (x, ground.bottom), (x, ground.top)
    y = ground.bottom + 1.0
    return (ground.left, y), (ground.right, y)


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

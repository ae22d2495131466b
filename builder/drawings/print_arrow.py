"""The arrow beside a sheet map that says which way the print runs.

In: the layout of the map and the side that lies up.  Out: a mark with its places, and the arrow on
the canvas at the one chosen.
"""

from __future__ import annotations

from builder.design import Side
from builder.drawings.canvas import Canvas
from builder.drawings.dimensions import arrowhead
from builder.drawings.labels import NOTE_PT
from builder.drawings.lettering import text_width
from builder.drawings.placings import Mark, Placing
from builder.drawings.plane import Rect
from builder.drawings.scene import Text
from builder.drawings.styles import Line
from builder.wording import Wording

#: What it costs the arrow to stand one step further from the middle.
_OFF_MIDDLE = 0.5


def print_arrow(frame: Rect, x: float, side: Side, wording: Wording) -> list[Mark]:
    """The arrow with its words at ``x``, as near the middle of the sheet as can be; none where the
    print has no direction."""
    if side.print == "any":
        return []
    words = wording.phrase(f"draw_print_{side.print}")
    half = max(text_width(words, NOTE_PT) / 2 + 1.0, 8.0)
    reach = max(frame.height / 2 - half - 2.0, 0.0)
    places = []
    for step, share in enumerate((0, 1, -1, 2, -2, 3, -3, 4, -4, 5, -5)):
        y = frame.centre[1] + share / 5 * reach
        text = Text(words, x + 2.8, y, NOTE_PT, rotation=90)
        ground = Rect(x - 0.6, y - half, x + 3.6, y + half)
        if side.print != "upright":
            text = Text(words, x + 3.8, y + 1.5 + half, NOTE_PT, rotation=90)
            ground = Rect(x, y - 1.0, x + 6.0, y + 1.5 + 2 * half)
        places.append(Placing(ground, step * _OFF_MIDDLE, (text,)))
    return [Mark("print direction", places)]


def draw_arrow(canvas: Canvas, ground: Rect, side: Side) -> None:
    """The arrow upright on the left of its words, or level below them."""
    if side.print == "upright":
        x, foot, tip = ground.left + 0.6, ground.bottom, ground.top
        canvas.strokes([((x, foot), (x, tip - 2.0))], Line.VISIBLE, "print direction")
        arrowhead(canvas, (x, tip), 0, 1, 2.0)
        return
    y, tip = ground.bottom + 1.0, ground.right
    canvas.strokes([((ground.left, y), (tip - 2.0, y))], Line.VISIBLE, "print direction")
    arrowhead(canvas, (tip, y), 1, 0, 2.0)

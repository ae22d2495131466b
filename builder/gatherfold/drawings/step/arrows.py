"""Arrows on new pieces of an assembly drawing: a print's upright way, and the way into a pocket.

In: a view whose labels are placed already.  Out: arrows on the canvas, where nothing else is.
"""

from collections.abc import Iterator
from itertools import product

from shapely import box, prepare

from gatherfold.drawings.kernel.canvas import Canvas
from gatherfold.drawings.kernel.plane import Rect, bounding
from gatherfold.drawings.kernel.styles import Line
from gatherfold.drawings.labels.arrangement import best_place
from gatherfold.drawings.labels.placings import FAULT, MarkPlace
from gatherfold.drawings.labels.print_arrow import arrow_along
from gatherfold.drawings.motion.frames import draw_arrow
from gatherfold.drawings.step.view import View
from gatherfold.drawings.views.seen_pieces import SeenPiece
from gatherfold.geometry import ends_across, is_upright, outward
from gatherfold.model import has_direction
from gatherfold.plans import print_of

#: Half the length that an arrow may have and half the width it keeps free, in mm on paper, the best
#: first; where it may stand in its piece, the sides first, as names stand in the middle.
_SIZES = ((6.0, 1.6), (4.5, 1.2), (3.4, 0.9), (2.4, 0.75))
_SHARES = (0.25, 0.75, 0.15, 0.85, 0.35, 0.65, 0.08, 0.92, 0.5)
#: Where the arrow of a way stands across a piece.
_WAY_AT = 0.85
#: White between an arrow and a piece that it stands beside.
_BESIDE = 0.6


def mark_upright(canvas: Canvas, view: View) -> None:
    """An arrow along the upright way of each print with a direction that new pieces show."""
    seen = [laid for key in view.new for laid in view.work.seen_of(key)]
    for laid in sorted(seen, key=view.stack.index):
        shows_front = laid.faces_front == view.work.from_front
        if not shows_front or not has_direction(print_of(laid.piece)):
            continue
        up = view.on_view(laid.side("top"))
        boxes = enumerate(_boxes(view, laid, is_level=is_upright(up)))
        best = best_place(canvas, (MarkPlace(box, float(n)) for n, box in boxes), FAULT)
        if best is not None:
            canvas.keep_free(best.ground)
            (x, y), (dx, dy) = best.ground.centre, outward(up)
            half = max(best.ground.width, best.ground.height) / 2
            start, tip = ((x + way * half * dx, y + way * half * dy) for way in (-1, 1))
            arrow_along(canvas, start, tip, Line.DIMENSION)


def _boxes(view: View, laid: SeenPiece, is_level: bool) -> Iterator[Rect]:
    """Where an arrow can stand on a piece, or close beside one that is too narrow."""
    shown, room = view.shown(laid), view.rect(laid)
    prepare(shown)
    sizes = [size if is_level else size[::-1] for size in _SIZES]
    for (wide, high), share_y, share_x in product(sizes, _SHARES, _SHARES):
        x, y = room.left + share_x * room.width, room.bottom + share_y * room.height
        on_it = Rect(x - wide, y - high, x + wide, y + high)
        if shown.contains(box(*on_it)):
            yield on_it
    others = [view.rect(other) for other in view.stack if other.piece is not laid.piece]
    wide, high = sizes[-1]
    sides = ends_across("horizontal" if is_level else "vertical")
    for share, side in product(_SHARES, sides):
        (x0, y0), (x1, y1) = room.side(side)
        dx, dy = outward(side)
        x = x0 + share * (x1 - x0) + dx * (wide + _BESIDE)
        y = y0 + share * (y1 - y0) + dy * (high + _BESIDE)
        beside = Rect(x - wide, y - high, x + wide, y + high)
        if not any(other.meets(beside) for other in others):
            yield beside


def mark_way(canvas: Canvas, view: View) -> None:
    """An arrow the way that something is slid in or lowered, from the middle of the piece, beside
    where its name stands."""
    work = view.work
    if work.way == (0.0, 0.0):
        return
    room = view.rect(work.laid(work.new[0]))
    dx, dy = (view.mapping.scale * step for step in work.way)
    if view.mapping.mirrored:
        dx = -dx
    x = room.left + (0.5 if dx else _WAY_AT) * room.width
    y = room.bottom + (_WAY_AT if dx else 0.5) * room.height
    way = ((x, y), (x + dx, y + dy))
    draw_arrow(canvas, way)
    canvas.keep_free(bounding(way).grown(0.6))

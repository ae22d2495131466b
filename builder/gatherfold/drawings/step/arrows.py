"""Arrows on new pieces of an assembly drawing: a print's upright way, and the way into a pocket.

In: a view whose labels are placed already.  Out: arrows on the canvas, where nothing else is.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import product

from gatherfold.drawings.kernel.canvas import Canvas
from gatherfold.drawings.kernel.plane import Place, Rect, bounding, ring_holds
from gatherfold.drawings.kernel.styles import Line
from gatherfold.drawings.labels.print_arrow import arrow_along
from gatherfold.drawings.motion.frames import draw_arrow
from gatherfold.drawings.step.view import View
from gatherfold.drawings.views.seen_pieces import SeenPiece
from gatherfold.geometry import EdgeName, is_far, is_upright, outward
from gatherfold.model.choices import has_direction
from gatherfold.plans import print_of

#: Half the length that an arrow may have and half the width it keeps free, in mm on paper, the best
#: first; where it may stand in its piece, the sides first, as names stand in the middle.
_SIZES = ((6.0, 1.6), (4.5, 1.2), (3.4, 0.9), (2.4, 0.75))
#: Where the arrow of a way stands across a piece.
_WAY_AT = 0.85
#: White round it, and between it and a piece that it stands beside.
_CLEAR, _BESIDE = 0.15, 0.6
_SHARES = (0.25, 0.75, 0.15, 0.85, 0.35, 0.65, 0.08, 0.92, 0.5)


def mark_upright(canvas: Canvas, view: View) -> None:
    """An arrow along the upright way of each print with a direction that new pieces show."""
    seen = [laid for key in view.new for laid in view.work.seen_of(key)]
    for laid in sorted(seen, key=view.stack.index):
        shows_front = laid.faces_front == view.work.from_front
        if not shows_front or not has_direction(print_of(laid.piece)):
            continue
        up = side_on_paper(view, laid, "top")
        place = _free_line(canvas, view, laid, not is_upright(up), view.covers(laid))
        if place is not None:
            start, tip = place if is_far(up) else (place[1], place[0])
            arrow_along(canvas, start, tip, Line.DIMENSION)


def _free_line(
    canvas: Canvas, view: View, laid: SeenPiece, is_upright: bool, covers: Sequence[Rect]
) -> tuple[Place, Place] | None:
    """A short line on the piece, or close beside one that is too narrow, clear of all else, from
    its lower or left end."""
    outline = view.rings(laid)[0]
    room = bounding(outline).common(view.window.grown(1.0))
    if room is None:
        return None

    def is_on_it(box: Rect) -> bool:
        is_inside = room.contains(box) and all(ring_holds(outline, place) for place in box.ring)
        return is_inside and not any(cover.meets(box) for cover in covers)

    others = [view.rect(other) for other in view.stack if other.piece is not laid.piece]
    for half, box in _boxes(room, is_upright):
        if is_on_it(box) and canvas.is_free(box, _CLEAR):
            return _line(canvas, box, half, is_upright)
    for half, box in _boxes_beside(room, is_upright):
        if not any(other.meets(box) for other in others) and canvas.is_free(box, _CLEAR):
            return _line(canvas, box, half, is_upright)
    return None


def _line(canvas: Canvas, box: Rect, half: float, is_upright: bool) -> tuple[Place, Place]:
    canvas.keep_free(box)
    x, y = box.centre
    return ((x, y - half), (x, y + half)) if is_upright else ((x - half, y), (x + half, y))


def _boxes(room: Rect, is_upright: bool) -> Iterator[tuple[float, Rect]]:
    for half, aside in _SIZES:
        wide, high = (aside, half) if is_upright else (half, aside)
        if 2 * wide > room.width or 2 * high > room.height:
            continue
        for share_y, share_x in product(_SHARES, _SHARES):
            x, y = room.left + share_x * room.width, room.bottom + share_y * room.height
            yield half, Rect(x - wide, y - high, x + wide, y + high)


def _boxes_beside(room: Rect, is_upright: bool) -> Iterator[tuple[float, Rect]]:
    """Along either long side of a piece in which no arrow has room."""
    half, aside = _SIZES[-1]
    for share, out in product(_SHARES, (1, -1)):
        if is_upright:
            x = (room.right if out > 0 else room.left) + out * (aside + _BESIDE)
            y = room.bottom + share * room.height
            yield half, Rect(x - aside, y - half, x + aside, y + half)
        else:
            y = (room.top if out > 0 else room.bottom) + out * (aside + _BESIDE)
            x = room.left + share * room.width
            yield half, Rect(x - half, y - aside, x + half, y + aside)


def side_on_paper(view: View, laid: SeenPiece, edge: EdgeName) -> EdgeName:
    """Which side an edge of the piece itself is on paper."""
    (x0, y0), (x1, y1) = view.mapping.ring(laid.ring(((0.0, 0.0), outward(edge))))
    if abs(x1 - x0) > abs(y1 - y0):
        return "right" if x1 > x0 else "left"
    return "top" if y1 > y0 else "bottom"


def mark_way(canvas: Canvas, view: View) -> None:
    """An arrow the way that something is slid in or lowered, from the middle of the piece, beside
    where its name stands."""
    work = view.work
    if work.way == (0.0, 0.0):
        return
    box = view.rect(work.laid(work.new[0]))
    dx, dy = (view.mapping.scale * step for step in work.way)
    if view.mapping.mirrored:
        dx = -dx
    x = box.left + (0.5 if dx else _WAY_AT) * box.width
    y = box.bottom + (_WAY_AT if dx else 0.5) * box.height
    way = ((x, y), (x + dx, y + dy))
    draw_arrow(canvas, way)
    canvas.keep_free(bounding(way).grown(0.6))

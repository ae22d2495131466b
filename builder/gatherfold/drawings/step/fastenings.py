"""Fastenings that are set before the pieces of an assembly drawing go on: heads, legs, ribbons.

In: a resolved design whose pieces have just the holes that are pierced by then, and a view of the
flat work.  Out: what shows of each on its layer, as it is drawn, and dashes where new pieces cover
it.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache

from shapely import Point, Polygon

from gatherfold.drawings.fastening.ends import (
    ROUND,
    FasteningEnd,
    RibbonEnd,
    draw_end,
    draw_ribbon_end,
    ends_towards,
    ribbon_end,
)
from gatherfold.drawings.kernel.canvas import Canvas
from gatherfold.drawings.kernel.plane import circle_ring, ring_holds
from gatherfold.drawings.kernel.styles import Line
from gatherfold.drawings.step.glue import glue_on
from gatherfold.drawings.step.view import View
from gatherfold.drawings.views.seen_pieces import SeenPiece, rings_of
from gatherfold.work import Look

#: Where along its free part a ribbon is looked at, beyond the edge, and the least radius of a
#: circle that dashes make, in mm on paper; where within the edge, in mm of the work.
_FREE, _LEAST_DASHED, _WITHIN = 2.5, 1.2, 0.2
#: A view is asked several times while it is drawn.
_REMEMBERED = 16
#: What of a ribbon hangs over glue only by rounding, in square mm on paper.
_LEAST_GLUED = 0.1
#: The axis that a picture of the work is seen along.
_UP = 2


@dataclass(frozen=True)
class SetEnd:
    """The end of a fastening towards the viewer, the piece that it lies on, the pieces that lie
    over it there, and its ribbon."""

    on: SeenPiece
    over: frozenset[str]
    end: FasteningEnd
    ribbon: RibbonEnd | None


@lru_cache(maxsize=_REMEMBERED)
def set_ends(view: View) -> tuple[SetEnd, ...]:
    """Of all that is set through pieces that are there and lie flat."""
    work, found = view.work, []
    look = Look(_UP, 1 if work.from_front else -1)
    for each in ends_towards(work.resolved, work.assembly, work.scale, look):
        fastening, faces = each.setting.fastening, each.setting.faces
        pieces = [view.work.pieces[face.piece] for face in faces]
        if any(piece.key in view.new for piece in pieces) or not all(
            any(hole.fastening == fastening.key for hole in piece.holes) for piece in pieces
        ):
            continue
        layers = tuple(part for face in faces if (part := work.with_face(face)) is not None)
        setting = replace(each.setting, layers=layers)
        ribbon = ribbon_end(setting) if each.is_head else None
        found.append(SetEnd(layers[0 if each.is_head else -1], each.over, each.end, ribbon))
    return tuple(found)


def draw_set_end(canvas: Canvas, view: View, each: SetEnd) -> None:
    """The end, where the window shows it and nothing lies over it, and its ribbon from where that
    shows: its free part hangs loose before what is laid there later, which it is kept out of."""
    if not view.window.holds(view.mapping(*each.end.place)):
        return
    if each.ribbon is not None and not _is_caught(view, each, each.ribbon):
        start = _shows_from(each, each.ribbon)
        draw_ribbon_end(canvas, each.ribbon, view.mapping, start)
    if not each.over:
        draw_end(canvas, each.end, view.mapping)


def _is_caught(view: View, each: SetEnd, ribbon: RibbonEnd) -> bool:
    """Whether what lies over a ribbon at the edge that it runs off lies over its free part too."""
    edge = Point(ribbon.at(ribbon.reach - _WITHIN))
    free = ribbon.at(ribbon.reach + _FREE / view.mapping.scale)
    nearest = [laid for laid in view.stack if laid.shown.intersects(edge)]
    return any(laid is not each.on and ring_holds(laid.rings[0], free) for laid in nearest)


def _shows_from(each: SetEnd, ribbon: RibbonEnd) -> float:
    """From how far along it a ribbon shows, or from the edge that it runs off."""
    shown = Polygon(ribbon.strip(-ribbon.behind, ribbon.reach)).intersection(each.on.shown)
    (x, y), (dx, dy) = ribbon.centre, ribbon.way
    places = [place for ring in rings_of(shown) for place in ring]
    return min(((u - x) * dx + (v - y) * dy for u, v in places), default=ribbon.reach)


def free_ribbons(view: View) -> Iterator[tuple[str, Polygon]]:
    """The names of ribbons that are set, and where on paper their free parts hang."""
    for each in set_ends(view):
        ribbon, place = each.ribbon, view.mapping(*each.end.place)
        if ribbon is None or not view.window.holds(place) or _is_caught(view, each, ribbon):
            continue
        free = ribbon.strip(ribbon.reach, ribbon.end(view.mapping))
        yield ribbon.name, Polygon(view.mapping.ring(free))


def kept_out(view: View) -> tuple[str, ...]:
    """What is set and hangs across a place that is glued in the picture."""
    glued = [view.on_face(laid, area.glue) for laid in view.stack for area in glue_on(view, laid)]
    names = (
        name for name, free in free_ribbons(view)
        if any(free.intersection(glue).area > _LEAST_GLUED for glue in glued)
    )  # fmt: skip
    return tuple(dict.fromkeys(names))


def dash_set_end(canvas: Canvas, view: View, each: SetEnd) -> None:
    """A dashed circle where a new piece covers the end, if it is large enough for dashes."""
    place, radius = view.mapping(*each.end.place), each.end.radius * view.mapping.scale
    if radius < _LEAST_DASHED or not view.window.holds(place):
        return
    if each.over and each.over <= view.labelled:
        canvas.outline(circle_ring(place, radius, ROUND), Line.HIDDEN, "set before")

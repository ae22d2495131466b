"""Glue and keep-off areas of a new piece, hatched on paper.

In: a view and a piece that it shows.  Out: hatch lines on the canvas: a strip along each glued
edge, or all round, where the piece meets what it is joined to at that moment; areas to keep free
are cross-hatched.
"""

from __future__ import annotations

from collections.abc import Iterator

from shapely.geometry.base import BaseGeometry

from builder.drawings.assembly_view import View
from builder.drawings.canvas import Canvas
from builder.drawings.features import rect_of
from builder.drawings.hatching import GLUE, KEEP_OFF
from builder.drawings.plane import Rect
from builder.drawings.seen_pieces import EdgeOn, SeenPiece, polygons_of, rings_of
from builder.drawings.styles import Line
from builder.work.glue_areas import GlueArea

#: How wide the rim of an area is hatched, and the least that a strip may be, in mm on paper.
_GLUE_STRIP, _NARROWEST_STRIP = 3.2, 1.4


def hatch_glue(canvas: Canvas, view: View, laid: SeenPiece) -> None:
    """Glue on the underside, where the piece meets what it is joined to, and areas to keep free of
    it."""
    areas = [area for area in glue_on(view, laid) if not view.on_face(laid, area.glue).is_empty]
    if not areas:
        return
    glue = laid.piece.glue
    for area in areas:
        hatch_area(canvas, _strips(view, laid, area))
    rings = view.rings(laid)
    dry = [view.mapping.rect(laid.rect(rect_of(box))).ring for box in glue.keep_off]
    for ring in dry:
        canvas.hatch(KEEP_OFF, Line.KEEP_OFF, [ring], [rings])
        canvas.outline(ring, Line.KEEP_OFF, "keep off")


def hatch_area(canvas: Canvas, shape: BaseGeometry) -> None:
    """Hatch a shape on paper as glue."""
    for part in polygons_of(shape):
        canvas.hatch(GLUE, Line.GLUE, rings_of(part))


def glue_on(view: View, laid: SeenPiece) -> Iterator[GlueArea]:
    """The areas of glue on the faces of a piece that are labelled in the view."""
    for area in view.work.glue:
        is_own = area.face.piece == laid.piece.key and laid.has_face(area.face.face)
        if is_own and (view.is_new(laid) or view.is_bold(laid.piece.key)):
            yield area


def contacts_of(view: View, laid: SeenPiece) -> list[Rect]:
    """The rectangles on paper round where a piece is glued."""
    return [
        _bounds(part)
        for area in glue_on(view, laid)
        for part in polygons_of(view.on_face(laid, area.meeting))
    ]


def _bounds(shape: BaseGeometry) -> Rect:
    return Rect(*shape.bounds)


def is_hatched_along_rim(contact: Rect) -> bool:
    """Whether an area glued all over is too large to hatch but along its rim."""
    inner = contact.grown(-_GLUE_STRIP)
    return min(inner.width, inner.height) >= 2 * _GLUE_STRIP


def rim_of(shape: BaseGeometry) -> BaseGeometry:
    """A shape on paper, or its rim where it is too large to hatch all over."""
    inner = shape.buffer(-_GLUE_STRIP, join_style="mitre")
    is_large = not inner.buffer(-_GLUE_STRIP).is_empty
    return shape.difference(inner) if is_large else shape


def _strips(view: View, laid: SeenPiece, area: GlueArea) -> BaseGeometry:
    """What is hatched of an area: its rim, or strips along the edges that are named, as wide as
    they are, so that they show what room is left between them."""
    glue, meeting = (view.on_face(laid, shape) for shape in (area.glue, area.meeting))
    if _is_all_over(laid):
        return rim_of(meeting).intersection(glue)
    width = narrowest(glue)
    if width < _NARROWEST_STRIP:
        glue = glue.buffer(_NARROWEST_STRIP - width, join_style="mitre").intersection(meeting)
    return glue


def _is_all_over(laid: SeenPiece) -> bool:
    return laid.piece.glue.is_all_over or not laid.piece.glue.edges


def narrowest(shape: BaseGeometry) -> float:
    """About how wide the strips of a shape are."""
    return min((2 * part.area / part.length for part in polygons_of(shape)), default=0.0)


def hatch_on_edge(canvas: Canvas, view: View, edge: EdgeOn) -> None:
    """Glue on a face that stands on edge: a narrow strip beside its line."""
    for area in view.work.glue:
        if area.face == edge.key and view.is_bold(edge.piece):
            across, up = view.work.ways_on_edge[edge.key]
            start, end = view.mapping.ring(edge.run)
            dx = (-across if view.mapping.mirrored else across) * _NARROWEST_STRIP
            dy = up * _NARROWEST_STRIP
            far = (end[0] + dx, end[1] + dy), (start[0] + dx, start[1] + dy)
            canvas.hatch(GLUE, Line.GLUE, [(start, end, *far)])


def glue_phrases(view: View) -> tuple[str, ...]:
    """The one phrase that says what the hatches of the drawing mean: of all that is new in it, in
    whatever panel."""
    kinds = set()
    for laid in view.stack:
        if any(laid.piece.key in came for came in view.work.came.values()):
            for area in view.work.glue:
                if area.face.piece == laid.piece.key and laid.has_face(area.face.face):
                    kinds.add(_hatched_kind(view, laid, area))
    for among, phrase in _HATCHED:
        if among <= kinds:
            return (phrase,)
    return ()


def _hatched_kind(view: View, laid: SeenPiece, area: GlueArea) -> str:
    if not _is_all_over(laid):
        return "named"
    # What lies on a piece hides its middle, and leaves the rim as well.
    later = [view.rect(item) for item in view.stack[view.stack.index(laid) + 1 :]]
    is_rim = any(
        is_hatched_along_rim(contact) or any(item.holds(contact.centre) for item in later)
        for contact in map(_bounds, polygons_of(view.on_face(laid, area.meeting)))
    )
    return "rim" if is_rim else "whole"


#: The phrases for what is hatched along a rim, along named edges, or all over as it is small.
_HATCHED = (
    ({"rim", "named"}, "draw_hatched_mixed"),
    ({"rim"}, "draw_hatched_rim"),
    ({"named"}, "draw_hatched_strips"),
    ({"whole"}, "draw_hatched_strips"),
)

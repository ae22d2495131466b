"""Glue and keep-off areas of a new piece, hatched on paper.

In: a view and a piece that it shows.  Out: hatch lines on the canvas: a strip along each glued
edge, or all round, where the piece meets what it is joined to at that moment; areas to keep free
are cross-hatched.  A face that stands on edge shows its glue as a thick line.
"""

from collections.abc import Iterator, Sequence

from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from gatherfold.drawings.kernel.canvas import Canvas
from gatherfold.drawings.kernel.hatching import GLUE, KEEP_OFF
from gatherfold.drawings.kernel.plane import Place, Rect, clipped_run
from gatherfold.drawings.kernel.styles import Line
from gatherfold.drawings.kernel.wording import face_of
from gatherfold.drawings.labels.labels import NOTE_PT, label
from gatherfold.drawings.labels.placings import LabelLook, Mark
from gatherfold.drawings.step.view import View
from gatherfold.drawings.views.features import rect_of
from gatherfold.drawings.views.seen_pieces import EdgeOn, SeenPiece, polygons_of, rings_of
from gatherfold.work import GlueArea

#: How far beside its line that of a face on edge is drawn twice that has glue, in mm on paper.
_ON_EDGE = 0.15
#: How wide the rim of an area is hatched, and the least that a strip may be, in mm on paper.
_GLUE_STRIP, _NARROWEST_STRIP = 3.2, 1.4


def hatch_glue(canvas: Canvas, view: View, laid: SeenPiece) -> None:
    """Glue on the underside, where the piece meets what it is joined to, and areas to keep free of
    it."""
    shapes = list(hatched(view, laid))
    for part in (part for shape in shapes for part in polygons_of(shape)):
        canvas.hatch(GLUE, Line.GLUE, rings_of(part))
    outer, *openings = view.rings(laid)
    shown = Polygon(outer, openings)
    keep_off = laid.piece.glue.keep_off if shapes else ()
    dry = [view.mapping.rect(laid.rect(rect_of(box))).ring for box in keep_off]
    for ring in dry:
        canvas.hatch(KEEP_OFF, Line.KEEP_OFF, rings_of(Polygon(ring).intersection(shown)))
        canvas.outline(ring, Line.KEEP_OFF, "keep off")


def hatched(view: View, laid: SeenPiece) -> Iterator[BaseGeometry]:
    """What is hatched of a piece as glue, on paper."""
    for area in glue_on(view, laid):
        if not view.on_face(laid, area.glue).is_empty:
            yield _strips(view, laid, area)


def glue_on(view: View, laid: SeenPiece) -> Iterator[GlueArea]:
    """The areas of glue on the faces of a piece that are labelled in the view."""
    for area in view.work.glue:
        if area.face in laid.keys and (view.is_new(laid) or view.is_bold(laid.piece.key)):
            yield area


def small_contacts(view: View, laid: SeenPiece) -> list[Rect]:
    """The rectangles on paper round where a piece is glued, without those with a hatched rim."""
    areas = (view.on_face(laid, area.meeting) for area in glue_on(view, laid))
    parts = (part for area in areas for part in polygons_of(area))
    return [Rect(*part.bounds) for part in parts if _rim_of(part) is part]


def _rim_of(shape: BaseGeometry) -> BaseGeometry:
    """A shape on paper, or its rim where it is too large to hatch all over."""
    inner = shape.buffer(-_GLUE_STRIP, join_style="mitre")
    is_large = not inner.buffer(-_GLUE_STRIP).is_empty
    return shape.difference(inner) if is_large else shape


def _strips(view: View, laid: SeenPiece, area: GlueArea) -> BaseGeometry:
    """What is hatched of an area: its rim, or strips along the edges that are named, as wide as
    they are, so that they show what room is left between them."""
    glue, meeting = (view.on_face(laid, shape) for shape in (area.glue, area.meeting))
    if not _is_along_edges(laid, area):
        return _rim_of(meeting).intersection(glue)
    width = _narrowest(glue)
    if width < _NARROWEST_STRIP:
        glue = glue.buffer(_NARROWEST_STRIP - width, join_style="mitre").intersection(meeting)
    return glue


def _is_along_edges(laid: SeenPiece, area: GlueArea) -> bool:
    """Whether glue is put on along some edges: of what is placed those that the design names."""
    if area.face.face in laid.piece.glued:
        return bool(laid.piece.glue.strips)
    return bool(area.edges)


def _narrowest(shape: BaseGeometry) -> float:
    """About how wide the strips of a shape are."""
    return min((2 * part.area / part.length for part in polygons_of(shape)), default=0.0)


def mark_on_edge(canvas: Canvas, view: View, edge: EdgeOn) -> None:
    """Glue on a face that stands on edge: its line is thick, as its glue shows no area."""
    if not any(area.face == edge.key for area in _glue_on_edge(view)):
        return
    for run in clipped_run(view.mapping.ring(edge.run), view.window.grown(0.001)):
        for ring in rings_of(LineString(run).buffer(_ON_EDGE, cap_style="flat")):
            canvas.outline(ring, Line.VISIBLE, edge.piece)


def notes_on_edge(canvas: Canvas, view: View) -> Iterator[Mark]:
    """What each face is glued to that stands on edge, with a leader to its line."""
    wording = view.work.wording
    for area in _glue_on_edge(view):
        runs = [view.mapping.ring(e.run) for e in view.work.edges if e.key == area.face]
        own = face_of(view.work.resolved, area.face)
        others = wording.listed(face_of(view.work.resolved, key) for key in area.joined)
        if seen := places_along(view, runs):
            words = wording.phrase("draw_glued_on_edge", face=own, others=others)
            yield label(canvas, seen, [words], LabelLook(NOTE_PT, boxed=True))


def _glue_on_edge(view: View) -> list[GlueArea]:
    """The areas of glue on faces of the new pieces that stand on edge."""
    on_edge = {edge.key for edge in view.work.edges if view.is_bold(edge.piece)}
    return [area for area in view.work.glue if area.face in on_edge]


def places_along(view: View, runs: Sequence[Sequence[Place]]) -> list[Place]:
    """Places on some runs that the window of a view shows, their middles last: labels stand
    there."""
    shown = [part for run in runs for part in clipped_run(run, view.window.grown(0.01))]
    lines, shares = [LineString(run) for run in shown], (0.25, 0.75, 0.1, 0.9, 0.5)
    points = (line.interpolate(share, normalized=True) for share in shares for line in lines)
    return [(p.x, p.y) for p in points]


def glue_phrases(view: View) -> tuple[str, ...]:
    """The phrases that say what the hatches and thick lines of the drawing mean: of all that is new
    in it, in whatever panel."""
    came = frozenset().union(*view.work.came.values())
    new = [laid for laid in view.stack if laid.piece.key in came]
    hatched = [(laid, area) for laid in new for area in view.work.glue if area.face in laid.keys]
    named = [_is_along_edges(*each) for each in hatched]
    has_rim = any(
        _is_rim(view, laid, area)
        for (laid, area), is_named in zip(hatched, named, strict=True)
        if not is_named
    )
    thick = ("draw_thick_on_edge",) if _glue_on_edge(view) else ()
    if has_rim:
        return ("draw_hatched_mixed" if any(named) else "draw_hatched_rim", *thick)
    # Where lines are thick, what is hatched is not all that is glued.
    strips = "draw_hatched_below" if thick else "draw_hatched_strips"
    return (strips, *thick) if hatched else thick


def _is_rim(view: View, laid: SeenPiece, area: GlueArea) -> bool:
    """Whether an area glued all over is hatched along its rim; what lies on a piece hides its
    middle, and leaves the rim as well."""
    later = view.covers(laid)
    return any(
        _rim_of(part) is not part or any(item.holds(Rect(*part.bounds).centre) for item in later)
        for part in polygons_of(view.on_face(laid, area.meeting))
    )

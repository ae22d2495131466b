"""What an assembly drawing says of how a new piece meets its host, beside the usual offsets.

In: a view.  Out: on the canvas: which edges are flush or lie on a score, how deep the glued strip
is where a piece reaches beyond its host, where a part that turns on a brad is pierced through the
host.  ``assembly_names`` adds the names.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from builder.choices import faces_away
from builder.drawings.assembly_view import View, edge_on_paper
from builder.drawings.canvas import Canvas
from builder.drawings.dimensions import cross
from builder.drawings.glue_marks import contacts_of, is_hatched_along_rim, places_along
from builder.drawings.labels import note
from builder.drawings.offset_dimensions import dimension_offset
from builder.drawings.plane import Place, Rect
from builder.drawings.seen_pieces import SeenPiece
from builder.drawings.wording import face_words, words_of
from builder.geometry.edges import (
    EDGES_BY_AXIS,
    EdgeName,
    axis_of,
    ends_across,
    is_far,
    mirrored,
    opposite,
)
from builder.geometry.outline import Point
from builder.resolve.resolved import ResolvedDesign, ResolvedPiece
from builder.wording import Wording

#: How far from a hole a dimension to it may stand aside, and half the hole's cross, on paper.
_ASIDE, _CROSS = 12.0, 1.8


def draw_meetings(canvas: Canvas, resolved: ResolvedDesign, view: View) -> None:
    """The depth of glued strips, and holes that go on through the host."""
    for key in view.new:
        host = view.work.host_of(key)
        if host is not None:
            _dimension_strip(canvas, resolved, view, key, host)
    for _, host, hole in _pierced(resolved, view):
        _dimension_hole(canvas, resolved, view, host, hole)


def _dimension_strip(
    canvas: Canvas, resolved: ResolvedDesign, view: View, key: str, host: SeenPiece
) -> None:
    """How much of the piece lies on its host, where it reaches beyond one edge of it."""
    piece, units = view.work.pieces[key], resolved.edition.units
    if piece.offsets is None or not piece.glue.edges:
        return
    own = view.mapping.rect(view.work.laid(key).face_rect(piece.by))
    base = view.mapping.rect(host.face_rect(piece.host_face))
    box = host.piece.face(piece.host_face).box
    for edge in EDGES_BY_AXIS:
        near, far = piece.offsets.at(edge), piece.offsets.at(opposite(edge))
        if near < 0 or far >= 0:
            continue
        depth = box.across(edge) - near
        text = _depth_words(resolved, view, piece, units.number(depth))
        side = edge_on_paper(view, key, edge)
        dimension_offset(canvas, _beyond(own, base, side), own, [side], text)


def _depth_words(resolved: ResolvedDesign, view: View, piece: ResolvedPiece, depth: str) -> str:
    """How deep a piece is glued; where it is glued to several faces, on which of them."""
    wording = words_of(resolved)
    if len(view.work.hosts_of(piece.key)) > 1:
        face = face_words(piece.host_face)
        return wording.phrase("draw_depth_on", distance=depth, face=face)
    return wording.phrase("draw_glued_depth", distance=depth)


def _beyond(own: Rect, base: Rect, side: EdgeName) -> Rect:
    """What lies of a piece beyond its host, where the strip begins at ``side``."""
    begin, end = own.edge(side), base.edge(opposite(side))
    return own._replace(**{side: min(begin, end) if is_far(side) else max(begin, end)})


def _dimension_hole(
    canvas: Canvas, resolved: ResolvedDesign, view: View, host: SeenPiece, hole: Point
) -> None:
    """The centre of a hole from the two edges of the host that are nearer to it."""

    def on_paper(x: Fraction, y: Fraction) -> Place:
        return view.mapping(*host.ring([(float(x), float(y))])[0])

    centre = on_paper(hole.x, hole.y)
    cross(canvas, centre, _CROSS)
    nearest_x = min(Fraction(0), host.piece.width, key=lambda edge: abs(hole.x - edge))
    nearest_y = min(Fraction(0), host.piece.height, key=lambda edge: abs(hole.y - edge))
    for x, y in ((nearest_x, hole.y), (hole.x, nearest_y)):
        distance = abs(hole.x - x) + abs(hole.y - y)
        number = resolved.edition.units.number(distance)
        _dimension_between(canvas, on_paper(x, y), centre, number)


def pierced_through(resolved: ResolvedDesign, view: View) -> frozenset[str]:
    """The new pieces whose place a hole through their host gives."""
    return frozenset(key for key, _, _ in _pierced(resolved, view))


def _pierced(resolved: ResolvedDesign, view: View) -> Iterator[tuple[str, SeenPiece, Point]]:
    """The new pieces that are pierced together with their host, with that and the hole in it."""
    for key in view.new:
        host = view.work.host_of(key)
        if host is None:
            continue
        for fastening in resolved.fastenings.values():
            hole = fastening.marks.get(host.piece.key)
            if fastening.source.through[:1] == (key,) and hole is not None:
                yield key, host, hole


def _dimension_between(canvas: Canvas, start: Place, end: Place, text: str) -> None:
    """The distance from an edge to a centre, beside the line between them if need be."""
    (x0, y0), (x1, y1) = start, end
    side: EdgeName
    if abs(x1 - x0) > abs(y1 - y0):
        side, point = "left" if x0 < x1 else "right", y1
        own = Rect(x1, y1 - _ASIDE, x1, y1 + _ASIDE)
    else:
        side, point = "bottom" if y0 < y1 else "top", x1
        own = Rect(x1 - _ASIDE, y1, x1 + _ASIDE, y1)
    dimension_offset(canvas, own, Rect(x0, y0, x0, y0), [side], text, point)


def note_flush(canvas: Canvas, resolved: ResolvedDesign, view: View) -> None:
    """Which edges of the new piece run along those of its host, with a leader to one of them;
    nothing where several pieces have such edges."""
    flush = _flush_pieces(view)
    if len(flush) != 1:
        return
    ((key, kinds),) = flush.items()
    laid = view.work.laid(key)
    own = view.mapping.rect(laid.face_rect(view.work.pieces[key].by))
    glued = [contact for contact in contacts_of(view, laid) if not is_hatched_along_rim(contact)]
    for kind, edges in kinds.items():
        if places := places_along(view, [own.side(edge_on_paper(view, key, e)) for e in edges]):
            text = _flush_words(resolved, view, key, kind, edges)
            note(canvas, places, text, boxed=True, avoid=glued, of_edge=True)


def flush_remarks(view: View) -> tuple[str, ...]:
    """The phrases that say it of several pieces together, which have no notes of their own."""
    flush = _flush_pieces(view)
    if len(flush) < 2:
        return ()
    return tuple(
        f"{kind}_all" for kind in _FLUSH_KINDS if any(kind in own for own in flush.values())
    )


#: An edge on the host's score, an own score on the host's edge, an edge on an edge; and what is
#: said of several pieces.
_FLUSH_KINDS = ("draw_on_score", "draw_score_on_edge", "draw_flush_with")
FLUSH_REMARKS = tuple(f"{kind}_all" for kind in _FLUSH_KINDS)


def _flush_pieces(view: View) -> dict[str, dict[str, list[EdgeName]]]:
    """The new pieces with flush edges, and these by what they run along."""
    found = {}
    for key in view.new:
        piece, host = view.work.pieces[key], view.work.host_of(key)
        if host is None or piece.offsets is None:
            continue
        flush = [edge for edge in EDGES_BY_AXIS if piece.offsets.at(edge) == 0]
        runs = {edge: _flush_kind(host.piece, piece, edge) for edge in flush}
        if runs:
            kinds = (kind for kind in _FLUSH_KINDS if kind in runs.values())
            found[key] = {kind: [e for e in flush if runs[e] == kind] for kind in kinds}
    return found


def _flush_kind(host: ResolvedPiece, piece: ResolvedPiece, edge: EdgeName) -> str:
    """Whether an edge of a piece lies on a fold of its host, is a fold of its own, or neither."""
    placement = piece.source.placement
    assert placement is not None
    on_host = mirrored(edge) if faces_away(placement.relation) else edge
    if _is_folded_at(host, piece.host_face, on_host):
        return "draw_on_score"
    if placement.turned == 0 and _is_folded_at(piece, piece.by, edge):
        return "draw_score_on_edge"
    return "draw_flush_with"


def _flush_words(
    resolved: ResolvedDesign, view: View, key: str, kind: str, edges: Sequence[EdgeName]
) -> str:
    """``A5: bottom edge on the score``, ``flush left and right``."""
    wording = words_of(resolved)
    # Both sides are both, whichever is which on paper.
    is_both = set(ends_across("vertical")) <= set(edges)
    names = wording.listed(
        wording.places[edge] if is_both else _edge_words(wording, view, key, edge) for edge in edges
    )
    return wording.phrase(
        kind,
        piece=view.work.pieces[key].code,
        host=view.work.flush_host(key, edges).titles[1],
        edges=names,
    )


def _edge_words(wording: Wording, view: View, key: str, edge: EdgeName) -> str:
    """An edge of a piece; from behind, where it is another side on paper, with that too."""
    seen = edge_on_paper(view, key, edge)
    placement = view.work.pieces[key].source.placement
    if seen == edge or view.work.from_front or placement is None:
        return wording.places[seen]
    if faces_away(placement.relation):
        return wording.places[seen]
    return wording.phrase("draw_side_here", edge=wording.places[edge], seen=wording.places[seen])


def _is_folded_at(piece: ResolvedPiece, face: str, edge: EdgeName) -> bool:
    at, axis = piece.face(face).box.edge(edge), axis_of(edge)
    return any(
        score.axis == axis and score.at == at and face in score.sides for score in piece.scores
    )

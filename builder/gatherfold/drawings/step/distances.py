"""Distances from a host's edges to a new piece, each drawn where it is in nobody's way.

In: a view.  Out: dimensions on the canvas: an even reveal once, centring once, flush edges none;
how deep the glued strip is where a piece reaches beyond its host, and where a part that turns on a
brad is pierced through the host.
"""

from collections.abc import Iterator, Sequence
from fractions import Fraction

from shapely import LineString
from shapely.geometry.base import BaseGeometry

from gatherfold.drawings.dimensions.dimensions import cross
from gatherfold.drawings.dimensions.placing import dimension_beside, dimension_between
from gatherfold.drawings.kernel.canvas import Canvas
from gatherfold.drawings.kernel.plane import Place, Rect
from gatherfold.drawings.kernel.wording import face_words
from gatherfold.drawings.step.view import View, dimensioned_edges, edge_on_paper
from gatherfold.drawings.views.features import thumb_notch_features
from gatherfold.drawings.views.seen_pieces import SeenPiece
from gatherfold.geometry import EDGES_BY_AXIS, EdgeName, Point, is_far, is_upright, opposite
from gatherfold.resolve import ResolvedDesign, ResolvedPiece

#: How far from a hole a dimension to it may stand aside, half the hole's cross, and how far pieces
#: lie over one another that are not beside one another, in mm on paper.
_ASIDE, _CROSS, _OVERLAP = 12.0, 1.8, 0.05
#: So near to the side of its rectangle, in mm on paper, a round piece touches it on no more than
#: this share of the side.
_TOUCHING, _ROUND = 0.05, 0.3


def draw_distances(canvas: Canvas, view: View) -> None:
    """The depth of glued strips, holes that go on through the host, and where each new piece is."""
    hosts = {key: host for key in view.new if (host := view.work.host_of(key)) is not None}
    for key, host in hosts.items():
        _dimension_strip(canvas, view, key, host)
    holes = {key: list(_holes(view.work.resolved, key, host)) for key, host in hosts.items()}
    for key, host in hosts.items():
        for hole in holes[key]:
            _dimension_hole(canvas, view, host, hole)
    for key in sorted(hosts, key=lambda key: view.stack.index(view.work.laid(key))):
        # A hole through the host gives a part's place, and needs no second set of distances.
        if not holes[key]:
            _dimension_place(canvas, view, key, hosts[key])


def _dimension_strip(canvas: Canvas, view: View, key: str, host: SeenPiece) -> None:
    """How much of the piece lies on its host, where it reaches beyond one edge of it."""
    piece, laid = view.work.pieces[key], view.work.laid(key)
    if piece.offsets is None or not piece.glue.edges:
        return
    own, base = (view.mapping.rect(each) for each in _measured(piece, laid, host))
    for edge in EDGES_BY_AXIS:
        near, far = piece.offsets.at(edge), piece.offsets.at(opposite(edge))
        if near < 0 or far >= 0:
            continue
        depth = host.piece.face(piece.host_face).box.across(edge) - near
        text = _depth_words(view, piece, view.work.units.number(depth))
        side = edge_on_paper(view, key, edge)
        # What lies of the piece beyond its host, where the strip begins.
        begin, end = own.edge(side), base.edge(opposite(side))
        beyond = own._replace(**{side: min(begin, end) if is_far(side) else max(begin, end)})
        avoid = _neighbours(view, laid, host)
        dimension_beside(canvas, beyond, own, [side], text, avoid)


def _measured(piece: ResolvedPiece, laid: SeenPiece, host: SeenPiece) -> tuple[Rect, Rect]:
    """The faces between which a piece's place is measured: its own and its host's."""
    return laid.face_rect(piece.by), host.face_rect(piece.host_face)


def _depth_words(view: View, piece: ResolvedPiece, depth: str) -> str:
    """How deep a piece is glued; where it is glued to several faces, on which of them."""
    wording = view.work.wording
    glued = {face for area in view.work.glue_of(piece.key) for face in area.shares}
    if len(glued) > 1:
        face = face_words(piece.host_face)
        return wording.phrase("draw_depth_on", distance=depth, face=face)
    return wording.phrase("draw_glued_depth", distance=depth)


def _dimension_hole(canvas: Canvas, view: View, host: SeenPiece, hole: Point) -> None:
    """The centre of a hole from the two edges of the host that are nearer to it."""

    def on_paper(x: Fraction, y: Fraction) -> Place:
        return view.mapping(*host.ring([(float(x), float(y))])[0])

    centre = on_paper(hole.x, hole.y)
    cross(canvas, centre, _CROSS)
    edge_x = min(Fraction(0), host.piece.width, key=lambda edge: abs(hole.x - edge))
    edge_y = min(Fraction(0), host.piece.height, key=lambda edge: abs(hole.y - edge))
    for x, y in ((edge_x, hole.y), (hole.x, edge_y)):
        number = view.work.units.number(abs(hole.x - x) + abs(hole.y - y))
        start = on_paper(x, y)
        level = centre[abs(start[0] - centre[0]) > abs(start[1] - centre[1])]
        levels = level - _ASIDE, level + _ASIDE
        dimension_between(canvas, start, centre, number, levels, view.mapping.rect(host.extent))


def _holes(resolved: ResolvedDesign, key: str, host: SeenPiece) -> Iterator[Point]:
    """The holes in a host that are pierced together with a piece on it."""
    for fastening in resolved.fastenings.values():
        hole = fastening.marks.get(host.piece.key)
        if fastening.source.through[:1] == (key,) and hole is not None:
            yield hole


def _dimension_place(canvas: Canvas, view: View, key: str, host: SeenPiece) -> None:
    """Dimensions from the host's edges to a new piece."""
    piece, laid = view.work.pieces[key], view.work.laid(key)
    whole, base = (view.mapping.rect(each) for each in _measured(piece, laid, host))
    own = whole.common(view.window) or whole
    others = [*_neighbours(view, laid, host), *_notches(view, host)]
    for edges in dimensioned_edges(view.work, key):
        assert piece.offsets is not None
        distance = view.work.units.number(piece.offsets.at(edges[0]))
        sides = [edge_on_paper(view, key, edge) for edge in edges]
        if len(edges) > 1:
            distance = view.work.wording.phrase(_ways_of(sides), distance=distance)
        # An edge beyond the window is not there to be measured from.
        sides = [side for side in sides if own.edge(side) == whole.edge(side)] or sides
        if _is_round(view.mapping.shape(laid.outline), own, sides[0]):
            end, levels = _rim_of(own, sides[0])
            across = base.edge(sides[0])
            start = (across, end[1]) if is_upright(sides[0]) else (end[0], across)
            dimension_between(canvas, start, end, distance, levels, base)
        else:
            dimension_beside(canvas, own, base, sides, distance, others)


def _rim_of(own: Rect, side: EdgeName) -> tuple[Place, tuple[float, float]]:
    """The middle of a side of a rectangle, and between what levels the side lies."""
    (x0, y0), (x1, y1) = own.side(side)
    levels = (y0, y1) if is_upright(side) else (x0, x1)
    return ((x0 + x1) / 2, (y0 + y1) / 2), levels


def _is_round(outline: BaseGeometry, own: Rect, side: EdgeName) -> bool:
    """Whether a piece touches a side of its rectangle in its middle alone."""
    line = LineString(own.side(side))
    touched = outline.intersection(line.buffer(_TOUCHING))
    left, bottom, right, top = touched.bounds
    return not touched.is_empty and max(right - left, top - bottom) <= _ROUND * line.length


def _notches(view: View, host: SeenPiece) -> list[Rect]:
    """The thumb notches of a host on paper: what they leave of an edge is no edge there."""
    return [view.mapping.rect(host.rect(notch.box)) for notch in thumb_notch_features(host.piece)]


def _neighbours(view: View, laid: SeenPiece, host: SeenPiece) -> list[Rect]:
    """The rectangles on paper round what lies beside a piece on its host, or beside both."""
    own = view.rect(laid)
    there = {id(laid), id(host)}
    rects = [view.rect(each) for each in view.stack if id(each) not in there]
    return [rect for rect in rects if not rect.grown(-_OVERLAP).meets(own)]


def _ways_of(sides: Sequence[EdgeName]) -> str:
    """What to say of a distance that is the same on several sides."""
    if len(sides) > 2:
        return "draw_all_round"
    return "draw_each_side" if is_upright(sides[0]) else "draw_above_below"

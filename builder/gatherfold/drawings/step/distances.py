"""Distances from a host's edges to a new piece, each drawn where it is in nobody's way.

In: a view.  Out: dimensions on the canvas: an even reveal once, centring once, flush edges none;
how deep the glued strip is where a piece reaches beyond its host, and where a part that turns on a
brad is pierced through the host.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from fractions import Fraction

from gatherfold.drawings.dimensions.dimensions import Span, cross, dimension
from gatherfold.drawings.kernel.canvas import CLEARANCE, Canvas
from gatherfold.drawings.kernel.lettering import inked_rect, text_rect, text_width
from gatherfold.drawings.kernel.plane import Place, Rect, segment_meets
from gatherfold.drawings.kernel.scene import Text
from gatherfold.drawings.kernel.wording import face_words, words_in, words_of
from gatherfold.drawings.step.view import View, dimensioned_edges, edge_on_paper
from gatherfold.drawings.views.seen_pieces import SeenPiece
from gatherfold.geometry import EDGES_BY_AXIS, EdgeName, Point, is_far, is_upright, opposite
from gatherfold.lengths import UnitSystem
from gatherfold.resolve.resolved import ResolvedDesign, ResolvedPiece

#: How far from a hole a dimension to it may stand aside, and half the hole's cross, on paper.
_ASIDE, _CROSS = 12.0, 1.8


def draw_distances(canvas: Canvas, resolved: ResolvedDesign, view: View) -> None:
    """The depth of glued strips, holes that go on through the host, and where each new piece is."""
    for key in view.new:
        host = view.work.host_of(key)
        if host is not None:
            _dimension_strip(canvas, resolved, view, key, host)
    pierced = list(_pierced(resolved, view))
    for _, host, hole in pierced:
        _dimension_hole(canvas, resolved, view, host, hole)
    # A hole through the host gives a part's place, and needs no second set of distances.
    others = replace(view, labelled=view.labelled - {key for key, _, _ in pierced})
    _draw_offsets(canvas, others, resolved.edition.units)


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
        avoid = _neighbours(view, view.work.laid(key), host)
        _dimension_offset(canvas, _beyond(own, base, side), own, [side], text, avoid=avoid)


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
    _dimension_offset(canvas, own, own.moved(x0 - x1, y0 - y1), [side], text, point)


def _draw_offsets(canvas: Canvas, view: View, units: UnitSystem) -> None:
    """Dimensions from the host's edges to each new piece."""
    for laid in view.stack:
        piece = laid.piece
        host = view.work.host_of(piece.key)
        if not view.is_new(laid) or piece.offsets is None or host is None:
            continue
        if laid is not view.work.laid(piece.key):
            continue
        whole = view.mapping.rect(laid.face_rect(piece.by))
        own = whole.common(view.window) or whole
        base = view.mapping.rect(host.face_rect(piece.host_face))
        others = _neighbours(view, laid, host)
        for edges in dimensioned_edges(view.work, piece.key):
            distance = units.number(piece.offsets.at(edges[0]))
            sides = [edge_on_paper(view, piece.key, edge) for edge in edges]
            if len(edges) > 1:
                distance = words_in(units).phrase(_ways_of(sides), distance=distance)
            # An edge beyond the window is not there to be measured from.
            sides = [side for side in sides if own.edge(side) == whole.edge(side)] or sides
            _dimension_offset(canvas, own, base, sides, distance, avoid=others)


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


#: One way to draw a dimension, with one of its numbers, and where its extension lines begin.
_Way = tuple[Span, Text, tuple[float, float]]


def _dimension_offset(
    canvas: Canvas,
    own: Rect,
    base: Rect,
    edges: Sequence[EdgeName],
    text: str,
    point: float | None = None,
    avoid: Sequence[Rect] = (),
) -> None:
    """The distance from a host edge to the piece, drawn where it is in nobody's way; within what
    is to be avoided, it would be taken for a distance of that.

    Where it is that of a ``point``, a hole's centre, this is the point's place along the edge, and
    an extension line leads from there to the dimension.
    """
    ways = (way for edge in edges for way in _ways(own, base, edge, text, point))
    best = _least_cluttered(canvas, ways, own, avoid)
    if best is None:
        return
    span, number, feet = best
    dimension(canvas, span, feet, text, number)


def _nearest_on(rect: Rect, edge: EdgeName, level: float) -> float:
    """How far up, or to the right, the place of an edge is that is nearest to a level."""
    low, high = _ends_of(rect, edge)
    return max(low, min(high, level))


def _ends_of(rect: Rect, edge: EdgeName) -> tuple[float, float]:
    """Between what levels an edge of a rectangle lies."""
    return (rect.bottom, rect.top) if is_upright(edge) else (rect.left, rect.right)


def _least_cluttered(
    canvas: Canvas, ways: Iterable[_Way], own: Rect, avoid: Sequence[Rect]
) -> _Way | None:
    """The way that touches least, or the first that is good enough; None if there is none."""
    best, least = None, float("inf")
    for way in ways:
        clutter = _clutter(canvas, way, own, avoid, least)
        if clutter < least:
            best, least = way, clutter
        if clutter < 0.45:
            break
    return best


#: How far along the measured edge the dimension may stand, best first.
_SHARES = (0.5, 0.68, 0.32, 0.82, 0.18, 0.92, 0.08, 0.59, 0.41, 0.75, 0.25, 0.87, 0.13, 0.97, 0.03)


def _ways(own: Rect, base: Rect, edge: EdgeName, text: str, point: float | None) -> Iterator[_Way]:
    is_level = is_upright(edge)
    low, high = _ends_of(own, edge)
    own_edge, base_edge = own.edge(edge), base.edge(edge)
    near, far = (own_edge, base_edge) if is_far(edge) else (base_edge, own_edge)
    if far - near < 0.05:
        return
    levels = [low + share * (high - low) for share in _SHARES]
    levels += [level for out in _OUT for level in (low - out, high + out)]
    spans = [Span(near, far, level, is_level) for level in levels]
    if _TICKS_APART <= far - near <= _MOST_TICKED:
        spans += [replace(span, is_ticked=True) for span in spans]
    for span in spans:
        foot = _nearest_on(own, edge, span.level) if point is None else point
        base_foot = _nearest_on(base, edge, span.level)
        feet = (foot, base_foot) if is_far(edge) else (base_foot, foot)
        found = span.numbers(text)
        if len(found) == 1:
            # An edge may run through the middle.
            found = (*found, *span.beyond(text))
        # Within the piece it reads like a distance in that: beside it first.
        beside = sorted(found, key=lambda number: own.meets(text_rect(number)))
        for number in (*beside, *_within(own, edge, found[0])):
            yield span, number, feet


def _within(own: Rect, edge: EdgeName, number: Text) -> tuple[Text, ...]:
    """A level number that has no room over its own line, over the middle of the piece instead:
    the only place in it where a wide one fits."""
    if not is_upright(edge) or number.anchor == "middle":
        return ()
    half = text_width(number.text, number.size_pt) / 2
    if is_far(edge):
        return (replace(number, x=own.centre[0] + half, anchor="end"),)
    return (replace(number, x=own.centre[0] - half, anchor="start"),)


def _clutter(canvas: Canvas, way: _Way, own: Rect, avoid: Sequence[Rect], least: float) -> float:
    """How much the number and its line would touch; not counted beyond ``least``."""
    span, number, feet = way
    box, line = inked_rect(number), span.line(number)
    clutter = _SHORT * math.dist(*line) + (
        0.0 if canvas.frame.contains(box.grown(0.5)) else 9 * _TOUCHED
    )
    clutter += _MISLEADING * sum(other.meets(box) for other in avoid)
    clutter += _INSIDE * sum(segment_meets(*line, other) for other in avoid)
    clutter += _IN_PIECE * own.meets(box) + _TICKED * span.is_ticked
    extensions = span.extensions(feet)
    clutter += _EXTENDED * sum(math.dist(*run) for run in extensions)
    clutter += _TOUCHED * sum(segment_meets(*run, box.grown(CLEARANCE)) for run in extensions)
    if clutter < least:
        # Counted no further than it takes to be worse than the best so far.
        enough = min(_MOST_TOUCHED, int(min(least - clutter, 1e3) / _TOUCHED) + 1)
        clutter += _TOUCHED * canvas.collisions(box, enough=enough)
    if clutter < least:
        for run in (line, *extensions):
            words, lines = canvas.leader_faults(*run)
            clutter += 2 * _TOUCHED * words + _CROSSED * lines
    return clutter


#: How far outside the piece its dimension may stand, how far apart ticks are told from one another
#: and arrows are clearer, and how far pieces lie over one another that are not beside one another,
#: in mm on paper.
_OUT, _TICKS_APART, _MOST_TICKED, _OVERLAP = (3.5, 6.0, 9.0), 2.5, 8.0, 0.05
#: What it counts that the number stands in another piece, the line runs into one, the number stands
#: in the piece itself as if it were a size of that, the ends are ticks, a mm of extension line.
_MISLEADING, _INSIDE, _IN_PIECE, _TICKED, _EXTENDED = 5.0, 1.5, 1.0, 0.3, 0.02
#: What touching something counts, crossing a line, and a mm of the dimension's own line: crossing
#: any number of lines is better than lettering on one of them.
_TOUCHED, _CROSSED, _SHORT = 10.0, 0.08, 0.008
_MOST_TOUCHED = 6

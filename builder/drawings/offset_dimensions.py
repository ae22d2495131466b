"""Distances from a host's edges to a new piece, each drawn where it is in nobody's way.

In: a view.  Out: dimensions on the canvas: an even reveal once, centring once, flush edges none.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from builder.drawings.assembly_view import View, dimensioned_edges, edge_on_paper
from builder.drawings.canvas import Canvas
from builder.drawings.dimensions import (
    Span,
    dimension,
)
from builder.drawings.lettering import inked_rect, text_rect, text_width
from builder.drawings.plane import Rect
from builder.drawings.scene import Text
from builder.drawings.wording import words_in
from builder.geometry.edges import EdgeName, is_far, is_upright
from builder.lengths import UnitSystem


def draw_offsets(canvas: Canvas, view: View, units: UnitSystem) -> None:
    """Dimensions from the host's edges to each new piece."""
    for laid in view.stack:
        piece = laid.piece
        host = view.work.host_of(piece.key)
        if not view.is_new(laid) or piece.offsets is None or host is None:
            continue
        if laid is not view.work.laid(piece.key):
            continue
        own = view.mapping.rect(laid.face_rect(piece.by))
        base = view.mapping.rect(host.face_rect(piece.host_face))
        others = [view.rect(each) for each in view.stack if view.is_new(each) and each != laid]
        for edges in dimensioned_edges(view.work, piece.key):
            distance = units.number(piece.offsets.at(edges[0]))
            sides = [edge_on_paper(view, piece.key, edge) for edge in edges]
            if len(edges) > 1:
                distance = words_in(units).phrase(_ways_of(sides), distance=distance)
            dimension_offset(canvas, own, base, sides, distance, avoid=others)


def _ways_of(sides: Sequence[EdgeName]) -> str:
    """What to say of a distance that is the same on several sides."""
    if len(sides) > 2:
        return "draw_all_round"
    return "draw_each_side" if is_upright(sides[0]) else "draw_above_below"


#: One way to draw a dimension, with one of its numbers.
_Way = tuple[Span, Text]


def dimension_offset(
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
    ways = (way for edge in edges for way in _ways(own, base, edge, text))
    best = _least_cluttered(canvas, ways, avoid)
    if best is None:
        return
    span, number = best
    foot = span.level if point is None else point
    feet = (foot, span.level) if is_far(edges[0]) else (span.level, foot)
    dimension(canvas, span, feet, text, number)


def _least_cluttered(canvas: Canvas, ways: Iterable[_Way], avoid: Sequence[Rect]) -> _Way | None:
    """The way that touches least, or the first that is good enough; None if there is none."""
    best, least = None, float("inf")
    for way in ways:
        clutter = _clutter(canvas, way, avoid, least)
        if clutter < least:
            best, least = way, clutter
        if clutter < 0.45:
            break
    return best


#: How far along the measured edge the dimension may stand, best first.
_SHARES = (0.5, 0.68, 0.32, 0.82, 0.18, 0.92, 0.08, 0.59, 0.41, 0.75, 0.25, 0.87, 0.13, 0.97, 0.03)


def _ways(own: Rect, base: Rect, edge: EdgeName, text: str) -> Iterator[_Way]:
    is_level = is_upright(edge)
    low, high = (own.bottom, own.top) if is_level else (own.left, own.right)
    own_edge, base_edge = own.edge(edge), base.edge(edge)
    near, far = (own_edge, base_edge) if is_far(edge) else (base_edge, own_edge)
    if far - near < 0.05:
        return
    for share in _SHARES:
        span = Span(near, far, low + share * (high - low), is_level)
        found = span.numbers(text)
        if len(found) == 1:
            # An edge may run through the middle.
            found = (*found, *span.beyond(text))
        # Within the piece it reads like a distance in that: beside it first.
        beside = sorted(found, key=lambda number: own.meets(text_rect(number)))
        for number in (*beside, *_within(own, edge, found[0])):
            yield span, number


def _within(own: Rect, edge: EdgeName, number: Text) -> tuple[Text, ...]:
    """A level number that has no room over its own line, over the middle of the piece instead:
    the only place in it where a wide one fits."""
    if not is_upright(edge) or number.anchor == "middle":
        return ()
    half = text_width(number.text, number.size_pt) / 2
    if is_far(edge):
        return (replace(number, x=own.centre[0] + half, anchor="end"),)
    return (replace(number, x=own.centre[0] - half, anchor="start"),)


def _clutter(canvas: Canvas, way: _Way, avoid: Sequence[Rect], least: float) -> float:
    """How much the number and its line would touch; not counted beyond ``least``."""
    span, number = way
    box, line = inked_rect(number), span.line(number)
    clutter = _SHORT * math.dist(*line) + (
        0.0 if canvas.frame.contains(box.grown(0.5)) else 9 * _TOUCHED
    )
    clutter += _MISLEADING * sum(1 for other in avoid if other.meets(box))
    if clutter < least:
        # Counted no further than it takes to be worse than the best so far.
        enough = min(_MOST_TOUCHED, int(min(least - clutter, 1e3) / _TOUCHED) + 1)
        clutter += _TOUCHED * canvas.collisions(box, enough=enough)
    if clutter < least:
        words, lines = canvas.leader_faults(*line)
        clutter += 2 * _TOUCHED * words + _CROSSED * lines
    return clutter


#: What touching something counts, standing in another piece, crossing a line, and a mm of the
#: dimension's own line: crossing any number of lines is better than lettering on one of them.
_TOUCHED, _MISLEADING, _CROSSED, _SHORT = 10.0, 5.0, 0.08, 0.008
_MOST_TOUCHED = 6

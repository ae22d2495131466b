"""Edges that lie out of sight: dashed where something covers them.

In: the view of an assembly drawing, or a ring and what lies over it.  Out: dashed lines on the
canvas, for new pieces under pieces already there and for the faces that new pieces are laid on,
where those are behind them; or the stretches of the ring that are covered.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from shapely import LineString, Polygon, unary_union
from shapely.geometry.base import BaseGeometry

from builder.drawings.assembly_view import View
from builder.drawings.canvas import Canvas
from builder.drawings.plane import Place, Rect, clipped_run, ring_holds
from builder.drawings.seen_pieces import Ring, SeenPiece, rings_of, runs_of
from builder.drawings.stretches import stretches
from builder.drawings.styles import Line

#: An edge this near to that of its cover, in model mm, is drawn with it and not dashed.
_COINCIDENT = 0.2
#: A dashed stretch shorter than this on paper says nothing.
_SHORTEST = 0.3
#: At how many places a segment is looked at, and how often the ends of a stretch are halved.
_STEPS, _HALVINGS = 16, 10


class Cover(Protocol):
    """Something flat that may lie over something else: its outline first, then its openings."""

    @property
    def rings(self) -> tuple[Ring, ...]: ...

    @property
    def extent(self) -> Rect: ...


def dash_hidden(canvas: Canvas, view: View) -> None:
    """Dashes for new pieces under what is there, and for faces that new ones are laid on."""
    for laid in view.stack:
        if view.is_new(laid):
            over = _later(view, laid)
            covers = [
                view.on_paper(Polygon(item.rings[0]))
                for item in over
                if item.piece.key != laid.piece.key
                and (not view.is_bold(item.piece.key) or laid.shown.is_empty)
            ]
            _dash(canvas, view, laid, view.rings(laid)[0], covers)
    for key in view.new:
        host = view.work.host_of(key)
        if host is not None:
            own = [view.on_paper(Polygon(item.rings[0])) for item in _later(view, host)
                   if view.is_bold(item.piece.key)]  # fmt: skip
            face = view.on_paper(host.face_shape(view.work.pieces[key].host_face))
            for ring in rings_of(face)[:1]:
                _dash(canvas, view, host, ring, own)


def _later(view: View, laid: SeenPiece) -> list[SeenPiece]:
    return list(view.stack[view.stack.index(laid) + 1 :])


def _dash(
    canvas: Canvas,
    view: View,
    laid: SeenPiece,
    ring: Sequence[Place],
    covers: Sequence[BaseGeometry],
) -> None:
    """The stretches of a ring on paper that lie well under a cover."""
    under = unary_union(covers).buffer(-_COINCIDENT * view.mapping.scale)
    found = []
    for start, end in zip(ring, (*ring[1:], ring[0]), strict=True):
        for run in runs_of(LineString([start, end]).intersection(under)):
            if LineString(run).length > _SHORTEST:
                found += clipped_run(run, view.window.grown(0.001))
    canvas.strokes(found, Line.HIDDEN, laid.piece.key)


def covered_parts(ring: Sequence[Place], covers: Sequence[Cover]) -> list[tuple[Place, Place]]:
    """The stretches of a closed ring that lie under a cover."""
    sides = zip(ring, (*ring[1:], ring[0]), strict=True)
    return [part for start, end in sides for part in _covered_parts(start, end, covers)]


def _covered_parts(start: Place, end: Place, covers: Sequence[Cover]) -> list[tuple[Place, Place]]:
    """Stretches of a segment that lie under a cover."""

    def at(share: float) -> Place:
        return start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1])

    def is_covered(share: float) -> bool:
        return any(_covers(item, at(share)) for item in covers)

    return [(at(low), at(high)) for low, high in stretches(is_covered, _STEPS, _HALVINGS)]


def _covers(item: Cover, place: Place) -> bool:
    inner: Rect = item.extent.grown(-_COINCIDENT)
    return inner.holds(place) and ring_holds(item.rings[0], place)

"""Edges that lie out of sight: dashed where something covers them.

In: the view of an assembly drawing, or a ring and what lies over it.  Out: dashed lines on the
canvas, for new pieces under pieces already there and for the faces that new pieces are laid on,
where those are behind them; or the stretches of the ring that are covered.
"""

from __future__ import annotations

from collections.abc import Sequence

from builder.drawings.assembly_view import View
from builder.drawings.canvas import Canvas
from builder.drawings.placed_view import Cover, LaidPiece
from builder.drawings.plane import Place, Rect, clipped_ring, clipped_run, ring_holds
from builder.drawings.stretches import stretches
from builder.drawings.styles import Line

#: An edge this near to that of its cover, in model mm, is drawn with it and not dashed.
_COINCIDENT = 0.2
#: At how many places a segment is looked at, and how often the ends of a stretch are halved.
_STEPS, _HALVINGS = 16, 10


def dash_hidden(canvas: Canvas, view: View) -> None:
    for index, laid in enumerate(view.stack):
        later = view.stack[index + 1 :]
        if view.is_new(laid):
            covers = [item for item in later if not view.is_new(item)]
            _dash(canvas, view, laid, laid.rings[0], covers)
    for key in view.new:
        host = view.work.host_of(key)
        if host is not None:
            covers = [item for item in view.stack[view.stack.index(host) :] if view.is_new(item)]
            # A face has the corners of its piece: a mitred tab is narrower at its end.
            face = host.face_rect(view.work.pieces[key].host_face)
            _dash(canvas, view, host, clipped_ring(host.rings[0], face), covers)


def _dash(
    canvas: Canvas,
    view: View,
    laid: LaidPiece,
    ring: Sequence[Place],
    covers: Sequence[LaidPiece],
) -> None:
    near = [item for item in covers if item.extent.meets(laid.extent)]
    if not near:
        return
    found = []
    for part in covered_parts(ring, near):
        found += clipped_run(view.mapping.ring(part), view.window.grown(0.001))
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

"""Edges that lie out of sight in an assembly drawing: dashed where something covers them.

In: a view.  Out: dashed lines on the canvas, for new pieces under pieces already there and for the
faces that new pieces are laid on, where those are behind them.
"""

from __future__ import annotations

from collections.abc import Sequence

from builder.drawings.assembly_view import View
from builder.drawings.canvas import Canvas
from builder.drawings.placed_view import LaidPiece
from builder.drawings.plane import Place, Rect, clipped_run, ring_holds
from builder.drawings.styles import Line

#: An edge this near to that of its cover, in model mm, is drawn with it and not dashed.
_COINCIDENT = 0.2


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
            face = host.face_rect(view.work.pieces[key].host_face)
            _dash(canvas, view, host, face.ring, covers)


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
    for start, end in zip(ring, (*ring[1:], ring[0]), strict=True):
        for part in _covered_parts(start, end, near):
            found += clipped_run(view.mapping.ring(part), view.window.grown(0.001))
    canvas.strokes(found, Line.HIDDEN, laid.piece.key)


def _covered_parts(
    start: Place, end: Place, covers: Sequence[LaidPiece]
) -> list[tuple[Place, Place]]:
    """Stretches of a segment that lie under a cover, found in sixteen steps."""

    def at(share: float) -> Place:
        return start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1])

    parts: list[tuple[float, float]] = []
    for step in range(16):
        if any(_covers(item, at((step + 0.5) / 16)) for item in covers):
            low, high = step / 16, (step + 1) / 16
            if parts and parts[-1][1] == low:
                low = parts.pop()[0]
            parts.append((low, high))
    return [(at(low), at(high)) for low, high in parts]


def _covers(item: LaidPiece, place: Place) -> bool:
    inner: Rect = item.extent.grown(-_COINCIDENT)
    return inner.holds(place) and ring_holds(item.rings[0], place)

"""Edges that lie out of sight: dashed where something covers them.

In: the view of an assembly drawing, or a ring and what lies over it.  Out: dashed lines on the
canvas, for new pieces under pieces already there and for the faces that new pieces are laid on,
where those are behind them; or the stretches of the ring that are covered.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from shapely import LineString, unary_union
from shapely.geometry.base import BaseGeometry

from builder.drawings.assembly_view import View
from builder.drawings.canvas import Canvas
from builder.drawings.plane import Place, clipped_run
from builder.drawings.seen_pieces import Ring, SeenPiece, rings_of, runs_of
from builder.drawings.styles import Line

#: An edge this near to that of its cover, in model mm, is drawn with it and not dashed.
_COINCIDENT = 0.2
#: A dashed stretch shorter than this on paper says nothing.
_SHORTEST = 0.3


def dash_hidden(canvas: Canvas, view: View) -> None:
    """Dashes for new pieces under what is there, and for faces that new ones are laid on."""
    for laid in view.stack:
        if view.is_new(laid):
            covers = [
                item
                for item in view.later(laid)
                if item.piece.key != laid.piece.key
                and (not view.is_bold(item.piece.key) or laid.shown.is_empty)
            ]
            _dash(canvas, view, laid, view.rings(laid)[0], covers)
    for key in view.new:
        host = view.work.host_of(key)
        if host is not None:
            own = [item for item in view.later(host) if view.is_bold(item.piece.key)]
            face = view.on_paper(host.face_shape(view.work.pieces[key].host_face))
            for ring in rings_of(face)[:1]:
                _dash(canvas, view, host, ring, own)


def _dash(
    canvas: Canvas, view: View, laid: SeenPiece, ring: Sequence[Place], covers: Sequence[SeenPiece]
) -> None:
    """The stretches of a ring on paper that lie under a cover."""
    outlines = [view.on_paper(item.outline) for item in covers]
    window = view.window.grown(0.001)
    runs = covered_runs(ring, outlines, _COINCIDENT * view.mapping.scale, _SHORTEST)
    canvas.strokes(
        [r for run in runs for r in clipped_run(run, window)], Line.HIDDEN, laid.piece.key
    )


def covered_runs(
    ring: Sequence[Place],
    covers: Iterable[BaseGeometry],
    within: float = _COINCIDENT,
    shortest: float = 0.0,
) -> list[Ring]:
    """The stretches of a closed ring, longer than the ``shortest``, that lie further ``within`` a
    cover than an edge that coincides with its own."""
    under = unary_union(list(covers)).buffer(-within)
    sides = [LineString(ends) for ends in zip(ring, (*ring[1:], ring[0]), strict=True)]
    runs = [run for side in sides for run in runs_of(side.intersection(under))]
    return [run for run in runs if LineString(run).length > shortest]

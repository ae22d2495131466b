"""Glue and keep-off areas of a new piece, hatched on paper.

In: a view and a laid piece.  Out: hatch lines on the canvas: a strip along each glued edge, or
all round, where the piece meets its host; areas to keep free are cross-hatched.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from builder.drawings.assembly_view import View
from builder.drawings.canvas import Canvas
from builder.drawings.features import rect_of
from builder.drawings.hatching import GLUE, KEEP_OFF
from builder.drawings.placed_view import LaidPiece
from builder.drawings.plane import Place, Rect
from builder.drawings.styles import Line

_GLUE_STRIP = 3.2


def hatch_glue(
    canvas: Canvas, view: View, laid: LaidPiece, rings: Sequence[Sequence[Place]]
) -> None:
    """Glue on the underside, where the piece meets its host, and areas to keep free of it."""
    glue = laid.piece.glue
    contact = _contact(view, laid)
    if not glue.edges or contact is None:
        return
    dry = [view.mapping.rect(laid.rect(rect_of(box))).ring for box in glue.keep_off]
    for strip in _glue_strips(view, laid, contact):
        canvas.hatch(GLUE, Line.GLUE, strip, [rings], dry)
    for ring in dry:
        canvas.hatch(KEEP_OFF, Line.KEEP_OFF, [ring], [rings])
        canvas.outline(ring, Line.KEEP_OFF, "keep off")


def _contact(view: View, laid: LaidPiece) -> Rect | None:
    """Where the piece's face lies on its host's face, on paper."""
    own = laid.face_rect(laid.piece.by)
    host = view.work.host_of(laid.piece.key)
    if host is None:
        return view.mapping.rect(own)
    shared = own.common(host.face_rect(laid.piece.host_face))
    return None if shared is None else view.mapping.rect(shared)


def _glue_strips(
    view: View, laid: LaidPiece, contact: Rect
) -> Iterator[tuple[tuple[Place, ...], ...]]:
    """Rings of each glued strip: along the named edges, or all round."""
    width = min(_GLUE_STRIP, contact.width / 2, contact.height / 2)
    if "all" in laid.piece.glue.edges:
        inner = contact.grown(-width)
        is_narrow = min(inner.width, inner.height) < 2 * _GLUE_STRIP
        yield (contact.ring,) if is_narrow else (contact.ring, inner.ring)
        return
    box = rect_of(laid.piece.face(laid.piece.by).box)
    depth = width / view.mapping.scale
    whole = {
        "left": Rect(box.left, box.bottom, box.left + depth, box.top),
        "right": Rect(box.right - depth, box.bottom, box.right, box.top),
        "bottom": Rect(box.left, box.bottom, box.right, box.bottom + depth),
        "top": Rect(box.left, box.top - depth, box.right, box.top),
    }
    done: list[Rect] = []
    for edge in laid.piece.glue.edges:
        strip = view.mapping.rect(laid.rect(whole[edge])).common(contact)
        for other in done:
            strip = strip and _shortened(strip, other)
        if strip is not None:
            done.append(strip)
            yield (strip.ring,)


def _shortened(strip: Rect, other: Rect) -> Rect:
    """The strip without the corner that another strip has hatched already."""
    if strip.common(other.grown(-0.01)) is None:
        return strip
    if strip.width > strip.height:
        left = other.right if other.centre[0] < strip.centre[0] else strip.left
        right = other.left if other.centre[0] > strip.centre[0] else strip.right
        return Rect(left, strip.bottom, right, strip.top)
    bottom = other.top if other.centre[1] < strip.centre[1] else strip.bottom
    top = other.bottom if other.centre[1] > strip.centre[1] else strip.top
    return Rect(strip.left, bottom, strip.right, top)

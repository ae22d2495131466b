"""Glue and keep-off areas of a new piece, hatched on paper.

In: a view and a laid piece.  Out: hatch lines on the canvas: a strip along each glued edge, or
all round, where the piece meets its host; areas to keep free are cross-hatched.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from builder.drawings.assembly_view import View, Work
from builder.drawings.canvas import Canvas
from builder.drawings.features import rect_of
from builder.drawings.hatching import GLUE, KEEP_OFF
from builder.drawings.placed_view import LaidPiece
from builder.drawings.plane import Place, Rect
from builder.drawings.styles import Line

#: How wide the rim of an area is hatched, and the least that a strip may be, in mm on paper.
_GLUE_STRIP, _NARROWEST_STRIP = 3.2, 1.4


def hatch_glue(
    canvas: Canvas,
    view: View,
    laid: LaidPiece,
    rings: Sequence[Sequence[Place]],
    strip_depth: Fraction,
) -> None:
    """Glue on the underside, where the piece meets its host, and areas to keep free of it; glue
    along single edges is ``strip_depth`` wide, in mm of the work."""
    glue = laid.piece.glue
    contacts = contacts_of(view, laid)
    if not glue.edges or not contacts:
        return
    dry = [view.mapping.rect(laid.rect(rect_of(box))).ring for box in glue.keep_off]
    for strip, host in _glue_strips(view, laid, contacts, strip_depth):
        # Where the host's corners are cut away there is nothing to glue to.
        outlines = [] if host is None else [(view.mapping.ring(host.rings[0]),)]
        canvas.hatch(GLUE, Line.GLUE, strip, [rings, *outlines], dry)
    for ring in dry:
        canvas.hatch(KEEP_OFF, Line.KEEP_OFF, [ring], [rings])
        canvas.outline(ring, Line.KEEP_OFF, "keep off")


#: A rectangle on paper where a piece is glued, and what of its host it is glued to there, if known.
_Contact = tuple[Rect, LaidPiece | None]


def contacts_of(view: View, laid: LaidPiece) -> list[_Contact]:
    """Where the piece is glued to its host, on paper: with the face that lies on one of the host's,
    or, when the work is closed, on each that shows under it; with its other faces where it is
    glued all over."""
    if not view.work.hosts_of(laid.piece.key):
        return [(view.mapping.rect(laid.face_rect(laid.piece.by)), None)]
    found = meetings(view.work, laid)
    if laid.piece.glue.is_all_over:
        found += _other_meetings(view.work, laid)
    return [(view.mapping.rect(shared), host) for host, shared in found]


def _other_meetings(work: Work, laid: LaidPiece) -> Iterator[tuple[LaidPiece, Rect]]:
    """Where the other faces of a folded piece, such as the flap of a lining, lie on other faces of
    its host."""
    host = work.host_of(laid.piece.key)
    if host is None or work.is_closed:
        return
    for own in laid.piece.faces:
        for face in host.piece.faces:
            if own.name == laid.piece.by or face.name == laid.piece.host_face:
                continue
            shared = laid.face_rect(own.name).common(host.face_rect(face.name))
            if shared is not None:
                yield host, shared


def meetings(work: Work, laid: LaidPiece) -> list[tuple[LaidPiece, Rect]]:
    """What of its host a piece lies on, the nearest first, and where, in the work."""
    own = laid.face_rect(laid.piece.by)
    found: list[tuple[LaidPiece, Rect]] = []
    for host in reversed(work.hosts_of(laid.piece.key)):
        shared = own.common(host.meeting_rect(laid.piece.host_face))
        for _, nearer in found:
            shared = shared and _without(shared, nearer)
        if shared is not None and not _is_between(work, host, laid, shared):
            found.append((host, shared))
    return found


def _is_between(work: Work, host: LaidPiece, laid: LaidPiece, shared: Rect) -> bool:
    """Whether something else lies between a piece and a face of its host, on the closed work."""
    if not work.is_closed:
        return False
    later = work.stack[work.stack.index(host) + 1 : work.stack.index(laid)]
    others = (item for item in later if item.piece.key != host.piece.key)
    return any(item.extent.holds(shared.centre) for item in others)


def _without(rect: Rect, taken: Rect) -> Rect | None:
    """What is left of a rectangle beside one that spans it; None if that is nothing."""
    if taken.contains(rect, 0.01):
        return None
    left, right, bottom, top = rect.left, rect.right, rect.bottom, rect.top
    if taken.left <= left + 0.01 and taken.right >= right - 0.01:
        bottom = max(bottom, taken.top) if taken.bottom <= bottom else bottom
        top = min(top, taken.bottom) if taken.top >= top else top
    elif taken.bottom <= bottom + 0.01 and taken.top >= top - 0.01:
        left = max(left, taken.right) if taken.left <= left else left
        right = min(right, taken.left) if taken.right >= right else right
    return Rect(left, bottom, right, top)


def is_hatched_along_rim(contact: Rect) -> bool:
    """Whether an area glued all over is too large to hatch but along its rim."""
    inner = contact.grown(-_GLUE_STRIP)
    return min(inner.width, inner.height) >= 2 * _GLUE_STRIP


def _glue_strips(
    view: View, laid: LaidPiece, contacts: Sequence[_Contact], strip_depth: Fraction
) -> Iterator[tuple[tuple[tuple[Place, ...], ...], LaidPiece | None]]:
    """Rings of each glued strip, along the named edges or all round, and what it is glued to."""
    if laid.piece.glue.is_all_over:
        for contact, host in contacts:
            inner = (contact.grown(-_GLUE_STRIP).ring,) if is_hatched_along_rim(contact) else ()
            yield (contact.ring, *inner), host
        return
    contact, host = contacts[0]
    # As wide as it is, so that it shows what room is left between the strips.
    true_width = max(float(strip_depth) * view.mapping.scale, _NARROWEST_STRIP)
    width = min(true_width, contact.width / 3, contact.height / 3)
    box = laid.piece.face(laid.piece.by).box
    depth = Fraction(width / view.mapping.scale)
    done: list[Rect] = []
    for edge in laid.piece.glue.strips:
        strip = view.mapping.rect(laid.rect(rect_of(box.strip(edge, depth)))).common(contact)
        for other in done:
            strip = strip and _shortened(strip, other)
        if strip is not None:
            done.append(strip)
            yield (strip.ring,), host


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


def glue_phrases(view: View) -> tuple[str, ...]:
    """The one phrase that says what the hatches of the drawing mean: of all that is new in it, in
    whatever panel."""
    kinds = set()
    for key in view.work.new:
        laid = view.work.laid(key)
        if laid.piece.glue.edges and (contacts := contacts_of(view, laid)):
            kinds.add(_hatched_kind(view, laid, contacts))
    for among, phrase in _HATCHED:
        if among <= kinds:
            return (phrase,)
    return ()


def _hatched_kind(view: View, laid: LaidPiece, contacts: Sequence[_Contact]) -> str:
    if not laid.piece.glue.is_all_over:
        return "named"
    # What lies on a piece hides its middle, and leaves the rim as well.
    later = [view.rect(item) for item in view.stack[view.stack.index(laid) + 1 :]]
    is_rim = any(
        is_hatched_along_rim(contact) or any(item.holds(contact.centre) for item in later)
        for contact, _ in contacts
    )
    return "rim" if is_rim else "whole"


#: The phrases for what is hatched along a rim, along named edges, or all over as it is small.
_HATCHED = (
    ({"rim", "named"}, "draw_hatched_mixed"),
    ({"rim"}, "draw_hatched_rim"),
    ({"named"}, "draw_hatched_strips"),
    ({"whole"}, "draw_hatched_strips"),
)

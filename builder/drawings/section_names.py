"""The names of a folded piece's sections, written inside them where there is room.

In: a piece and where its sections lie on paper.  Out: names on a canvas, and those that were left.
"""

from __future__ import annotations

from collections.abc import Callable

from builder.drawings.canvas import ENDS_APART, Canvas
from builder.drawings.features import hole_ring, rect_of
from builder.drawings.labels import NOTE_PT, inner_label
from builder.drawings.plane import Rect, bounding
from builder.drawings.wording import face_words
from builder.resolve.resolved import ResolvedPiece

#: White between a name and the folds and edges of its section, in mm, beside what lettering keeps
#: off all lines.
_BESIDE_FOLDS = 0.5


#: And between a name and a hole, where the leader of the hole's own size ends.
_BESIDE_HOLES = ENDS_APART + 1.5


def name_sections(
    canvas: Canvas,
    piece: ResolvedPiece,
    on_paper: Callable[[Rect], Rect | None],
    tab_name: str = "",
) -> list[tuple[Rect, str]]:
    """Names inside the sections; given back are those that find no room, with their section.

    ``on_paper`` maps a section's own rectangle, or says None where it is not on this paper.
    Glue tabs have no names of their own: they are called ``tab_name``, or nothing.
    """
    if len(piece.faces) < 2:
        return []
    tabs = {tab.name for tab in piece.source.tabs}
    left = []
    for face in piece.faces:
        box = on_paper(rect_of(face.box))
        name = tab_name if face.name in tabs else face_words(face.name)
        if box is None or not name:
            continue
        inside = box.grown(-_BESIDE_FOLDS)
        holes = _round_holes(piece, on_paper)
        # Beside a hole, on its own height, runs the leader of its size.
        beside = [Rect(inside.left, hole.bottom, inside.right, hole.top) for hole in holes]
        if not any(
            inner_label(canvas, inside, [name], NOTE_PT, clear_of=clear)
            for clear in ([*holes, *beside], holes)
        ):
            left.append((box, name))
    return left


def _round_holes(piece: ResolvedPiece, on_paper: Callable[[Rect], Rect | None]) -> list[Rect]:
    boxes = (on_paper(bounding(hole_ring(hole))) for hole in piece.holes)
    return [box.grown(_BESIDE_HOLES) for box in boxes if box is not None]

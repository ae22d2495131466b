"""What a piece drawing says in words within and beside the piece.

In: a piece on a canvas.  Out: sizes of openings, corners, tabs and notches, names of sections and
of the printed picture that it is cut round, each in a free place or with a leader.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from collections.abc import Mapping as Notes

from gatherfold.drawings.kernel.canvas import DOT, ENDS_APART, Canvas
from gatherfold.drawings.kernel.lettering import text_width
from gatherfold.drawings.kernel.plane import Mapping, Place, Rect, bounding
from gatherfold.drawings.kernel.styles import SMALLEST_LETTERING_PT
from gatherfold.drawings.kernel.wording import (
    corner_note,
    face_words,
    tab_label,
    thumb_notch_label,
    words_in,
)
from gatherfold.drawings.labels.labels import NOTE_PT, inner_label, note
from gatherfold.drawings.piece.words import hole_words
from gatherfold.drawings.views.features import (
    circle_across,
    corner_features,
    hole_ring,
    rect_of,
    section_corner_features,
    tab_features,
    thumb_notch_features,
)
from gatherfold.geometry import Box, Line, bounds
from gatherfold.lengths import UnitSystem
from gatherfold.resolve.resolved import Hole, ResolvedDesign, ResolvedPiece

#: The diameter on paper, in mm, that a hole is drawn with at least.
SMALLEST_HOLE = 1.8
#: The room for a leader between a hole and its size, in mm.
_LEADER = 6.0
#: The leaders of sections' names end so far from the middle of a hole, in mm.
_OFF_HOLES = 5.0
#: Notes keep so far from the names of sections, in mm: closer, the two would read as one.
_APART_FROM_NAMES = 2.0


def beside_rim(hole: Hole, mapping: Mapping, is_right: bool) -> Place:
    """Where a leader's dot touches a hole as it is drawn, off its centre lines."""
    x, y = mapping(float(hole.centre.x), float(hole.centre.y))
    radius = max(float(hole.diameter) * mapping.scale, SMALLEST_HOLE) / 2
    reach = (radius + DOT) * math.sqrt(0.5)
    return (x + reach if is_right else x - reach), y + reach


def _on_roomy_side(piece: ResolvedPiece, hole: Hole, mapping: Mapping, label: str) -> bool:
    """Whether the size of a hole is better written on its right: a leader from there crosses
    neither the hole nor more folds than it must.  Left of the piece stands its height."""
    room = float(hole.centre.x) * mapping.scale
    is_left_half = 2 * hole.centre.x < piece.width
    return is_left_half or room < text_width(label, NOTE_PT) + _LEADER


def name_motif(
    canvas: Canvas, piece: ResolvedPiece, box: Box | None, units: UnitSystem, mapping: Mapping
) -> None:
    """The printed picture that the piece is cut round, with its size."""
    if box is None or piece.motif is None:
        return
    name = piece.motif.title
    size = f"{units.number(box.width)} × {units.number(box.height)}"
    place = mapping.rect(rect_of(box))
    if not inner_label(canvas, place, [f"{name} {size}", name], NOTE_PT):
        x, y = place.centre
        sides = [(place.left, y), (place.right, y), (x, place.top), (x, place.bottom)]
        note(canvas, sides, f"{name} {size}")


def _along_middle(box: Rect, aside: float = 0.0) -> list[Place]:
    """Places along the longer middle line of a narrow box, from its centre outwards, or from one a
    few steps ``aside``, so that the leaders of several boxes pass each other's ends."""
    x, y = box.centre
    first = max(-0.42, min(0.15 * aside, 0.42))
    shares = sorted((0.0, 0.15, -0.15, 0.3, -0.3, 0.42, -0.42), key=lambda s: abs(s - first))
    shares = shares if first in shares else [first, *shares]
    if box.width > box.height:
        return [(x + share * box.width, y) for share in shares]
    return [(x, y + share * box.height) for share in shares]


def size_windows(canvas: Canvas, piece: ResolvedPiece, units: UnitSystem, mapping: Mapping) -> None:
    for window in piece.windows:
        exact = bounds(window)
        size = f"{units.number(exact.width)} × {units.number(exact.height)}"
        box = mapping.rect(rect_of(exact))
        words = words_in(units).phrase("draw_window", size=size)
        if not inner_label(canvas, box, [words, size], NOTE_PT):
            note(canvas, _along_middle(box), words)


def _along_edges(piece: ResolvedPiece, mapping: Mapping) -> list[Rect]:
    """Where a note would stand so near to an edge of the piece that it seems to touch it: along the
    edges that run level, upright or nearly so."""
    ends = [
        (
            mapping(*(float(at) for at in (e.start.x, e.start.y))),
            mapping(*(float(at) for at in (e.end.x, e.end.y))),
        )
        for e in piece.outline.edges
        if isinstance(e, Line)
    ]
    boxes = [bounding(pair) for pair in ends]
    return [box.grown(_OFF_EDGES) for box in boxes if min(box.width, box.height) < _STEEP]


#: Notes keep so far from the piece's edges, in mm; of slanting edges, those that reach no farther
#: to the side than this.
_OFF_EDGES, _STEEP = 0.9, 2.5


def draw_notes(
    canvas: Canvas,
    piece: ResolvedPiece,
    resolved: ResolvedDesign,
    mapping: Mapping,
    shunned: Sequence[Rect] = (),
) -> None:
    """The sections' names, then sizes of holes, corners, tabs and thumb notches: one note for all
    of one kind and size.

    The longest notes are placed first: they find room least easily.  Names that find none within
    their section get a leader at last.
    """
    before = len(canvas.lettered)
    narrow = name_sections(canvas, piece, mapping.rect)
    names = [rect.grown(_APART_FROM_NAMES) for rect in canvas.lettered[before:]]
    # Rather over a dimension line than beside a name: names count twice.
    avoided = [*names, *names, *shunned, *_along_edges(piece, mapping)]
    note_kinds(canvas, _notes(piece, resolved, mapping), avoided)
    # Nor may a name that comes later read as one with a note.
    sizes = [rect.grown(_APART_FROM_NAMES) for rect in canvas.lettered[before + len(names) :]]
    holes = [mapping(float(hole.centre.x), float(hole.centre.y)) for hole in piece.holes]
    for number, (box, name) in enumerate(narrow):
        places = _along_middle(box, number - (len(narrow) - 1) / 2)
        off_holes = [p for p in places if all(math.dist(p, at) > _OFF_HOLES for at in holes)]
        note(
            canvas,
            off_holes or places,
            name,
            size_pt=SMALLEST_LETTERING_PT,
            avoid=(*shunned, *sizes),
        )


def note_kinds(
    canvas: Canvas, notes: Notes[str, Sequence[Place]], avoid: Sequence[Rect] = ()
) -> None:
    """One note for all places of one kind and size, the longest first."""
    for label, places in sorted(notes.items(), key=lambda item: -len(item[0])):
        times = f"{len(places)} × " if len(places) > 1 else ""
        note(canvas, places[::-1], f"{times}{label}", avoid=avoid)


def notes_of(piece: ResolvedPiece, resolved: ResolvedDesign) -> int:
    """How many notes the piece has: one for all of one kind and size."""
    return len(_notes(piece, resolved, Mapping(1.0, 0.0, 0.0)))


def _notes(
    piece: ResolvedPiece, resolved: ResolvedDesign, mapping: Mapping
) -> dict[str, list[Place]]:
    """What to say of which places."""
    units = resolved.edition.units
    notes: dict[str, list[Place]] = {}
    is_circle = circle_across(piece) is not None
    corners = () if is_circle else (*corner_features(piece), *section_corner_features(piece))
    for feature in corners:
        words = corner_note(units, piece, feature)
        if words:
            notes.setdefault(words, []).append(mapping(*feature.inner))
    for hole in piece.holes:
        words = hole_words(resolved, hole)
        is_right = _on_roomy_side(piece, hole, mapping, words)
        notes.setdefault(words, []).append(beside_rim(hole, mapping, is_right))
    for tab in tab_features(piece):
        notes.setdefault(tab_label(units, tab), []).append(mapping(*tab.end))
    for notch in thumb_notch_features(piece):
        notes.setdefault(thumb_notch_label(units, notch), []).append(mapping(*notch.bottom))
    return notes


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

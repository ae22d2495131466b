"""What a piece drawing says in words within and beside the piece.

In: a piece on a canvas.  Out: sizes of openings, corners, tabs and notches, names of sections and
of the printed picture that it is cut round, each in a free place or with a leader.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from builder.drawings.canvas import DOT, Canvas
from builder.drawings.features import (
    corner_features,
    rect_of,
    section_corner_features,
    tab_features,
    thumb_notch_features,
)
from builder.drawings.labels import NOTE_PT, inner_label, note
from builder.drawings.plane import Mapping, Place, Rect
from builder.drawings.section_names import name_sections
from builder.drawings.styles import SMALLEST_LETTERING_PT
from builder.drawings.wording import (
    corner_note,
    hole_label,
    tab_label,
    thumb_notch_label,
    words_in,
)
from builder.geometry.outline import Box, bounds
from builder.lengths import UnitSystem
from builder.resolve.resolved import Hole, ResolvedPiece

#: The diameter on paper, in mm, that a hole is drawn with at least.
SMALLEST_HOLE = 1.8
#: Notes keep so far from the names of sections, in mm: closer, the two would read as one.
_APART_FROM_NAMES = 2.0


def beside_rim(hole: Hole, mapping: Mapping) -> Place:
    """Where a leader's dot touches a hole as it is drawn, off its centre lines."""
    x, y = mapping(float(hole.centre.x), float(hole.centre.y))
    radius = max(float(hole.diameter) * mapping.scale, SMALLEST_HOLE) / 2
    reach = (radius + DOT) * math.sqrt(0.5)
    return x - reach, y + reach


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


def _along_middle(box: Rect) -> list[Place]:
    """Places along the longer middle line of a narrow box, from its centre outwards."""
    x, y = box.centre
    shares = (0.0, 0.15, -0.15, 0.3, -0.3, 0.42, -0.42)
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


def draw_notes(
    canvas: Canvas,
    piece: ResolvedPiece,
    units: UnitSystem,
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
    avoided = [*names, *names, *shunned]
    notes = _notes(piece, units, mapping)
    for label, places in sorted(notes.items(), key=lambda item: -len(item[0])):
        times = f"{len(places)} × " if len(places) > 1 else ""
        note(canvas, places[::-1], f"{times}{label}", avoid=avoided)
    holes = [mapping(float(hole.centre.x), float(hole.centre.y)) for hole in piece.holes]
    for box, name in narrow:
        places = _along_middle(box)
        off_holes = [p for p in places if all(math.dist(p, at) > SMALLEST_HOLE for at in holes)]
        note(canvas, off_holes or places, name, size_pt=SMALLEST_LETTERING_PT, avoid=shunned)


def notes_of(piece: ResolvedPiece, units: UnitSystem) -> int:
    """How many notes the piece has: one for all of one kind and size."""
    return len(_notes(piece, units, Mapping(1.0, 0.0, 0.0)))


def _notes(piece: ResolvedPiece, units: UnitSystem, mapping: Mapping) -> dict[str, list[Place]]:
    """What to say of which places."""
    notes: dict[str, list[Place]] = {}
    for feature in (*corner_features(piece), *section_corner_features(piece)):
        words = corner_note(units, piece, feature)
        if words:
            notes.setdefault(words, []).append(mapping(*feature.inner))
    for hole in piece.holes:
        notes.setdefault(hole_label(units, hole), []).append(beside_rim(hole, mapping))
    for tab in tab_features(piece):
        notes.setdefault(tab_label(units, tab), []).append(mapping(*tab.end))
    for notch in thumb_notch_features(piece):
        notes.setdefault(thumb_notch_label(units, notch), []).append(mapping(*notch.bottom))
    return notes

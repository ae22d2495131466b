"""What is written within and beside a piece that is drawn or whose template is.

In: a piece on paper.  Out: sizes of openings, corners, tabs and notches, names of sections and of
the printed picture that it is cut round, placed together, each in a free place or with a leader.
"""

import math
from collections.abc import Iterator, Mapping as Notes, Sequence

from gatherfold.drawings.kernel.canvas import DOT, ENDS_APART, Canvas
from gatherfold.drawings.kernel.lettering import text_width
from gatherfold.drawings.kernel.plane import Place, Rect, bounding
from gatherfold.drawings.kernel.styles import SMALLEST_LETTERING_PT
from gatherfold.drawings.kernel.wording import (
    corner_note,
    face_words,
    tab_label,
    thumb_notch_label,
    words_of,
)
from gatherfold.drawings.labels.labels import NOTE_PT, inside, label, write_labels
from gatherfold.drawings.labels.placings import LabelLook, Mark, MarkPlace
from gatherfold.drawings.piece.laid import LaidPiece
from gatherfold.drawings.piece.words import hole_words
from gatherfold.drawings.views.features import (
    circle_across,
    corner_features,
    hole_ring,
    motif_box,
    rect_of,
    rim_place,
    section_corner_features,
    tab_features,
    thumb_notch_features,
)
from gatherfold.geometry import Segment, bounds
from gatherfold.resolve import Hole, ResolvedDesign

#: The room for a leader between a hole and its size, in mm.
_LEADER = 6.0
#: The leaders of sections' names end so far from the middle of a hole, in mm.
_OFF_HOLES = 5.0
_LOOK, _SMALL = LabelLook(NOTE_PT), LabelLook(SMALLEST_LETTERING_PT)


def label_drawing(
    canvas: Canvas, resolved: ResolvedDesign, laid: LaidPiece, shunned: Sequence[Rect]
) -> None:
    """Write names and sizes in the drawing of a piece: one note for all corners, holes, tabs and
    notches of one kind and size.  Notes keep off what is ``shunned``."""
    holes = [laid.place(hole.centre.x, hole.centre.y) for hole in laid.piece.holes]
    sections, marks = list(_sections(laid, "")), [*_openings(canvas, resolved, laid)]
    for number, (box, name) in enumerate(sections):
        places = _along_middle(box, number - (len(sections) - 1) / 2)
        off_holes = [p for p in places if all(math.dist(p, at) > _OFF_HOLES for at in holes)]
        within = _within(laid, box, name)
        marks.append(label(canvas, off_holes or places, [name], _SMALL, within, shunned))
    avoided = [*shunned, *_along_edges(laid)]
    write_labels(canvas, [*marks, *_kinds(canvas, notes_of(laid, resolved), avoided)])


def label_template(canvas: Canvas, resolved: ResolvedDesign, laid: LaidPiece) -> None:
    """Write in a template the names of its sections that there is room for, the diameters of its
    holes and the name of the printed picture."""
    marks = []
    motif, box = laid.piece.motif, motif_box(laid.piece, resolved.edition.grid)
    seen = laid.shown(rect_of(box)) if box is not None else None
    if motif is not None and seen is not None:
        ends = [(seen.left, seen.centre[1])]
        marks.append(label(canvas, ends, [motif.title], _LOOK, inside(seen, [motif.title], _LOOK)))
    notes: dict[str, list[Place]] = {}
    for hole in laid.piece.holes:
        place = laid.place(*rim_place(hole))
        if laid.window.holds(place):
            notes.setdefault(hole_words(resolved, hole), []).append(place)
    tab = words_of(resolved).phrase("draw_tab_word")
    named = [list(_within(laid, box, name)) for box, name in _sections(laid, tab)]
    sections = [Mark("section", places) for places in named if places]
    write_labels(canvas, [*marks, *_kinds(canvas, notes)], sections)


def _openings(canvas: Canvas, resolved: ResolvedDesign, laid: LaidPiece) -> Iterator[Mark]:
    """The sizes of windows, and of the printed picture that the piece is cut round."""
    units, wording = resolved.edition.units, words_of(resolved)
    motif, picture = laid.piece.motif, motif_box(laid.piece, resolved.edition.grid)
    opened = [(bounds(window), "") for window in laid.piece.windows]
    if motif is not None and picture is not None:
        opened.append((picture, motif.title))
    for exact, name in opened:
        size = f"{units.number(exact.width)} × {units.number(exact.height)}"
        words = f"{name} {size}" if name else wording.phrase("draw_window", size=size)
        box = laid.rect(rect_of(exact))
        x, y = box.centre
        sides = [(box.left, y), (box.right, y), (x, box.top), (x, box.bottom)]
        targets = sides if name else _along_middle(box)
        yield label(canvas, targets, [words], _LOOK, inside(box, [words, name or size], _LOOK))


def _kinds(
    canvas: Canvas, notes: Notes[str, Sequence[Place]], avoid: Sequence[Rect] = ()
) -> Iterator[Mark]:
    """One note for all places of one kind and size, the longest first: they find room least
    easily."""
    for words, places in sorted(notes.items(), key=lambda item: -len(item[0])):
        times = f"{len(places)} × " if len(places) > 1 else ""
        yield label(canvas, places[::-1], [f"{times}{words}"], _LOOK, avoid=avoid)


def notes_of(laid: LaidPiece, resolved: ResolvedDesign) -> dict[str, list[Place]]:
    """What to say of which places: one note for all of one kind and size."""
    units, piece = resolved.edition.units, laid.piece
    notes: dict[str, list[Place]] = {}
    is_circle = circle_across(piece) is not None
    corners = () if is_circle else (*corner_features(piece), *section_corner_features(piece))
    for feature in corners:
        words = corner_note(units, piece, feature)
        if words:
            notes.setdefault(words, []).append(laid.place(*feature.inner))
    for hole in piece.holes:
        words = hole_words(resolved, hole)
        notes.setdefault(words, []).append(_beside_rim(laid, hole, words))
    for tab in tab_features(piece):
        notes.setdefault(tab_label(units, tab), []).append(laid.place(*tab.end))
    for notch in thumb_notch_features(piece):
        notes.setdefault(thumb_notch_label(units, notch), []).append(laid.place(*notch.bottom))
    return notes


def _beside_rim(laid: LaidPiece, hole: Hole, words: str) -> Place:
    """Where a leader's dot touches a hole as it is drawn, off its centre lines; on its right where
    a leader from there crosses neither the hole nor more folds than it must, as left of the piece
    stands its height."""
    x, y = laid.place(hole.centre.x, hole.centre.y)
    room = float(hole.centre.x) * laid.scale
    is_left_half = 2 * hole.centre.x < laid.piece.width
    is_right = is_left_half or room < text_width(words, NOTE_PT) + _LEADER
    reach = (laid.radius(hole) + DOT) * math.sqrt(0.5)
    return (x + reach if is_right else x - reach), y + reach


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


def _along_edges(laid: LaidPiece) -> list[Rect]:
    """Where a note would stand so near to an edge of the piece that it seems to touch it: along the
    edges that run level, upright or nearly so."""
    lines = [edge for edge in laid.piece.outline.edges if isinstance(edge, Segment)]
    ends = [[laid.place(at.x, at.y) for at in (line.start, line.end)] for line in lines]
    boxes = [bounding(pair) for pair in ends]
    return [box.grown(_OFF_EDGES) for box in boxes if min(box.width, box.height) < _STEEP]


#: Notes keep so far from the piece's edges, in mm; of slanting edges, those that reach no farther
#: to the side than this.
_OFF_EDGES, _STEEP = 0.9, 2.5


def _sections(laid: LaidPiece, tab_name: str) -> Iterator[tuple[Rect, str]]:
    """What the paper shows of each section that has a name.  Glue tabs have none of their own: they
    are called ``tab_name``, or nothing."""
    tabs = {tab.name for tab in laid.piece.source.tabs}
    for face in laid.piece.faces if len(laid.piece.faces) > 1 else ():
        box = laid.shown(rect_of(face.box))
        name = tab_name if face.name in tabs else face_words(face.name)
        if box is not None and name:
            yield box, name


def _within(laid: LaidPiece, section: Rect, name: str) -> Iterator[MarkPlace]:
    """Where the name can stand in its section: best not beside a hole, on its own height, where the
    leader of its size runs."""
    box = section.grown(-_BESIDE_FOLDS)
    rings = (laid.shown(bounding(hole_ring(hole))) for hole in laid.piece.holes)
    holes = [ring.grown(_BESIDE_HOLES) for ring in rings if ring is not None]
    beside = [Rect(box.left, hole.bottom, box.right, hole.top) for hole in holes]
    yield from inside(box, [name], _LOOK, clear_of=[*holes, *beside])
    yield from inside(box, [name], _LOOK, _NEAR_HOLE, holes)


#: White between a name and the folds and edges of its section, in mm, beside what lettering keeps
#: off all lines; and between a name and a hole, where the leader of the hole's own size ends.
_BESIDE_FOLDS, _BESIDE_HOLES = 0.5, ENDS_APART + 1.5
#: What it costs a name to stand beside a hole.
_NEAR_HOLE = 10.0

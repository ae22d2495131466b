"""What every template page carries: what to cut in words, marks within a piece, a bar to check
the print.

In: a piece or an edition.  Out: words, or items on a canvas.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from fractions import Fraction

from gatherfold.drawings.kernel.canvas import Canvas
from gatherfold.drawings.kernel.lettering import centred_text, text_rect
from gatherfold.drawings.kernel.plane import Place, Rect, bounding, clipped_run, ring_holds
from gatherfold.drawings.kernel.scene import Text
from gatherfold.drawings.kernel.styles import FOLD_LINES, GREY_TEXT, Line
from gatherfold.drawings.kernel.wording import (
    FOLD_LETTERS,
    count_words,
    side_words,
    spoken_length,
    spoken_size,
    words_in,
    words_of,
)
from gatherfold.drawings.labels.labels import NOTE_PT, inner_label, note
from gatherfold.drawings.labels.print_arrow import arrow_along, two_headed_arrow
from gatherfold.drawings.legend.drawing import calibration_bar
from gatherfold.drawings.piece.notes import name_sections
from gatherfold.drawings.piece.words import hole_words, motif_place
from gatherfold.drawings.views.features import (
    FINE,
    circle_across,
    motif_box,
    outline_ring,
    piece_rings,
    rect_of,
    rim_place,
    score_run,
)
from gatherfold.geometry import Axis, is_vertical, other_axis
from gatherfold.lengths import IMPERIAL_UNITS, INCH, METRIC_UNITS
from gatherfold.model.choices import has_direction
from gatherfold.plans import along_grain, grain_axis, is_quarter_turned, way_round
from gatherfold.resolve.edition import Edition
from gatherfold.resolve.resolved import ResolvedDesign, ResolvedPiece
from gatherfold.wording import Wording

#: Height of the strip at the foot of a page that the bar stands in.
FOOTER = Fraction(9)
#: The piece's own places on paper.
OnPage = Callable[[Sequence[Place]], list[Place]]


def label_words(
    pieces: Sequence[ResolvedPiece], resolved: ResolvedDesign, turned: bool
) -> list[str]:
    """What a template says under its title: count, size, stock, side, grain and print.

    All are made as the first, which is drawn.  A piece that is drawn ``turned`` by a quarter keeps
    its width and height; it is said so.
    """
    wording, piece = words_of(resolved), pieces[0]
    size, across = size_words(resolved, piece), circle_across(piece)
    if across is not None:
        length = spoken_length(resolved.edition.units, across)
        size = wording.phrase("draw_circle", across=length)
    return [
        count_words(pieces, wording),
        wording.phrase("draw_on_its_side", size=size) if turned else size,
        *side_words(piece, wording),
        *motif_place(piece, resolved, "draw_motif_at"),
        *_grain_words(piece, wording),
        *([wording.phrase("draw_arrow")] if has_way_up(piece) else []),
    ]


def trace_piece(canvas: Canvas, piece: ResolvedPiece, on_page: OnPage, window: Rect) -> None:
    """A piece's edges and scores, as far as they lie in the window."""
    shown = window.grown(0.001)
    for ring in piece_rings(piece, FINE):
        runs = clipped_run(on_page((*ring, ring[0])), shown)
        canvas.strokes(runs, Line.VISIBLE, "outline")
    for score in piece.scores:
        runs = clipped_run(on_page(score_run(score)), shown)
        canvas.strokes(runs, FOLD_LINES[score.fold], "score")


def mark_piece(
    canvas: Canvas,
    piece: ResolvedPiece,
    resolved: ResolvedDesign,
    on_page: OnPage,
    window: Rect,
    turned: bool,
    inset: float,
) -> None:
    """Whatever stands within a piece's outline, as far as that lies in the window: letters of its
    folds, arrows, the names of its sections, the diameters of its holes, the printed picture."""
    _mark_motif(canvas, piece, resolved, on_page, window)
    for score in piece.scores:
        fold_letter(canvas, on_page(score_run(score)), FOLD_LETTERS[score.fold], window, inset)
    direction_arrows(canvas, piece, on_page(outline_ring(piece.outline)), window, turned)

    def section(box: Rect) -> Rect | None:
        return bounding(on_page(box.ring)).common(window)

    name_sections(canvas, piece, section, words_of(resolved).phrase("draw_tab_word"))
    holes: dict[str, list[Place]] = {}
    for hole in piece.holes:
        (place,) = on_page([rim_place(hole)])
        if window.holds(place):
            holes.setdefault(hole_words(resolved, hole), []).append(place)
    for label, places in holes.items():
        times = f"{len(places)} × " if len(places) > 1 else ""
        note(canvas, places, f"{times}{label}")


def _mark_motif(
    canvas: Canvas, piece: ResolvedPiece, resolved: ResolvedDesign, on_page: OnPage, window: Rect
) -> None:
    """A thin line round the place of the printed picture, so that the template is laid on it."""
    box = motif_box(piece, resolved.edition.grid)
    if box is None or piece.motif is None:
        return
    ring = on_page(rect_of(box).ring)
    canvas.strokes(clipped_run((*ring, ring[0]), window), Line.FAINT, "printed picture")
    seen = bounding(ring).common(window)
    if seen is not None and not inner_label(canvas, seen, [piece.motif.title], NOTE_PT):
        note(canvas, [(seen.left, seen.centre[1])], piece.motif.title)


def has_way_up(piece: ResolvedPiece) -> bool:
    """Whether the print of the piece's side has an upright direction: that of the piece itself."""
    return piece.stock.source.two_sided and has_direction(piece.printed_side.print)


def fold_letter(
    canvas: Canvas, run: Sequence[Place], letter: str, window: Rect, inset: float = 4.0
) -> None:
    """The fold's letter beside its line where there is room, on every tile that shows a stretch of
    the line; ``inset`` is the border of a tile that another one covers."""
    stretch = next(iter(clipped_run(run, window.grown(-inset))), None)
    if stretch is None:
        return
    (x0, y0), (x1, y1) = stretch
    middle = ((x0 + x1) / 2, (y0 + y1) / 2)
    is_upright = abs(x0 - x1) < 1e-6
    for share in (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8):
        x, y = x0 + share * (x1 - x0), y0 + share * (y1 - y0)
        for away in (2.2, -2.2):
            dx, dy = (away, 0.0) if is_upright else (0.0, away)
            text = centred_text(letter, x + dx, y + dy, 8.0, bold=True)
            if window.contains(text_rect(text)) and canvas.is_free(text_rect(text)):
                canvas.text(text)
                return
    if math.dist(*stretch) >= _STRETCH:
        note(canvas, [middle], letter, size_pt=8.0, bold=True)


#: On a tile, less of a fold than this needs no leader: the tile beside it has the letter.
_STRETCH = 10.0


def size_words(resolved: ResolvedDesign, piece: ResolvedPiece) -> str:
    return spoken_size(resolved.edition.units, piece.width, piece.height)


def _grain_words(piece: ResolvedPiece, wording: Wording) -> list[str]:
    """How the grain runs, where it matters: told by the folds, because a sheet may be square."""
    axis = grain_in(piece)
    if axis is None:
        return []
    is_along = axis == piece.scores[0].axis
    return [wording.phrase("draw_grain_along" if is_along else "draw_grain_across")]


def grain_in(piece: ResolvedPiece) -> Axis | None:
    """The axis of a folded piece that the grain runs along, as the piece is laid on its sheet.

    None where the grain does not matter, because the piece has no folds or folds both ways, or
    where the stock states none or the piece may be laid either way.
    """
    axis, way = grain_axis(piece.stock), way_round(piece)
    if axis is None or along_grain(piece) is None or way is None:
        return None
    return other_axis(axis) if is_quarter_turned(way) else axis


def direction_arrows(
    canvas: Canvas, piece: ResolvedPiece, outline: Sequence[Place], window: Rect, turned: bool
) -> None:
    """Thin arrows within a piece's outline on paper, each where there is a free place: one along
    its print's upright direction, one with two heads along the grain."""
    if has_way_up(piece):
        place = free_line(canvas, outline, window, not turned)
        if place is not None:
            start, tip = place if not turned else (place[1], place[0])
            arrow_along(canvas, start, tip, Line.DIMENSION)
    axis = grain_in(piece)
    if axis is not None:
        place = free_line(canvas, outline, window, is_vertical(axis) != turned)
        if place is not None:
            two_headed_arrow(canvas, *place)


def free_line(
    canvas: Canvas, outline: Sequence[Place], window: Rect, is_upright: bool
) -> tuple[Place, Place] | None:
    """A short line inside the outline and clear of all else, from its lower or left end."""
    room = bounding(outline).common(window)
    if room is None:
        return None
    half = min(_ARROW, max(room.height if is_upright else room.width, 6.0) / 2 - 1.5)
    wide, high = (1.6, half) if is_upright else (half, 1.6)
    for share_x, share_y in _ARROW_PLACES:
        x, y = room.left + share_x * room.width, room.bottom + share_y * room.height
        box = Rect(x - wide, y - high, x + wide, y + high)
        is_inside = all(ring_holds(outline, corner) for corner in box.ring)
        if is_inside and room.contains(box) and canvas.is_free(box):
            canvas.keep_free(box)
            return ((x, y - half), (x, y + half)) if is_upright else ((x - half, y), (x + half, y))
    return None


_ARROW = 6.0
_ARROW_PLACES = tuple(
    (x, y) for y in (0.5, 0.35, 0.65, 0.2, 0.8) for x in (0.5, 0.3, 0.7, 0.15, 0.85)
)


def footer(canvas: Canvas, edition: Edition) -> None:
    """Bars to check the print's size in both units, the edition's own first."""
    wording = words_in(edition.units)
    bars = [(IMPERIAL_UNITS, 2 * INCH, 4), (METRIC_UNITS, Fraction(50), 5)]
    bars.sort(key=lambda bar: bar[0].is_inch != edition.units.is_inch)
    x = 0.5
    for units, length, parts in bars:
        calibration_bar(canvas, x, 1.0, units, length, parts, wording)
        x += float(length) + 6.0
    words = wording.phrase("draw_actual_size")
    canvas.text(Text(words, x, 1.0, NOTE_PT, "start", colour=GREY_TEXT))

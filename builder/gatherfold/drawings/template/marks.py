"""What every template page carries: what to cut in words, marks within a piece, a bar to check
the print.

In: a piece or an edition.  Out: words, or items on a canvas.
"""

import math
from collections.abc import Sequence
from fractions import Fraction
from itertools import product

from gatherfold.drawings.kernel.canvas import Canvas
from gatherfold.drawings.kernel.lettering import text_rect
from gatherfold.drawings.kernel.plane import Place, Rect, bounding, clipped_run, ring_holds
from gatherfold.drawings.kernel.scene import Text
from gatherfold.drawings.kernel.styles import GREY_TEXT, Line
from gatherfold.drawings.kernel.wording import (
    FOLD_LETTERS,
    count_words,
    side_words,
    spoken_length,
    spoken_size,
    words_in,
    words_of,
)
from gatherfold.drawings.labels.labels import NOTE_PT, label, write_labels
from gatherfold.drawings.labels.placings import LabelLook
from gatherfold.drawings.labels.print_arrow import arrow_along, two_headed_arrow
from gatherfold.drawings.legend.drawing import bars_of, calibration_bar
from gatherfold.drawings.piece.laid import LaidPiece
from gatherfold.drawings.piece.notes import label_template
from gatherfold.drawings.piece.words import motif_place
from gatherfold.drawings.views.features import (
    circle_across,
    outline_ring,
    score_run,
)
from gatherfold.geometry import Axis, is_vertical, other_axis
from gatherfold.model import has_direction
from gatherfold.plans import along_grain, grain_axis, is_quarter_turned, way_round
from gatherfold.resolve import Edition, ResolvedDesign, ResolvedPiece, Score
from gatherfold.wording import Wording

#: Height of the strip at the foot of a page that the bar stands in.
FOOTER = Fraction(9)


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


def mark_piece(canvas: Canvas, resolved: ResolvedDesign, laid: LaidPiece) -> None:
    """Whatever stands within a piece's outline, as far as that lies in the window: letters of its
    folds, arrows, names and diameters."""
    for score in laid.piece.scores:
        _fold_letter(canvas, laid, score)
    direction_arrows(canvas, laid)
    label_template(canvas, resolved, laid)


def has_way_up(piece: ResolvedPiece) -> bool:
    """Whether the print of the piece's side has an upright direction: that of the piece itself."""
    return piece.stock.source.two_sided and has_direction(piece.printed_side.print)


def _fold_letter(canvas: Canvas, laid: LaidPiece, score: Score) -> None:
    """The fold's letter beside its line where there is room, on every page that shows a stretch of
    the line."""
    letter, run = FOLD_LETTERS[score.fold], laid.ring(score_run(score))
    stretch = next(iter(clipped_run(run, laid.window.grown(-laid.border))), None)
    if stretch is None:
        return
    (x0, y0), (x1, y1) = stretch
    is_upright = score.is_vertical != laid.turned
    for share, away in product((0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8), (2.2, -2.2)):
        x, y = x0 + share * (x1 - x0), y0 + share * (y1 - y0)
        dx, dy = (away, 0.0) if is_upright else (0.0, away)
        text = _LETTER.at(letter, x + dx, y + dy)
        if laid.window.contains(text_rect(text)) and canvas.is_free(text_rect(text)):
            canvas.text(text)
            return
    if math.dist(*stretch) >= _STRETCH:
        middle = (x0 + x1) / 2, (y0 + y1) / 2
        write_labels(canvas, [label(canvas, [middle], [letter], _LETTER)])


_LETTER = LabelLook(8.0, bold=True)
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


def direction_arrows(canvas: Canvas, laid: LaidPiece) -> None:
    """Thin arrows within a piece's outline on paper, each where there is a free place: one along
    its print's upright direction, one with two heads along the grain."""
    if has_way_up(laid.piece):
        place = _free_line(canvas, laid, not laid.turned)
        if place is not None:
            start, tip = place if not laid.turned else (place[1], place[0])
            arrow_along(canvas, start, tip, Line.DIMENSION)
    axis = grain_in(laid.piece)
    if axis is not None:
        place = _free_line(canvas, laid, is_vertical(axis) != laid.turned)
        if place is not None:
            two_headed_arrow(canvas, *place)


def _free_line(canvas: Canvas, laid: LaidPiece, is_upright: bool) -> tuple[Place, Place] | None:
    """A short line inside the outline and clear of all else, from its lower or left end."""
    outline = laid.ring(outline_ring(laid.piece.outline))
    room = bounding(outline).common(laid.window)
    if room is None:
        return None
    half = min(_ARROW, max(room.height if is_upright else room.width, 6.0) / 2 - 1.5)
    wide, high = (1.6, half) if is_upright else (half, 1.6)
    for share_y, share_x in product(_UPWARD, _ACROSS):
        x, y = room.left + share_x * room.width, room.bottom + share_y * room.height
        box = Rect(x - wide, y - high, x + wide, y + high)
        is_inside = all(ring_holds(outline, corner) for corner in box.ring)
        if is_inside and room.contains(box) and canvas.is_free(box):
            canvas.keep_free(box)
            return ((x, y - half), (x, y + half)) if is_upright else ((x - half, y), (x + half, y))
    return None


_ARROW = 6.0
_UPWARD, _ACROSS = (0.5, 0.35, 0.65, 0.2, 0.8), (0.5, 0.3, 0.7, 0.15, 0.85)


def footer(canvas: Canvas, edition: Edition) -> None:
    """Bars to check the print's size in both units, the edition's own first."""
    x = 0.5
    for bar in bars_of(edition, Fraction(50), 2):
        calibration_bar(canvas, x, 1.0, bar, edition)
        x += float(bar.length) + 6.0
    words = words_in(edition.units).phrase("draw_actual_size")
    canvas.text(Text(words, x, 1.0, NOTE_PT, "start", colour=GREY_TEXT))

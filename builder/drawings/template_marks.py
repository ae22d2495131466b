"""What every template page carries: fold letters, sizes in words, a bar to check the print.

In: a piece or an edition.  Out: words, or items on a canvas.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from builder.drawings.canvas import Canvas
from builder.drawings.conventions import calibration_bar
from builder.drawings.dimensions import arrowhead
from builder.drawings.labels import NOTE_PT, note
from builder.drawings.lettering import centred_text, text_rect, text_width
from builder.drawings.plane import Place, Rect, bounding, ring_holds
from builder.drawings.scene import Text
from builder.drawings.styles import GREY_TEXT, Line
from builder.drawings.wording import side_words, spoken_size, words_in, words_of
from builder.lengths import IMPERIAL_UNITS, INCH, METRIC_UNITS
from builder.resolve.edition import Edition
from builder.resolve.resolved import ResolvedDesign, ResolvedPiece
from builder.sheet_places import grain_axis, way_round
from builder.wording import Wording

#: Height of the strip at the foot of a page that the bar stands in.
FOOTER = Fraction(9)


def label_words(piece: ResolvedPiece, resolved: ResolvedDesign) -> list[str]:
    """What a template says under its title: count, size, stock, side, grain and print."""
    wording = words_of(resolved)
    return [
        wording.phrase("draw_cut_count", count=piece.source.count),
        size_words(resolved, piece),
        *side_words(piece, wording),
        *_grain_words(piece, wording),
        *([wording.phrase("draw_arrow")] if has_direction(piece) else []),
    ]


def wrapped(words: Sequence[str], room: float, most_lines: int) -> tuple[str, ...]:
    """The words in lines that fit ``room`` mm, as many as there may be; the last takes the rest."""
    lines = [words[0]]
    for word in words[1:]:
        longer = f"{lines[-1]} · {word}"
        if text_width(longer, NOTE_PT) <= room or len(lines) == most_lines:
            lines[-1] = longer
        else:
            lines.append(word)
    return tuple(lines)


def has_direction(piece: ResolvedPiece) -> bool:
    """Whether the print of the piece's side has an upright direction: that of the piece itself."""
    return piece.stock.source.two_sided and piece.printed_side.print != "any"


def fold_letter(
    canvas: Canvas, run: Sequence[Place], letter: str, window: Rect, inset: float = 4.0
) -> None:
    """The fold's letter beside its line where there is room, on the tile of the line's middle."""
    (x0, y0), (x1, y1) = run
    middle = ((x0 + x1) / 2, (y0 + y1) / 2)
    if not window.grown(-inset).holds(middle):
        return
    is_upright = abs(x0 - x1) < 1e-6
    for share in (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8):
        x, y = x0 + share * (x1 - x0), y0 + share * (y1 - y0)
        for away in (2.2, -2.2):
            dx, dy = (away, 0.0) if is_upright else (0.0, away)
            text = centred_text(letter, x + dx, y + dy, 8.0, bold=True)
            if window.contains(text_rect(text)) and canvas.is_free(text_rect(text)):
                canvas.text(text)
                return
    note(canvas, [middle], letter, size_pt=8.0, bold=True)


def size_words(resolved: ResolvedDesign, piece: ResolvedPiece) -> str:
    return spoken_size(resolved.edition.units, piece.width, piece.height)


def _grain_words(piece: ResolvedPiece, wording: Wording) -> list[str]:
    """Which way the sheet's grain runs, where the stock states it."""
    grain = piece.stock.source.grain
    if grain == "any":
        return []
    words = wording.phrase(f"draw_grain_{grain}")
    return [wording.phrase("draw_grain_arrow", grain=words) if grain_in(piece) else words]


def grain_in(piece: ResolvedPiece) -> str:
    """The axis of the piece that the grain runs along, as the piece is laid on its sheet; empty
    where the stock states no grain or the piece may be laid either way."""
    axis, way = grain_axis(piece.stock), way_round(piece)
    if not axis or way == "either":
        return ""
    other = {"vertical": "horizontal", "horizontal": "vertical"}[axis]
    return axis if way == "upright" else other


def direction_arrows(
    canvas: Canvas, piece: ResolvedPiece, outline: Sequence[Place], window: Rect, turned: bool
) -> None:
    """Thin arrows within a piece's outline on paper, each where there is a free place: one along
    its print's upright direction, one with two heads along the grain."""
    if has_direction(piece):
        place = _free_line(canvas, outline, window, not turned)
        if place is not None:
            start, tip = place if not turned else (place[1], place[0])
            _arrow(canvas, start, tip, "print direction")
    axis = grain_in(piece)
    if axis:
        place = _free_line(canvas, outline, window, (axis == "vertical") != turned)
        if place is not None:
            _arrow(canvas, *place, "grain")
            arrowhead(canvas, place[0], *_way(place[1], place[0]), _GRAIN_HEAD)


def _free_line(
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


def _arrow(canvas: Canvas, start: Place, tip: Place, subject: str) -> None:
    """Thin, so that nobody takes it for an edge."""
    canvas.strokes([(start, tip)], Line.DIMENSION, subject)
    arrowhead(canvas, tip, *_way(start, tip), 2.0 if subject == "print direction" else _GRAIN_HEAD)


def _way(start: Place, tip: Place) -> tuple[int, int]:
    """The direction of a level or upright line: 1, 0 or -1 both ways."""
    dx, dy = tip[0] - start[0], tip[1] - start[1]
    return (dx > 0) - (dx < 0), (dy > 0) - (dy < 0)


_GRAIN_HEAD = 1.5
_ARROW = 6.0
_ARROW_PLACES = tuple(
    (x, y) for y in (0.5, 0.35, 0.65, 0.2, 0.8) for x in (0.5, 0.3, 0.7, 0.15, 0.85)
)


def footer(canvas: Canvas, edition: Edition) -> None:
    """Bars to check the print's size in both units, the edition's own first."""
    wording = words_in(edition.units)
    bars = [(IMPERIAL_UNITS, 2 * INCH, 4), (METRIC_UNITS, Fraction(50), 5)]
    if edition.units.unit == "mm":
        bars.reverse()
    x = 0.5
    for units, length, parts in bars:
        calibration_bar(canvas, x, 1.0, units, length, parts, wording)
        x += float(length) + 6.0
    words = wording.phrase("draw_actual_size")
    canvas.text(Text(words, x, 1.0, NOTE_PT, "start", colour=GREY_TEXT))

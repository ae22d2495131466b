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
from builder.drawings.wording import side_sentence, spoken_size
from builder.lengths import INCH
from builder.resolve.edition import Edition
from builder.resolve.resolved import ResolvedDesign, ResolvedPiece

#: Height of the strip at the foot of a page that the bar stands in.
FOOTER = Fraction(9)


def label_words(piece: ResolvedPiece, resolved: ResolvedDesign) -> list[str]:
    """What a template says under its title: count, size, stock, side, grain and print."""
    return [
        f"cut {piece.source.count}",
        size_words(resolved, piece),
        *side_sentence(piece).split(", "),
        *_grain_words(piece),
        *(["arrow: the print’s upright direction"] if has_direction(piece) else []),
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


def _grain_words(piece: ResolvedPiece) -> list[str]:
    """Which way the sheet's grain runs, where the stock states it."""
    grain = piece.stock.source.grain
    return [] if grain == "any" else [f"grain along the sheet’s {grain} side"]


def direction_arrow(canvas: Canvas, outline: Sequence[Place], window: Rect, turned: bool) -> None:
    """An arrow along the piece's own upright direction where there is a free place within its
    outline; on a piece turned by a quarter it points to the left."""
    room = bounding(outline).common(window)
    if room is None:
        return
    half = min(_ARROW, max(room.width if turned else room.height, 6.0) / 2 - 1.5)
    dx, dy = (-1, 0) if turned else (0, 1)
    wide, high = (half, 1.6) if turned else (1.6, half)
    for share_x, share_y in _ARROW_PLACES:
        x, y = room.left + share_x * room.width, room.bottom + share_y * room.height
        box = Rect(x - wide, y - high, x + wide, y + high)
        is_inside = all(ring_holds(outline, corner) for corner in box.ring)
        if is_inside and room.contains(box) and canvas.is_free(box):
            break
    else:
        return
    tip = (x + dx * half, y + dy * half)
    # Thin, so that nobody takes it for an edge.
    canvas.strokes([((x - dx * half, y - dy * half), tip)], Line.DIMENSION, "print direction")
    arrowhead(canvas, tip, dx, dy, 2.0)
    canvas.keep_free(box)


_ARROW = 6.0
_ARROW_PLACES = tuple(
    (x, y) for y in (0.5, 0.35, 0.65, 0.2, 0.8) for x in (0.5, 0.3, 0.7, 0.15, 0.85)
)


def footer(canvas: Canvas, edition: Edition) -> None:
    """Bars to check the print's size in both units, the edition's own first."""
    bars = [("2 in", 2 * INCH, 4), ("50 mm", Fraction(50), 5)]
    if edition.units.unit == "mm":
        bars.reverse()
    x = 0.5
    for text, length, parts in bars:
        calibration_bar(canvas, x, 1.0, text, length, parts)
        x += float(length) + 6.0
    canvas.text(Text("print at actual size (100 %)", x, 1.0, NOTE_PT, "start", colour=GREY_TEXT))

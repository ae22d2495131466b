"""True-size templates of pieces that are not plain rectangles, in tiles where they must be.

In: a resolved design, a piece, the printable area in mm.  Out: one scene for each page, exactly
that large, the piece drawn 1:1.  Tiles overlap by 10 mm; crosses at the corners of the overlap
register one tile on the next.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from builder.drawings.canvas import Canvas
from builder.drawings.conventions import calibration_bar
from builder.drawings.features import piece_rings, score_run
from builder.drawings.labels import NOTE_PT, note
from builder.drawings.lettering import centred_text, text_rect, text_width
from builder.drawings.piece_drawing import FOLD_LINES
from builder.drawings.plane import Place, Rect, clipped_run
from builder.drawings.scene import Scene, Text
from builder.drawings.styles import GREY_TEXT, Fill, Line
from builder.drawings.wording import FOLD_LETTERS, side_sentence, spoken_size
from builder.lengths import INCH
from builder.resolve.resolved import ResolvedDesign, ResolvedPiece

OVERLAP = Fraction(10)
HEADER = Fraction(13)
FOOTER = Fraction(9)
_MARGIN = Fraction(4)
_CROSS = 3.0


@dataclass(frozen=True)
class Tiling:
    """How a piece lies on pages; ``turned`` by a quarter turn, tiles in rows from the top."""

    turned: bool
    columns: int
    rows: int
    window_width: Fraction
    window_height: Fraction

    @property
    def count(self) -> int:
        return self.columns * self.rows


def needs_template(piece: ResolvedPiece) -> bool:
    """Whether a piece is worth a template: a shaped outline, or windows to cut."""
    return len(piece.outline.edges) > 4 or bool(piece.windows)


def template_scenes(
    resolved: ResolvedDesign, piece_key: str, page_width: float, page_height: float
) -> tuple[Scene, ...]:
    """The pages of one piece's template, in rows from the top left."""
    piece = resolved.pieces[piece_key]
    width, height = Fraction(page_width), Fraction(page_height)
    tiling = tiling_for(piece.width, piece.height, width, height)
    return tuple(
        _tile(resolved, piece, tiling, row, column, float(width), float(height))
        for row in range(tiling.rows)
        for column in range(tiling.columns)
    )


def tiling_for(
    width: Fraction, height: Fraction, page_width: Fraction, page_height: Fraction
) -> Tiling:
    """The way to lay a piece on pages that takes the fewest; upright if it makes no difference."""
    room_x, room_y = page_width - 2 * _MARGIN, page_height - HEADER - FOOTER - 2 * _MARGIN
    upright = Tiling(False, _pages(width, room_x), _pages(height, room_y), room_x, room_y)
    turned = Tiling(True, _pages(height, room_x), _pages(width, room_y), room_x, room_y)
    return turned if turned.count < upright.count else upright


def _pages(length: Fraction, room: Fraction) -> int:
    if length <= room:
        return 1
    return math.ceil((length - OVERLAP) / (room - OVERLAP))


def _tile(
    resolved: ResolvedDesign,
    piece: ResolvedPiece,
    tiling: Tiling,
    row: int,
    column: int,
    page_width: float,
    page_height: float,
) -> Scene:
    canvas = Canvas(page_width, page_height)
    window = _window(tiling, page_height)
    shift = _shift(piece, tiling, row, column, window)

    def on_paper(place: Place) -> Place:
        x, y = place
        if tiling.turned:
            x, y = float(piece.height) - y, x
        return x + shift[0], y + shift[1]

    for ring in piece_rings(piece):
        places = [on_paper(place) for place in ring]
        runs = clipped_run((*places, places[0]), window.grown(0.001))
        canvas.strokes(runs, Line.VISIBLE, "outline")
    for score in piece.scores:
        run = [on_paper(place) for place in score_run(score)]
        canvas.strokes(clipped_run(run, window.grown(0.001)), FOLD_LINES[score.fold], "score")
    for score in piece.scores:
        run = [on_paper(place) for place in score_run(score)]
        _letter(canvas, run, FOLD_LETTERS[score.fold], window)
    if tiling.count > 1:
        _register(canvas, tiling, row, column, window)
    name = tile_name(tiling, row, column)
    _header(canvas, resolved, piece, tiling, name, page_height)
    _footer(canvas, resolved)
    words = f"True-size template of {piece.code} {piece.title}, {_size_words(resolved, piece)}"
    title = f"{piece.code} {piece.title}"
    if name:
        title, words = f"{title}, {name}", f"{words}, {name} of {tiling.count} tiles"
    key = f"template-{piece.key}-{row + 1}-{column + 1}"
    return canvas.scene(key, title, f"{words}.", trim=False)


def tile_name(tiling: Tiling, row: int, column: int) -> str:
    """``row A column 1``; empty when there is only one page."""
    return f"row {_row_letter(row)} column {column + 1}" if tiling.count > 1 else ""


def _row_letter(row: int) -> str:
    return "ABCDEFGHJKLMNPQRSTUVWXYZ"[row % 24]


def _window(tiling: Tiling, page_height: float) -> Rect:
    """Where the drawing may be on the page."""
    left = float(_MARGIN)
    top = page_height - float(HEADER + _MARGIN)
    return Rect(left, top - float(tiling.window_height), left + float(tiling.window_width), top)


def _shift(
    piece: ResolvedPiece, tiling: Tiling, row: int, column: int, window: Rect
) -> tuple[float, float]:
    """Where the piece's lower left corner lies on this page, exact until the last step."""
    high = piece.width if tiling.turned else piece.height
    dx = -column * (tiling.window_width - OVERLAP)
    dy = row * (tiling.window_height - OVERLAP) - high
    return window.left + float(dx), window.top + float(dy)


def _letter(canvas: Canvas, run: list[Place], letter: str, window: Rect) -> None:
    """The fold's letter beside its line where there is room, on the tile of the line's middle."""
    (x0, y0), (x1, y1) = run
    middle = ((x0 + x1) / 2, (y0 + y1) / 2)
    if not window.grown(-4.0).holds(middle):
        return
    is_upright = abs(x0 - x1) < 1e-6
    for share in (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8):
        x, y = x0 + share * (x1 - x0), y0 + share * (y1 - y0)
        for away in (2.2, -2.2):
            dx, dy = (away, 0.0) if is_upright else (0.0, away)
            text = centred_text(letter, x + dx, y + dy, 8.0, bold=True)
            if window.contains(text_rect(text)) and canvas.is_free(text_rect(text), 0.3):
                canvas.text(text)
                return
    note(canvas, [middle], letter, size_pt=8.0, bold=True)


def _register(canvas: Canvas, tiling: Tiling, row: int, column: int, window: Rect) -> None:
    """Crosses in the overlaps, and thin lines where the next tile begins."""
    overlap = float(OVERLAP)
    xs = [window.left + overlap] if column > 0 else []
    xs += [window.right - overlap] if column < tiling.columns - 1 else []
    ys = [window.top - overlap] if row > 0 else []
    ys += [window.bottom + overlap] if row < tiling.rows - 1 else []
    for x, y in _cross_places(window, xs, ys):
        arms = [((x - _CROSS, y), (x + _CROSS, y)), ((x, y - _CROSS), (x, y + _CROSS))]
        canvas.strokes(arms, Line.DIMENSION, "registration")
    canvas.strokes(
        [((x, window.bottom), (x, window.top)) for x in xs]
        + [((window.left, y), (window.right, y)) for y in ys],
        Line.WASTE,
        "overlap",
    )


def _cross_places(window: Rect, xs: list[float], ys: list[float]) -> Iterator[Place]:
    for x in xs or [window.left + _CROSS, window.right - _CROSS]:
        for y in ys or [window.bottom + _CROSS, window.top - _CROSS]:
            yield x, y


def _header(
    canvas: Canvas,
    resolved: ResolvedDesign,
    piece: ResolvedPiece,
    tiling: Tiling,
    tile: str,
    page_height: float,
) -> None:
    title = f"{piece.code} {piece.title}"
    top = page_height - 4.0
    canvas.text(Text(title, 0.5, top, 10.0, "start", bold=True))
    words = [f"cut {piece.source.count}", side_sentence(piece), _size_words(resolved, piece)]
    line = " · ".join(words)
    size = NOTE_PT if text_width(line, NOTE_PT) < canvas.frame.width - 1 else 7.0
    canvas.text(Text(line, 0.5, top - 4.6, size, "start"))
    if tile:
        text = f"{tile} of {tiling.rows} × {tiling.columns} · tiles overlap, match the crosses"
        canvas.text(Text(text, canvas.frame.right - 0.5, top, NOTE_PT, "end", bold=True))


def _size_words(resolved: ResolvedDesign, piece: ResolvedPiece) -> str:
    return spoken_size(resolved.edition.units, piece.width, piece.height)


def _footer(canvas: Canvas, resolved: ResolvedDesign) -> None:
    """A bar to check the print's size, in the edition's unit."""
    text, length, parts = ("50 mm", Fraction(50), 5)
    if resolved.edition.units.unit == "in":
        text, length, parts = ("2 in", 2 * INCH, 4)
    calibration_bar(canvas, 0.5, 1.0, text, length, parts)
    words = "print at actual size (100 %)"
    canvas.text(Text(words, 0.5 + float(length) + 4.0, 1.0, NOTE_PT, "start", colour=GREY_TEXT))


def tile_plan_scene(
    resolved: ResolvedDesign, piece_key: str, page_width: float, page_height: float
) -> Scene | None:
    """A small plan of how a piece's tiles join; None when it needs one page only."""
    piece = resolved.pieces[piece_key]
    tiling = tiling_for(piece.width, piece.height, Fraction(page_width), Fraction(page_height))
    if tiling.count == 1:
        return None
    cell_width, cell_height = 26.0, 14.0
    canvas = Canvas(tiling.columns * cell_width + 2.0, tiling.rows * cell_height + 2.0)
    for row in range(tiling.rows):
        for column in range(tiling.columns):
            left = 1.0 + column * cell_width
            top = canvas.frame.top - 1.0 - row * cell_height
            box = Rect(left, top - cell_height, left + cell_width, top)
            canvas.area([box.ring], Fill.PAPER)
            canvas.outline(box.ring, Line.DIMENSION, "tile")
            x, y = box.centre
            canvas.text(Text(tile_name(tiling, row, column), x, y - 0.9, NOTE_PT))
    words = f"{piece.code} {piece.title}: {tiling.rows} rows of {tiling.columns} tiles."
    return canvas.scene(f"tile-plan-{piece.key}", f"Tiles of {piece.code}", words)

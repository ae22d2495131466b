"""Templates larger than a page: tiles that overlap, and how they are put together.

In: a piece and the printable area in mm.  Out: one scene for each tile, exactly that large.
Tiles overlap by 10 mm.  Along the middle of each overlap a thin line runs on both tiles, with
two crosses that lie on each other when the tiles are joined: the tile on the right, or below, is
cut along its line and that edge laid on the line of the other.  Each tile says so, and a small plan
shows where it belongs.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from builder.drawings.canvas import Canvas
from builder.drawings.features import FINE, outline_ring, piece_rings, score_run
from builder.drawings.labels import NOTE_PT
from builder.drawings.piece_drawing import FOLD_LINES
from builder.drawings.plane import Place, Rect, bounding, clipped_run
from builder.drawings.scene import Scene, Text
from builder.drawings.styles import Fill, Line
from builder.drawings.template_cross import draw_cross
from builder.drawings.template_marks import (
    FOOTER,
    footer,
    label_words,
    mark_piece,
    size_words,
)
from builder.drawings.wording import named, words_of
from builder.drawings.wrapping import wrapped
from builder.resolve.resolved import ResolvedDesign, ResolvedPiece
from builder.wording import Wording

OVERLAP = Fraction(10)
HEADER = Fraction(14)
_MARGIN = Fraction(4)
#: The most that the small plan of all tiles takes of a page.
_INSET = (24.0, 12.5)


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
    dx, dy = _shift(tiling, row, column, window)

    def on_paper(places: Sequence[Place]) -> list[Place]:
        return [(x + dx, y + dy) for x, y in laid_on_tiles(piece, tiling, places)]

    for ring in piece_rings(piece, FINE):
        runs = clipped_run(on_paper((*ring, ring[0])), window.grown(0.001))
        canvas.strokes(runs, Line.VISIBLE, "outline")
    for score in piece.scores:
        runs = clipped_run(on_paper(score_run(score)), window.grown(0.001))
        canvas.strokes(runs, FOLD_LINES[score.fold], "score")
    name = tile_name(tiling, row, column, words_of(resolved))
    if name:
        _register(canvas, tiling, row, column, window)
        _tile_plan(canvas, piece, tiling, (row, column))
    mark_piece(canvas, piece, resolved, on_paper, window, tiling.turned, 4.0)
    _header(canvas, resolved, piece, tiling, name)
    if name:
        canvas.text(_joining(canvas, resolved, row, column))
    footer(canvas, resolved.edition)
    title = f"{piece.code} {piece.title}"
    key = f"template-{piece.key}-{row + 1}-{column + 1}"
    words = tile_equivalent(resolved, piece, tiling, name)
    return canvas.scene(key, f"{title}, {name}" if name else title, words, trim=False)


def tile_equivalent(
    resolved: ResolvedDesign, piece: ResolvedPiece, tiling: Tiling, name: str
) -> str:
    """The tile in words."""
    wording, size, count = words_of(resolved), size_words(resolved, piece), piece.source.count
    if not name:
        return wording.phrase("draw_template", piece=named(piece), size=size, count=count)
    return wording.phrase(
        "draw_tile",
        piece=named(piece),
        size=size,
        count=count,
        tile=name,
        rows=wording.counted("draw_rows", tiling.rows),
        columns=wording.counted("draw_columns", tiling.columns),
    )


def tile_name(tiling: Tiling, row: int, column: int, wording: Wording) -> str:
    """``part 1 of 2 (left)``; empty when there is only one page."""
    if tiling.count == 1:
        return ""
    return wording.phrase(
        "draw_tile_name",
        number=row * tiling.columns + column + 1,
        count=tiling.count,
        place=_tile_place(tiling, row, column, wording),
    )


def _tile_place(tiling: Tiling, row: int, column: int, wording: Wording) -> str:
    """Where a tile lies: ``left``, ``middle``, ``top right``, ``row 2 of 3, column 1 of 2``."""
    rows, columns = tiling.rows, tiling.columns
    if max(rows, columns) == 3 and min(rows, columns) == 1 and max(row, column) == 1:
        return wording.phrase("draw_tile_middle")
    if max(rows, columns) == 2 or (max(rows, columns) == 3 and min(rows, columns) == 1):
        up = [] if rows == 1 else ["bottom" if row else "top"]
        across = [] if columns == 1 else ["right" if column else "left"]
        return wording.places[" ".join(up + across)]
    found = []
    if rows > 1:
        found.append(wording.phrase("draw_tile_row_of", row=row + 1, rows=rows))
    if columns > 1:
        found.append(wording.phrase("draw_tile_column_of", column=column + 1, columns=columns))
    return ", ".join(found)


def _window(tiling: Tiling, page_height: float) -> Rect:
    """Where the drawing may be on the page."""
    left = float(_MARGIN)
    top = page_height - float(HEADER + _MARGIN)
    return Rect(left, top - float(tiling.window_height), left + float(tiling.window_width), top)


def laid_on_tiles(piece: ResolvedPiece, tiling: Tiling, places: Sequence[Place]) -> list[Place]:
    """The piece's own places as they lie from the upper left corner of the first tile, y up."""
    if tiling.turned:
        return [(float(piece.height) - y, x - float(piece.width)) for x, y in places]
    return [(x, y - float(piece.height)) for x, y in places]


def _shift(tiling: Tiling, row: int, column: int, window: Rect) -> Place:
    """Where the upper left corner of the whole lies on this page, exact until the last step."""
    dx = -column * (tiling.window_width - OVERLAP)
    dy = row * (tiling.window_height - OVERLAP)
    return window.left + float(dx), window.top + float(dy)


def _register(canvas: Canvas, tiling: Tiling, row: int, column: int, window: Rect) -> None:
    """Thin lines along the middle of each overlap, with two crosses on each.

    The same line of the piece runs there on both tiles, and the crosses lie on the same places of
    it, so that tiles whose crosses meet are joined to size and square.
    """
    half = float(OVERLAP) / 2
    xs = [window.left + half] if column > 0 else []
    xs += [window.right - half] if column < tiling.columns - 1 else []
    ys = [window.top - half] if row > 0 else []
    ys += [window.bottom + half] if row < tiling.rows - 1 else []
    upright = [(x, y) for x in xs for y in (window.bottom + half, window.top - half)]
    level = [(x, y) for y in ys for x in (window.left + half, window.right - half)]
    limits = [((x, window.bottom), (x, window.top)) for x in xs]
    limits += [((window.left, y), (window.right, y)) for y in ys]
    canvas.strokes(limits, Line.WASTE, "overlap")
    # The crosses come last: the line would hide one of their two strokes.
    for x, y in dict.fromkeys((*upright, *level)):
        draw_cross(canvas, (x, y))
    for limit in limits:
        canvas.keep_free(bounding(limit).grown(0.1))


def _header(
    canvas: Canvas, resolved: ResolvedDesign, piece: ResolvedPiece, tiling: Tiling, tile: str
) -> None:
    """Title and tile on the first line, then what to cut; the small plan stands at the right."""
    right, top = canvas.frame.right - 0.5, canvas.frame.top - 4.0
    canvas.text(Text(f"{piece.code} {piece.title}", 0.5, top, 10.0, "start", bold=True))
    if tile:
        right -= _INSET[0] + 2.0
        canvas.text(Text(tile, right, top, NOTE_PT, "end", bold=True))
    words = label_words(piece, resolved, tiling.turned)
    for number, line in enumerate(wrapped(words, right - 0.5, 2), start=1):
        canvas.text(_header_line(canvas, line, number))


def _joining(canvas: Canvas, resolved: ResolvedDesign, row: int, column: int) -> Text:
    """What to do with this tile: where it is cut, or that the next one is laid on it."""
    wording = words_of(resolved)
    names = [name for name, at in (("left", column), ("top", row)) if at > 0]
    if not names:
        return _header_line(canvas, wording.phrase("draw_tile_below"), 3)
    edges = wording.phrase(f"draw_tile_{'_'.join(names)}")
    return _header_line(canvas, wording.phrase("draw_tile_lay", edges=edges), 3)


def _header_line(canvas: Canvas, words: str, number: int) -> Text:
    """The lines under the title, from 1."""
    return Text(words, 0.5, canvas.frame.top - 5.0 - number * 3.5, NOTE_PT, "start")


def _tile_plan(canvas: Canvas, piece: ResolvedPiece, tiling: Tiling, here: tuple[int, int]) -> None:
    """The piece over all its tiles, small, in the upper right corner; this tile is shaded."""
    xs = _joints(tiling.columns, tiling.window_width)
    ys = _joints(tiling.rows, tiling.window_height)
    scale = min(_INSET[0] / xs[-1], _INSET[1] / ys[-1])
    left, top = canvas.frame.right - 0.5 - xs[-1] * scale, canvas.frame.top - 0.5
    xs, ys = [left + x * scale for x in xs], [top - y * scale for y in ys]
    row, column = here
    canvas.area([Rect(xs[column], ys[row + 1], xs[column + 1], ys[row]).ring], Fill.SHADOW_6)
    lines = [((x, ys[0]), (x, ys[-1])) for x in xs] + [((xs[0], y), (xs[-1], y)) for y in ys]
    canvas.strokes(lines, Line.DIMENSION, "tile plan")
    laid = laid_on_tiles(piece, tiling, outline_ring(piece.outline))
    canvas.outline([(left + x * scale, top + y * scale) for x, y in laid], Line.EXISTING, piece.key)


def _joints(count: int, window: Fraction) -> list[float]:
    """Where tiles begin, are joined and end, from the first tile's border."""
    step = window - OVERLAP
    inner = [float(number * step + OVERLAP / 2) for number in range(1, count)]
    return [0.0, *inner, float(count * step + OVERLAP)]

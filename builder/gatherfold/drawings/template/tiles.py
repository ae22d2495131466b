"""Templates larger than a page: tiles that overlap, and how they are put together.

In: a piece and the printable area in mm.  Out: one scene for each tile, exactly that large.
Tiles overlap by 10 mm.  Along the middle of each overlap a thin line runs on both tiles, with
two crosses that lie on each other when the tiles are joined: the tile on the right, or below, is
cut along its line and that edge laid on the line of the other.  Each tile says so, and a small plan
shows where it belongs.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from gatherfold.drawings.dimensions.dimensions import CROSS_REACH, cross
from gatherfold.drawings.kernel.canvas import Canvas
from gatherfold.drawings.kernel.plane import Place, Rect, bounding, crossings
from gatherfold.drawings.kernel.scene import Scene, Text
from gatherfold.drawings.kernel.styles import Fill, Line
from gatherfold.drawings.kernel.wording import count_words, pieces_alike, title_of, words_of
from gatherfold.drawings.kernel.wrapping import sentence_lines, wrapped
from gatherfold.drawings.labels.labels import NOTE_PT
from gatherfold.drawings.piece.laid import LaidPiece, trace_piece
from gatherfold.drawings.template.marks import (
    FOOTER,
    footer,
    label_words,
    mark_piece,
    size_words,
)
from gatherfold.drawings.views.features import FINE, outline_ring
from gatherfold.resolve import ResolvedDesign, ResolvedPiece
from gatherfold.wording import Wording

#: How the keys of tiles begin.
TILE_KEY = "tile-"
HEADER = Fraction(14)
_MARGIN = Fraction(4)
#: The most that the small plan of all tiles takes of a page, and the white in it round the piece,
#: so that its edges are not taken for those of a tile.
_INSET, _ROUND_PIECE = (24.0, 10.6), 0.9
#: Its words begin so far under it.
_UNDER_PLAN = 2.9


OVERLAP = Fraction(10)
#: How far from the piece's edges a cross stays where it can.
_OFF_EDGE = 12.0


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
    resolved: ResolvedDesign,
    piece_key: str,
    page_width: float,
    page_height: float,
    others: Sequence[str] = (),
) -> tuple[Scene, ...]:
    """The pages of one piece's template, in rows from the top left; the ``others`` are cut by it
    too."""
    pieces = pieces_alike(resolved, piece_key, others)
    piece = pieces[0]
    width, height = Fraction(page_width), Fraction(page_height)
    tiling = tiling_for(piece.width, piece.height, width, height)
    return tuple(
        _tile(resolved, pieces, tiling, (row, column), float(width), float(height))
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
    pieces: Sequence[ResolvedPiece],
    tiling: Tiling,
    here: tuple[int, int],
    page_width: float,
    page_height: float,
) -> Scene:
    piece, (row, column) = pieces[0], here
    canvas = Canvas(page_width, page_height)
    laid = _laid(piece, tiling, here, page_height)
    trace_piece(canvas, laid, FINE, resolved.edition.grid)
    name = tile_name(tiling, row, column, words_of(resolved))
    if name:
        outline = laid.ring(outline_ring(piece.outline, FINE))
        register(canvas, tiling, here, laid.window, outline)
        _tile_plan(canvas, piece, tiling, here, words_of(resolved))
    mark_piece(canvas, resolved, laid)
    _header(canvas, resolved, pieces, tiling, here)
    footer(canvas, resolved.edition)
    title = title_of(pieces, words_of(resolved))
    key = f"{TILE_KEY}{piece.key}-{row + 1}-{column + 1}"
    words = tile_equivalent(resolved, pieces, tiling, name)
    return canvas.scene(key, f"{title}, {name}" if name else title, words, trim=False)


def tile_equivalent(
    resolved: ResolvedDesign, pieces: Sequence[ResolvedPiece], tiling: Tiling, name: str
) -> str:
    """The tile in words."""
    wording, size = words_of(resolved), size_words(resolved, pieces[0])
    title, count = title_of(pieces, wording), count_words(pieces, wording)
    if not name:
        return wording.phrase("draw_template", piece=title, size=size, count=count)
    return wording.phrase(
        "draw_tile",
        piece=title,
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


def _laid(
    piece: ResolvedPiece, tiling: Tiling, here: tuple[int, int], page_height: float
) -> LaidPiece:
    """The piece on one tile's page, its place exact until the last step."""
    row, column = here
    left, top = _MARGIN, Fraction(page_height) - HEADER - _MARGIN
    wide, high = tiling.window_width, tiling.window_height
    window = Rect(*(float(at) for at in (left, top - high, left + wide, top)))
    height = piece.width if tiling.turned else piece.height
    x, y = left - column * (wide - OVERLAP), top - height + row * (high - OVERLAP)
    corner = float(x), float(y)
    return LaidPiece(piece, corner, window, turned=tiling.turned, border=_BORDER)


#: The border of a tile that another one covers, with some room for a letter.
_BORDER = 4.0


def _header(
    canvas: Canvas,
    resolved: ResolvedDesign,
    pieces: Sequence[ResolvedPiece],
    tiling: Tiling,
    here: tuple[int, int],
) -> None:
    """What to cut, then how the parts are joined; the small plan stands at the right.

    The title is that of the page, outside the drawing.
    """
    room = canvas.frame.width - 1.0
    words = label_words(pieces, resolved, tiling.turned)
    if tiling.count == 1:
        lines = [*wrapped(words, room, _HEADER_LINES)]
    else:
        room -= _INSET[0] + 2.0
        joining = sentence_lines(_joining(tiling, here, words_of(resolved)), room, NOTE_PT)
        lines = [*wrapped(words, room, max(_HEADER_LINES - len(joining), 1)), *joining]
    for number, line in enumerate(lines, start=1):
        y = canvas.frame.top + 0.8 - number * _HEADER_STEP
        canvas.text(Text(line, 0.5, y, NOTE_PT, "start"))


#: Lines over a template, and from one to the next.
_HEADER_LINES, _HEADER_STEP = 5, 3.4


def _joining(tiling: Tiling, here: tuple[int, int], wording: Wording) -> str:
    """What to do with this tile: where it is cut, that the next one is laid on it, and then."""
    row, column = here
    names = [name for name, at in (("left", column), ("top", row)) if at > 0]
    has_next = row < tiling.rows - 1 or column < tiling.columns - 1
    sentences = []
    if names:
        edges = wording.phrase(f"draw_tile_{'_'.join(names)}")
        sentences.append(wording.phrase("draw_tile_lay", edges=edges))
    if has_next:
        sentences.append(wording.phrase("draw_tile_other" if names else "draw_tile_below"))
    sentences.append(wording.phrase("draw_tile_tape", count=tiling.count))
    return " ".join(sentences)


def _tile_plan(
    canvas: Canvas,
    piece: ResolvedPiece,
    tiling: Tiling,
    here: tuple[int, int],
    wording: Wording,
) -> None:
    """The piece over all its tiles, small, in the upper right corner; this tile is shaded, which is
    said below."""
    xs = _joints(tiling.columns, tiling.window_width)
    ys = _joints(tiling.rows, tiling.window_height)
    wide, high = (most - 2 * _ROUND_PIECE for most in _INSET)
    scale = min(wide / xs[-1], high / ys[-1])
    left = canvas.frame.right - 0.5 - _ROUND_PIECE - xs[-1] * scale
    top = canvas.frame.top - 0.5 - _ROUND_PIECE
    xs, ys = [left + x * scale for x in xs], [top - y * scale for y in ys]
    xs[0], xs[-1] = xs[0] - _ROUND_PIECE, xs[-1] + _ROUND_PIECE
    ys[0], ys[-1] = ys[0] + _ROUND_PIECE, ys[-1] - _ROUND_PIECE
    row, column = here
    canvas.area([Rect(xs[column], ys[row + 1], xs[column + 1], ys[row]).ring], Fill.SHADOW_6)
    lines = [((x, ys[0]), (x, ys[-1])) for x in xs] + [((xs[0], y), (xs[-1], y)) for y in ys]
    canvas.strokes(lines, Line.DIMENSION, "tile plan")
    corner = left, top - float(piece.width if tiling.turned else piece.height) * scale
    laid = LaidPiece(piece, corner, canvas.frame, scale, tiling.turned)
    canvas.outline(laid.ring(outline_ring(piece.outline)), Line.EXISTING, piece.key)
    words = wording.phrase("draw_tile_in_grey")
    canvas.text(Text(words, xs[-1], ys[-1] - _UNDER_PLAN, NOTE_PT, "end"))


def _joints(count: int, window: Fraction) -> list[float]:
    """Where tiles begin, are joined and end, from the first tile's border."""
    step = window - OVERLAP
    inner = [float(number * step + OVERLAP / 2) for number in range(1, count)]
    return [0.0, *inner, float(count * step + OVERLAP)]


def register(
    canvas: Canvas, tiling: Tiling, here: tuple[int, int], window: Rect, outline: Sequence[Place]
) -> None:
    """The lines and crosses of one tile.

    The same line of the piece runs there on both tiles, and the crosses lie on the same places of
    it, so that tiles whose crosses meet are joined to size and square.
    """
    (row, column), half = here, float(OVERLAP) / 2
    xs = [window.left + half] if column > 0 else []
    xs += [window.right - half] if column < tiling.columns - 1 else []
    ys = [window.top - half] if row > 0 else []
    ys += [window.bottom + half] if row < tiling.rows - 1 else []
    inner = window.grown(-half)
    limits = [((x, window.bottom), (x, window.top)) for x in xs]
    limits += [((window.left, y), (window.right, y)) for y in ys]
    canvas.strokes(limits, Line.WASTE, "overlap")
    # The crosses come last: the line would hide one of their two strokes.
    upright = [(x, y) for x in xs for y in _on_joint(outline, x, inner.bottom, inner.top)]
    mirrored = [(y, x) for x, y in outline]
    level = [(x, y) for y in ys for x in _on_joint(mirrored, y, inner.left, inner.right)]
    for place in dict.fromkeys((*upright, *level)):
        cross(canvas, place, CROSS_REACH, "registration")
    for limit in limits:
        canvas.keep_free(bounding(limit).grown(0.1))


def _on_joint(outline: Sequence[Place], at: float, low: float, high: float) -> tuple[float, float]:
    """Where two crosses stand on an upright joint between two heights: within the piece, off its
    edges; near the ends of the joint where there is hardly any of the piece."""
    heights = crossings([outline], 0, at)
    spans = [
        (max(start, low), min(end, high))
        for start, end in zip(heights[::2], heights[1::2], strict=True)
    ]
    start, end = max(spans, key=lambda span: span[1] - span[0], default=(low, high))
    if end - start < _LEAST_SPAN:
        start, end = low, high
    off = min(_OFF_EDGE, (end - start) / 6)
    return start + off, end - off


#: On less of the piece than this the crosses would stand too near to one another to square by.
_LEAST_SPAN = 12.0

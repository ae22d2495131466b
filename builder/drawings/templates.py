"""True-size templates of pieces that are not plain rectangles, in tiles where they must be.

In: a resolved design, a piece or several, the printable area in mm.  Out: one scene for each
page, exactly that large, the pieces drawn 1:1.  Small pieces share pages, each under its own
label.  Tiles of large ones overlap by 10 mm; crosses at the corners of the overlap register one
tile on the next.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from builder.drawings.canvas import Canvas
from builder.drawings.conventions import calibration_bar
from builder.drawings.features import piece_rings, score_run
from builder.drawings.labels import NOTE_PT, note
from builder.drawings.lettering import centred_text, text_rect, text_width
from builder.drawings.nesting import Nested, nest
from builder.drawings.piece_drawing import FOLD_LINES
from builder.drawings.plane import Place, Rect, bounding, clipped_run
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
#: White between pieces that share a page.
PACKED_GAP = Fraction(9)
_PACKED_EDGE = Fraction(1)
_LABEL_LINE = Fraction(7, 2)
_LABEL_GAP = Fraction(3, 2)
_TITLE_PT = 9.0
_NARROWEST_LABEL = 38.0
_MOST_LABEL_LINES = 4


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


def template_pages(
    resolved: ResolvedDesign, piece_keys: Sequence[str], page_width: float, page_height: float
) -> tuple[Scene, ...]:
    """The pages of several pieces' templates: small ones share pages, large ones keep tiles.

    Pages come in the order of ``piece_keys``, by the first piece on each.
    """
    width, height = Fraction(page_width), Fraction(page_height)
    room = width - 2 * _PACKED_EDGE, height - FOOTER - 2 * _PACKED_EDGE
    pieces = [resolved.pieces[key] for key in dict.fromkeys(piece_keys)]
    small: list[_Packed] = []
    found: list[tuple[int, Scene]] = []
    for rank, piece in enumerate(pieces):
        boxes = [(turn, _label_lines(piece, resolved, turn)) for turn in (False, True)]
        sizes = [(turn, lines, _box(piece, turn, lines)) for turn, lines in boxes]
        ways = [way for way in sizes if way[2][0] <= room[0] and way[2][1] <= room[1]]
        if ways:
            small.append(_Packed(rank, piece, tuple(ways)))
            continue
        tiles = template_scenes(resolved, piece.key, page_width, page_height)
        found.extend((rank, scene) for scene in tiles)
    ways_of = [[size for _, _, size in packed.ways] for packed in small]
    for page in nest(ways_of, room[0], room[1], PACKED_GAP):
        things = sorted(page, key=lambda thing: small[thing.index].rank)
        scene = _packed_page(resolved, small, things, page_width, page_height)
        found.append((small[things[0].index].rank, scene))
    return tuple(scene for _, scene in sorted(found, key=lambda item: item[0]))


@dataclass(frozen=True)
class _Packed:
    """A piece that fits a page with its label; ``ways`` are (turned, label lines, box)."""

    rank: int
    piece: ResolvedPiece
    ways: tuple[tuple[bool, tuple[str, ...], tuple[Fraction, Fraction]], ...]


def _box(piece: ResolvedPiece, turned: bool, lines: Sequence[str]) -> tuple[Fraction, Fraction]:
    """The room of the piece with its label above it."""
    wide, high = (piece.height, piece.width) if turned else (piece.width, piece.height)
    words = text_width(f"{piece.code} {piece.title}", _TITLE_PT, bold=True)
    words = max(words, *(text_width(line, NOTE_PT) for line in lines))
    label = _LABEL_LINE * (len(lines) + 1) + _LABEL_GAP
    return max(wide, Fraction(math.ceil(words * 10), 10)), high + label


def _label_lines(piece: ResolvedPiece, resolved: ResolvedDesign, turned: bool) -> tuple[str, ...]:
    """What stands under the title, in as many lines as the piece's width asks for."""
    words = [
        f"cut {piece.source.count}",
        _size_words(resolved, piece),
        *side_sentence(piece).split(", "),
        *_grain_words(piece),
    ]
    room = max(float(piece.height if turned else piece.width), _NARROWEST_LABEL)
    lines = [words[0]]
    for word in words[1:]:
        longer = f"{lines[-1]} · {word}"
        if text_width(longer, NOTE_PT) <= room or len(lines) == _MOST_LABEL_LINES:
            lines[-1] = longer
        else:
            lines.append(word)
    return tuple(lines)


def _grain_words(piece: ResolvedPiece) -> list[str]:
    """Which way the sheet's grain runs, where the stock states it."""
    grain = piece.stock.source.grain
    return [] if grain == "any" else [f"grain along the sheet’s {grain} side"]


def _packed_page(
    resolved: ResolvedDesign,
    small: Sequence[_Packed],
    things: Sequence[Nested],
    page_width: float,
    page_height: float,
) -> Scene:
    canvas = Canvas(page_width, page_height)
    placed = []
    for thing in things:
        packed = small[thing.index]
        turned, lines, size = packed.ways[thing.turn]
        left = float(_PACKED_EDGE + thing.left)
        top = page_height - float(_PACKED_EDGE + thing.down)
        box = Rect(left, top - float(size[1]), left + float(size[0]), top)
        _packed_label(canvas, packed.piece, lines, box)
        placed.append((packed.piece, turned, box))
    for piece, turned, box in placed:
        _packed_lines(canvas, piece, turned, box)
    for piece, turned, box in placed:
        high = float(piece.width if turned else piece.height)
        room = Rect(box.left, box.bottom, box.right, box.bottom + high)
        for score in piece.scores:
            run = _on_page(score_run(score), piece, turned, box)
            _letter(canvas, run, FOLD_LETTERS[score.fold], room, 1.0)
    _footer(canvas, resolved)
    named = [f"{piece.code} {piece.title}" for piece, _, _ in placed]
    sized = [
        f"{name}, {_size_words(resolved, piece)}, cut {piece.source.count}"
        for name, (piece, _, _) in zip(named, placed, strict=True)
    ]
    kind = "templates" if len(named) > 1 else "template"
    words = f"True-size {kind} of {'; '.join(sized)}."
    key = f"template-{'-'.join(piece.key for piece, _, _ in placed)}"
    return canvas.scene(key, ", ".join(named), words, trim=False)


def _packed_label(canvas: Canvas, piece: ResolvedPiece, lines: Sequence[str], box: Rect) -> None:
    title = f"{piece.code} {piece.title}"
    step = float(_LABEL_LINE)
    y = box.top - 2.5
    canvas.text(Text(title, box.left, y, _TITLE_PT, "start", bold=True))
    for number, line in enumerate(lines, start=1):
        canvas.text(Text(line, box.left, y - number * step, NOTE_PT, "start"))


def _on_page(places: Sequence[Place], piece: ResolvedPiece, turned: bool, box: Rect) -> list[Place]:
    """The piece's own places on paper: its lower left corner is that of its box."""
    if turned:
        places = [(float(piece.height) - y, x) for x, y in places]
    return [(x + box.left, y + box.bottom) for x, y in places]


def _packed_lines(canvas: Canvas, piece: ResolvedPiece, turned: bool, box: Rect) -> None:
    for ring in piece_rings(piece):
        run = _on_page((*ring, ring[0]), piece, turned, box)
        canvas.strokes([run], Line.VISIBLE, "outline")
    for score in piece.scores:
        run = _on_page(score_run(score), piece, turned, box)
        canvas.strokes([run], FOLD_LINES[score.fold], "score")


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
    if tiling.count > 1:
        _register(canvas, tiling, row, column, window)
    for score in piece.scores:
        run = [on_paper(place) for place in score_run(score)]
        _letter(canvas, run, FOLD_LETTERS[score.fold], window)
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


def _letter(
    canvas: Canvas, run: list[Place], letter: str, window: Rect, inset: float = 4.0
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
    limits = [((x, window.bottom), (x, window.top)) for x in xs]
    limits += [((window.left, y), (window.right, y)) for y in ys]
    canvas.strokes(limits, Line.WASTE, "overlap")
    for limit in limits:
        canvas.keep_free(bounding(limit).grown(0.1))


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

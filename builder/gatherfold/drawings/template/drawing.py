"""True-size templates of pieces that are not plain rectangles, in tiles where they must be.

In: a resolved design, a piece or several, the printable area in mm.  Out: one scene for each
page, exactly that large, the pieces drawn 1:1.  Large pieces come in tiles.  Small pieces share
pages, each under its own label: each goes into the free rectangle it fills best; of a few fixed
orders the one with the fewest pages wins, then the one that turns the fewest things, so the same
input gives the same pages.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import partial

from gatherfold.drawings.kernel.canvas import Canvas
from gatherfold.drawings.kernel.lettering import text_width
from gatherfold.drawings.kernel.plane import Place, Rect
from gatherfold.drawings.kernel.scene import Scene, Text
from gatherfold.drawings.kernel.wording import Others, count_words, pieces_alike, title_of, words_of
from gatherfold.drawings.kernel.wrapping import wrapped
from gatherfold.drawings.labels.labels import NOTE_PT
from gatherfold.drawings.template.marks import (
    FOOTER,
    footer,
    label_words,
    mark_piece,
    size_words,
    trace_piece,
)
from gatherfold.drawings.template.tiles import template_scenes
from gatherfold.geometry import Box, crosses, holds
from gatherfold.resolve.resolved import ResolvedDesign, ResolvedPiece

Size = tuple[Fraction, Fraction]


@dataclass(frozen=True)
class Nested:
    """One thing on a page: ``index`` in the input, which of its ``sizes`` it takes and its upper
    left corner, measured to the right and down from the page's own."""

    index: int
    turn: int
    left: Fraction
    down: Fraction


# Boxes here are measured down from the page's own upper edge: the ``top`` of each is its lower
# edge.


def _without(free: Box, taken: Box) -> list[Box]:
    """The largest free rectangles that are left round what is taken."""
    if not crosses(free, taken):
        return [free]
    rest = [
        replace(free, right=taken.left),
        replace(free, left=taken.right),
        replace(free, top=taken.bottom),
        replace(free, bottom=taken.top),
    ]
    return [part for part in rest if part.width > 0 and part.height > 0]


@dataclass
class _Page:
    free: list[Box]
    things: list[Nested] = field(default_factory=list)


_Score = tuple[Fraction, ...]
_Rule = Callable[[Box, Size], _Score]


def _tightest(free: Box, size: Size) -> _Score:
    spare = sorted((free.width - size[0], free.height - size[1]))
    return (*spare, free.bottom, free.left)


def _highest(free: Box, size: Size) -> _Score:
    return free.bottom + size[1], free.left


_RULES: tuple[_Rule, ...] = (_highest, _tightest)


def nest(
    sizes: Sequence[Sequence[Size]], width: Fraction, height: Fraction, gap: Fraction
) -> tuple[tuple[Nested, ...], ...]:
    """Pages of things at least ``gap`` apart; every thing has to fit a page in one size."""
    orders: tuple[Callable[[int], Fraction], ...] = (
        lambda i: -sizes[i][0][1],
        lambda i: -sizes[i][0][0] * sizes[i][0][1],
        lambda i: -sizes[i][0][0],
        lambda i: -max(sizes[i][0]),
    )
    # A gap on the right of and below everything, and as much more room on the page.
    spaced = [[(wide + gap, high + gap) for wide, high in ways] for ways in sizes]
    room = Box(Fraction(0), Fraction(0), width + gap, height + gap)
    best: tuple[tuple[int, int], list[_Page]] | None = None
    for order in orders:
        ranked = sorted(range(len(sizes)), key=order)
        for rule in _RULES:
            for may_turn in (False, True):
                pages = _filled(ranked, spaced, room, rule, may_turn)
                turns = sum(thing.turn > 0 for page in pages for thing in page.things)
                if best is None or (len(pages), turns) < best[0]:
                    best = (len(pages), turns), pages
    return tuple(tuple(page.things) for page in best[1]) if best else ()


def _filled(
    ranked: Sequence[int],
    sizes: Sequence[Sequence[Size]],
    room: Box,
    rule: _Rule,
    may_turn: bool,
) -> list[_Page]:
    """Everything on pages in one order; without ``may_turn`` a thing turns only where it would
    not go on a page otherwise."""
    pages: list[_Page] = []
    for index in ranked:
        ways = list(enumerate(sizes[index]))
        groups = [ways] if may_turn else [[way] for way in ways]
        if any(_put(page, index, group, rule) for group in groups for page in pages):
            continue
        page = _Page([room])
        if not any(_put(page, index, group, rule) for group in groups):
            raise ValueError(f"thing {index} is larger than a page")
        pages.append(page)
    return pages


def _put(page: _Page, index: int, ways: Sequence[tuple[int, Size]], rule: _Rule) -> bool:
    """Into the free rectangle that the rule likes best, if there is one."""
    fits = [
        (rule(free, size), turn, place)
        for turn, size in ways
        for place, free in enumerate(page.free)
        if size[0] <= free.width and size[1] <= free.height
    ]
    if not fits:
        return False
    _, turn, place = min(fits)
    free, (wide, high) = page.free[place], dict(ways)[turn]
    page.things.append(Nested(index, turn, free.left, free.bottom))
    taken = replace(free, right=free.left + wide, top=free.bottom + high)
    rest = list(dict.fromkeys(part for old in page.free for part in _without(old, taken)))
    page.free = [a for a in rest if not any(b != a and holds(b, a) for b in rest)]
    return True


#: White between pieces that share a page.
PACKED_GAP = Fraction(9)
_PACKED_EDGE = Fraction(1)
_LABEL_LINE = Fraction(7, 2)
_LABEL_GAP = Fraction(3, 2)
_TITLE_PT = 9.0
_NARROWEST_LABEL = 38.0
_MOST_LABEL_LINES = 5
_NO_OTHERS: Others = {}


def needs_template(piece: ResolvedPiece) -> bool:
    """Whether a piece is worth a template: a shaped outline, windows to cut or holes to punch.

    Holes for fastenings do not count: those are pierced through all layers together.
    """
    is_punched = any(hole.fastening is None for hole in piece.holes)
    return piece.is_shaped or bool(piece.windows) or is_punched


def template_pages(
    resolved: ResolvedDesign,
    piece_keys: Sequence[str],
    page_width: float,
    page_height: float,
    others: Others = _NO_OTHERS,
) -> tuple[Scene, ...]:
    """The pages of several pieces' templates: small ones share pages, large ones keep tiles.

    Pages come in the order of ``piece_keys``, by the first piece on each; ``others`` are pieces
    that are cut by the template of one of these.
    """
    width, height = Fraction(page_width), Fraction(page_height)
    room = width - 2 * _PACKED_EDGE, height - FOOTER - 2 * _PACKED_EDGE
    small: list[_Packed] = []
    found: list[tuple[int, Scene]] = []
    for rank, key in enumerate(dict.fromkeys(piece_keys)):
        pieces = pieces_alike(resolved, key, others.get(key, ()))
        boxes = [(turn, _label_lines(pieces, resolved, turn)) for turn in (False, True)]
        sizes = [(turn, lines, _box(pieces, resolved, turn, lines)) for turn, lines in boxes]
        ways = [way for way in sizes if way[2][0] <= room[0] and way[2][1] <= room[1]]
        if ways:
            small.append(_Packed(rank, pieces, tuple(ways)))
            continue
        tiles = template_scenes(resolved, key, page_width, page_height, others.get(key, ()))
        found.extend((rank, scene) for scene in tiles)
    ways_of = [[size for _, _, size in packed.ways] for packed in small]
    for page in nest(ways_of, room[0], room[1], PACKED_GAP):
        things = sorted(page, key=lambda thing: (thing.down, thing.left))
        scene = _packed_page(resolved, small, things, page_width, page_height)
        found.append((min(small[thing.index].rank for thing in things), scene))
    return tuple(scene for _, scene in sorted(found, key=lambda item: item[0]))


@dataclass(frozen=True)
class _Packed:
    """Pieces made alike that fit a page with their label, the first drawn; ``ways`` are (turned,
    label lines, box)."""

    rank: int
    pieces: tuple[ResolvedPiece, ...]
    ways: tuple[tuple[bool, tuple[str, ...], tuple[Fraction, Fraction]], ...]


def _box(
    pieces: Sequence[ResolvedPiece], resolved: ResolvedDesign, turned: bool, lines: Sequence[str]
) -> tuple[Fraction, Fraction]:
    """The room of the piece with its label above it."""
    piece = pieces[0]
    wide, high = (piece.height, piece.width) if turned else (piece.width, piece.height)
    words = text_width(title_of(pieces, words_of(resolved)), _TITLE_PT, bold=True)
    words = max(words, *(text_width(line, NOTE_PT) for line in lines))
    label = _LABEL_LINE * (len(lines) + 1) + _LABEL_GAP
    return max(wide, Fraction(math.ceil(words * 10), 10)), high + label


def _label_lines(
    pieces: Sequence[ResolvedPiece], resolved: ResolvedDesign, turned: bool
) -> tuple[str, ...]:
    """What stands under the title, in as many lines as the piece's width asks for."""
    room = max(float(pieces[0].height if turned else pieces[0].width), _NARROWEST_LABEL)
    return wrapped(label_words(pieces, resolved, turned), room, _MOST_LABEL_LINES)


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
        title = title_of(packed.pieces, words_of(resolved)) if len(things) > 1 else ""
        _packed_label(canvas, title, lines, box)
        piece = packed.pieces[0]
        high = float(piece.width if turned else piece.height)
        room = Rect(box.left, box.bottom, box.right, box.bottom + high)
        on_page = partial(_on_page, piece=piece, turned=turned, box=box)
        placed.append((piece, turned, on_page, room))
    for piece, _, on_page, room in placed:
        trace_piece(canvas, piece, on_page, room)
    for piece, turned, on_page, room in placed:
        mark_piece(canvas, piece, resolved, on_page, room, turned, 1.0)
    footer(canvas, resolved.edition)
    wording = words_of(resolved)
    alike = [small[thing.index].pieces for thing in things]
    title = ", ".join(title_of(pieces, wording) for pieces in alike)
    sized = "; ".join(
        wording.phrase(
            "draw_template_piece",
            piece=title_of(pieces, wording),
            size=size_words(resolved, pieces[0]),
            count=count_words(pieces, wording),
        )
        for pieces in alike
    )
    words = wording.counted("draw_templates", len(placed), pieces=sized)
    key = f"template-{'-'.join(pieces[0].key for pieces in alike)}"
    return canvas.scene(key, title, words, trim=False)


def _packed_label(canvas: Canvas, title: str, lines: Sequence[str], box: Rect) -> None:
    """No title for what is alone on its page: the page's heading says it."""
    step = float(_LABEL_LINE)
    y = box.top - 2.5
    if title:
        canvas.text(Text(title, box.left, y, _TITLE_PT, "start", bold=True))
    for number, line in enumerate(lines, start=1):
        canvas.text(Text(line, box.left, y - number * step, NOTE_PT, "start"))


def _on_page(places: Sequence[Place], piece: ResolvedPiece, turned: bool, box: Rect) -> list[Place]:
    """The piece's own places on paper: its lower left corner is that of its box."""
    if turned:
        places = [(float(piece.height) - y, x) for x, y in places]
    return [(x + box.left, y + box.bottom) for x, y in places]

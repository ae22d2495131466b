"""True-size templates of pieces that are not plain rectangles, in tiles where they must be.

In: a resolved design, a piece or several, the printable area in mm.  Out: one scene for each
page, exactly that large, the pieces drawn 1:1.  Large pieces come in tiles.  Small pieces share
pages, each under its own label, on as few pages as the planner of sheets finds; the same input
gives the same pages.
"""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from gatherfold.drawings.kernel.canvas import Canvas
from gatherfold.drawings.kernel.lettering import text_width
from gatherfold.drawings.kernel.plane import Rect
from gatherfold.drawings.kernel.scene import Scene, Text
from gatherfold.drawings.kernel.wording import Others, count_words, pieces_alike, title_of, words_of
from gatherfold.drawings.kernel.wrapping import wrapped
from gatherfold.drawings.labels.labels import NOTE_PT
from gatherfold.drawings.piece.laid import LaidPiece, trace_piece
from gatherfold.drawings.template.marks import (
    FOOTER,
    footer,
    label_words,
    mark_piece,
    size_words,
)
from gatherfold.drawings.template.tiles import template_scenes
from gatherfold.drawings.views.features import FINE
from gatherfold.resolve import ResolvedDesign, ResolvedPiece
from gatherfold.sheets import Plan, Rectangle, Sheet, plan

#: White between pieces that share a page.
PACKED_GAP = Fraction(9)
_PACKED_EDGE = Fraction(1)
_LABEL_LINE = Fraction(7, 2)
_LABEL_GAP = Fraction(3, 2)
_TITLE_PT = 9.0
_NARROWEST_LABEL = 38.0
_MOST_LABEL_LINES = 5
#: So much work for the planner, in seconds; and it may take so many times longer on a slow machine.
_WORK, _PATIENCE = 0.2, 20.0
_NO_OTHERS: Others = {}


def needs_template(piece: ResolvedPiece) -> bool:
    """Whether a piece is worth a template: a shaped outline, windows to cut or holes to punch.

    Holes for fastenings do not count: those are pierced through all layers together.
    """
    is_punched = any(hole.fastening is None for hole in piece.holes)
    return piece.is_shaped or bool(piece.windows) or is_punched


@dataclass(frozen=True)
class _Packed:
    """Pieces made alike, the first drawn, upright or ``turned``, with the lines of its label above
    it, and the room that both take."""

    pieces: tuple[ResolvedPiece, ...]
    turned: bool
    lines: tuple[str, ...]
    width: Fraction
    height: Fraction


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
    gap = PACKED_GAP
    # A gap on the right of and below everything, and as much more room on the page.
    wide = Fraction(page_width) - 2 * _PACKED_EDGE + gap
    high = Fraction(page_height) - FOOTER - 2 * _PACKED_EDGE + gap
    small: dict[str, list[_Packed]] = {}
    found: list[tuple[int, tuple[Scene, ...]]] = []
    keys = list(dict.fromkeys(piece_keys))
    for rank, key in enumerate(keys):
        pieces = pieces_alike(resolved, key, others.get(key, ()))
        ways = [_packed(pieces, resolved, turned) for turned in (False, True)]
        fits = [way for way in ways if way.width + gap <= wide and way.height + gap <= high]
        if fits:
            small[key] = fits
            continue
        tiles = template_scenes(resolved, key, page_width, page_height, others.get(key, ()))
        found.append((rank, tiles))
    chosen, pages = _fewest_pages(small, Sheet("page", wide, high))
    for page in pages.sheets:
        # The planner's y is measured down from the upper edge here.
        placed = sorted(page.placed, key=lambda thing: (thing.y, thing.x))
        shown = [(chosen[each.key], float(each.x), float(each.y)) for each in placed]
        scene = _packed_page(resolved, shown, Canvas(page_width, page_height))
        found.append((min(keys.index(each.key) for each in placed), (scene,)))
    return tuple(scene for _, scenes in sorted(found, key=lambda each: each[0]) for scene in scenes)


#: Which way things lie where they can lie both ways: as they are, all low, or all narrow.
_RULES: tuple[Callable[[_Packed], Fraction], ...] = (
    lambda way: Fraction(way.turned),
    lambda way: way.height,
    lambda way: way.width,
)


def _fewest_pages(
    ways: Mapping[str, Sequence[_Packed]], page: Sheet
) -> tuple[dict[str, _Packed], Plan]:
    """The ways that need the fewest pages, and of those that turn the fewest things."""

    def planned(rule: Callable[[_Packed], Fraction]) -> tuple[dict[str, _Packed], Plan]:
        chosen = {key: min(each, key=rule) for key, each in ways.items()}
        things = [
            Rectangle(key, way.width + PACKED_GAP, way.height + PACKED_GAP)
            for key, way in chosen.items()
        ]
        return chosen, plan(things, page, time_limit=_WORK, patience=_PATIENCE)

    return min(
        map(planned, _RULES),
        key=lambda each: (len(each[1].sheets), sum(way.turned for way in each[0].values())),
    )


def _packed(pieces: tuple[ResolvedPiece, ...], resolved: ResolvedDesign, turned: bool) -> _Packed:
    """The piece with its label above it, which has as many lines as the piece's width asks for."""
    piece = pieces[0]
    wide, high = (piece.height, piece.width) if turned else (piece.width, piece.height)
    room = max(float(wide), _NARROWEST_LABEL)
    lines = wrapped(label_words(pieces, resolved, turned), room, _MOST_LABEL_LINES)
    words = text_width(title_of(pieces, words_of(resolved)), _TITLE_PT, bold=True)
    words = max(words, *(text_width(line, NOTE_PT) for line in lines))
    label = _LABEL_LINE * (len(lines) + 1) + _LABEL_GAP
    width = max(wide, Fraction(math.ceil(words * 10), 10))
    return _Packed(pieces, turned, lines, width, high + label)


def _packed_page(
    resolved: ResolvedDesign, shown: Sequence[tuple[_Packed, float, float]], canvas: Canvas
) -> Scene:
    """A page of things, each with how far it lies from the left and down from the top."""
    wording, edge = words_of(resolved), float(_PACKED_EDGE)
    laid = []
    for packed, across, down in shown:
        left, top, piece = edge + across, canvas.frame.top - edge - down, packed.pieces[0]
        title = title_of(packed.pieces, wording) if len(shown) > 1 else ""
        _packed_label(canvas, title, packed.lines, left, top)
        bottom = top - float(packed.height)
        high = float(piece.width if packed.turned else piece.height)
        window = Rect(left, bottom, left + float(packed.width), bottom + high)
        laid.append(LaidPiece(piece, (left, bottom), window, turned=packed.turned))
    for each in laid:
        trace_piece(canvas, each, FINE, resolved.edition.grid)
    for each in laid:
        mark_piece(canvas, resolved, each)
    footer(canvas, resolved.edition)
    alike = [packed.pieces for packed, _, _ in shown]
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
    words = wording.counted("draw_templates", len(laid), pieces=sized)
    key = f"template-{'-'.join(pieces[0].key for pieces in alike)}"
    return canvas.scene(key, title, words, trim=False)


def _packed_label(
    canvas: Canvas, title: str, lines: Sequence[str], left: float, top: float
) -> None:
    """No title for what is alone on its page: the page's heading says it."""
    y = top - 2.5
    if title:
        canvas.text(Text(title, left, y, _TITLE_PT, "start", bold=True))
    for number, line in enumerate(lines, start=1):
        canvas.text(Text(line, left, y - number * float(_LABEL_LINE), NOTE_PT, "start"))

"""What a sheet map shows beside pieces and cuts: margins, printed places, strips, offcuts to keep.

In: a resolved design and one sheet plan, on a canvas with a mapping.  Out: marks on the canvas.
"""

from __future__ import annotations

from collections.abc import Mapping as Names
from fractions import Fraction
from itertools import chain

from gatherfold.drawings.kernel.canvas import Canvas
from gatherfold.drawings.kernel.hatching import MARGIN
from gatherfold.drawings.kernel.plane import Mapping, Rect
from gatherfold.drawings.kernel.styles import GREY_TEXT, SMALLEST_LETTERING_PT, Fill, Line
from gatherfold.drawings.kernel.wording import words_of
from gatherfold.drawings.labels.labels import beside, inside
from gatherfold.drawings.labels.placings import Look, Mark
from gatherfold.geometry import Axis, Box
from gatherfold.lengths import INCH, UnitSystem
from gatherfold.model.choices import SideName, is_front
from gatherfold.plans import (
    CutOut,
    along_grain,
    grain_axis,
    motif_on_sheet,
    placed_pieces,
    recognised_size,
    region_box,
    way_round,
)
from gatherfold.resolve.bought_sizes import printed_size
from gatherfold.resolve.resolved import ResolvedDesign, ResolvedPiece
from gatherfold.sheets import Offcut, Placed, SheetPlan, name_of

#: An offcut is worth keeping from this size on, both ways (common practice, no source).
_USEFUL = INCH


def margin_strips(
    resolved: ResolvedDesign, stock_key: str, plan: SheetPlan
) -> list[tuple[Box, Fraction]]:
    """The strips without print and their widths, as the front of the sheet shows them."""
    width, height = Fraction(plan.sheet.width), Fraction(plan.sheet.height)
    sheets = resolved.stocks[stock_key].sheets
    margins = tuple(Fraction(margin) for margin in plan.sheet.margins)
    left, right, bottom, top = next(
        (sheet.margins for sheet in sheets if sheet.name == plan.sheet.name), margins
    )
    zero = Fraction(0)
    strips = [
        (Box(zero, zero, left, height), left),
        (Box(width - right, zero, width, height), right),
        (Box(left, zero, width - right, bottom), bottom),
        (Box(left, height - top, width - right, height), top),
    ]
    return [(box, margin) for box, margin in strips if margin]


def shade_margins(
    canvas: Canvas, resolved: ResolvedDesign, stock_key: str, plan: SheetPlan, mapping: Mapping
) -> None:
    """Upright lines on white: unlike offcuts, also without colour."""
    for box, _ in margin_strips(resolved, stock_key, plan):
        ring = _paper_rect(mapping, box).ring
        canvas.area([ring], Fill.PAPER)
        canvas.hatch(MARGIN, Line.WASTE, [ring], subject="no print")


def margin_marks(
    resolved: ResolvedDesign, stock_key: str, plan: SheetPlan, mapping: Mapping, paper: Rect
) -> list[Mark]:
    """``no print ½`` in each strip, or beside it where the strip is too narrow."""
    pieces = [_placed_rect(mapping, placed) for placed in plan.placed]
    look = Look(7.0, boxed=True, colour=GREY_TEXT)
    marks = []
    for box, margin in margin_strips(resolved, stock_key, plan):
        size = resolved.edition.units.number(printed_size(margin, resolved))
        words = words_of(resolved).phrase("draw_no_print", size=size)
        strip = _paper_rect(mapping, box)
        targets = [strip.centre, *along(strip)]
        places = chain(
            inside(strip, [words], look), beside(targets, words, _NOTE, 10.0, paper, pieces)
        )
        marks.append(Mark(words, places))
    return marks


#: How a note beside its part is written.
_NOTE = Look(7.0, boxed=True)


def along(strip: Rect) -> list[tuple[float, float]]:
    """More places on a strip for a leader to end."""
    shares = (0.25, 0.75, 0.1, 0.9)
    x, y = strip.centre
    if strip.width >= strip.height:
        return [(strip.left + share * strip.width, y) for share in shares]
    return [(x, strip.bottom + share * strip.height) for share in shares]


def grain_of(resolved: ResolvedDesign, plan: SheetPlan) -> Axis | None:
    """Which way the grain of a sheet runs on its map, where it matters how a piece lies to that:
    ``vertical`` or ``horizontal``; None where it matters to none."""
    pieces = (placed_piece(resolved, placed) for placed in plan.placed)
    folded = (each for each in pieces if along_grain(each) and way_round(each))
    return next((grain_axis(each.stock) for each in folded), None)


def placed_piece(resolved: ResolvedDesign, placed: Placed) -> CutOut:
    """The piece or strip of a placed copy; copies are keyed ``piece#2``."""
    return resolved.cut_out(name_of(placed.key))


def as_it_lies(units: UnitSystem, part: Placed) -> str:
    """The size of a piece as the sheet shows it."""
    return f"{units.number(Fraction(part.width))} × {units.number(Fraction(part.height))}"


def offcut_size(resolved: ResolvedDesign, offcut: Offcut) -> str:
    """The size of an offcut as the cuts beside the map give it: rounded down to the grid."""
    size = (Fraction(offcut.width), Fraction(offcut.height))
    width, height = recognised_size(size, resolved.edition.grid)
    units = resolved.edition.units
    return f"{units.number(width)} × {units.number(height)}"


def outline_printed_places(
    canvas: Canvas, resolved: ResolvedDesign, plan: SheetPlan, mapping: Mapping
) -> list[tuple[Rect, Rect, str]]:
    """The printed pictures that pieces are cut round and the regions that they lie in, each once;
    dashed where they lie on the underside.

    Given back: place, piece and name, for :func:`printed_place_marks`.
    """
    found: dict[Box, tuple[Rect, Rect, str]] = {}
    for placed in plan.placed:
        piece = placed_piece(resolved, placed)
        place = printed_place(piece)
        if place is None or place[0] in found:
            continue
        box, title = place
        on_paper = _paper_rect(mapping, box)
        line = Line.FAINT if is_front(piece.side) else Line.HIDDEN
        canvas.outline(on_paper.ring, line, f"printed place {title}")
        found[box] = (on_paper, _placed_rect(mapping, placed), title)
    return list(found.values())


def printed_place(piece: CutOut) -> tuple[Box, str] | None:
    """The picture or the region of a piece, as the front shows the sheet, and its name."""
    if not isinstance(piece, ResolvedPiece):
        return None
    region = region_box(piece)
    if region is not None and piece.source.region is not None:
        return region, piece.printed_side.regions[piece.source.region].title
    motif = motif_on_sheet(piece)
    if motif is None or piece.motif is None:
        return None
    return motif, piece.motif.title


def outline_strips(
    canvas: Canvas, resolved: ResolvedDesign, plan: SheetPlan, facing: SideName, mapping: Mapping
) -> None:
    """Dashed lines where strips are divided later."""
    runs = []
    for part in placed_pieces(resolved, plan, facing):
        strip = resolved.strip_of(name_of(part.key))
        if strip is None:
            continue
        box = _placed_rect(mapping, part)
        wholes = (_placed_rect(mapping, each) for each in plan.placed)
        end = next(whole for whole in wholes if whole.contains(box, _NEARLY))
        if box.right < end.right - _NEARLY:
            runs.append(((box.right, box.bottom), (box.right, box.top)))
        if box.top < end.top - _NEARLY:
            runs.append(((box.left, box.top), (box.right, box.top)))
    canvas.strokes(runs, Line.HIDDEN, "divided later")


#: Places on paper nearer than this are one.
_NEARLY = 1e-6


def printed_place_marks(
    plan: SheetPlan, mapping: Mapping, paper: Rect, places: list[tuple[Rect, Rect, str]]
) -> list[Mark]:
    """The name of a picture or region in it, else in its piece, else beside it with a leader."""
    pieces = [_placed_rect(mapping, placed) for placed in plan.placed]
    marks = []
    for picture, piece, title in places:
        others = [other for other in pieces if other != piece]
        x, y = picture.centre
        sides = [(x, picture.top), (x, picture.bottom), (picture.left, y), (picture.right, y)]
        found = chain(
            inside(picture, [title], _NOTE, clear_of=others),
            inside(piece, [title], Look(SMALLEST_LETTERING_PT), 2.0),
            beside(sides, title, _NOTE, 10.0, paper, others),
        )
        marks.append(Mark(title, found))
    return marks


def kept_marks(
    resolved: ResolvedDesign,
    stock_key: str,
    plan: SheetPlan,
    mapping: Mapping,
    paper: Rect,
    kept: Names[int, str],
) -> list[Mark]:
    """The size of every offcut to keep and what for, inside it or beside it."""
    wording = words_of(resolved)
    pieces = [_placed_rect(mapping, placed) for placed in plan.placed]
    marks = []
    for offcut, box in true_offcuts(resolved, stock_key, plan, mapping):
        purpose = kept.get(offcut.part)
        if purpose is None:
            continue
        size = offcut_size(resolved, offcut)
        names = ("draw_keep_for", "draw_keep_for_short")
        texts = [wording.phrase(name, size=size, purpose=purpose) for name in names]
        places = chain(
            inside(box, texts, _OFFCUT),
            beside([box.centre, *along(box)], texts[0], _NOTE, 10.0, paper, pieces),
        )
        marks.append(Mark(texts[0], places))
    return marks


_OFFCUT = Look(7.0, boxed=True, colour=GREY_TEXT)


def true_offcuts(
    resolved: ResolvedDesign, stock_key: str, plan: SheetPlan, mapping: Mapping
) -> list[tuple[Offcut, Rect]]:
    """What is left over, and where it lies on paper; what is cut off as a margin is no offcut to
    speak of."""
    margins = margin_strips(resolved, stock_key, plan)
    strips = [_paper_rect(mapping, box).grown(0.05) for box, _ in margins]
    boxes = [(offcut, _placed_rect(mapping, offcut)) for offcut in plan.offcuts]
    return [each for each in boxes if not any(strip.contains(each[1]) for strip in strips)]


def offcut_to_keep(plan: SheetPlan) -> Offcut | None:
    """The largest offcut, where it is large enough for a later piece."""
    largest = plan.largest_offcut
    if largest is None or min(largest.width, largest.height) < _USEFUL:
        return None
    return largest


def _paper_rect(mapping: Mapping, box: Box) -> Rect:
    return mapping.rect(Rect(*(float(at) for at in (box.left, box.bottom, box.right, box.top))))


def part_box(part: Placed | Offcut) -> Rect:
    """A placed piece or an offcut on its sheet."""
    left, bottom = Fraction(part.x), Fraction(part.y)
    return Rect(*(float(at) for at in (left, bottom, left + part.width, bottom + part.height)))


def _placed_rect(mapping: Mapping, part: Placed | Offcut) -> Rect:
    """The same on paper."""
    return mapping.rect(part_box(part))

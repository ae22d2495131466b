"""What a sheet map shows beside pieces and cuts: margins, printed pictures, offcuts to keep.

In: a resolved design and one sheet plan, on a canvas with a mapping.  Out: marks on the canvas.
"""

from __future__ import annotations

from fractions import Fraction

from builder.drawings.canvas import Canvas
from builder.drawings.hatching import MARGIN
from builder.drawings.labels import inner_label, note
from builder.drawings.plane import Mapping, Rect
from builder.drawings.styles import GREY_TEXT, SMALLEST_LETTERING_PT, Fill, Line
from builder.geometry.outline import Box
from builder.lengths import INCH
from builder.resolve.bought_sizes import printed_size
from builder.resolve.resolved import ResolvedDesign
from builder.sheets.kits import name_of
from builder.sheets.model import Offcut, Placed, SheetPlan

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
        canvas.hatch(MARGIN, Line.WASTE, [ring])


def label_margins(
    canvas: Canvas, resolved: ResolvedDesign, stock_key: str, plan: SheetPlan, mapping: Mapping
) -> None:
    """``no print ½`` in each strip, or beside it where the strip is too narrow."""
    pieces = [_placed_rect(mapping, placed) for placed in plan.placed]
    for box, margin in margin_strips(resolved, stock_key, plan):
        words = f"no print {resolved.edition.units.number(printed_size(margin, resolved))}"
        strip = _paper_rect(mapping, box)
        if not inner_label(canvas, strip, [words], 7.0, boxed=True, colour=GREY_TEXT):
            targets = [strip.centre, *_along(strip)]
            note(canvas, targets, words, size_pt=7.0, boxed=True, avoid=pieces)


def _along(strip: Rect) -> list[tuple[float, float]]:
    """More places on a strip for a leader to end."""
    shares = (0.25, 0.75, 0.1, 0.9)
    x, y = strip.centre
    if strip.width >= strip.height:
        return [(strip.left + share * strip.width, y) for share in shares]
    return [(x, strip.bottom + share * strip.height) for share in shares]


def outline_motifs(
    canvas: Canvas, resolved: ResolvedDesign, plan: SheetPlan, mapping: Mapping
) -> list[tuple[Rect, Rect, str]]:
    """The printed pictures that pieces are cut round, dashed where they lie on the underside.

    Given back: picture, piece and name, for :func:`name_motifs`.
    """
    found = []
    for placed in plan.placed:
        piece = resolved.pieces[name_of(placed.key)]
        if piece.motif is None or piece.source.motif is None:
            continue
        box = piece.stock.motifs[piece.source.side, piece.source.motif]
        is_back = piece.source.side == "back"
        if is_back:
            width = Fraction(plan.sheet.width)
            box = Box(width - box.right, box.bottom, width - box.left, box.top)
        picture = _paper_rect(mapping, box)
        line = Line.HIDDEN if is_back else Line.FAINT
        canvas.outline(picture.ring, line, f"motif {piece.source.motif}")
        found.append((picture, _placed_rect(mapping, placed), piece.motif.title))
    return found


def name_motifs(
    canvas: Canvas, plan: SheetPlan, mapping: Mapping, motifs: list[tuple[Rect, Rect, str]]
) -> None:
    """The picture's name in it, else in its piece, else beside it with a leader."""
    pieces = [_placed_rect(mapping, placed) for placed in plan.placed]
    for picture, piece, title in motifs:
        size = SMALLEST_LETTERING_PT
        if inner_label(canvas, picture, [title], size) or inner_label(canvas, piece, [title], size):
            continue
        others = [other for other in pieces if other != piece]
        x, y = picture.centre
        sides = [(x, picture.top), (x, picture.bottom), (picture.left, y), (picture.right, y)]
        note(canvas, sides, title, size_pt=size, boxed=True, avoid=others)


def label_offcuts(
    canvas: Canvas, resolved: ResolvedDesign, stock_key: str, plan: SheetPlan, mapping: Mapping
) -> None:
    """The size of every offcut that has room for it; the one to keep says at least that.

    What is cut off as a margin is no offcut to speak of.
    """
    units = resolved.edition.units
    margins = margin_strips(resolved, stock_key, plan)
    kept = offcut_to_keep(plan)
    strips = [_paper_rect(mapping, box).grown(0.05) for box, _ in margins]
    for offcut in sorted(plan.offcuts, key=lambda each: each is not plan.largest_offcut):
        box = _placed_rect(mapping, offcut)
        if any(strip.contains(box) for strip in strips):
            continue
        size = f"{units.number(Fraction(offcut.width))} × {units.number(Fraction(offcut.height))}"
        texts = [f"offcut {size}", size]
        if offcut == kept:
            texts = [f"offcut {size}: keep", f"keep {size}", "keep"]
        inner_label(canvas, box, texts, 7.0, boxed=True, colour=GREY_TEXT)


def offcut_to_keep(plan: SheetPlan) -> Offcut | None:
    """The largest offcut, where it is large enough for a later piece."""
    largest = plan.largest_offcut
    if largest is None or min(largest.width, largest.height) < _USEFUL:
        return None
    return largest


def _paper_rect(mapping: Mapping, box: Box) -> Rect:
    return mapping.rect(Rect(*(float(at) for at in (box.left, box.bottom, box.right, box.top))))


def _placed_rect(mapping: Mapping, part: Placed | Offcut) -> Rect:
    """A placed piece or an offcut on paper."""
    left, bottom = Fraction(part.x), Fraction(part.y)
    return _paper_rect(mapping, Box(left, bottom, left + part.width, bottom + part.height))

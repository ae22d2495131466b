"""A sheet map in words, for readers who do not see it.

In: a resolved design, one sheet plan and what its offcuts are kept for.  Out: sentences.
"""

from collections.abc import Iterator
from fractions import Fraction

from gatherfold.drawings.kernel.wording import spoken_size
from gatherfold.drawings.sheet_map.mapped import MappedSheet
from gatherfold.model import SideName, Stock, has_direction
from gatherfold.plans import edge_of
from gatherfold.resolve import ResolvedStrip, printed_size
from gatherfold.wording import Wording


def sheet_equivalent(sheet: MappedSheet) -> str:
    """The map in words: the sheet, its pieces, its margins and offcuts, how many cuts."""
    return " ".join((*_cut_from(sheet), *_printed_places(sheet), *_left_over(sheet)))


def _cut_from(sheet: MappedSheet) -> Iterator[str]:
    """The sheet, what is cut from it, and how it lies."""
    units, wording, plan = sheet.units, sheet.wording, sheet.plan
    size = spoken_size(units, Fraction(plan.sheet.width), Fraction(plan.sheet.height))
    pieces = []
    for placed, piece in sheet.pieces:
        down = [] if piece.side == sheet.facing else [wording.phrase("draw_face_down")]
        pieces.append(f"{piece.code} {piece.title} ({', '.join([sheet.size_of(placed), *down])})")
    yield wording.phrase("draw_sheet_words", stock=sheet.stock.title, which=sheet.which, size=size)
    yield wording.counted("draw_pieces", len(pieces), pieces=wording.listed(pieces))
    yield wording.counted("draw_cuts", len(plan.cuts))
    if sheet.stock.two_sided:
        way = sheet.side.print
        turn = [wording.phrase(f"draw_print_{way}")] if has_direction(way) else []
        title = ", ".join([side_name(sheet.stock, sheet.facing, wording), *turn])
        yield wording.phrase("draw_faces_up", title=title)
    if sheet.grain:
        yield wording.phrase(f"draw_grain_{sheet.grain}")


def _left_over(sheet: MappedSheet) -> Iterator[str]:
    """Margins, what is left over, and what to keep."""
    wording, offcuts = sheet.wording, sheet.plan.offcuts
    widths = (printed_size(margin, sheet.resolved) for _, margin in sheet.margins)
    margins = [sheet.units.text(width) for width in widths]
    if margins:
        yield wording.phrase("draw_margins", margins=wording.listed(margins))
    if offcuts:
        yield wording.phrase(
            "draw_left_over", parts=wording.listed(map(sheet.offcut_size, offcuts))
        )
    for offcut in offcuts:
        size = sheet.offcut_size(offcut)
        if offcut.part in sheet.kept:
            yield wording.phrase("draw_keep_words", size=size, purpose=sheet.kept[offcut.part])
        elif offcut == sheet.to_keep:
            yield wording.phrase("draw_keep_later", size=size)


def side_name(stock: Stock, side: SideName, wording: Wording) -> str:
    """A side by the name of its print, for the cut list names it so; as front or back where both
    are called alike."""
    title = stock.side(side).title
    return wording.phrase(f"side_{side}") if stock.front.title == stock.back.title else title


def _printed_places(sheet: MappedSheet) -> Iterator[str]:
    """Pictures, regions and edges that say where pieces lie, and strips that are divided later."""
    wording = sheet.wording
    outlined = [f"{place.title} ({place.piece.code})" for place in sheet.printed_places]
    if outlined:
        yield wording.phrase("draw_outlined", places=wording.listed(outlined))
    for piece in {piece.key: piece for _, piece in sheet.pieces}.values():
        if isinstance(piece, ResolvedStrip):
            codes = wording.listed(part.piece.code for part in piece.parts)
            yield wording.phrase("draw_is_strip", code=piece.code, codes=codes)
        elif (edge := edge_of(piece)) is not None:
            yield wording.phrase("draw_touches", code=piece.code, edge=wording.places[edge])

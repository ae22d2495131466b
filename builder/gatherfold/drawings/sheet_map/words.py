"""A sheet map in words, for readers who do not see it.

In: a resolved design, one sheet plan and what its offcuts are kept for.  Out: sentences.
"""

from __future__ import annotations

from collections.abc import Iterator
from collections.abc import Mapping as Names
from fractions import Fraction

from gatherfold.drawings.kernel.wording import spoken_size, words_of
from gatherfold.drawings.sheet_map.marks import (
    as_it_lies,
    grain_of,
    margin_strips,
    offcut_size,
    offcut_to_keep,
    placed_piece,
    printed_place,
)
from gatherfold.model.choices import SideName, has_direction
from gatherfold.model.design import Stock
from gatherfold.plans import edge_of, facing_side
from gatherfold.resolve.bought_sizes import printed_size
from gatherfold.resolve.resolved import ResolvedDesign, ResolvedStrip
from gatherfold.sheets import SheetPlan
from gatherfold.wording import Wording


def sheet_equivalent(
    resolved: ResolvedDesign, stock_key: str, plan: SheetPlan, which: str, kept: Names[int, str]
) -> str:
    """The map in words: the sheet, its pieces, its margins and offcuts, how many cuts."""
    units, wording = resolved.edition.units, words_of(resolved)
    source = resolved.stocks[stock_key].source
    facing = facing_side(resolved, plan)
    width, height = Fraction(plan.sheet.width), Fraction(plan.sheet.height)
    pieces = [
        f"{piece.code} {piece.title} ({', '.join([as_it_lies(units, placed), *down])})"
        for placed in plan.placed
        for piece in (placed_piece(resolved, placed),)
        for down in ([wording.phrase("draw_face_down")] * (piece.side != facing),)
    ]
    size, listed = spoken_size(units, width, height), wording.listed(pieces)
    sentences = [
        wording.phrase("draw_sheet_words", stock=source.title, which=which, size=size),
        wording.counted("draw_pieces", len(pieces), pieces=listed),
        wording.counted("draw_cuts", len(plan.cuts)),
    ]
    if source.two_sided:
        side = source.side(facing)
        turn = [wording.phrase(f"draw_print_{side.print}")] if has_direction(side.print) else []
        title = ", ".join([side_name(source, facing, wording), *turn])
        sentences.append(wording.phrase("draw_faces_up", title=title))
    grain = grain_of(resolved, plan)
    sentences += [wording.phrase(f"draw_grain_{grain}")] if grain else []
    sentences += _printed_places(resolved, plan)
    margins = [
        units.text(printed_size(margin, resolved))
        for _, margin in margin_strips(resolved, stock_key, plan)
    ]
    if margins:
        sentences.append(wording.phrase("draw_margins", margins=wording.listed(margins)))
    if plan.offcuts:
        left = wording.listed(offcut_size(resolved, offcut) for offcut in plan.offcuts)
        sentences.append(wording.phrase("draw_left_over", parts=left))
    largest = offcut_to_keep(plan)
    for offcut in plan.offcuts:
        if offcut.part in kept:
            size, purpose = offcut_size(resolved, offcut), kept[offcut.part]
            sentences.append(wording.phrase("draw_keep_words", size=size, purpose=purpose))
        elif offcut == largest:
            size = offcut_size(resolved, offcut)
            sentences.append(wording.phrase("draw_keep_later", size=size))
    return " ".join(sentences)


def side_name(stock: Stock, side: SideName, wording: Wording) -> str:
    """A side by the name of its print, for the cut list names it so; as front or back where both
    are called alike."""
    title = stock.side(side).title
    return wording.phrase(f"side_{side}") if stock.front.title == stock.back.title else title


def _printed_places(resolved: ResolvedDesign, plan: SheetPlan) -> Iterator[str]:
    """Pictures, regions and edges that say where pieces lie, and strips that are divided later."""
    wording = words_of(resolved)
    pieces = [placed_piece(resolved, placed) for placed in plan.placed]
    outlined = [
        f"{place[1]} ({piece.code})"
        for piece in {piece.key: piece for piece in pieces}.values()
        for place in (printed_place(piece),)
        if place is not None
    ]
    if outlined:
        yield wording.phrase("draw_outlined", places=wording.listed(outlined))
    for piece in {piece.key: piece for piece in pieces}.values():
        if isinstance(piece, ResolvedStrip):
            codes = wording.listed(part.piece.code for part in piece.parts)
            yield wording.phrase("draw_is_strip", code=piece.code, codes=codes)
        elif (edge := edge_of(piece)) is not None:
            yield wording.phrase("draw_touches", code=piece.code, edge=wording.places[edge])

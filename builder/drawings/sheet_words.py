"""A sheet map in words, for readers who do not see it.

In: a resolved design, one sheet plan and what its offcuts are kept for.  Out: sentences.
"""

from __future__ import annotations

from collections.abc import Iterator
from collections.abc import Mapping as Names
from fractions import Fraction

from builder.drawings.sheet_marks import (
    as_it_lies,
    margin_strips,
    offcut_size,
    offcut_to_keep,
    placed_piece,
    printed_place,
)
from builder.drawings.wording import counted, joined, spoken_size
from builder.resolve.bought_sizes import printed_size
from builder.resolve.resolved import ResolvedDesign, ResolvedStrip
from builder.sheet_places import edge_of
from builder.sheets.model import SheetPlan
from builder.stock_plans import facing_side


def sheet_equivalent(
    resolved: ResolvedDesign, stock_key: str, plan: SheetPlan, which: str, kept: Names[int, str]
) -> str:
    """The map in words: the sheet, its pieces, its margins and offcuts, how many cuts."""
    units = resolved.edition.units
    source = resolved.stocks[stock_key].source
    width, height = Fraction(plan.sheet.width), Fraction(plan.sheet.height)
    pieces = [
        f"{piece.code} {piece.title} ({as_it_lies(units, placed)})"
        for placed in plan.placed
        for piece in (placed_piece(resolved, placed),)
    ]
    sentences = [
        f"{source.title}, {which}, {spoken_size(units, width, height)}.",
        f"{counted(len(pieces), 'piece')}: {joined(pieces)}.",
        f"{counted(len(plan.cuts), 'cut')}, numbered in order.",
    ]
    if source.two_sided:
        facing = facing_side(resolved, plan)
        side = source.side(facing)
        turn = "" if side.print == "any" else f", print {side.print}"
        sentences.append(f"The {facing} side ({side.title}{turn}) lies up.")
    sentences += _printed_places(resolved, plan)
    margins = [
        units.text(printed_size(margin, resolved))
        for _, margin in margin_strips(resolved, stock_key, plan)
    ]
    if margins:
        sentences.append(f"Without print along the edge: {joined(margins)}.")
    if plan.offcuts:
        left = [offcut_size(resolved, offcut) for offcut in plan.offcuts]
        sentences.append(f"Left over: {joined(left)}.")
    largest = offcut_to_keep(plan)
    for offcut in plan.offcuts:
        if offcut.part in kept:
            sentences.append(f"Keep {offcut_size(resolved, offcut)} for {kept[offcut.part]}.")
        elif offcut == largest:
            sentences.append(f"Keep {offcut_size(resolved, offcut)} for later pieces.")
    return " ".join(sentences)


def _printed_places(resolved: ResolvedDesign, plan: SheetPlan) -> Iterator[str]:
    """Pictures, regions and edges that say where pieces lie, and strips that are divided later."""
    pieces = [placed_piece(resolved, placed) for placed in plan.placed]
    outlined = [
        f"{place[1]} ({piece.code})"
        for piece in {piece.key: piece for piece in pieces}.values()
        for place in (printed_place(piece),)
        if place is not None
    ]
    if outlined:
        yield f"Printed places outlined: {joined(outlined)}."
    for piece in {piece.key: piece for piece in pieces}.values():
        if isinstance(piece, ResolvedStrip):
            codes = joined([part.piece.code for part in piece.parts])
            yield f"{piece.code} is a strip, divided later into {codes}."
        elif piece.source.edge:
            yield f"{piece.code} touches the {edge_of(piece)} edge of the sheet."

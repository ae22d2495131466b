"""A sheet's cuts → numbered lines a maker can follow.

Parts are named as they arise: a finished piece by its code, anything else by a letter and its
size.  A size that is no whole step of the grid (what is left of a 12 in sheet in millimetres) is
given rounded down: it is only there to recognise the part.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from builder.documents.content import CutView
from builder.lengths import down_to_grid
from builder.resolve.resolved import ResolvedDesign
from builder.sheets import Cut, SheetPlan
from builder.stock_plans import Size, part_sizes, piece_of
from builder.wording import Wording


def cut_views(sheet: SheetPlan, resolved: ResolvedDesign, wording: Wording) -> tuple[CutView, ...]:
    """One line for each cut: where the guide stands and what comes off."""
    names = _part_names(sheet, resolved, wording)
    return tuple(_line(cut, names, resolved, wording) for cut in sheet.cuts)


def _line(
    cut: Cut, names: Mapping[int, str], resolved: ResolvedDesign, wording: Wording
) -> CutView:
    part = wording.phrase("cut_sheet") if cut.part == 0 else names[cut.part]
    setting = resolved.edition.units.text(Fraction(cut.setting))
    edge = wording.phrase(f"edge_{cut.edge}")
    first, second = (names[number] for number in cut.parts)
    action = wording.phrase("cut_line", part=part, setting=setting, edge=edge)
    gives = wording.phrase("cut_gives", first=first, second=second)
    return CutView(cut.number, action[:1].upper() + action[1:], gives)


def recognised_size(size: Size, resolved: ResolvedDesign) -> Size:
    """The size to print for a part that is no piece: rounded down to the grid."""
    grid = resolved.edition.grid
    return down_to_grid(size[0], grid), down_to_grid(size[1], grid)


def _part_names(sheet: SheetPlan, resolved: ResolvedDesign, wording: Wording) -> dict[int, str]:
    sizes = part_sizes(sheet)
    offcuts = {offcut.part for offcut in sheet.offcuts}
    units = resolved.edition.units
    names: dict[int, str] = {}
    letters = 0
    for cut in sheet.cuts:
        for number in cut.parts:
            size = units.size_text(*recognised_size(sizes[number], resolved))
            if number in sheet.final:
                names[number] = resolved.pieces[piece_of(sheet.final[number])].code
            elif number in offcuts:
                is_sliver = min(recognised_size(sizes[number], resolved)) == 0
                offcut = wording.phrase("offcut")
                names[number] = wording.phrase("sliver") if is_sliver else f"{offcut} ({size})"
            else:
                letter = _small_letter(letters)
                names[number] = wording.phrase("cut_part", part=f"{letter} ({size})")
                letters += 1
    return names


def _small_letter(index: int) -> str:
    first, last = divmod(index, 26)
    return (chr(96 + first) if first else "") + chr(97 + last)

"""Whole numbers for the planner: lengths times the least common denominator, and back.

In: pieces, sheets and trimmer in integers or Fractions. Out: the same with integers alone and
the scale; and a plan in integers turned back into the unit it was asked in.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import lcm

from builder.sheets.model import Length, Pin, Rectangle, Sheet, SheetPlan, Trimmer


@dataclass(frozen=True)
class Scale:
    """How many whole units there are in the caller's unit."""

    factor: int

    def up(self, length: Length) -> int:
        """A caller's length in whole units."""
        return int(length * self.factor)

    def down(self, length: int) -> Length:
        """A whole length in the caller's unit."""
        if self.factor == 1:
            return length
        back = Fraction(length, self.factor)
        return int(back) if back.denominator == 1 else back


def scale_of(pieces: Iterable[Rectangle], sheets: Iterable[Sheet], trimmer: Trimmer) -> Scale:
    """The least scale at which every length is whole."""
    limits = (trimmer.longest_cut or 0, trimmer.narrowest_strip, trimmer.guide_step)
    lengths: list[Length] = list(limits)
    for piece in pieces:
        lengths += [piece.width, piece.height]
        if piece.pin is not None:
            lengths += [piece.pin.x or 0, piece.pin.y or 0, *(piece.pin.region or ())]
    for sheet in sheets:
        lengths += [sheet.width, sheet.height, *sheet.margins]
    for length in lengths:
        if not isinstance(length, int | Fraction):
            raise TypeError(f"a length must be an integer or a Fraction, not {length!r}")
    return Scale(lcm(*(length.denominator for length in lengths)))


def scale_pieces(pieces: Sequence[Rectangle], scale: Scale) -> list[Rectangle]:
    """The pieces in whole units."""
    return [
        replace(
            piece,
            width=scale.up(piece.width),
            height=scale.up(piece.height),
            pin=None if piece.pin is None else _scale_pin(piece.pin, scale),
        )
        for piece in pieces
    ]


def _scale_pin(pin: Pin, scale: Scale) -> Pin:
    region = pin.region
    return Pin(
        None if pin.x is None else scale.up(pin.x),
        None if pin.y is None else scale.up(pin.y),
        pin.edge,
        None
        if region is None
        else (scale.up(region[0]), scale.up(region[1]), scale.up(region[2]), scale.up(region[3])),
    )


def scale_sheets(sheets: Sequence[Sheet], scale: Scale) -> list[Sheet]:
    """The sheets in whole units; what they cost is not a length and stays."""
    return [
        replace(
            sheet,
            width=scale.up(sheet.width),
            height=scale.up(sheet.height),
            margins=(scale.up(left), scale.up(right), scale.up(bottom), scale.up(top)),
        )
        for sheet in sheets
        for left, right, bottom, top in (sheet.margins,)
    ]


def scale_trimmer(trimmer: Trimmer, scale: Scale) -> Trimmer:
    """The trimmer in whole units."""
    longest = trimmer.longest_cut
    return Trimmer(
        None if longest is None else scale.up(longest),
        scale.up(trimmer.narrowest_strip),
        scale.up(trimmer.guide_step),
    )


def unscale_sheet(plan: SheetPlan, sheet: Sheet, scale: Scale) -> SheetPlan:
    """A sheet plan in whole units as one of the caller's own sheet."""
    down = scale.down
    return replace(
        plan,
        sheet=sheet,
        placed=tuple(
            replace(p, x=down(p.x), y=down(p.y), width=down(p.width), height=down(p.height))  # type: ignore[arg-type]
            for p in plan.placed
        ),
        cuts=tuple(replace(cut, setting=down(cut.setting)) for cut in plan.cuts),  # type: ignore[arg-type]
        offcuts=tuple(
            replace(o, x=down(o.x), y=down(o.y), width=down(o.width), height=down(o.height))  # type: ignore[arg-type]
            for o in plan.offcuts
        ),
    )

"""Spares kept back from the offcuts of a stock, the least important of what its sheets give.

In: what was planned, and the spares that each kit wants.  Out: the plan with every spare that costs
no sheet more, and for each other one what it would take.

An offcut that is large enough is kept as it is.  Where there is none, the spares are planned once
more together with the pieces; the new plan is taken if it costs no more.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import assert_never

from builder.choices import has_direction
from builder.resolve.resolved import ResolvedReserve, ResolvedStock
from builder.sheet_places import Size
from builder.sheets import (
    Cut,
    Kits,
    Offcut,
    Plan,
    Rectangle,
    Sheet,
    SheetPlan,
    Trimmer,
    name_of,
    plan_kits,
)

#: What a part of a sheet is kept for, by the sheet's number from 1 and the part.
Kept = Mapping[tuple[int, int], str]
_SPARE = "spare "


@dataclass(frozen=True)
class Wanted:
    """A stock with its spares, and what the planner is given for one kit."""

    stock: ResolvedStock
    rectangles: tuple[Rectangle, ...]
    sheets: tuple[Sheet, ...]
    kits: int
    trimmer: Trimmer

    @property
    def may_turn(self) -> bool:
        """A spare keeps the direction of the front's print."""
        return not has_direction(self.stock.source.front.print)

    def laid(self, reserve: ResolvedReserve) -> Size:
        """Width and height of a spare as it lies on the sheet."""
        match self.stock.source.front.print:
            case "sideways":
                return reserve.height, reserve.width
            case "upright" | "any":
                return reserve.width, reserve.height
            case other:
                assert_never(other)


@dataclass(frozen=True)
class Missed:
    """A spare that would take so many more sheets, and the largest offcut there is instead."""

    reserve: ResolvedReserve
    more_sheets: int
    largest: Size | None


@dataclass(frozen=True)
class Spares:
    """The plans, the parts kept back, and what could not be had."""

    kits: Kits
    kept: Kept = field(default_factory=dict)
    missed: tuple[Missed, ...] = ()


def keep_spares(wanted: Wanted, found: Kits) -> Spares:
    """Every spare that the sheets give, in the order of the design."""
    if not wanted.stock.reserves or found.all.unplaced:
        return Spares(found)
    kits, had, missed = found, list[ResolvedReserve](), list[Missed]()
    for reserve in wanted.stock.reserves:
        if _kept(wanted, kits, [*had, reserve]) is None:
            again = _planned(wanted, [*had, reserve])
            if not _costs_no_more(again, found) or _kept(wanted, again, [*had, reserve]) is None:
                more = len(again.all.sheets) - len(found.all.sheets)
                largest = _largest(kits.all, _kept(wanted, kits, had) or {})
                missed.append(Missed(reserve, max(more, 1), largest))
                continue
            kits = again
        had.append(reserve)
    return Spares(kits, _kept(wanted, kits, had) or {}, tuple(missed))


def _costs_no_more(again: Kits, found: Kits) -> bool:
    return (
        not again.all.unplaced
        and again.all.cost <= found.all.cost
        and again.one.cost <= found.one.cost
    )


def _kept(wanted: Wanted, kits: Kits, reserves: Sequence[ResolvedReserve]) -> Kept | None:
    """For every spare of every kit an offcut that holds it; None where one is lacking.

    The largest spare goes first, each into the smallest offcut that will do.
    """
    kept: dict[tuple[int, int], str] = {}
    parts = [
        (number, offcut.part, _usable(sheet, offcut))
        for number, sheet in enumerate(kits.all.sheets, start=1)
        for offcut in sheet.offcuts
    ]
    parts.sort(key=lambda part: (part[2][0] * part[2][1], part[0], part[1]))
    for reserve in sorted(reserves, key=lambda each: -each.width * each.height):
        size = wanted.laid(reserve)
        for _ in range(wanted.kits):
            holds = (
                (number, part)
                for number, part, room in parts
                if (number, part) not in kept and _holds(room, size, wanted.may_turn)
            )
            found = next(holds, None)
            if found is None:
                return None
            kept[found] = reserve.purpose
    return kept


def _holds(room: Size, size: Size, may_turn: bool) -> bool:
    ways = [size, (size[1], size[0])] if may_turn else [size]
    return min(room) > 0 and any(width <= room[0] and height <= room[1] for width, height in ways)


def _usable(sheet: SheetPlan, offcut: Offcut) -> Size:
    """What of an offcut is no margin."""
    left, right, bottom, top = sheet.sheet.margins
    width = min(offcut.x + offcut.width, sheet.sheet.width - right) - max(offcut.x, left)
    height = min(offcut.y + offcut.height, sheet.sheet.height - top) - max(offcut.y, bottom)
    return Fraction(width), Fraction(height)


def _largest(plan: Plan, kept: Kept) -> Size | None:
    """The largest offcut that is not kept for another spare."""
    sizes = [
        _usable(sheet, offcut)
        for number, sheet in enumerate(plan.sheets, start=1)
        for offcut in sheet.offcuts
        if (number, offcut.part) not in kept
    ]
    sizes = [size for size in sizes if min(size) > 0]
    return max(sizes, key=lambda size: size[0] * size[1], default=None)


def _planned(wanted: Wanted, reserves: Iterable[ResolvedReserve]) -> Kits:
    """The plans with the spares as rectangles, which are offcuts again in the end."""
    spares = [
        Rectangle(f"{_SPARE}{number}", *wanted.laid(reserve), wanted.may_turn)
        for number, reserve in enumerate(reserves)
    ]
    rectangles = [*wanted.rectangles, *spares]
    found = plan_kits(rectangles, wanted.kits, wanted.sheets, trimmer=wanted.trimmer)
    return Kits(_without_spares(found.one), _without_spares(found.all))


def _without_spares(plan: Plan) -> Plan:
    return replace(plan, sheets=tuple(_offcuts_for_spares(sheet) for sheet in plan.sheets))


def _offcuts_for_spares(sheet: SheetPlan) -> SheetPlan:
    spares = {p.key: p for p in sheet.placed if name_of(p.key).startswith(_SPARE)}
    parts = {part: spares[key] for part, key in sheet.final.items() if key in spares}
    offcuts = [Offcut(part, p.x, p.y, p.width, p.height) for part, p in parts.items()]
    return replace(
        sheet,
        placed=tuple(p for p in sheet.placed if p.key not in spares),
        final={part: key for part, key in sheet.final.items() if part not in parts},
        offcuts=(*sheet.offcuts, *offcuts),
        cuts=_with_kept_parts(sheet.cuts, set(sheet.final) - set(parts)),
    )


def _with_kept_parts(cuts: Sequence[Cut], holds: set[int]) -> tuple[Cut, ...]:
    """The cuts with the parts that hold a piece, when those in ``holds`` are pieces."""
    found = []
    for cut in reversed(cuts):
        kept = tuple(part for part in cut.parts if part in holds)
        if kept:
            holds.add(cut.part)
        found.append(replace(cut, kept=kept))
    return tuple(reversed(found))

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

from builder.resolve.resolved import ResolvedReserve, ResolvedStock
from builder.sheet_places import Size, laid, way_of_print
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
from builder.sheets.pins import sizes

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

    def laid(self, reserve: ResolvedReserve, key: str = _SPARE) -> Rectangle:
        """A spare as it lies on the sheet, which keeps the direction of the front's print."""
        way = way_of_print(self.stock.source.front.print)
        return Rectangle(key, *laid(reserve, way), way is None)


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


def keep_spares(wanted: Wanted) -> Spares:
    """The plans, with every spare that the sheets give, in the order of the design."""
    found = plan_kits(wanted.rectangles, wanted.kits, wanted.sheets, trimmer=wanted.trimmer)
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
    offcuts = _offcuts(kits.all)
    for reserve in sorted(reserves, key=lambda each: -each.width * each.height):
        ways = sizes(wanted.laid(reserve))
        for _ in range(wanted.kits):
            holds = (
                place
                for place, room in offcuts
                if place not in kept and any(w <= room[0] and h <= room[1] for w, h in ways)
            )
            found = next(holds, None)
            if found is None:
                return None
            kept[found] = reserve.purpose
    return kept


def _offcuts(plan: Plan) -> list[tuple[tuple[int, int], Size]]:
    """What of each offcut is no margin, the smallest first, by the sheet and the part."""
    found = [
        ((number, offcut.part), _usable(sheet, offcut))
        for number, sheet in enumerate(plan.sheets, start=1)
        for offcut in sheet.offcuts
    ]
    return sorted(found, key=lambda entry: (entry[1][0] * entry[1][1], entry[0]))


def _usable(sheet: SheetPlan, offcut: Offcut) -> Size:
    """What of an offcut is no margin."""
    left, right, bottom, top = sheet.sheet.margins
    width = min(offcut.x + offcut.width, sheet.sheet.width - right) - max(offcut.x, left)
    height = min(offcut.y + offcut.height, sheet.sheet.height - top) - max(offcut.y, bottom)
    return Fraction(width), Fraction(height)


def _largest(plan: Plan, kept: Kept) -> Size | None:
    """The largest offcut that is not kept for another spare."""
    rooms = [room for place, room in _offcuts(plan) if place not in kept and min(room) > 0]
    return max(rooms, key=lambda room: room[0] * room[1], default=None)


def _planned(wanted: Wanted, reserves: Iterable[ResolvedReserve]) -> Kits:
    """The plans with the spares as rectangles, which are offcuts again in the end."""
    spares = [wanted.laid(reserve, f"{_SPARE}{number}") for number, reserve in enumerate(reserves)]
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

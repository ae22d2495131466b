"""The sheet plan of every stock of a resolved design.

In: :class:`ResolvedDesign`.  Out: one :class:`StockPlan` for each stock that pieces are cut from.

A piece from either side spends the sheet's whole thickness, so both sides share one plan.  Pieces
of a strip are one rectangle on the sheet; the strip is then a small sheet of its own, with a plan
of its own.  A stock may come in several sizes, all written the same way round as its first; only
that one has motifs, regions and edges that a piece asks for.  Kits are planned together, and spares
to keep back are planned last.

Spares are kept from the offcuts, the least important of what the sheets give.  An offcut that is
large enough is kept as it is.  Where there is none, the spares are planned once more together with
the pieces; the new plan is taken if it costs no more, and else it is said what it would take.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import groupby

from gatherfold.geometry import ends_across, is_vertical
from gatherfold.lengths import down_to_grid, up_to_grid
from gatherfold.model import SideName, has_direction, is_sold_by_length
from gatherfold.plans.places import (
    CutOut,
    Size,
    is_placed_by_print,
    laid,
    pin_of,
    print_of,
    way_of_print,
    way_round,
)
from gatherfold.resolve import (
    ResolvedDesign,
    ResolvedPiece,
    ResolvedReserve,
    ResolvedSheet,
    ResolvedStock,
)
from gatherfold.sheets import (
    Kits,
    Offcut,
    Plan,
    Rectangle,
    Sheet,
    SheetPlan,
    Trimmer,
    name_of,
    pattern_of,
    plan_kits,
    plan_to_count,
    sizes,
)

#: What a part of a sheet is kept for, by the sheet's number from 1 and the part.
Kept = Mapping[tuple[int, int], str]
_SPARE = "spare "


@dataclass(frozen=True)
class Missed:
    """A spare that would take so many more sheets, and the largest offcut there is instead."""

    reserve: ResolvedReserve
    more_sheets: int
    largest: Size | None


@dataclass(frozen=True)
class StockPlan:
    """A stock, the pieces of one kit in design order, and how the sheets for all kits are cut.

    ``of_one`` is the plan for one kit alone.  ``kept`` are the offcuts kept back as spares, and
    ``missed`` the spares that would take more sheets.
    """

    stock: ResolvedStock
    pieces: tuple[ResolvedPiece, ...]
    plan: Plan
    kits: int
    of_one: Plan
    kept: Kept = field(default_factory=dict)
    missed: tuple[Missed, ...] = ()

    def sheet(self, plan: SheetPlan) -> ResolvedSheet:
        """The size of the stock that a planned sheet is of."""
        return next(sheet for sheet in self.stock.sheets if sheet.name == plan.sheet.name)

    @property
    def alike(self) -> tuple[tuple[int, ...], ...]:
        """The numbers, from 1, of sheets that follow one another and are cut alike."""
        numbered = enumerate(self.plan.sheets, start=1)
        groups = groupby(numbered, key=lambda entry: (pattern_of(entry[1]), self.kept_on(entry[0])))
        return tuple(tuple(number for number, _ in group) for _, group in groups)

    def kept_on(self, number: int) -> Mapping[int, str]:
        """What parts of a sheet, numbered from 1, are kept back for."""
        return {part: what for (sheet, part), what in self.kept.items() if sheet == number}


@dataclass(frozen=True)
class _Wanted:
    """A stock with its spares, and what the planner is given for one kit.

    Sheets that are only counted (not ``are_cut``) need no good cuts, unless spares come from what
    these leave.
    """

    stock: ResolvedStock
    rectangles: tuple[Rectangle, ...]
    sheets: tuple[Sheet, ...]
    kits: int
    trimmer: Trimmer
    are_cut: bool

    def laid(self, reserve: ResolvedReserve, key: str = _SPARE) -> Rectangle:
        """A spare as it lies on the sheet, which keeps the direction of the front's print."""
        way = way_of_print(self.stock.source.front.print)
        return Rectangle(key, *laid(reserve, way), way is None)

    def planned(self, reserves: Iterable[ResolvedReserve]) -> Kits:
        """The plans with spares as rectangles, which are offcuts again in the end."""
        spares = [
            self.laid(reserve, f"{_SPARE}{number}") for number, reserve in enumerate(reserves)
        ]
        rectangles = [*self.rectangles, *spares]
        if not self.are_cut and self.kits == 1 and not self.stock.reserves:
            counted = plan_to_count(rectangles, self.sheets, trimmer=self.trimmer)
            return Kits(counted, counted)
        found = plan_kits(rectangles, self.kits, self.sheets, trimmer=self.trimmer)
        if not spares:
            return found
        return Kits(_without_spares(found.one), _without_spares(found.all))


def plan_stocks(
    resolved: ResolvedDesign, kits: int = 1, are_cut: bool = True
) -> dict[str, StockPlan]:
    """Plan the sheets of every stock that is not sold by length, for so many kits together, to be
    cut or only to be counted."""
    plans: dict[str, StockPlan] = {}
    grid = resolved.edition.grid
    trimmer = trimmer_of(resolved)
    for key, stock in resolved.stocks.items():
        pieces = tuple(piece for piece in resolved.pieces.values() if piece.stock.key == key)
        if pieces and not is_sold_by_length(stock.source.material):
            rectangles = one_kit(resolved, key)
            is_pinned = any(rectangle.pin is not None for rectangle in rectangles)
            sheets = tuple(as_planned(sheet, grid, is_pinned) for sheet in stock.sheets)
            wanted = _Wanted(stock, tuple(rectangles), sheets, kits, trimmer, are_cut)
            plans[key] = _with_spares(wanted, pieces)
    return plans


def _with_spares(wanted: _Wanted, pieces: tuple[ResolvedPiece, ...]) -> StockPlan:
    """The plans, with every spare that the sheets give, in the order of the design."""
    plan = found = wanted.planned(())
    had, missed = list[ResolvedReserve](), list[Missed]()
    kept: Kept = {}
    for reserve in () if found.all.unplaced else wanted.stock.reserves:
        again, asked = plan, [*had, reserve]
        gives = _kept(wanted, plan, asked)
        if gives is None:
            again = wanted.planned(asked)
            gives = _kept(wanted, again, asked) if _costs_no_more(again, found) else None
        if gives is None:
            more = len(again.all.sheets) - len(found.all.sheets)
            missed.append(Missed(reserve, max(more, 1), _largest(plan.all, kept)))
        else:
            plan, had, kept = again, asked, gives
    return StockPlan(wanted.stock, pieces, plan.all, wanted.kits, plan.one, kept, tuple(missed))


def _costs_no_more(again: Kits, found: Kits) -> bool:
    return (
        not again.all.unplaced
        and again.all.cost <= found.all.cost
        and again.one.cost <= found.one.cost
    )


def _kept(wanted: _Wanted, kits: Kits, reserves: Sequence[ResolvedReserve]) -> Kept | None:
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
            kept[found] = reserve.source.purpose
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
    )


def trimmer_of(resolved: ResolvedDesign) -> Trimmer:
    """The trimmer, its guide set to the steps of the edition."""
    limits = resolved.trimmer
    return Trimmer(limits.longest_cut, limits.narrowest_strip, resolved.edition.grid)


def one_kit(resolved: ResolvedDesign, stock: str) -> list[Rectangle]:
    """What one kit takes from a stock, as it is laid on the sheet."""
    outs = [out for out in resolved.cut_outs.values() if out.stock.key == stock]
    return [copy for out in outs for copy in rectangles_of(out, resolved.edition.grid)]


def facing_side(resolved: ResolvedDesign, plan: SheetPlan) -> SideName:
    """The stock's side that lies up: the one whose print has a direction, if pieces are cut from
    just one such side, else the one most pieces are cut from.

    What is placed by the print is placed as the front shows it, and so are margins that differ, so
    then the front lies up.
    """
    if plan.sheet.margins[0] != plan.sheet.margins[1]:
        return "front"
    placed = [resolved.cut_out(name_of(each.key)) for each in plan.placed]
    if any(is_placed_by_print(out) for out in placed):
        return "front"
    directed = {out.side for out in placed if has_direction(print_of(out))}
    if len(directed) == 1:
        return directed.pop()
    sides = [out.side for out in placed]
    return "back" if sides.count("back") > sides.count("front") else "front"


def as_planned(sheet: ResolvedSheet, grid: Fraction, is_pinned: bool) -> Sheet:
    """The sheet with margins so wide that every guide setting is a whole step from some edge.

    A margin on one side takes up what the sheet's true size leaves over.  Where a margin faces
    another, or a piece is cut round a motif, each is rounded up.
    """
    left, right, bottom, top = sheet.margins
    margins = (
        *_margins(left, right, sheet.width, grid, is_pinned),
        *_margins(bottom, top, sheet.height, grid, is_pinned),
    )
    source = sheet.source
    cost = 0 if source.is_scrap else source.price or 1
    return Sheet(sheet.name, sheet.width, sheet.height, source.limit, cost, margins)


def _margins(
    near: Fraction, far: Fraction, length: Fraction, grid: Fraction, is_pinned: bool
) -> Size:
    if near and not far and not is_pinned:
        return length - down_to_grid(length - near, grid), far
    if min(length - up_to_grid(near, grid) - up_to_grid(far, grid), near + far) <= 0:
        return near, far
    return up_to_grid(near, grid), up_to_grid(far, grid)


def part_sizes(sheet: SheetPlan) -> dict[int, Size]:
    """Width and height of every part that the cuts make; part 0 is the whole sheet."""
    sizes = {0: (Fraction(sheet.sheet.width), Fraction(sheet.sheet.height))}
    for cut in sheet.cuts:
        width, height = sizes[cut.part]
        upright = is_vertical(cut.axis)
        near = Fraction(cut.setting)
        far = (width if upright else height) - near
        ends = (near, far) if cut.edge == ends_across(cut.axis)[0] else (far, near)
        for part, end in zip(cut.parts, ends, strict=True):
            sizes[part] = (end, height) if upright else (width, end)
    return sizes


def recognised_size(size: Size, grid: Fraction) -> Size:
    """The size to print for a part that is no piece: rounded down to the grid."""
    return down_to_grid(size[0], grid), down_to_grid(size[1], grid)


def rectangles_of(out: CutOut, grid: Fraction) -> list[Rectangle]:
    """One rectangle for each copy to cut, as it is laid on the sheet."""
    way = way_round(out)
    width, height = laid(out, way)
    pin = pin_of(out, grid)
    copies = out.source.count if isinstance(out, ResolvedPiece) else 1
    keys = [out.key, *(f"{out.key}#{copy}" for copy in range(2, copies + 1))]
    sheet = None if pin is None else out.stock.key
    return [Rectangle(key, width, height, way is None, pin, sheet) for key in keys]

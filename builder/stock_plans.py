"""The sheet plan of every stock of a resolved design.

In: :class:`ResolvedDesign`.  Out: one :class:`StockPlan` for each stock that pieces are cut from.

A piece from either side spends the sheet's whole thickness, so both sides share one plan.  Pieces
of a strip are one rectangle on the sheet; the strip is then a small sheet of its own, with a plan
of its own.  A stock may come in several sizes, all written the same way round as its first; only
that one has motifs, regions and edges that a piece asks for.  Kits are planned together, and spares
to keep back are planned last.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import groupby

from builder.choices import SideName, has_direction, is_sold_by_length
from builder.geometry.edges import ends_across, is_vertical
from builder.lengths import down_to_grid, up_to_grid
from builder.resolve.resolved import ResolvedDesign, ResolvedPiece, ResolvedSheet, ResolvedStock
from builder.sheet_places import (
    CutOut,
    Size,
    is_placed_by_print,
    laid,
    pin_of,
    print_of,
    way_round,
)
from builder.sheets import (
    Plan,
    Rectangle,
    Sheet,
    SheetPlan,
    Trimmer,
    name_of,
    pattern_of,
)
from builder.spares import Kept, Missed, Wanted, keep_spares


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


def plan_stocks(resolved: ResolvedDesign, kits: int = 1) -> dict[str, StockPlan]:
    plans: dict[str, StockPlan] = {}
    grid = resolved.edition.grid
    trimmer = trimmer_of(resolved)
    for key, stock in resolved.stocks.items():
        pieces = tuple(piece for piece in resolved.pieces.values() if piece.stock.key == key)
        if pieces and not is_sold_by_length(stock.source.material):
            rectangles = one_kit(resolved, key)
            is_pinned = any(rectangle.pin is not None for rectangle in rectangles)
            sheets = [as_planned(sheet, grid, is_pinned) for sheet in stock.sheets]
            wanted = Wanted(stock, tuple(rectangles), tuple(sheets), kits, trimmer)
            spares = keep_spares(wanted)
            whole, one = spares.kits.all, spares.kits.one
            plans[key] = StockPlan(stock, pieces, whole, kits, one, spares.kept, spares.missed)
    return plans


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

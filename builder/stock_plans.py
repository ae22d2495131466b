"""The sheet plan of every stock of a resolved design.

In: :class:`ResolvedDesign`.  Out: one :class:`StockPlan` for each stock that pieces are cut from.

A piece keeps its direction where the side it is cut from has one: an upright print is cut
upright, a sideways print turned by a quarter; only a print without direction may be laid either
way, and then folded pieces lie with their scores along the grain.  A piece from either side
spends the sheet's whole thickness, so both sides share one plan.  A stock may come in several
sizes, all written the same way round as its first; only that one has the motifs.  Kits are planned
together.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import groupby

from builder.lengths import down_to_grid, is_on_grid, nearest_on_grid, up_to_grid
from builder.resolve.resolved import ResolvedDesign, ResolvedPiece, ResolvedSheet, ResolvedStock
from builder.sheets import (
    Cut,
    Pin,
    Plan,
    Rectangle,
    Sheet,
    SheetPlan,
    Trimmer,
    name_of,
    pattern_of,
    plan_kits,
)
from builder.sheets.model import Edge

Size = tuple[Fraction, Fraction]

_FAR_EDGE: dict[Edge, Edge] = {"left": "right", "right": "left", "bottom": "top", "top": "bottom"}


@dataclass(frozen=True)
class StockPlan:
    """A stock, the pieces of one kit in design order, and how the sheets for all kits are cut.

    ``of_one`` is the plan for one kit alone.
    """

    stock: ResolvedStock
    pieces: tuple[ResolvedPiece, ...]
    plan: Plan
    kits: int
    of_one: Plan

    def sheet(self, plan: SheetPlan) -> ResolvedSheet:
        """The size of the stock that a planned sheet is of."""
        return next(sheet for sheet in self.stock.sheets if sheet.name == plan.sheet.name)

    @property
    def alike(self) -> tuple[tuple[int, ...], ...]:
        """The numbers, from 1, of sheets that follow one another and are cut alike."""
        numbered = enumerate(self.plan.sheets, start=1)
        groups = groupby(numbered, key=lambda entry: pattern_of(entry[1]))
        return tuple(tuple(number for number, _ in group) for _, group in groups)


def plan_stocks(resolved: ResolvedDesign, kits: int = 1) -> dict[str, StockPlan]:
    plans: dict[str, StockPlan] = {}
    grid = resolved.edition.grid
    trimmer = Trimmer(resolved.trimmer.longest_cut, resolved.trimmer.narrowest_strip)
    for key, stock in resolved.stocks.items():
        pieces = tuple(piece for piece in resolved.pieces.values() if piece.stock.key == key)
        if pieces and stock.source.material != "ribbon":
            rectangles = [copy for piece in pieces for copy in _rectangles(piece, grid)]
            is_pinned = any(rectangle.pin is not None for rectangle in rectangles)
            sheets = [_as_planned(sheet, grid, is_pinned) for sheet in stock.sheets]
            found = plan_kits(rectangles, kits, sheets, trimmer=trimmer)
            whole, one = (_on_grid(each, grid) for each in (found.all, found.one))
            plans[key] = StockPlan(stock, pieces, whole, kits, one)
    return plans


def _as_planned(sheet: ResolvedSheet, grid: Fraction, is_pinned: bool) -> Sheet:
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


def _on_grid(found: Plan, grid: Fraction) -> Plan:
    return replace(found, sheets=tuple(_set_on_grid(each, grid) for each in found.sheets))


def _set_on_grid(sheet: SheetPlan, grid: Fraction) -> SheetPlan:
    """The same cuts, each measured from an edge that puts the guide on the grid if one does.

    A sheet whose true size is no whole number of steps (12 in are 304.8 mm) leaves a remnant that
    nobody can set; the same cut measured from the other edge is the piece itself.
    """
    sizes = part_sizes(sheet)
    return replace(
        sheet, cuts=tuple(_cut_on_grid(cut, sizes[cut.part], grid) for cut in sheet.cuts)
    )


def _cut_on_grid(cut: Cut, size: Size, grid: Fraction) -> Cut:
    setting = Fraction(cut.setting)
    other = size[0 if cut.axis == "vertical" else 1] - setting
    if is_on_grid(setting, grid) or not is_on_grid(other, grid):
        return cut
    return replace(cut, setting=other, edge=_FAR_EDGE[cut.edge])


def part_sizes(sheet: SheetPlan) -> dict[int, Size]:
    """Width and height of every part that the cuts make; part 0 is the whole sheet."""
    sizes: dict[int, Size] = {0: (Fraction(sheet.sheet.width), Fraction(sheet.sheet.height))}
    for cut in sheet.cuts:
        width, height = sizes[cut.part]
        along = width if cut.axis == "vertical" else height
        near = Fraction(cut.setting)
        first = along - near if cut.edge in ("right", "top") else near
        if cut.axis == "vertical":
            sizes[cut.parts[0]], sizes[cut.parts[1]] = (first, height), (width - first, height)
        else:
            sizes[cut.parts[0]], sizes[cut.parts[1]] = (width, first), (width, height - first)
    return sizes


def piece_of(placed_key: str) -> str:
    """The piece's own key, without the number of the copy."""
    return name_of(placed_key)


def print_of(piece: ResolvedPiece) -> str:
    """The print direction of the side that the piece is cut from."""
    return piece.printed_side.print


def way_round(piece: ResolvedPiece) -> str:
    """How a piece is laid on its sheet: ``upright`` as drawn, ``turned`` by a quarter, or
    ``either``.

    A print with a direction decides; without one, score lines that all run one way are laid along
    the grain, where the stock states it and the sheet has room.
    """
    direction = print_of(piece)
    if direction == "any" and piece.source.motif is None:
        wanted = along_grain(piece)
        return wanted if wanted and fits_on_sheet(piece, wanted) else "either"
    return "turned" if direction == "sideways" else "upright"


def along_grain(piece: ResolvedPiece) -> str:
    """Which way round lays all score lines along the grain; empty where neither or both would."""
    axes = {score.axis for score in piece.scores}
    grain = grain_axis(piece.stock)
    if len(axes) != 1 or not grain:
        return ""
    return "upright" if axes == {grain} else "turned"


def grain_axis(stock: ResolvedStock) -> str:
    """``vertical`` or ``horizontal`` on the sheet as it is drawn; empty where it is not stated.

    On a square sheet the long way is taken to be upright.
    """
    if stock.source.grain == "any":
        return ""
    is_upright = stock.sheet_height >= stock.sheet_width
    return "vertical" if is_upright == (stock.source.grain == "long") else "horizontal"


def fits_on_sheet(piece: ResolvedPiece, way: str) -> bool:
    width, height = piece.width, piece.height
    if way == "turned":
        width, height = height, width
    return any(width <= room[0] and height <= room[1] for room in rooms(piece))


def rooms(piece: ResolvedPiece) -> list[Size]:
    """What the sheets that a piece may come from offer without their margins."""
    sheets = piece.stock.sheets[: None if piece.source.motif is None else 1]
    return [sheet.usable for sheet in sheets]


def _rectangles(piece: ResolvedPiece, grid: Fraction) -> list[Rectangle]:
    way = way_round(piece)
    width, height = piece.width, piece.height
    if way == "turned":
        width, height = height, width
    pin = motif_pin(piece, grid)
    keys = [piece.key, *(f"{piece.key}#{copy}" for copy in range(2, piece.source.count + 1))]
    sheet = None if pin is None else piece.stock.key
    return [Rectangle(key, width, height, way == "either", pin, sheet) for key in keys]


def motif_pin(piece: ResolvedPiece, grid: Fraction) -> Pin | None:
    """Where a piece must be cut so that its motif lies in its middle, to the step of the grid.

    A motif on the back is seen in the mirror when the front faces the maker.
    """
    if piece.source.motif is None:
        return None
    motif = piece.stock.motifs[piece.source.side, piece.source.motif]
    centre = motif.centre
    across = centre.x if piece.source.side == "front" else piece.stock.sheet_width - centre.x
    return Pin(
        x=nearest_on_grid(across - piece.width / 2, grid),
        y=nearest_on_grid(centre.y - piece.height / 2, grid),
    )

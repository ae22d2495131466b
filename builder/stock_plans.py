"""The sheet plan of every stock of a resolved design.

In: :class:`ResolvedDesign`.  Out: one :class:`StockPlan` for each stock that pieces are cut from.

A piece keeps its direction where the side it is cut from has one: an upright print is cut
upright, a sideways print turned by a quarter; only a print without direction may be laid either
way.  A piece from either side spends the sheet's whole thickness, so both sides share one plan.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from builder.lengths import is_on_grid, nearest_on_grid
from builder.resolve.resolved import ResolvedDesign, ResolvedPiece, ResolvedStock
from builder.sheets import Cut, Pin, Plan, Rectangle, Sheet, SheetPlan, plan
from builder.sheets.model import Edge

Size = tuple[Fraction, Fraction]

_FAR_EDGE: dict[Edge, Edge] = {"left": "right", "right": "left", "bottom": "top", "top": "bottom"}


@dataclass(frozen=True)
class StockPlan:
    """A stock, the pieces cut from it in design order, and how its sheets are cut."""

    stock: ResolvedStock
    pieces: tuple[ResolvedPiece, ...]
    plan: Plan


def plan_stocks(resolved: ResolvedDesign) -> dict[str, StockPlan]:
    plans: dict[str, StockPlan] = {}
    for key, stock in resolved.stocks.items():
        pieces = tuple(piece for piece in resolved.pieces.values() if piece.stock.key == key)
        if pieces and stock.source.material != "ribbon":
            sheet = Sheet(key, stock.sheet_width, stock.sheet_height)
            grid = resolved.edition.grid
            rectangles = [copy for piece in pieces for copy in _rectangles(piece, grid)]
            found = plan(rectangles, sheet)
            sheets = tuple(_set_on_grid(each, resolved.edition.grid) for each in found.sheets)
            plans[key] = StockPlan(stock, pieces, replace(found, sheets=sheets))
    return plans


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
    return placed_key.partition("#")[0]


def print_of(piece: ResolvedPiece) -> str:
    """The print direction of the side that the piece is cut from."""
    return piece.printed_side.print


def _rectangles(piece: ResolvedPiece, grid: Fraction) -> list[Rectangle]:
    direction = print_of(piece)
    width, height = piece.width, piece.height
    if direction == "sideways":
        width, height = height, width
    pin = motif_pin(piece, grid)
    keys = [piece.key, *(f"{piece.key}#{copy}" for copy in range(2, piece.source.count + 1))]
    turns = direction == "any" and pin is None
    return [Rectangle(key, width, height, turns=turns, pin=pin) for key in keys]


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

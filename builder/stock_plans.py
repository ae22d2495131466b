"""The sheet plan of every stock of a resolved design.

In: :class:`ResolvedDesign`.  Out: one :class:`StockPlan` for each stock that pieces are cut from.

A piece keeps its direction where the side it is cut from has one: an upright print is cut
upright, a sideways print turned by a quarter; only a print without direction may be laid either
way.  A piece from either side spends the sheet's whole thickness, so both sides share one plan.
"""

from __future__ import annotations

from dataclasses import dataclass

from builder.resolve.resolved import ResolvedDesign, ResolvedPiece, ResolvedStock
from builder.sheets import Plan, Rectangle, Sheet, plan


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
            rectangles = [copy for piece in pieces for copy in _rectangles(piece)]
            plans[key] = StockPlan(stock, pieces, plan(rectangles, sheet))
    return plans


def piece_of(placed_key: str) -> str:
    """The piece's own key, without the number of the copy."""
    return placed_key.partition("#")[0]


def print_of(piece: ResolvedPiece) -> str:
    """The print direction of the side that the piece is cut from."""
    source = piece.stock.source
    return (source.front if piece.source.side == "front" else source.back).print


def _rectangles(piece: ResolvedPiece) -> list[Rectangle]:
    direction = print_of(piece)
    width, height = piece.width, piece.height
    if direction == "sideways":
        width, height = height, width
    keys = [piece.key, *(f"{piece.key}#{copy}" for copy in range(2, piece.source.count + 1))]
    return [Rectangle(key, width, height, turns=direction == "any") for key in keys]

"""Pieces must come out of their sheets, and the plan must have placed all of them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from builder.checks.report import found
from builder.findings import Finding, Severity
from builder.resolve.resolved import ResolvedDesign, ResolvedPiece, ResolvedStock
from builder.stock_plans import StockPlan, print_of


def check_stock(resolved: ResolvedDesign, plans: Mapping[str, StockPlan]) -> Iterator[Finding]:
    for stock_plan in plans.values():
        for piece in stock_plan.pieces:
            if not _fits(piece, stock_plan.stock):
                yield _too_large(resolved, piece, stock_plan.stock)
    used = {piece.stock.key for piece in resolved.pieces.values()}
    used |= {f.source.stock for f in resolved.fastenings.values() if f.source.stock}
    for key, stock in resolved.stocks.items():
        if key not in used:
            yield found(
                resolved,
                Severity.WARNING,
                "unused-stock",
                stock.source.position,
                f"stock '{key}' is listed, but nothing is made from it",
                "Remove it, or cut a piece from it.",
            )


def _fits(piece: ResolvedPiece, stock: ResolvedStock) -> bool:
    direction = print_of(piece)
    upright = piece.width <= stock.sheet_width and piece.height <= stock.sheet_height
    turned = piece.height <= stock.sheet_width and piece.width <= stock.sheet_height
    return (upright and direction != "sideways") or (turned and direction != "upright")


def _too_large(resolved: ResolvedDesign, piece: ResolvedPiece, stock: ResolvedStock) -> Finding:
    units = resolved.edition.units
    true_sheet = units.size_text(stock.sheet_width, stock.sheet_height)
    return found(
        resolved,
        Severity.ERROR,
        "larger-than-sheet",
        piece.source.position,
        f"'{piece.key}' is {units.size_text(piece.width, piece.height)}, and a sheet of "
        f"'{stock.key}' is {true_sheet}",
        "Make the piece smaller, divide it, or use a larger sheet.",
        width=piece.width,
        height=piece.height,
        sheet_width=stock.sheet_width,
        sheet_height=stock.sheet_height,
    )

"""Pieces must come out of their sheets, and the plan must have placed all of them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from builder.checks.report import found
from builder.findings import Finding, Severity
from builder.lengths import up_to_grid
from builder.resolve.resolved import ResolvedDesign, ResolvedPiece, ResolvedStock
from builder.stock_plans import StockPlan, motif_pin, piece_of, print_of


def check_stock(resolved: ResolvedDesign, plans: Mapping[str, StockPlan]) -> Iterator[Finding]:
    for stock_plan in plans.values():
        for piece in stock_plan.pieces:
            if not _fits(piece, stock_plan.stock):
                yield _too_large(resolved, piece, stock_plan.stock)
        yield from _unplaced(resolved, stock_plan)
        for piece in stock_plan.pieces:
            yield from _cut_motif(resolved, piece)
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


def _unplaced(resolved: ResolvedDesign, stock_plan: StockPlan) -> Iterator[Finding]:
    """What the planner could not place although each piece alone fits its sheet."""
    for problem in stock_plan.plan.unplaced:
        piece = resolved.pieces[piece_of(problem.pieces[0])]
        if not _fits(piece, stock_plan.stock):
            continue
        against = ", ".join(f"'{piece_of(key)}'" for key in problem.against)
        because = f" beside {against}" if against else ""
        yield found(
            resolved,
            Severity.ERROR,
            "no-place-on-sheet",
            piece.source.position,
            f"'{piece.key}' finds no place on a sheet of '{stock_plan.stock.key}'{because}",
            "Make it smaller, free it from its motif, or move the motif's piece.",
        )


def _cut_motif(resolved: ResolvedDesign, piece: ResolvedPiece) -> Iterator[Finding]:
    """A motif must lie within its piece with room for the worst cut on every side."""
    pin = motif_pin(piece, resolved.edition.grid)
    if pin is None or pin.x is None or pin.y is None:
        return
    motif = piece.stock.motifs[piece.source.side, str(piece.source.motif)]
    left = motif.left
    if piece.source.side == "back":
        left = piece.stock.sheet_width - motif.right
    room = min(
        left - pin.x,
        pin.x + piece.width - left - motif.width,
        motif.bottom - pin.y,
        pin.y + piece.height - motif.top,
    )
    if room < resolved.tolerance:
        units = resolved.edition.units
        short = up_to_grid(resolved.tolerance - room, resolved.edition.grid)
        yield found(
            resolved,
            Severity.ERROR,
            "motif-cut",
            piece.source.position,
            f"motif '{piece.source.motif}' comes too near the edge of '{piece.key}', or beyond it",
            f"Make the piece {units.text(2 * short)} larger, or choose another motif.",
            short=short,
        )

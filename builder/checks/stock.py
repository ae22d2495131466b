"""Pieces must come out of their sheets, and the plan must have placed all of them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction
from typing import assert_never

from builder.checks.condition import Condition, Rule
from builder.checks.regions import check_places_in_margin
from builder.checks.report import as_typed, found
from builder.checks.unplaced import check_unplaced
from builder.choices import is_sold_by_length
from builder.findings import Finding, Severity
from builder.lengths import down_to_grid, up_to_grid
from builder.resolve.resolved import ResolvedDesign, ResolvedPiece, ResolvedStock
from builder.sheet_places import (
    CutOut,
    is_placed_by_print,
    motif_on_sheet,
    motif_pin,
    print_of,
    rooms,
)
from builder.stock_plans import StockPlan


def check_stock(resolved: ResolvedDesign, plans: Mapping[str, StockPlan]) -> Iterator[Finding]:
    for stock_plan in plans.values():
        yield from check_unplaced(resolved, stock_plan)
        yield from check_places_in_margin(resolved, stock_plan.stock)
        yield from _missed_spares(resolved, stock_plan)
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


def sheet_conditions(resolved: ResolvedDesign) -> Iterator[Condition]:
    """Each piece comes out of one sheet of its stock, laid as its print allows, and the trimmer
    can hold it."""
    for out in resolved.cut_outs.values():
        if not is_sold_by_length(out.stock.source.material):
            yield Condition(
                ("larger-than-sheet", out.key),
                _room_on_sheet(out),
                Rule.NOT_NEGATIVE,
                lambda out=out: _too_large(resolved, out, out.stock),  # type: ignore[misc]
            )
    if resolved.trimmer.narrowest_strip:
        for piece in resolved.pieces.values():
            if not is_sold_by_length(piece.stock.source.material):
                yield _narrow_condition(resolved, piece)


def _narrow_condition(resolved: ResolvedDesign, piece: ResolvedPiece) -> Condition:
    """The trimmer holds the piece while it cuts it free."""
    narrowest, width = resolved.trimmer.narrowest_strip, min(piece.width, piece.height)
    units = resolved.edition.units
    enough = up_to_grid(narrowest, resolved.edition.grid)
    return Condition(
        ("strip-too-narrow", piece.key),
        width - narrowest,
        Rule.NOT_NEGATIVE,
        lambda: found(
            resolved,
            Severity.ERROR,
            "strip-too-narrow",
            piece.source.position,
            f"'{piece.key}' is {units.text(width)} wide, and the trimmer holds no strip below "
            f"{units.text(narrowest)}",
            f"Make it {units.text(enough)} wide; or, if a knife cuts it, write "
            f"'narrowest_strip: {as_typed(width, resolved)}'.",
            width=width,
            narrowest_strip=narrowest,
        ),
    )


def _room_on_sheet(piece: CutOut) -> Fraction:
    """What the best sheet leaves beside the piece, the better way round; below zero: too large."""
    found = []
    for width, height in rooms(piece):
        upright = min(width - piece.width, height - piece.height)
        turned = min(width - piece.height, height - piece.width)
        match print_of(piece):
            case "upright":
                found.append(upright)
            case "sideways":
                found.append(turned)
            case "any":
                found.append(max(upright, turned))
            case other:
                assert_never(other)
    return max(found)


def _too_large(resolved: ResolvedDesign, piece: CutOut, stock: ResolvedStock) -> Finding:
    units = resolved.edition.units
    true_sheet = units.size_text(stock.sheet_width, stock.sheet_height)
    first, *others = stock.sheets
    if any(first.margins):
        true_sheet += f", of which its margins leave {units.size_text(*first.usable)}"
    if others and not is_placed_by_print(piece):
        true_sheet += ", and no other size of it is large enough"
    return found(
        resolved,
        Severity.ERROR,
        "larger-than-sheet",
        piece.source.position,
        f"'{piece.key}' is {units.size_text(piece.width, piece.height)}, and a sheet of "
        f"'{stock.key}' is {true_sheet}",
        "Make the piece smaller, divide it, or use a larger sheet."
        if isinstance(piece, ResolvedPiece)
        else "Take a piece out of the strip, or use a larger sheet.",
        width=piece.width,
        height=piece.height,
        sheet_width=stock.sheet_width,
        sheet_height=stock.sheet_height,
    )


def _missed_spares(resolved: ResolvedDesign, stock_plan: StockPlan) -> Iterator[Finding]:
    """Spares are kept where they cost nothing: say what each other one would take."""
    units, key = resolved.edition.units, stock_plan.stock.key
    for missed in stock_plan.missed:
        reserve = missed.reserve
        largest, remedy = "none of its offcuts is of use", "Leave the spare out"
        if missed.largest is not None:
            width, height = (down_to_grid(x, resolved.edition.grid) for x in missed.largest)
            size = units.size_text(width, height)
            largest = f"the largest offcut is {size}"
            remedy = f"Ask for {size} at most"
        sheets = "one sheet" if missed.more_sheets == 1 else f"{missed.more_sheets} sheets"
        yield found(
            resolved,
            Severity.ADVICE,
            "no-spare",
            reserve.source.position,
            f"no {units.size_text(reserve.width, reserve.height)} is left of '{key}' to keep for "
            f"{reserve.purpose}: {largest}, and it would take {sheets} more",
            f"{remedy}, or buy {sheets} more.",
            width=reserve.width,
            height=reserve.height,
        )


def _cut_motif(resolved: ResolvedDesign, piece: ResolvedPiece) -> Iterator[Finding]:
    """A motif must lie within its piece with room for the worst cut on every side."""
    pin = motif_pin(piece, resolved.edition.grid)
    motif = motif_on_sheet(piece)
    if motif is None or pin is None or pin.x is None or pin.y is None:
        return
    room = min(
        motif.left - pin.x,
        pin.x + piece.width - motif.right,
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

"""Stocks in true sizes: sheets, ribbons, calipers, and where the print has pictures and regions.

In: the design's stocks and the edition's :class:`Values`.  Out: :class:`ResolvedStock` by key; what
has no size is reported.
"""

from __future__ import annotations

from fractions import Fraction

from builder.choices import SIDES, SideName
from builder.design import Stock
from builder.findings import error
from builder.formulas import Pair
from builder.geometry.outline import Box
from builder.resolve.resolved import ResolvedStock
from builder.resolve.sheets import resolve_sheets
from builder.resolve.strips import resolve_reserves
from builder.resolve.values import Unresolved, Values

_Places = dict[tuple[SideName, str], Box]


def resolve_stocks(values: Values) -> dict[str, ResolvedStock]:
    """Every stock that has its sizes."""
    found: dict[str, ResolvedStock] = {}
    for key, stock in values.design.stocks.items():
        try:
            sheet = Pair(Fraction(0), Fraction(0))
            ribbon = roll = Fraction(0)
            if stock.sheet is not None:
                sheet = values.pair_of(stock.sheet, actual=True)
            if stock.width is not None:
                ribbon = values.length_of(stock.width, actual=True)
            if stock.roll is not None:
                roll = values.length_of(stock.roll, actual=True)
            caliper = values.caliper(key)
            motifs, regions = _printed_places(stock, values)
            sheets = resolve_sheets(stock, values)
            reserves = resolve_reserves(stock, values)
        except Unresolved:
            continue
        found[key] = ResolvedStock(
            key,
            stock,
            sheet.width,
            sheet.height,
            ribbon,
            caliper,
            motifs,
            sheets,
            regions,
            reserves,
            roll,
        )
        for name, expression, size in (
            ("caliper", stock.caliper, caliper),
            ("width", stock.width, ribbon),
            ("roll", stock.roll, roll),
        ):
            if expression is not None and size <= 0:
                message = f"the {name} of stock '{key}' comes to nothing or less"
                position = expression.position
                values.report(error("negative-size", position, message, "Check its formula."))
    return found


def _printed_places(stock: Stock, values: Values) -> tuple[_Places, _Places]:
    """True places of the stock's printed pictures and of its regions, by side and name."""
    motifs: _Places = {}
    regions: _Places = {}
    for side_name in SIDES:
        side = stock.side(side_name)
        for found, places in ((motifs, side.motifs), (regions, side.regions)):
            for name, printed in places.items():
                left = values.length_of(printed.left, actual=True)
                bottom = values.length_of(printed.bottom, actual=True)
                size = values.pair_of(printed.size, actual=True)
                box = Box(left, bottom, left + size.width, bottom + size.height)
                found[side_name, name] = box
    return motifs, regions

"""Stocks in true sizes: sheets, ribbons, calipers, spares, and where the print has pictures.

In: a stock of the design and the edition's :class:`Values`.  Out: :class:`ResolvedStock`; what has
no size is reported.  Only spares snap to the edition's grid.
"""

from __future__ import annotations

from builder.choices import SIDES, PrintedPlace, SideName
from builder.design import Reserve, Stock, StockSheet
from builder.formulas import Pair
from builder.geometry.edges import EDGES_BY_AXIS, ends_across
from builder.geometry.outline import Box
from builder.lengths import NOTHING
from builder.resolve.resolved import ResolvedReserve, ResolvedSheet, ResolvedStock
from builder.resolve.values import Values


def resolve_stock(stock: Stock, values: Values) -> ResolvedStock:
    """One stock; raises :class:`Unresolved` when one of its sheets has no size."""
    what = f"of stock '{stock.key}'"
    size = Pair(NOTHING, NOTHING)
    if stock.sheet is not None:
        size = values.pair_of(stock.sheet, actual=True)
    if stock.caliper is not None:
        values.measured(stock.caliper, f"the caliper {what}", actual=True)
    return ResolvedStock(
        key=stock.key,
        source=stock,
        sheet_width=size.width,
        sheet_height=size.height,
        ribbon_width=values.measured(stock.width, f"the width {what}", actual=True),
        caliper=values.caliper(stock),
        motifs=_printed_places(stock, "motif", values),
        sheets=tuple(
            _sheet(stock, number, sheet, values) for number, sheet in enumerate(stock.sheets, 1)
        ),
        regions=_printed_places(stock, "region", values),
        reserves=tuple(_reserve(stock, reserve, values) for reserve in stock.reserves),
        ribbon_roll=values.measured(stock.roll, f"the roll {what}", actual=True),
    )


def _sheet(stock: Stock, number: int, source: StockSheet, values: Values) -> ResolvedSheet:
    """One size of the stock, called by the stock and, unless it is the first, its number."""
    what = "scrap" if source.is_scrap else "sheet"
    size = values.size_of(source.size, f"a {what} of stock '{stock.key}'", actual=True)
    widths = {
        edge: values.measured(
            width, f"the {edge} margin of stock '{stock.key}'", actual=True, may_be_nothing=True
        )
        for edge, width in source.margin.items()
    }
    left, right, bottom, top = (widths.get(edge, NOTHING) for edge in EDGES_BY_AXIS)
    name = stock.key if number == 1 else f"{stock.key} sheet {number}"
    sheet = ResolvedSheet(name, source, size.width, size.height, (left, right, bottom, top))
    if min(sheet.usable) <= 0:
        across = sheet.usable[0] <= 0
        first, second = ends_across("vertical" if across else "horizontal")
        room = values.edition.units.text(size.width if across else size.height)
        message = f"the margins of a sheet of stock '{stock.key}' leave nothing to cut from"
        remedy = f"Let the {first} and {second} margin together be less than {room}."
        position = next(iter(source.margin.values())).position
        raise values.refused("no-usable-area", position, message, remedy)
    return sheet


def _reserve(stock: Stock, reserve: Reserve, values: Values) -> ResolvedReserve:
    size = values.size_of(reserve.size, f"a spare of stock '{stock.key}'")
    return ResolvedReserve(reserve, size.width, size.height)


def _printed_places(
    stock: Stock, what: PrintedPlace, values: Values
) -> dict[tuple[SideName, str], Box]:
    """True places of the stock's printed pictures, or of its regions, by side and name."""
    found = {}
    for side in SIDES:
        for name, printed in stock.side(side).printed(what).items():
            left = values.length_of(printed.left, actual=True)
            bottom = values.length_of(printed.bottom, actual=True)
            size = values.pair_of(printed.size, actual=True)
            found[side, name] = Box(left, bottom, left + size.width, bottom + size.height)
    return found

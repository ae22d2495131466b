"""The sheets of a stock and the trimmer in true sizes; nothing here snaps to a grid.

In: a :class:`Stock` or the design's trimmer, with the edition's :class:`Values`.  Out: resolved
sheets and trimmer; what has no size is reported.
"""

from __future__ import annotations

from fractions import Fraction

from builder.design import Expression, Stock, StockSheet
from builder.findings import error
from builder.geometry.edges import EDGES_BY_AXIS, ends_across
from builder.resolve.resolved import ResolvedSheet, ResolvedTrimmer
from builder.resolve.values import Unresolved, Values

_CHECK = "Check its formula."


def resolve_sheets(stock: Stock, values: Values) -> tuple[ResolvedSheet, ...]:
    """Every size of a stock in true sizes; raises :class:`Unresolved` when one has no size."""
    names = [stock.key]
    names += [f"{stock.key} sheet {number}" for number in range(2, len(stock.sheets) + 1)]
    return tuple(
        _sheet(stock, name, sheet, values) for name, sheet in zip(names, stock.sheets, strict=False)
    )


def _sheet(stock: Stock, name: str, source: StockSheet, values: Values) -> ResolvedSheet:
    size = values.pair_of(source.size, actual=True)
    if size.width <= 0 or size.height <= 0:
        what = "scrap" if source.is_scrap else "sheet"
        message = f"the {what} of stock '{stock.key}' has no size"
        values.report(error("negative-size", source.size.position, message, _CHECK))
        raise Unresolved(name)
    widths = {edge: values.length_of(width, True) for edge, width in source.margin.items()}
    for edge, width in widths.items():
        if width < 0:
            message = f"the {edge} margin of stock '{stock.key}' comes to less than nothing"
            values.report(error("negative-size", source.margin[edge].position, message, _CHECK))
            raise Unresolved(name)
    left, right, bottom, top = (widths.get(edge, Fraction(0)) for edge in EDGES_BY_AXIS)
    sheet = ResolvedSheet(name, source, size.width, size.height, (left, right, bottom, top))
    if min(sheet.usable) <= 0:
        units = values.edition.units
        across = sheet.usable[0] <= 0
        first, second = ends_across("vertical" if across else "horizontal")
        room = units.text(size.width if across else size.height)
        message = f"the margins of a sheet of stock '{stock.key}' leave nothing to cut from"
        remedy = f"Let the {first} and {second} margin together be less than {room}."
        position = next(iter(source.margin.values())).position
        values.report(error("no-usable-area", position, message, remedy))
        raise Unresolved(name)
    return sheet


def resolve_trimmer(values: Values) -> ResolvedTrimmer:
    """The trimmer's limits; without them it is long enough and holds any strip."""
    source = values.design.trimmer
    longest = _limit(source.longest_cut, "longest cut", values)
    return ResolvedTrimmer(
        longest, _limit(source.narrowest_strip, "narrowest strip", values) or Fraction(0)
    )


def _limit(expression: Expression | None, name: str, values: Values) -> Fraction | None:
    if expression is None:
        return None
    try:
        length = values.length_of(expression, actual=True)
    except Unresolved:
        return None
    if length > 0:
        return length
    message = f"the {name} of the trimmer comes to nothing or less"
    values.report(error("negative-size", expression.position, message, _CHECK))
    return None

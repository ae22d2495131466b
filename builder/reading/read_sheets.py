"""The sheets of a stock as they are: sizes, prices, how many, margins, scraps; and the trimmer.

In: the open fields of a stock or of the design.  Out: :class:`StockSheet` and :class:`Trimmer`.
"""

from __future__ import annotations

from collections.abc import Mapping

from builder.design import Expression, StockSheet, Trimmer
from builder.geometry.edges import EDGES, EdgeName
from builder.reading.fields import Fields, read_expression
from builder.reading.nodes import Node, Scalar
from builder.reading.read_offers import read_offer

#: More sizes of one stock than this are not compared with one another.
MOST_SHEETS = 12


def read_sheets(fields: Fields, size: Expression | None) -> tuple[StockSheet, ...]:
    """Every size of a stock: its ``sheet``, then ``more_sheets``, then ``scraps``."""
    offer, limit, margin = read_offer(fields), _number(fields, "limit"), _margin(fields)
    found: list[StockSheet | None] = [None]
    if size is not None:
        found = [StockSheet(size, fields.key_position("sheet"), limit, offer, margin)]
    what = fields.what
    others = fields.items("more_sheets")
    found += [_other(node, f"sheet {n} of {what}", fields) for n, node in enumerate(others, 2)]
    scraps = fields.items("scraps")
    found += [_scrap(node, f"scrap {n} of {what}", fields) for n, node in enumerate(scraps, 1)]
    if len(found) > MOST_SHEETS:
        message = f"{what} comes in {len(found)} sizes"
        remedy = f"Keep to {MOST_SHEETS}: leave out the smallest scraps."
        key = "scraps" if fields.has("scraps") else "more_sheets"
        fields.report("too-many", fields.key_position(key), message, remedy)
    return tuple(sheet for sheet in found if sheet is not None)


def _other(node: Node, what: str, outer: Fields) -> StockSheet | None:
    fields = Fields(node, what, outer.findings)
    size = fields.expression("sheet", required=True)
    limit, offer, margin = _number(fields, "limit"), read_offer(fields), _margin(fields)
    fields.finish()
    return None if size is None else StockSheet(size, node.position, limit, offer, margin)


def _scrap(node: Node, what: str, outer: Fields) -> StockSheet | None:
    """A scrap is a size, or a size with how many of it there are."""
    if isinstance(node, Scalar) and not node.is_missing:
        size, count = read_expression(node, outer.findings), 1
    else:
        fields = Fields(node, what, outer.findings)
        size, count = fields.expression("sheet", required=True), fields.whole("count", 1)
        fields.finish()
    return None if size is None else StockSheet(size, node.position, count, is_scrap=True)


def _number(fields: Fields, key: str) -> int | None:
    return fields.whole(key, 0) or None


def _margin(fields: Fields) -> Mapping[EdgeName, Expression]:
    """The strips without print, by edge; one length is that of all four edges."""
    node = fields.node("margin")
    if node is None:
        return {}
    if isinstance(node, Scalar):
        width = read_expression(node, fields.findings)
        return {} if width is None else dict.fromkeys(EDGES, width)
    inner = Fields(node, f"the margin of {fields.what}", fields.findings)
    found = {edge: inner.expression(edge) for edge in EDGES}
    inner.finish()
    return {edge: width for edge, width in found.items() if width is not None}


def read_trimmer(fields: Fields) -> Trimmer:
    """What the trimmer can do, where the design says so."""
    node = fields.node("trimmer")
    if node is None:
        return Trimmer()
    inner = Fields(node, "the trimmer", fields.findings)
    trimmer = Trimmer(inner.expression("longest_cut"), inner.expression("narrowest_strip"))
    inner.finish()
    return trimmer

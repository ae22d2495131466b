"""The supplies as a table for a spreadsheet: CSV after RFC 4180, in UTF-8, with a header line.

In: supply lines.  Out: bytes.  Columns are documented in the README; numbers have a decimal point
whatever the language, so that programs read them.  What a spreadsheet would take for a formula is
made text by an apostrophe before it (a cell may hold any title that a designer writes).
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from fractions import Fraction

from builder.counts.supplies import Amount, SupplyLine
from builder.currencies import decimals_of
from builder.resolve.resolved import ResolvedDesign

COLUMNS = (
    "item", "kind", "size", "unit", "needed_one_kit", "needed_all_kits", "kits", "sold_in_packs_of",
    "buy_one_kit", "buy_all_kits", "price_each", "cost_one_kit", "cost_all_kits",
    "used_up_one_kit", "currency",
)  # fmt: skip

#: First characters by which spreadsheets know a formula, or are led to one.
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n")


def supplies_csv(lines: Iterable[SupplyLine], resolved: ResolvedDesign, kits: int) -> bytes:
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for line in lines:
        writer.writerow([safe_cell(cell) for cell in _row(line, resolved, kits)])
    return text.getvalue().encode()


def safe_cell(text: str) -> str:
    """The text, with an apostrophe before it where a spreadsheet would take it for a formula."""
    return f"'{text}" if text.lstrip(" ").startswith(_FORMULA_STARTS) else text


def _row(line: SupplyLine, resolved: ResolvedDesign, kits: int) -> list[str]:
    currency = resolved.design.currency
    by_length = line.is_by_length
    unit = resolved.edition.units.unit if by_length else "piece"

    def needed(amount: Amount) -> str:
        if by_length:
            return _decimal(amount.length / resolved.edition.units.size, 4)
        return str(amount.count)

    def money(amount: Fraction | None) -> str:
        return "" if amount is None else _decimal(amount, decimals_of(currency))

    is_sold_whole = not by_length or bool(line.roll)
    return [
        line.title,
        line.kind,
        _size(line, resolved),
        unit,
        needed(line.of_one),
        needed(line.for_all),
        str(kits),
        "" if line.offer.pack is None else str(line.offer.pack),
        str(line.bought(line.of_one)) if is_sold_whole else "",
        str(line.bought(line.for_all)) if is_sold_whole else "",
        "" if line.price is None else _decimal(line.price, 4),
        money(line.cost(line.of_one)),
        money(line.cost(line.for_all)),
        money(line.used_by_one),
        currency if line.price is not None else "",
    ]


def _size(line: SupplyLine, resolved: ResolvedDesign) -> str:
    """The true size of one in the edition's unit: ``12 x 12 in``."""
    units = resolved.edition.units
    if not line.size:
        return ""
    numbers = " x ".join(_decimal(size / units.size, 4) for size in line.size)
    return f"{numbers} {units.unit}"


def _decimal(number: Fraction, places: int) -> str:
    """A decimal number, a half going up; with so many places, of lengths only those needed."""
    scaled = (number * 10**places + Fraction(1, 2)).__floor__()
    whole, rest = divmod(scaled, 10**places)
    if not places:
        return str(whole)
    tail = f"{rest:0{places}d}"
    tail = tail.rstrip("0") if places > 3 else tail
    return f"{whole}.{tail}" if tail else str(whole)

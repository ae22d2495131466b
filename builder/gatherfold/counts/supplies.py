"""What a maker must have: sheets, ribbon, fastenings, adhesive by running length, and the rest.

In: a resolved design and its sheet plans.  Out: :class:`SupplyLine` values as exact data.

As a table for a spreadsheet they are bytes of CSV after RFC 4180, in UTF-8, with a header line.
Its columns are documented in builder/README.md; numbers have a decimal point whatever the
language, so that programs read them.  What a spreadsheet would take for a formula is made text by
an apostrophe before it (a cell may hold any title that a designer writes).
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from math import ceil
from typing import Literal, assert_never

from gatherfold.lengths import decimal_number
from gatherfold.model import SINGLY, Bought, FasteningKind, Offer, SupplyKind, is_tape, money_number
from gatherfold.plans import StockPlan
from gatherfold.resolve import ResolvedDesign, ResolvedFastening, ResolvedPiece

#: What a line of the supplies is: cut from, fastened with, or used up.
LineKind = Literal["sheet", "scrap", "ribbon", FasteningKind, SupplyKind]


class Use(Enum):
    """How a kit uses something up, and so how it is counted and bought."""

    SHEETS = "sheets that pieces are cut from"
    SCRAPS = "sheets that are on hand and cost nothing"
    RIBBON = "so much ribbon off a roll"
    FASTENINGS = "so many fastenings of one size"
    TAPE = "adhesive by its running length"
    PART = "an unknown part"


@dataclass(frozen=True)
class Amount:
    """How much of something: a number of pieces and a length."""

    count: int
    length: Fraction = Fraction(0)

    def times(self, kits: int) -> Amount:
        """So much for each of several kits."""
        return Amount(kits * self.count, kits * self.length)


@dataclass(frozen=True)
class SupplyLine:
    """One thing to buy.

    ``kind``: sheet, scrap, ribbon, a kind of fastening or a kind of supply, as tables print it;
    ``use`` is how it is counted.
    ``of_one`` is what one kit alone needs and ``for_all`` what all kits need together: pieces
    (sheets, brads, rolls of tape, pieces of ribbon) and the length of ribbon or tape.
    ``size`` is the true size of one (sheet, ribbon width, brad head and leg), ``roll`` how much is
    on one roll (0: not known), ``offer`` how it is sold.
    """

    key: str
    title: str
    kind: LineKind
    use: Use
    of_one: Amount
    for_all: Amount
    size: tuple[Fraction, ...]
    offer: Offer = SINGLY
    roll: Fraction = Fraction(0)

    @property
    def price(self) -> Fraction | None:
        """What one costs: a sheet, a brad, a roll."""
        return self.offer.price

    def bought(self, amount: Amount) -> int:
        """How many are bought for an amount: whole rolls, whole packs."""
        count = amount.count
        if self.is_by_length and self.roll:
            count = ceil(amount.length / self.roll)
        pack = self.offer.pack or 1
        return ceil(Fraction(count, pack)) * pack

    def packs(self, amount: Amount) -> int | None:
        """How many packs that is; None for what is sold singly."""
        pack = self.offer.pack
        return None if pack is None else self.bought(amount) // pack

    def cost(self, amount: Amount) -> Fraction | None:
        """What an amount costs as it is sold; None without a price."""
        return None if self.price is None else self.bought(amount) * self.price

    @property
    def used_by_one(self) -> Fraction | None:
        """What the share that one kit uses up is worth; None without a price, and where nobody
        knows how far a bottle or an ink pad goes."""
        if self.price is None:
            return None
        if self.roll:
            return self.of_one.length / self.roll * self.price
        return self.of_one.count * self.price if self._is_counted else None

    @property
    def is_sheet(self) -> bool:
        """Whether pieces are cut from it."""
        return self.use in (Use.SHEETS, Use.SCRAPS)

    @property
    def is_scrap(self) -> bool:
        """Whether it is on hand and costs nothing."""
        return self.use is Use.SCRAPS

    @property
    def is_by_length(self) -> bool:
        """Whether it is measured off a roll, and not counted."""
        return self.use is Use.RIBBON

    @property
    def _is_counted(self) -> bool:
        """Whether a kit uses up a number of it, and not an unknown part."""
        match self.use:
            case Use.SHEETS | Use.SCRAPS | Use.FASTENINGS:
                return True
            case Use.RIBBON | Use.TAPE | Use.PART:
                return False
            case _:
                assert_never(self.use)


def supplies(
    resolved: ResolvedDesign, plans: Mapping[str, StockPlan], kits: int = 1
) -> tuple[SupplyLine, ...]:
    """Everything to buy for so many finished pieces made together."""
    return (
        *(line for stock_plan in plans.values() for line in _sheets(stock_plan)),
        *_ribbons(resolved, kits),
        *_fastenings(resolved, kits),
        *_consumables(resolved, kits),
    )


def _sheets(stock_plan: StockPlan) -> Iterator[SupplyLine]:
    """A line for each size of sheet that all kits, or one kit alone, are cut from."""
    stock = stock_plan.stock
    for sheet in stock.sheets:
        of_one, for_all = (
            Amount(sum(each.sheet.name == sheet.name for each in plan.sheets))
            for plan in (stock_plan.of_one, stock_plan.plan)
        )
        if of_one.count or for_all.count:
            kind: LineKind = "scrap" if sheet.source.is_scrap else "sheet"
            use = Use.SCRAPS if sheet.source.is_scrap else Use.SHEETS
            size, offer, title = (sheet.width, sheet.height), sheet.source.offer, stock.source.title
            yield SupplyLine(stock.key, title, kind, use, of_one, for_all, size, offer)


def _ribbons(resolved: ResolvedDesign, kits: int) -> Iterator[SupplyLine]:
    """Ribbon by total length, each piece with its allowance."""
    ties: dict[str, list[ResolvedFastening]] = {}
    for tie in _bought(resolved, Bought.OFF_A_ROLL):
        if tie.source.stock is not None:
            ties.setdefault(tie.source.stock, []).append(tie)
    for key, group in ties.items():
        stock = resolved.stocks[key]
        length = sum((tie.length + tie.allowance) * tie.source.count for tie in group)
        of_one = Amount(sum(tie.source.count for tie in group), Fraction(length))
        yield SupplyLine(
            key=key,
            title=stock.source.title,
            kind="ribbon",
            use=Use.RIBBON,
            of_one=of_one,
            for_all=of_one.times(kits),
            size=(stock.ribbon_width,),
            offer=stock.source.offer,
            roll=stock.ribbon_roll,
        )


def _bought(resolved: ResolvedDesign, how: Bought) -> list[ResolvedFastening]:
    """The fastenings that are bought so, in design order."""
    return [each for each in resolved.fastenings.values() if each.source.fastener.bought is how]


def _fastenings(resolved: ResolvedDesign, kits: int) -> Iterator[SupplyLine]:
    """Fastenings by number, those of one size that are sold alike together."""
    alike: dict[tuple[FasteningKind, Fraction, Fraction, Offer], list[ResolvedFastening]] = {}
    for fastening in _bought(resolved, Bought.BY_NUMBER):
        source = fastening.source
        key = (source.kind, fastening.head, fastening.leg, source.offer)
        alike.setdefault(key, []).append(fastening)
    for (kind, head, leg, offer), group in alike.items():
        of_one = Amount(sum(fastening.source.count for fastening in group))
        for_all, size = of_one.times(kits), (head, leg) if leg else (head,)
        yield SupplyLine(group[0].key, kind, kind, Use.FASTENINGS, of_one, for_all, size, offer)


def _consumables(resolved: ResolvedDesign, kits: int) -> Iterator[SupplyLine]:
    """Tape by rolls where a roll's length is known; of all else one is enough for all kits."""
    needed = adhesive_length(resolved)
    for supply in resolved.design.supplies.values():
        is_tape_line = is_tape(supply.kind)
        # The first tape on the list is the one that everything is glued with.
        length, needed = (needed, Fraction(0)) if is_tape_line else (Fraction(0), needed)
        width, roll = resolved.supply_sizes.get(supply.key, (Fraction(0), Fraction(0)))
        of_one, count = (
            ceil(times * length / roll) if roll and length else 1 for times in (1, kits)
        )
        yield SupplyLine(
            key=supply.key,
            title=supply.title,
            kind=supply.kind,
            use=Use.TAPE if is_tape_line else Use.PART,
            of_one=Amount(of_one, length),
            for_all=Amount(count, kits * length),
            size=(width,) if width else (),
            offer=supply.offer,
            roll=roll if length else Fraction(0),
        )


def adhesive_length(resolved: ResolvedDesign) -> Fraction:
    """Running length of adhesive: once along each glued edge of every piece, and along the seams of
    what is closed for good."""
    return sum(
        (
            (glued_edges(piece) + sum((seam.length for seam in piece.seams), Fraction(0)))
            * piece.source.count
            for piece in resolved.pieces.values()
        ),
        Fraction(0),
    )


def glued_edges(piece: ResolvedPiece) -> Fraction:
    """Adhesive for one piece: along its named edges, or, for ``all``, once round the area in
    which it meets its host (a cover meets a hinge tab only along the tab)."""
    box = piece.face(piece.by).box
    if piece.glue.is_all_over:
        return 2 * (sum(_contact(piece), Fraction(0)))
    return sum((box.along(edge) for edge in piece.glue.strips), Fraction(0))


def _contact(piece: ResolvedPiece) -> tuple[Fraction, Fraction]:
    """Width and height, in the host's frame, of the area in which a piece meets its host."""
    offsets = piece.offsets
    assert offsets is not None
    width, height = piece.laid_size
    beyond_x = max(-offsets.left, Fraction(0)) + max(-offsets.right, Fraction(0))
    beyond_y = max(-offsets.top, Fraction(0)) + max(-offsets.bottom, Fraction(0))
    return width - beyond_x, height - beyond_y


# ---- as a table


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
            return decimal_number(amount.length / resolved.edition.units.size, 4)
        return str(amount.count)

    def money(amount: Fraction | None) -> str:
        return "" if amount is None else money_number(amount, currency)

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
        "" if line.price is None else decimal_number(line.price, 4),
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
    numbers = " x ".join(decimal_number(size / units.size, 4) for size in line.size)
    return f"{numbers} {units.unit}"

"""Supplies in words: what to buy for one kit and for all, what it costs, and substitutes.

In: supply lines, the resolved design and the wording.  Out: views, wording and numbers final.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import assert_never

from gatherfold.counts import (
    Amount,
    NearWeight,
    SheetSubstitute,
    SupplyLine,
    Use,
    bound_to_print,
    near_weight,
)
from gatherfold.documents.content import SupplyView
from gatherfold.lengths import (
    CENTIMETRE,
    INCH,
    NO_BREAK_SPACE,
    UNIT_SIZES,
    UnitName,
    UnitSystem,
    up_to_grid,
)
from gatherfold.resolve import ResolvedDesign, ResolvedStock, sheet_text, size_text
from gatherfold.wording import Wording

#: The unit that tape and ribbon are sold by, and the part of it that a length is rounded up to.
_LONG: dict[UnitName, tuple[Fraction, Fraction]] = {
    "in": (36 * INCH, Fraction(1, 4)),
    "mm": (Fraction(1000), Fraction(1, 10)),
}


@dataclass(frozen=True)
class SuppliesText:
    """Writes the supplies of one edition."""

    resolved: ResolvedDesign
    kits: int
    wording: Wording

    def view(self, line: SupplyLine) -> SupplyView:
        """One kit's need, as if it were alone, with what all kits need beside it."""
        one = self._view(line, line.of_one)
        if self.kits == 1:
            return one
        quantity = self._view(line, line.for_all).quantity
        name = "for_kits_length" if line.for_all.length and not line.is_by_length else "for_kits"
        length = self._rounded_up(line.for_all.length)
        words = self.wording.phrase(name, amount=quantity, kits=self.kits, length=length)
        together = [words, *self._packs(line, line.for_all)]
        return replace(one, all_kits="; ".join(together))

    def _view(self, line: SupplyLine, amount: Amount) -> SupplyView:
        """One line for an amount; what it is, how it is sold and how much of it to buy."""
        title, quantity = line.title, str(amount.count)
        match line.use:
            case Use.SHEETS | Use.SCRAPS:
                details = self._sheet(line)
            case Use.RIBBON:
                quantity = self.resolved.edition.units.text(amount.length)
                details = self._ribbon(line)
            case Use.TAPE:
                quantity, details = self._tape(line, amount)
            case Use.FASTENINGS:
                title, details = self.wording.kinds[line.kind], self._fastening(line)
            case Use.PART:
                details = []
            case _:
                assert_never(line.use)
        sold = [*self._price(line), *self._packs(line, amount)]
        return SupplyView(title, quantity, "; ".join([*details, *sold]))

    def _price(self, line: SupplyLine) -> list[str]:
        """What one pack, one roll or one of it costs."""
        if line.price is None:
            return []
        pack = line.offer.pack
        price = self._money(line.price * (pack or 1))
        name = "price_pack" if pack else "price_roll" if line.roll else "price_each"
        return [self.wording.phrase(name, price=price)]

    def _packs(self, line: SupplyLine, amount: Amount) -> list[str]:
        """Whole packs and whole rolls of ribbon to buy."""
        packs = line.packs(amount)
        if packs is not None:
            return [self.wording.counted("buy_packs", packs, pack=line.offer.pack)]
        if line.is_by_length and line.roll:
            roll = size_text(line.roll, self.resolved)
            return [self.wording.counted("buy_rolls", line.bought(amount), roll=roll)]
        return []

    def _sheet(self, line: SupplyLine) -> list[str]:
        stock = self.resolved.stocks[line.key]
        size = sheet_text(line.size[0], line.size[1], self.resolved)
        if line.is_scrap:
            size = self.wording.phrase("supply_scrap", size=size)
        details = [size, *self._weight(stock)]
        if stock.source.two_sided:
            details.append(f"{stock.source.front.title} / {stock.source.back.title}")
        return [", ".join(details)]

    def _weight(self, stock: ResolvedStock) -> list[str]:
        """The weight as written, in g/m² where that is in pounds, and the nearest one sold."""
        weight = stock.source.weight
        if weight is None:
            return []
        text = _grams(weight.grams)
        if weight.pounds is not None:
            written = self.wording.decimal_text(weight.written)
            text = self.wording.phrase("weight_both", written=written, grams=round(weight.grams))
        near = near_weight(stock, self.resolved.edition.name)
        if near is None or _grams(near.grams) == _grams(weight.grams):
            return [text]
        return [self.wording.phrase("weight_near", weight=text, near=_near_text(near))]

    def _ribbon(self, line: SupplyLine) -> list[str]:
        units = self.resolved.edition.units
        ties = [f for f in self.resolved.fastenings.values() if f.source.stock == line.key]
        allowances = (
            self.wording.counted(
                "with_allowance",
                tie.source.count,
                length=units.text(tie.length + tie.allowance),
                allowance=units.text(tie.allowance),
            )
            for tie in ties
        )
        return [self._wide(line.size[0]), *allowances]

    def _tape(self, line: SupplyLine, amount: Amount) -> tuple[str, list[str]]:
        """Tape by whole rolls where a roll's length is known, else by the length needed."""
        details = [self._wide(size) for size in line.size]
        quantity = self.wording.counted("supply_rolls", amount.count)
        if not amount.length:
            return quantity, details
        length, about = self._rounded_up(amount.length), self._long(amount.length)
        details.append(self.wording.phrase("supply_length", length=length, about=about))
        if not line.roll:
            return length, details
        roll = size_text(line.roll, self.resolved)
        return quantity, [*details, self.wording.phrase("supply_roll", roll=roll)]

    def _long(self, length: Fraction) -> str:
        """A running length as tape is sold: in yards to the next quarter, in metres to a tenth."""
        units = self.resolved.edition.units
        size, step = _LONG[units.unit]
        number = up_to_grid(length / size, step)
        written = UnitSystem(units.name, units.unit, Fraction(1), units.language, units.decimal)
        return self.wording.phrase(f"supply_long_{units.unit}", length=written.number(number))

    def _rounded_up(self, length: Fraction) -> str:
        """A running length, to the next whole inch or centimetre: nobody buys tape closer."""
        units = self.resolved.edition.units
        step = max(UNIT_SIZES[units.unit], CENTIMETRE)
        return units.text(up_to_grid(length, step))

    def _wide(self, width: Fraction) -> str:
        return self.wording.phrase("supply_wide", width=size_text(width, self.resolved))

    def _fastening(self, line: SupplyLine) -> list[str]:
        sizes = [size_text(size, self.resolved) for size in line.size]
        phrase = self.resolved.fastenings[line.key].source.fastener.words.bought
        return [] if phrase is None else [self.wording.phrase(phrase, *sizes)]

    # Cost

    def cost(self, lines: Sequence[SupplyLine]) -> str:
        """What everything with a price costs as it is sold, and what one kit uses up of it;
        empty without prices."""
        priced = [line for line in lines if line.price is not None]
        if not priced:
            return ""
        one = _sum(line.cost(line.of_one) for line in priced)
        together = _sum(line.cost(line.for_all) for line in priced)
        sentences = [
            self.wording.phrase(
                "cost_alone" if self.kits == 1 else "cost_of_kits",
                one=self._money(one),
                together=self._money(together),
                each=self._money(together / self.kits),
                kits=self.kits,
            )
        ]
        sentences += self._used(priced, together / self.kits)
        if any(line.price is None and not line.is_scrap for line in lines):
            sentences.append(self.wording.phrase("cost_in_part"))
        return " ".join(sentences)

    def _used(self, priced: Iterable[SupplyLine], bought: Fraction) -> list[str]:
        """What one kit uses up, where that is not all that is bought for it."""
        shares = [(line.title, line.used_by_one) for line in priced]
        used = _sum(share for _, share in shares)
        if used == bought or not used:
            return []
        unknown = [title for title, share in shares if share is None]
        name = "cost_used_without" if unknown else "cost_used"
        titles = self.wording.listed(self.wording.within_sentence(each) for each in unknown)
        return [self.wording.phrase(name, used=self._money(used), without=titles)]

    def _money(self, amount: Fraction) -> str:
        return self.wording.money(amount, self.resolved.design.currency)

    # Substitutes

    def substitutes(self, found: Iterable[SheetSubstitute]) -> tuple[str, ...]:
        """What one kit takes of other sheets, and which stocks can be no other."""
        lines = [self.substitute(each) for each in found]
        if not lines:
            return ()
        bound = [stock.source.title for stock in bound_to_print(self.resolved)]
        return (*lines, *(self.wording.phrase("substitute_bound", stock=name) for name in bound))

    def substitute(self, found: SheetSubstitute) -> str:
        """What one kit takes of sheets of another size, or what they are too small for."""
        size = self.resolved.edition.units.size_text(found.width, found.height)
        named = f"{found.name} ({size})" if found.name else size
        places = {"stock": found.stock.source.title, "size": named}
        codes = self.wording.listed(found.too_small_for)
        if not found.too_small_for:
            words = self.wording.counted("substitute", found.count, **places)
        elif not found.count:
            words = self.wording.phrase("substitute_for_none", codes=codes, **places)
        else:
            words = self.wording.counted("substitute_in_part", found.count, codes=codes, **places)
        if found.lying:
            words = f"{words} {self.wording.counted('substitute_lying', found.lying)}"
        if found.has_to_stand:
            words = f"{words} {self.wording.phrase('substitute_standing')}"
        return words


def _sum(amounts: Iterable[Fraction | None]) -> Fraction:
    """What is known of the amounts, together."""
    return sum((amount for amount in amounts if amount is not None), Fraction(0))


def _near_text(near: NearWeight) -> str:
    if near.pounds is None:
        return _grams(near.grams)
    return f"{near.pounds} lb {near.grade} ({_grams(near.grams)})"


def _grams(grams: Fraction) -> str:
    return f"{round(grams)}{NO_BREAK_SPACE}g/m²"

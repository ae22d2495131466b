"""Which numbers of which sheets can be enough, cheapest first.

In: sheets, the inequalities they must satisfy, a price not to exceed. Out: the least price
possible, and the choices of sheets at a price.
"""

from collections.abc import Iterator, Sequence
from fractions import Fraction
from math import ceil, gcd, lcm

from builder.sheets.bounds import Need
from builder.sheets.model import Length, Sheet

MOST_CHOICES = 20000
Choice = tuple[int, ...]


def price(sheets: Sequence[Sheet], choice: Choice) -> Length:
    """What a choice costs."""
    return sum(sheet.cost * number for sheet, number in zip(sheets, choice, strict=True))


def enough(needs: Sequence[Need], choice: Choice) -> bool:
    """Whether a choice satisfies every inequality."""
    return all(
        sum(o * n for o, n in zip(need.offers, choice, strict=True)) >= need.total for need in needs
    )


def choices(
    sheets: Sequence[Sheet], needs: Sequence[Need], most: Sequence[int], below: Length
) -> tuple[list[Choice], bool]:
    """Every sensible choice cheaper than ``below``, cheapest first, and whether that is all.

    Sheets that cost nothing are all on the table: leaving one unused costs nothing either.
    """
    found: list[Choice] = []
    complete = True
    for tried, choice in enumerate(_counts(sheets, most, below, 0)):
        if tried > MOST_CHOICES:
            complete = False
            break
        if enough(needs, choice):
            found.append(choice)
    found.sort(key=lambda choice: (price(sheets, choice), sum(choice), choice))
    return found, complete


def _counts(
    sheets: Sequence[Sheet], most: Sequence[int], below: Length, index: int
) -> Iterator[Choice]:
    if index == len(sheets):
        yield ()
        return
    cost = sheets[index].cost
    numbers = range(most[index] + 1) if cost > 0 else range(most[index], most[index] + 1)
    for number in numbers:
        if cost * number >= below:
            break
        for rest in _counts(sheets, most, below - cost * number, index + 1):
            yield (number, *rest)


def least_price(
    sheets: Sequence[Sheet], needs: Sequence[Need], most: Sequence[int], below: Length
) -> Length:
    """A price no sufficient choice can go below, at most ``below``."""
    if len([sheet for sheet in sheets if sheet.cost > 0]) == 1:
        return min(below, _single(sheets, needs, most))
    found, complete = choices(sheets, needs, most, below)
    if complete:
        return price(sheets, found[0]) if found else below
    return min(below, max((_fractional(sheets, need, most) for need in needs), default=0))


def _single(sheets: Sequence[Sheet], needs: Sequence[Need], most: Sequence[int]) -> Length:
    """The least price when one kind of sheet has to be paid for."""
    paid = next(j for j, sheet in enumerate(sheets) if sheet.cost > 0)
    number = 0
    for need in needs:
        free = sum(o * most[j] for j, o in enumerate(need.offers) if j != paid)
        if need.total > free and need.offers[paid]:
            number = max(number, -(-(need.total - free) // need.offers[paid]))
    return sheets[paid].cost * number


def _fractional(sheets: Sequence[Sheet], need: Need, most: Sequence[int]) -> Length:
    """The least price of one inequality when sheets may be taken in part."""
    rate = sorted(
        (Fraction(sheet.cost) / offer, j)
        for j, (sheet, offer) in enumerate(zip(sheets, need.offers, strict=True))
        if offer
    )
    left, cost = Fraction(need.total), Fraction(0)
    for each, j in rate:
        part = min(left, Fraction(most[j] * need.offers[j]))
        cost += part * each
        left -= part
    return round_up(cost, sheets)


def round_up(cost: Fraction, sheets: Sequence[Sheet]) -> Length:
    """The least sum of sheet prices that may not be below a cost."""
    unit = _unit([sheet.cost for sheet in sheets if sheet.cost > 0])
    rounded = ceil(cost / unit) * unit
    return int(rounded) if rounded.denominator == 1 else rounded


def _unit(costs: Sequence[Length]) -> Fraction:
    """The greatest amount of which every price is a multiple."""
    fractions = [Fraction(cost) for cost in costs] or [Fraction(1)]
    bottom = lcm(*(f.denominator for f in fractions))
    return Fraction(gcd(*(int(f * bottom) for f in fractions)), bottom)

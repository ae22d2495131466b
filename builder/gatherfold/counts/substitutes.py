"""What to buy where a stock's own sheet or weight is not sold: weights near it, other sheet sizes.

In: a resolved design.  Out: for each stock the nearest weight that is sold where the edition is
used, and what one kit takes of each sheet size sold there, as a plan of its own has it; nothing is
said of a size that was not planned.  A print that runs one way may stand on the short or on the
long edge of another sheet: where that changes the number, both are given.  Stocks whose pieces are
placed by the print have no other sheet: their picture is on none.

Sizes: 12 × 12 in and 30.5 × 30.5 cm are common practice, no source; US Letter as pint has it;
ISO 216 (A4, A3) and ISO 217 (SRA3) from secondary pages.  US weights: grades and pairs as printed
on secondary pages; weights in g/m²: common practice, no source.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from gatherfold.lengths import INCH
from gatherfold.model import (
    SINGLY,
    EditionName,
    Material,
    grams_per_square_metre,
    has_direction,
    is_metric,
)
from gatherfold.plans import (
    CutOut,
    as_planned,
    is_placed_by_print,
    print_of,
    rectangles_of,
    trimmer_of,
)
from gatherfold.resolve import ResolvedDesign, ResolvedStock
from gatherfold.sheets import Plan, name_of, plan_to_count

#: Sheets sold where an edition is used: what they are called there, width and height in mm.
SHEETS_SOLD: dict[EditionName, tuple[tuple[str, Fraction, Fraction], ...]] = {
    "imperial": (
        ("", 12 * INCH, 12 * INCH),
        ("Letter", 17 * INCH / 2, 11 * INCH),
        ("Tabloid", 11 * INCH, 17 * INCH),
    ),
    "metric": (
        ("", Fraction(305), Fraction(305)),
        ("A4", Fraction(210), Fraction(297)),
        ("A3", Fraction(297), Fraction(420)),
        ("SRA3", Fraction(320), Fraction(450)),
    ),
}

#: US weights in pounds by grade, and grammages elsewhere.
POUNDS_SOLD = {"cover": (65, 80, 100, 110, 130), "text": (60, 70, 80, 100)}
GRAMS_SOLD = (80, 90, 100, 120, 130, 150, 160, 170, 200, 220, 250, 270, 300, 350)

#: Materials of which another sheet or another weight will do as well.
_SOLD_BY_WEIGHT: dict[Material, bool] = {
    "cardstock": True,
    "paper": True,
    "board": False,
    "ribbon": False,
}
#: Two sheets are of one size when they differ by no more than this: one of 12 in and of 305 mm.
_ALIKE = Fraction(1, 2)
#: Work for one plan, in seconds of the planner's count: an advice needs no proof.
_TIME = 0.3


@dataclass(frozen=True)
class SheetSubstitute:
    """Sheets of another size for one kit: how many, and the codes of pieces they are too small
    for.

    They are counted with the print upright on the short edge.  ``lying`` is how many give every
    piece where it stands on the long one, 0 where that is no better; ``has_to_stand`` says that on
    the long edge more would be needed.
    """

    stock: ResolvedStock
    name: str
    width: Fraction
    height: Fraction
    count: int
    too_small_for: tuple[str, ...]
    lying: int = 0
    has_to_stand: bool = False


@dataclass(frozen=True)
class NearWeight:
    """A weight sold in the edition's region; ``pounds`` and ``grade`` are for US papers."""

    pounds: int | None
    grade: str
    grams: Fraction


def near_weight(stock: ResolvedStock, edition: EditionName) -> NearWeight | None:
    """The nearest weight sold in the region of an edition, cover or text, as paper and card differ
    by nothing else; None where the design's own is of that region, or none is given."""
    weight = stock.source.weight
    if weight is None or (weight.pounds is not None) != is_metric(edition):
        return None
    if is_metric(edition):
        grams = min(GRAMS_SOLD, key=lambda sold: abs(sold - weight.grams))
        return NearWeight(None, "", Fraction(grams))
    sold = [
        NearWeight(pounds, grade, grams_per_square_metre(Fraction(pounds), grade))
        for grade, weights in POUNDS_SOLD.items()
        for pounds in weights
    ]
    return min(sold, key=lambda each: abs(each.grams - weight.grams))


def sheet_substitutes(resolved: ResolvedDesign) -> tuple[SheetSubstitute, ...]:
    """Every stock planned on the sheet sizes of the region that are not its own, from the smallest
    up to the first that a single sheet of is enough."""
    return tuple(
        found
        for stock in resolved.stocks.values()
        if _may_change(resolved, stock)
        for found in _up_to_enough(resolved, stock)
    )


def _up_to_enough(resolved: ResolvedDesign, stock: ResolvedStock) -> Iterator[SheetSubstitute]:
    sold = SHEETS_SOLD[resolved.edition.name]
    for name, width, height in sorted(sold, key=lambda each: each[1] * each[2]):
        if _has_size(stock, width, height):
            continue
        found = _either_way(resolved, stock, name, width, height)
        yield found
        if found.lying == 1 or (found.count <= 1 and not found.too_small_for):
            return


def _either_way(
    resolved: ResolvedDesign, stock: ResolvedStock, name: str, width: Fraction, height: Fraction
) -> SheetSubstitute:
    """The sheet with its print standing on the short edge, and what differs on the long one."""
    found = _substitute(resolved, stock, name, width, height)
    outs = _cut_from(resolved, stock)
    if width == height or not any(has_direction(print_of(out)) for out in outs):
        return found
    lying = _substitute(resolved, stock, name, height, width)
    if lying.too_small_for or (lying.count > found.count and not found.too_small_for):
        return replace(found, has_to_stand=not found.too_small_for)
    is_better = bool(found.too_small_for) or lying.count < found.count
    return replace(found, lying=lying.count if is_better else 0)


def bound_to_print(resolved: ResolvedDesign) -> tuple[ResolvedStock, ...]:
    """The stocks that have to be the very sheet: pieces lie where its print has a picture."""
    return tuple(
        stock
        for stock in resolved.stocks.values()
        if any(is_placed_by_print(out) for out in _cut_from(resolved, stock))
    )


def _may_change(resolved: ResolvedDesign, stock: ResolvedStock) -> bool:
    """Whether another sheet of a stock will do as well."""
    outs = _cut_from(resolved, stock)
    is_bound = any(is_placed_by_print(out) for out in outs)
    return _SOLD_BY_WEIGHT[stock.source.material] and bool(outs) and not is_bound


def _cut_from(resolved: ResolvedDesign, stock: ResolvedStock) -> list[CutOut]:
    return [out for out in resolved.cut_outs.values() if out.stock.key == stock.key]


def _has_size(stock: ResolvedStock, width: Fraction, height: Fraction) -> bool:
    wanted = sorted((width, height))
    return any(
        all(abs(a - b) <= _ALIKE for a, b in zip(sorted((s.width, s.height)), wanted, strict=True))
        for s in stock.sheets
        if not s.source.is_scrap
    )


def _substitute(
    resolved: ResolvedDesign, stock: ResolvedStock, name: str, width: Fraction, height: Fraction
) -> SheetSubstitute:
    found = _planned(resolved, stock, width, height)
    missing = dict.fromkeys(name_of(key) for problem in found.unplaced for key in problem.pieces)
    codes = tuple(resolved.cut_out(key).code for key in missing)
    return SheetSubstitute(stock, name, width, height, len(found.sheets), codes)


def _planned(
    resolved: ResolvedDesign, stock: ResolvedStock, width: Fraction, height: Fraction
) -> Plan:
    """The pieces of one kit on plain sheets of the other size, as many as they take."""
    own = stock.sheets[0]
    plain = replace(own.source, limit=None, offer=SINGLY, margin={}, is_scrap=False)
    zero = Fraction(0)
    sheet = replace(own, width=width, height=height, source=plain, margins=(zero,) * 4)
    planned = as_planned(sheet, resolved.edition.grid, is_pinned=False)
    # How the grain of another sheet runs is not known: only a print keeps a piece upright on it.
    kit = [
        replace(each, turns=each.turns or not has_direction(print_of(out)))
        for out in _cut_from(resolved, stock)
        for each in rectangles_of(out, resolved.edition.grid)
    ]
    trimmer = trimmer_of(resolved)
    return plan_to_count(kit, planned, trimmer=trimmer, time_limit=_TIME, patience=3.0)

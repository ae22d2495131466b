"""What no plan can go below: inequalities on the sheets taken, and the least price they allow.

In: pieces, the kinds of sheet each may come from, the sheets. Out: ``Need`` inequalities, each
saying how much the sheets taken together must offer; which numbers of which sheets are enough; and
a price that none of these choices can go below.

A dual-feasible function f turns lengths into lengths so that whatever fits side by side into
W still fits into f(W). Then the areas f(w) g(h) of the pieces on a sheet add up to at most
f(W) g(H). The functions here are superadditive, so that f(V) is the offer of a smaller V too.
They are those of Fekete and Schepers (2001) and of Carlier, Clautiaux and Moukrim (2007), as
surveyed by Clautiaux, Alves and Valerio de Carvalho (2010), all scaled to whole numbers.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil, gcd, inf, lcm
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from gatherfold.sheets.model import Length, Rectangle, Sheet
from gatherfold.sheets.pins import Region, lying, only_place, overlap, room_of
from gatherfold.solver import Column, cheapest, has_no_answer, is_solved, silent_solver

if TYPE_CHECKING:
    import highspy

Size = tuple[int, int]
Table = NDArray[np.int64]
Kinds = Mapping[str, frozenset[int]]
#: How many there are of each kind of sheet.
Choice = tuple[int, ...]
MOST_FUNCTIONS = 240
# How many nodes a choice of sheets may branch into, and how far a price is not to be relied on.
NODES = 10_000
DOUBT = 1e-5
# Longer sheets are measured in coarser units, so that products stay within 64 bits.
LONGEST = 1_000_000


@dataclass(frozen=True)
class Need:
    """The sheets chosen must offer at least ``total``, kind j offering ``offers[j]`` each."""

    total: int
    offers: tuple[int, ...]


def inequalities(pieces: Sequence[Rectangle], kinds: Kinds, sheets: Sequence[Sheet]) -> list[Need]:
    """What any choice of sheets for the pieces must satisfy."""
    rooms = [room_of(sheet) for sheet in sheets]
    everywhere = frozenset(range(len(sheets)))
    groups = {kinds[piece.key] for piece in pieces} | {everywhere}
    found: list[Need] = []
    for group in sorted(groups, key=sorted):
        bound = [piece for piece in pieces if kinds[piece.key] <= group]
        if bound:
            laid = [lying(piece, kinds[piece.key], sheets) for piece in bound]
            for need in needs(laid, rooms):
                # The other kinds of sheet offer nothing to these pieces.
                offers = tuple(o if j in group else 0 for j, o in enumerate(need.offers))
                found.append(replace(need, offers=offers))
    return found + _over_one_another(pieces, kinds, sheets)


def _over_one_another(
    pieces: Sequence[Rectangle], kinds: Kinds, sheets: Sequence[Sheet]
) -> list[Need]:
    """The largest set found of pieces of which a sheet can give one at most."""
    pinned = [piece for piece in pieces if piece.pin is not None]
    places = {
        piece.key: {j: only_place(piece, sheets[j]) for j in kinds[piece.key]} for piece in pinned
    }
    largest: list[Rectangle] = []
    for first in pinned:
        together = [first]
        for piece in pinned:
            if piece is not first and all(
                _exclude(places[piece.key], places[other.key]) for other in together
            ):
                together.append(piece)
        if len(together) > len(largest):
            largest = together
    if len(largest) < 2:
        return []
    group = frozenset[int]().union(*(kinds[piece.key] for piece in largest))
    return [Need(len(largest), tuple(int(j in group) for j in range(len(sheets))))]


def _exclude(one: Mapping[int, Region | None], other: Mapping[int, Region | None]) -> bool:
    """Whether no sheet can give both."""
    return all(overlap(one[kind], other[kind]) != (0, 0) for kind in one.keys() & other.keys())


def _thresholds(lengths: Sequence[int], whole: int) -> list[int]:
    """Where the functions can change: sizes of pieces and their complements, up to half."""
    values = sorted(
        {v for x in lengths for v in (x, whole - x, whole - x + 1) if 0 < v <= whole // 2}
    )
    most = MOST_FUNCTIONS // 2
    if len(values) > most:
        values = [values[i * (len(values) - 1) // (most - 1)] for i in range(most)]
    return values


def _functions(lengths: list[int], whole: int) -> Table:
    """Every function of the three families at the lengths: a row a function."""
    x = np.array(lengths, dtype=np.int64)
    rows: list[Table] = [x]
    for k in _thresholds(lengths, whole):
        rows.append(np.where(x > whole - k, whole, np.where(x < k, 0, x)))
        halves = np.where(2 * x == whole, whole // k, 2 * (x // k))
        rows.append(np.where(2 * x > whole, 2 * (whole // k - (whole - x) // k), halves))
    for k in range(1, min(30, whole)):
        exact = ((k + 1) * x) % whole == 0
        rows.append(np.where(exact, k * x, ((k + 1) * x) // whole * whole))
    # What numpy does for it takes longer to import than a plan to make.
    return np.array(sorted({tuple(row) for row in np.stack(rows).tolist()}), dtype=np.int64)


def needs(laid: Sequence[Sequence[Size]], sheets: Sequence[Size], keep: int = 60) -> list[Need]:
    """The strongest inequalities found, those that bind some kind of sheet first.

    ``laid`` holds for each piece the sizes it may be laid in, ``sheets`` the usable sizes.
    """
    whole_area = sum(min(w * h for w, h in options) for options in laid)
    exact = Need(whole_area, tuple(w * h for w, h in sheets))
    # What fits side by side also fits when every length is rounded down to a coarser unit.
    unit_x = max(w for w, _ in sheets) // LONGEST + 1
    unit_y = max(h for _, h in sheets) // LONGEST + 1
    sheets = [(w // unit_x, h // unit_y) for w, h in sheets]
    width, height = max(w for w, _ in sheets), max(h for _, h in sheets)
    kinds = Counter(
        tuple(sorted({(w // unit_x, h // unit_y) for w, h in options})) for options in laid
    )
    widths = sorted({s[0] for shape in kinds for s in shape} | {w for w, _ in sheets} | {width})
    heights = sorted({s[1] for shape in kinds for s in shape} | {h for _, h in sheets} | {height})
    across, up = _functions(widths, width), _functions(heights, height)
    column = {w: i for i, w in enumerate(widths)}
    row = {h: i for i, h in enumerate(heights)}

    def areas(size: Size) -> Table:
        return np.outer(across[:, column[size[0]]], up[:, row[size[1]]])

    # Each piece counts as it is laid where it counts least.
    totals = sum(
        count * np.minimum.reduce([areas(size) for size in shape]) for shape, count in kinds.items()
    )
    offers = [areas(size) for size in sheets]
    return [exact, *_strongest(totals, offers, keep)]


def _strongest(totals: Table, offers: Sequence[Table], keep: int) -> list[Need]:
    chosen: dict[Need, None] = {}
    for offer in offers:
        ratio = np.where(offer > 0, totals / np.maximum(offer, 1), 0.0).ravel()
        for flat in np.argsort(-ratio, kind="stable")[:keep]:
            i, j = divmod(int(flat), totals.shape[1])
            need = Need(int(totals[i, j]), tuple(int(o[i, j]) for o in offers))
            chosen[need] = None
    return list(chosen)


def price(sheets: Sequence[Sheet], choice: Choice) -> Length:
    """What a choice costs."""
    return sum(sheet.cost * number for sheet, number in zip(sheets, choice, strict=True))


def enough(needs: Sequence[Need], choice: Choice) -> bool:
    """Whether a choice satisfies every inequality."""
    return all(
        sum(o * n for o, n in zip(need.offers, choice, strict=True)) >= need.total for need in needs
    )


def least_price(
    sheets: Sequence[Sheet], needs: Sequence[Need], most: Choice, below: Length
) -> Length:
    """A price no sufficient choice can go below, at most ``below``."""
    if len(sheets) == 1:
        return _of_one_kind(sheets[0], needs, most[0], below)
    costs = [float(sheet.cost) for sheet in sheets]
    solver = _solved(sheets, needs, most, costs, (0, below))
    if has_no_answer(solver):
        return below
    return min(below, round_up(float(solver.getInfo().mip_dual_bound), sheets))


def _of_one_kind(sheet: Sheet, needs: Sequence[Need], most: int, below: Length) -> Length:
    """The price of as many sheets of one kind as the inequalities ask for."""
    binding = [(need.total, need.offers[0]) for need in needs if need.total]
    if not all(offer for _, offer in binding):
        return below
    number = max((-(-total // offer) for total, offer in binding), default=0)
    return below if number > most else min(below, number * sheet.cost)


def most_room(
    sheets: Sequence[Sheet], needs: Sequence[Need], most: Choice, least: Length, below: Length
) -> Choice | None:
    """The sufficient choice of the largest sheets for a price from ``least`` to below another.

    Sheets that cost nothing are all on the table: leaving one unused costs nothing either.
    """
    if len(sheets) == 1:
        cost, highest = sheets[0].cost, below - _unit(sheets)
        choice = (min(most[0], int(highest // cost)) if cost else most[0],)
        is_enough = enough(needs, choice) and least <= choice[0] * cost <= highest
        return choice if is_enough else None
    areas = [float(sheet.width * sheet.height) for sheet in sheets]
    worth = [-area / max(areas) for area in areas]
    solver = _solved(sheets, needs, most, worth, (least, below - _unit(sheets)))
    if not is_solved(solver):
        return None
    return tuple(round(number) for number in solver.getSolution().col_value)


def _solved(
    sheets: Sequence[Sheet],
    needs: Sequence[Need],
    most: Choice,
    worth: Sequence[float],
    prices: tuple[Length, Length],
) -> highspy.Highs:
    """The solver after the search for the sufficient choice worth least within the prices."""
    binding = [need for need in needs if need.total]
    columns = [
        Column(
            worth[j],
            most[j],
            [
                *((i, need.offers[j] / need.total) for i, need in enumerate(binding)),
                (len(binding), float(sheet.cost)),
            ],
            True,
        )
        for j, sheet in enumerate(sheets)
    ]
    rows = [(1.0, inf)] * len(binding)
    solver = silent_solver()
    solver.setOptionValue("mip_max_nodes", NODES)
    solver.setOptionValue("mip_rel_gap", 0.0)
    solver.passModel(cheapest(columns, [*rows, (float(prices[0]), float(prices[1]))]))
    solver.run()
    return solver


def round_up(cost: float, sheets: Sequence[Sheet]) -> Length:
    """The least multiple of what every price is a multiple of that is not below a cost.

    A price in floating point is not relied on to the last figure.
    """
    sure, unit = Fraction(cost - DOUBT * max(1.0, cost)), _unit(sheets)
    rounded = ceil(sure / unit) * unit
    return int(rounded) if rounded.denominator == 1 else rounded


def _unit(sheets: Sequence[Sheet]) -> Fraction:
    """What every price is a multiple of."""
    prices = [Fraction(sheet.cost) for sheet in sheets if sheet.cost > 0] or [Fraction(1)]
    bottom = lcm(*(price.denominator for price in prices))
    return Fraction(gcd(*(int(price * bottom) for price in prices)), bottom)

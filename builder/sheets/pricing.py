"""The most valuable pattern of a sheet, and from it a bound and patterns for pieces in many copies.

In: kinds of item with the number wanted, rooms (usable sheets with prices). Out: a price that no
plan can go below, and the patterns that a plan in fractions of patterns is made of.

The plan in fractions is a linear program with a column for every pattern; a column is added when
it is worth more, at the program's own prices for the kinds, than the sheet costs (Gilmore and
Gomory, Operations Research 13, 1965). Its worth is found over all outlines at once, each the best
of one item and of two smaller outlines side by side or one above the other. Items are not
counted there, which can only lower the bound.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import highspy
import numpy as np
from numpy.typing import NDArray

from builder.sheets.exact import Room
from builder.sheets.guillotine import Node, divide, empty, gaps_of, insert
from builder.sheets.packing import Effort, Item
from builder.solver import Column, cheapest, silent_solver

Table = NDArray[np.float64]
Splits = list[tuple[NDArray[np.int64], NDArray[np.int64]]]
# More outlines than this are too many to look at for each new column.
MOST_OUTLINES = 40_000
MOST_COLUMNS = 300
# The work of one outline in one search for a pattern.
OUTLINE = 1
# A pattern must be worth so much more than its sheet costs, and a bound is lowered by as much.
DOUBT = 1e-6


@dataclass(frozen=True)
class Priced:
    """The bound, and patterns: the room, its kinds in rising order, and a tree of kind numbers."""

    bound: float
    patterns: tuple[tuple[int, tuple[int, ...], Node], ...]


class _Outlines:
    """Every size of a part worth looking at on one room, with its best value."""

    def __init__(self, room: Room, sizes: Sequence[tuple[int, int, int]]) -> None:
        self.room = room
        self.sizes = sizes
        self.xs = _sums({w for _, w, _ in sizes}, room.width)
        self.ys = _sums({h for _, _, h in sizes}, room.height)
        self.count = len(self.xs) * len(self.ys)
        if self.count <= MOST_OUTLINES:
            self.across, self.up = _splits(self.xs), _splits(self.ys)
            self.at = [
                (kind, int(np.searchsorted(self.xs, w)), int(np.searchsorted(self.ys, h)))
                for kind, w, h in sizes
            ]

    def value(self, worth: Sequence[float]) -> float:
        """The most that a pattern of the room is worth; ``tree`` then gives it."""
        table = np.zeros((len(self.xs), len(self.ys)))
        for kind, i, j in self.at:
            np.maximum(table[i:, j:], worth[kind], out=table[i:, j:])
        self.single, self.worth = table.copy(), worth
        before = -1.0
        while before < table.sum():
            before = float(table.sum())
            _close(table, self.across)
            _close(table.T, self.up)
        self.table = table
        return float(table[-1, -1])

    def tree(self) -> tuple[tuple[int, ...], Node]:
        """The pattern of the value found last: its kinds in rising order and its tree."""
        root = empty(self.room.width, self.room.height)
        kinds: list[int] = []
        waiting = [(root, len(self.xs) - 1, len(self.ys) - 1)]
        while waiting:
            node, i, j = waiting.pop()
            value = self.table[i, j]
            if value <= 0:
                continue
            if self.single[i, j] == value:
                kind, w, h = next(
                    (kind, w, h)
                    for (kind, w, h), (_, a, b) in zip(self.sizes, self.at, strict=True)
                    if a <= i and b <= j and self.worth[kind] == value
                )
                insert(gaps_of(node, 0)[0], (w, h, kind), node.vertical)
                kinds.append(kind)
                continue
            vertical, one, other = self._split(i, j, value)
            at = int(self.xs[one] if vertical else self.ys[one])
            low, high = divide(node, vertical, at)
            waiting += (
                [(low, one, j), (high, other, j)] if vertical else [(low, i, one), (high, i, other)]
            )
        return tuple(sorted(kinds)), root

    def _split(self, i: int, j: int, value: float) -> tuple[bool, int, int]:
        """How an outline's value comes from two smaller ones."""
        for vertical, splits, table, at, line in (
            (True, self.across, self.table, i, j),
            (False, self.up, self.table.T, j, i),
        ):
            ones, others = splits[at]
            sums = table[ones, line] + table[others, line]
            if len(sums) and sums.max() == value:
                best = int(sums.argmax())
                return vertical, int(ones[best]), int(others[best])
        raise AssertionError("every value is an item's or that of two smaller outlines")


def _sums(lengths: set[int], whole: int) -> NDArray[np.int64]:
    """Every sum of lengths up to a whole, from 0."""
    there = np.zeros(whole + 1, dtype=bool)
    there[0] = True
    for length in sorted(lengths):
        for start in range(length, whole + 1, length):
            stop = min(whole + 1, start + length)
            there[start:stop] |= there[start - length : stop - length]
    return np.flatnonzero(there).astype(np.int64)


def _splits(sums: NDArray[np.int64]) -> Splits:
    """For each sum the smaller part, up to half, and the largest sum that the rest holds."""
    found: Splits = []
    for total in sums:
        ones = np.flatnonzero((sums > 0) & (2 * sums <= total))
        others = np.searchsorted(sums, total - sums[ones], side="right") - 1
        found.append((ones, others))
    return found


def _close(table: Table, splits: Splits) -> None:
    """Raise every row to the best sum of two smaller ones, from small to large."""
    for number, (ones, others) in enumerate(splits):
        if len(ones):
            best = (table[ones] + table[others]).max(axis=0)
            np.maximum(table[number], best, out=table[number])


def priced(
    kinds: Sequence[Item], demand: Sequence[int], rooms: Sequence[Room], effort: Effort
) -> Priced | None:
    """The bound and patterns of a plan in fractions; None where it is too much work."""
    outlines = []
    for j, room in enumerate(rooms):
        sizes = [
            (t, w, h)
            for t, kind in enumerate(kinds)
            if kind.kinds is None or j in kind.kinds
            for w, h in kind.sizes
            if w <= room.width and h <= room.height
        ]
        if room.width > MOST_OUTLINES or room.height > MOST_OUTLINES:
            return None
        outlines.append(_Outlines(room, sizes))
    each = sum(one.count for one in outlines)
    if not kinds or each > MOST_OUTLINES or min(room.price for room in rooms) <= 0:
        return None
    return _generated(demand, rooms, outlines, effort, OUTLINE * each)


def _generated(
    demand: Sequence[int],
    rooms: Sequence[Room],
    outlines: Sequence[_Outlines],
    effort: Effort,
    cost: int,
) -> Priced:
    solver = _start(demand, rooms)
    patterns: list[tuple[int, tuple[int, ...], Node]] = []
    bound = 0.0
    while len(patterns) < MOST_COLUMNS:
        solver.run()
        whole = float(solver.getInfo().objective_function_value)
        worth = [max(0.0, float(value)) for value in solver.getSolution().row_dual]
        values = [one.value(worth) for one in outlines]
        most = max(v / room.price for v, room in zip(values, rooms, strict=True))
        total = sum(w * d for w, d in zip(worth, demand, strict=True))
        # The prices, lowered until no pattern is worth more than its sheet, are a bound (Farley,
        # Operations Research 38, 1990).
        bound = max(bound, total / max(1.0, most) * (1 - DOUBT))
        if most <= 1 + DOUBT or bound >= whole * (1 - DOUBT) or not effort.spend(cost):
            break
        for j, pattern in _worthwhile(values, rooms, outlines):
            patterns.append((j, *pattern))
            _add(solver, rooms[j].price, pattern[0])
    return Priced(bound, tuple(patterns))


def _worthwhile(
    values: Sequence[float], rooms: Sequence[Room], outlines: Sequence[_Outlines]
) -> Iterator[tuple[int, tuple[tuple[int, ...], Node]]]:
    """The best pattern of every room where it is worth more than the sheet."""
    for j, (value, room, one) in enumerate(zip(values, rooms, outlines, strict=True)):
        if value > room.price * (1 + DOUBT):
            yield j, one.tree()


def _start(demand: Sequence[int], rooms: Sequence[Room]) -> highspy.Highs:
    """A program in which each kind can also be had singly, at the price of the dearest sheet."""
    dearest, infinite = max(room.price for room in rooms), highspy.kHighsInf
    singly = [Column(dearest, infinite, [(kind, 1)]) for kind in range(len(demand))]
    model = cheapest(singly, [(float(wanted), infinite) for wanted in demand])
    solver = silent_solver()
    solver.setOptionValue("presolve", "off")
    solver.passModel(model)
    return solver


def _add(solver: highspy.Highs, price: float, kinds: tuple[int, ...]) -> None:
    held = list(dict.fromkeys(kinds))
    index = np.array(held, dtype=np.int32)
    counts = np.array([float(kinds.count(kind)) for kind in held])
    solver.addCol(price, 0.0, highspy.kHighsInf, len(held), index, counts)

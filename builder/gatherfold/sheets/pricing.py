"""The most valuable pattern of a sheet, and from it a bound and the patterns for it.

In: items alike with how many there are of each, rooms (usable sheets with prices). Out: a price
that no plan can go below, and the patterns that a plan in fractions of patterns is made of.

The plan in fractions is a linear program with a column for every pattern; a column is added when
it is worth more, at the program's own prices for the kinds, than the sheet costs (Gilmore and
Gomory, Operations Research 13, 1965). Its worth is found over all outlines at once, each the best
of one item and of two smaller outlines side by side or one above the other. Items are not
counted there, which can only lower the bound.
"""

from collections import Counter
from collections.abc import Mapping, Sequence

import highspy
import numpy as np
from numpy.typing import NDArray

from gatherfold.sheets.guillotine import Leaf, Made, Node, built, items_of
from gatherfold.sheets.packing import Effort, Item, Room
from gatherfold.solver import Column, cheapest, silent_solver

Table = NDArray[np.float64]
Whole = NDArray[np.int64]
Splits = list[tuple[Whole, Whole]]
#: A part of a pattern, by the places of its width and height among the outlines.
Outline = tuple[int, int]
#: A price that no plan can go below, and on the way to it patterns: (kind of sheet, tree).
Priced = tuple[float, list[tuple[int, Node]]]
# More outlines than this are too many to look at for each new column.
MOST_OUTLINES = 40_000
MOST_COLUMNS = 300
# A pattern must be worth so much more than its sheet costs, and a bound is lowered by as much.
DOUBT = 1e-6


class _Outlines:
    """Every size of a part worth looking at on one room, with its best value."""

    def __init__(self, number: int, room: Room, members: Mapping[Item, Sequence[int]]) -> None:
        self.number = number
        self.room = room
        self.names = [alike[0] for alike in members.values()]
        self.sizes = [
            (t, w, h)
            for t, kind in enumerate(members)
            if kind.kinds is None or number in kind.kinds
            for w, h in kind.sizes
            if w <= room.width and h <= room.height
        ]
        self.xs = _sums({w for _, w, _ in self.sizes}, room.width)
        self.ys = _sums({h for _, _, h in self.sizes}, room.height)
        self.count = len(self.xs) * len(self.ys)

    def prepare(self) -> None:
        """Work out where each size stands and how each outline may be divided."""
        self.across, self.up = _splits(self.xs), _splits(self.ys)
        self.at = [
            (kind, int(np.searchsorted(self.xs, w)), int(np.searchsorted(self.ys, h)))
            for kind, w, h in self.sizes
        ]

    def value(self, worth: Sequence[float]) -> float:
        """The most that a pattern of the room is worth; ``pattern`` then gives it."""
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

    def pattern(self) -> Node:
        """The pattern of the value found last, each item named by the first of its kind."""

        def made_of(outline: Outline) -> Made[Outline] | None:
            if self.table[outline] <= 0:
                return None
            return self._split(*outline) or self._item(*outline)

        whole = (len(self.xs) - 1, len(self.ys) - 1)
        return built(self.room.width, self.room.height, whole, made_of)

    def _item(self, i: int, j: int) -> Leaf:
        """The item that an outline is worth most by."""
        fitting = [
            (self.worth[kind], -number)
            for number, (kind, a, b) in enumerate(self.at)
            if a <= i and b <= j
        ]
        kind, w, h = self.sizes[-max(fitting)[1]]
        return Leaf(w, h, self.names[kind])

    def _split(self, i: int, j: int) -> Made[Outline] | None:
        """The two smaller outlines of most worth, if they are worth more than one item."""
        best, found = float(self.single[i, j]), None
        for vertical, (ones, others), line in (
            (True, self.across[i], self.table[:, j]),
            (False, self.up[j], self.table[i]),
        ):
            sums = line[ones] + line[others]
            if len(sums) and sums.max() > best:
                best, at = float(sums.max()), int(sums.argmax())
                found = vertical, int(ones[at]), int(others[at])
        if found is None:
            return None
        vertical, one, other = found
        if vertical:
            return True, int(self.xs[one]), (one, j), (other, j)
        return False, int(self.ys[one]), (i, one), (i, other)


def _sums(lengths: set[int], whole: int) -> Whole:
    """Every sum of lengths up to a whole, from 0."""
    there = np.zeros(whole + 1, dtype=bool)
    there[0] = True
    for length in sorted(lengths):
        for start in range(length, whole + 1, length):
            stop = min(whole + 1, start + length)
            there[start:stop] |= there[start - length : stop - length]
    return np.flatnonzero(there).astype(np.int64)


def _splits(sums: Whole) -> Splits:
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


def priced(members: Mapping[Item, Sequence[int]], rooms: Sequence[Room], effort: Effort) -> Priced:
    """The bound of a plan in fractions and its patterns; 0 and none where it is too much work."""
    if not members or min(room.price for room in rooms) <= 0:
        return 0.0, []
    if any(max(room.width, room.height) > MOST_OUTLINES for room in rooms):
        return 0.0, []
    outlines = [_Outlines(j, room, members) for j, room in enumerate(rooms)]
    if sum(one.count for one in outlines) > MOST_OUTLINES:
        return 0.0, []
    for one in outlines:
        one.prepare()
    return _in_fractions(members, outlines, effort)


def _in_fractions(
    members: Mapping[Item, Sequence[int]], outlines: Sequence[_Outlines], effort: Effort
) -> Priced:
    demand = [len(alike) for alike in members.values()]
    kind_of = {alike[0]: kind for kind, alike in enumerate(members.values())}
    solver = _start(demand, max(one.room.price for one in outlines))
    patterns: list[tuple[int, Node]] = []
    bound = 0.0
    while len(patterns) < MOST_COLUMNS:
        solver.run()
        whole = float(solver.getInfo().objective_function_value)
        worth = [max(0.0, float(value)) for value in solver.getSolution().row_dual]
        values = [one.value(worth) / one.room.price for one in outlines]
        total = sum(w * d for w, d in zip(worth, demand, strict=True))
        # The prices, lowered until no pattern is worth more than its sheet, are a bound (Farley,
        # Operations Research 38, 1990).
        bound = max(bound, total / max(1.0, *values) * (1 - DOUBT))
        enough = max(values) <= 1 + DOUBT or bound >= whole * (1 - DOUBT)
        if enough or not effort.spend(sum(one.count for one in outlines)):
            break
        for one, value in zip(outlines, values, strict=True):
            if value > 1 + DOUBT:
                tree = one.pattern()
                patterns.append((one.number, tree))
                _add(solver, one.room.price, sorted(kind_of[item] for item in items_of(tree)))
    return bound, patterns


def _start(demand: Sequence[int], dearest: float) -> highspy.Highs:
    """A program in which each kind can also be had singly, at the price of the dearest sheet."""
    infinite = highspy.kHighsInf
    singly = [Column(dearest, infinite, [(kind, 1)]) for kind in range(len(demand))]
    solver = silent_solver()
    solver.setOptionValue("presolve", "off")
    solver.passModel(cheapest(singly, [(float(wanted), infinite) for wanted in demand]))
    return solver


def _add(solver: highspy.Highs, price: float, kinds: Sequence[int]) -> None:
    held = Counter(kinds)
    index, counts = np.array(list(held), dtype=np.int32), np.array(list(held.values()), dtype=float)
    solver.addCol(price, 0.0, highspy.kHighsInf, len(held), index, counts)

"""Proof: a bound beyond inequalities, and sheets that may reach it.

In: items alike with how many there are of each, and rooms (usable sheets with prices). Out: a price
that no plan can go below, and sheets that it comes from. Two sheets are tried as one; else the
bound is the price of a cover of the largest kinds by joined sets, found by a set covering program
(Monaci and Toth, INFORMS Journal on Computing 18, 2006).

A set of pieces can be cut from a rectangle exactly when it can be joined from two smaller sets side
by side or one above the other, down to single pieces (Wang, Operations Research 31, 1983). Sets are
joined from small to large, each in its smallest outlines. Where all pieces are to come out of one
sheet, an outline that wastes more than the sheet can spare is left out: the tighter the sheet, the
shorter the search. Joining stops when it needs more work than allowed, and then nothing is said.
"""

from __future__ import annotations

import time
from bisect import bisect_right
from collections.abc import Mapping, Sequence
from math import inf, isfinite
from typing import TYPE_CHECKING

from gatherfold.sheets.guillotine import Leaf, Made, Node, built, without
from gatherfold.sheets.packing import Effort, Item, Room, Size
from gatherfold.solver import Column, cheapest, is_solved, silent_solver

if TYPE_CHECKING:
    import highspy

# The part of the work left that joining all pieces into one sheet may take.
JOINING_PART = 3
# The part of the work left that joining by kinds may take, of pieces in copies and of others, and
# what one step of it costs.
KINDS_PART, SINGLES_PART = 8, 48
STEP_COST = 2
# How many sets are compared, or outlines laid side by side, in one step.
PAIRS_A_STEP = 32
MOST_SETS = 150_000
NODES = 400
# So many copies of each piece on average are many.
MANY_COPIES = 3

#: A set in one of its outlines.
Part = tuple[int, Size]
Outlines = dict[Size, Made[Part]]
#: The numbers of the items of each kind.
Members = Mapping[Item, Sequence[int]]


def is_in_copies(members: Members) -> bool:
    """Whether there are many copies of most items."""
    return sum(map(len, members.values())) >= MANY_COPIES * max(1, len(members))


class Joining:
    """Every set of pieces that fits a sheet, with the smallest outlines it can be cut from.

    Equal pieces are counted, in one field of bits for each kind, with a guard bit that shows when
    too many are used. ``spare`` is the most that an outline may waste.
    """

    def __init__(
        self,
        members: Mapping[Item, Sequence[int]],
        rooms: Sequence[Room],
        effort: Effort,
        spare: int | None = None,
    ) -> None:
        self.members, self.rooms, self.effort = members, rooms, effort
        self.width = max(room.width for room in rooms)
        self.height = max(room.height for room in rooms)
        self.spare = spare
        self.ones: list[int] = []
        self.fields: list[int] = []
        self.offset = self.guard = self.all = shift = 0
        for alike in members.values():
            bits = (2 * len(alike)).bit_length() + 1
            self.ones.append(1 << shift)
            self.fields.append((1 << bits) - 1 << shift)
            self.offset |= ((1 << (bits - 1)) - 1 - len(alike)) << shift
            self.guard |= 1 << (shift + bits - 1)
            self.all |= len(alike) << shift
            shift += bits
        self.outlines: dict[int, Outlines] = {}
        self.areas = {one: kind.area for one, kind in zip(self.ones, members, strict=True)}
        self.complete = self._join()

    def _join(self) -> bool:
        """Join sets of one more piece each time; False when the work is used up."""
        singles: dict[int, Outlines] = {}
        for one, (kind, alike) in zip(self.ones, self.members.items(), strict=True):
            singles[one] = {
                (w, h): Leaf(w, h, alike[0])
                for w, h in kind.sizes
                if w <= self.width and h <= self.height
            }
        levels = [[], self._kept(singles)]
        for count in range(2, sum(map(len, self.members.values())) + 1):
            # Where waste is limited, a set may be kept of which none with one piece less is.
            possible = self._larger(levels[-1]) if self.spare is None else None
            if possible is not None and not possible:
                break
            found: dict[int, Outlines] = {}
            for less in range(1, count // 2 + 1):
                if not self._pairs(levels[less], levels[count - less], possible, found):
                    return False
            levels.append(self._kept(found))
            if len(self.outlines) > MOST_SETS:
                return False
        return True

    def _larger(self, level: Sequence[int]) -> set[int]:
        """The sets of one piece more of which every set of one piece less fits."""
        larger = {code + one for code in level for one in self.ones}
        fields = list(zip(self.ones, self.fields, strict=True))
        return {
            code
            for code in larger
            if not (code + self.offset) & self.guard
            and all(code - one in self.outlines for one, field in fields if code & field)
        }

    def _kept(self, found: Mapping[int, Outlines]) -> list[int]:
        """Keep the sets found in the outlines that no other fits inside, the smallest set first."""
        for code, outlines in found.items():
            kept: Outlines = {}
            lowest = self.height + 1
            for size in sorted(outlines):
                if size[1] < lowest:
                    kept[size], lowest = outlines[size], size[1]
            if kept:
                self.outlines[code] = kept
        return sorted((code for code in found if code in self.outlines), key=self.areas.__getitem__)

    def _pairs(
        self,
        ones: list[int],
        others: list[int],
        possible: set[int] | None,
        found: dict[int, Outlines],
    ) -> bool:
        """Join every set of one size with every set of another, where that is possible."""
        largest = self.width * self.height
        for number, one in enumerate(ones, 1):
            end = bisect_right(others, largest - self.areas[one], key=self.areas.__getitem__)
            if ones is others:
                end = min(end, number)
            if possible is None:
                base = one + self.offset
                fitting = [code for code in others[:end] if not (base + code) & self.guard]
            else:
                fitting = [code for code in others[:end] if one + code in possible]
            steps = end // PAIRS_A_STEP
            for other in fitting:
                both = one + other
                self.areas[both] = self.areas[one] + self.areas[other]
                steps += self._side_by_side(one, other, found.setdefault(both, {}))
            if not self.effort.spend(steps):
                return False
        return True

    def _side_by_side(self, one: int, other: int, found: Outlines) -> int:
        """Join two sets in both ways, each in all its outlines; the steps taken."""
        width, height = self.width, self.height
        spare = width * height if self.spare is None else self.spare
        most = self.areas[one] + self.areas[other] + spare
        ones, others = self.outlines[one], self.outlines[other]
        for a in ones:
            for b in others:
                across, up = a[0] + b[0], a[1] + b[1]
                if across <= width:
                    higher = a[1] if a[1] > b[1] else b[1]
                    if across * higher <= most and (across, higher) not in found:
                        found[across, higher] = True, a[0], (one, a), (other, b)
                if up <= height:
                    wider = a[0] if a[0] > b[0] else b[0]
                    if wider * up <= most and (wider, up) not in found:
                        found[wider, up] = False, a[1], (one, a), (other, b)
        return 1 + len(ones) * len(others) // PAIRS_A_STEP

    def counts(self, code: int) -> list[tuple[int, int]]:
        """The kinds in a set, and how many there are of each."""
        pairs = enumerate(zip(self.ones, self.fields, strict=True))
        return [(kind, (code & field) // one) for kind, (one, field) in pairs if code & field]

    def common(self, one: int, other: int) -> int:
        """What two sets have in common; all of a set's smaller ones are joined as well."""
        return sum(min(one & field, other & field) for field in self.fields)

    def outline_in(self, code: int, room: Room) -> Size | None:
        """An outline of a set that fits a sheet."""
        sizes = self.outlines.get(code, ())
        return next(((w, h) for w, h in sizes if w <= room.width and h <= room.height), None)

    def tree(self, code: int, room: Room, left: Mapping[int, list[int]]) -> Node | None:
        """A tree of cuts that gives a set; the items are taken from those left of each kind."""
        size = self.outline_in(code, room)
        if size is None:
            return None

        def made_of(part: Part) -> Made[Part]:
            made = self.outlines[part[0]][part[1]]
            return made._replace(item=left[made.item].pop()) if isinstance(made, Leaf) else made

        return without(built(room.width, room.height, (code, size), made_of), ())

    def each(self) -> dict[int, list[int]]:
        """The items of each kind, under the number of its first."""
        return {alike[0]: list(alike) for alike in self.members.values()}

    def largest(self) -> list[tuple[int, int]]:
        """(kind of sheet, set) for sets that take no further piece there, the fullest first."""
        found: list[tuple[int, int]] = []
        for j, room in enumerate(self.rooms):
            barred = sum(
                field
                for field, kind in zip(self.fields, self.members, strict=True)
                if kind.kinds is not None and j not in kind.kinds
            )
            good = {c for c in self.outlines if not c & barred and self.outline_in(c, room)}
            found += [
                (j, code)
                for code in sorted(good, key=self.areas.__getitem__, reverse=True)
                if not any(code + one in good for one in self.ones)
            ]
        return found


def proved(
    members: Members, rooms: Sequence[Room], sheets: int, effort: Effort
) -> tuple[float, list[tuple[int, Node]]]:
    """A price that no plan can go below, and the sheets that it comes from.

    ``sheets`` is how many the best plan so far takes.
    """
    if len(rooms) == 1 and sheets == 2:
        tree, settled = one_sheet(members, rooms[0], effort.part(JOINING_PART))
        if tree is not None:
            return 0.0, [(0, tree)]
        if settled:
            return 2 * rooms[0].price, []
    largest = _largest_kinds(members, rooms, effort)
    return (0.0, []) if largest is None else cheapest_cover(largest, effort.deadline)


def _largest_kinds(members: Members, rooms: Sequence[Room], effort: Effort) -> Joining | None:
    """The sets of as many of the largest kinds as can be joined with a part of the work."""
    kinds = sorted(members, key=lambda kind: -kind.area)
    budget = effort.work // (KINDS_PART if is_in_copies(members) else SINGLES_PART)
    found: Joining | None = None
    before, growth = 1, 1.0
    for number in range(1, len(kinds) + 1):
        share = Effort(budget, effort.deadline)
        joining = Joining({kind: members[kind] for kind in kinds[:number]}, rooms, share)
        spent, budget = budget - share.work, share.work
        effort.spend(STEP_COST * spent)
        if not joining.complete:
            break
        found = joining
        before, growth = max(1, spent), max(1, spent) / before
        if before * growth > budget:
            break
    return found


def one_sheet(
    members: Mapping[Item, Sequence[int]], room: Room, effort: Effort
) -> tuple[Node | None, bool]:
    """A tree that gives all items from one sheet, if there is one, and whether that is settled."""
    wanted = sum(kind.area * len(alike) for kind, alike in members.items())
    spare = room.width * room.height - wanted
    if spare < 0:
        return None, True
    joining = Joining(members, [room], effort, spare)
    return joining.tree(joining.all, room, joining.each()), joining.complete


def cheapest_cover(joining: Joining, deadline: float) -> tuple[float, list[tuple[int, Node]]]:
    """The least price of a cover by joined sets, 0 when nothing was solved, and its sheets."""
    sets, rooms = joining.largest(), joining.rooms
    if not sets:
        return 0.0, []
    solver = _cover(joining, sets, deadline)
    bound = float(solver.getInfo().mip_dual_bound)
    if not isfinite(bound):
        return 0.0, []
    if not is_solved(solver):
        return bound, []
    numbers = [round(value) for value in solver.getSolution().col_value]
    wanted, left = joining.all, joining.each()
    trees: list[tuple[int, Node | None]] = []
    for (j, code), number in zip(sets, numbers, strict=True):
        for _ in range(number):
            # A set that gives more than is still wanted is cut without that.
            part = joining.common(code, wanted)
            wanted -= part
            trees.append((j, joining.tree(part, rooms[j], left)))
    return bound, [(j, tree) for j, tree in trees if tree is not None]


def _cover(joining: Joining, sets: Sequence[tuple[int, int]], deadline: float) -> highspy.Highs:
    """The solver after the search for the sheets that give every item at the least price."""
    kinds = len(joining.members)
    columns = [
        Column(room.price, room.most, [*joining.counts(code), (kinds + j, 1)], True)
        for j, code in sets
        for room in (joining.rooms[j],)
    ]
    least = [(float(len(alike)), inf) for alike in joining.members.values()]
    most = [(-inf, float(room.most)) for room in joining.rooms]
    solver = silent_solver()
    solver.setOptionValue("mip_max_nodes", NODES)
    # The clock ends it only on a machine too slow for the nodes.
    solver.setOptionValue("time_limit", max(0.1, deadline - time.monotonic()))
    solver.setOptionValue("mip_rel_gap", 0.0)
    solver.passModel(cheapest(columns, [*least, *most]))
    solver.run()
    return solver

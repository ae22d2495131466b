"""Proof: a bound beyond inequalities, and patterns that may reach it.

In: an arrangement and a bound below its price. Out: a bound no lower; the search is given the
patterns found on the way. Two sheets are tried as one; else the bound is that of a cover by joined
sets and, for pieces in many copies, of a plan in fractions of patterns.

A set of pieces can be cut from a rectangle exactly when it can be joined from two smaller sets side
by side or one above the other, down to single pieces (Wang, Operations Research 31, 1983). Sets are
joined from small to large, each in its smallest outlines. Where all pieces are to come out of one
sheet, an outline that wastes more than the sheet can spare is left out: the tighter the sheet, the
shorter the search. Joining stops when it needs more work than allowed, and then nothing is said.
"""

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from fractions import Fraction
from math import isfinite

import highspy

from gatherfold.sheets.arranging import Arrangement, Arranger, Cover
from gatherfold.sheets.bounds import round_up
from gatherfold.sheets.guillotine import Leaf, Made, Node, built
from gatherfold.sheets.model import Length
from gatherfold.sheets.packing import Effort, Item, Room, Size
from gatherfold.sheets.pricing import priced

# The part of the work left that joining all pieces into one sheet may take.
JOINING_PART = 3
# The part of all work that a plan in fractions may take.
PRICING_PART = 6
# The part of the work left that joining by kinds may take, of pieces in copies and of others, and
# what one step of it costs.
KINDS_PART, SINGLES_PART = 8, 48
STEP_COST = 2
# How many sets are compared, or outlines laid side by side, in one step.
PAIRS_A_STEP = 32
MOST_SETS = 150_000
NODES = 400
# How much of a bound in floating point is not to be relied on.
DOUBT = 1e-5

#: A set in one of its outlines.
Part = tuple[int, Size]
Outlines = dict[Size, Made[Part]]


def proved(arranger: Arranger, best: Arrangement, bound: Length) -> Length:
    """A better bound; the patterns it comes from are held for the search."""
    if arranger.pinned:
        return bound
    cost = arranger.cost(best)
    if len(arranger.sheets) == 1 and len(best.frames) == 2:
        budget = arranger.effort.work // JOINING_PART
        effort = arranger.effort.part(budget)
        tree, settled = one_sheet(arranger.members, arranger.rooms[0], effort)
        arranger.effort.spend(budget - effort.work)
        if tree is not None and arranger.hold(0, tree):
            return bound
        if settled and tree is None:
            return cost
    # Patterns in fractions say little of pieces that there are one of.
    for proof in (_in_fractions, _by_kinds) if arranger.in_copies else (_by_kinds,):
        if bound < cost:
            # A price in floating point is not to be relied on to the last figure.
            least = proof(arranger)
            sure = round_up(Fraction(least - DOUBT * max(1.0, least)), arranger.sheets)
            bound = min(cost, max(bound, sure))
    return bound


def _in_fractions(arranger: Arranger) -> float:
    """The price of a plan in fractions of patterns, which are held."""
    budget = arranger.allowed // PRICING_PART
    effort = arranger.effort.part(budget)
    bound, patterns = priced(arranger.members, arranger.rooms, effort)
    arranger.effort.spend(budget - effort.work)
    for room, tree in patterns:
        arranger.hold(room, tree)
    return bound


def _by_kinds(arranger: Arranger) -> float:
    """The price of a cover by joined sets of the largest kinds; the sets are held."""
    kinds = sorted(arranger.members, key=lambda kind: -kind.area)
    budget = arranger.effort.work // (KINDS_PART if arranger.in_copies else SINGLES_PART)
    last: Joining | None = None
    before, growth = 1, 1.0
    for number in range(1, len(kinds) + 1):
        effort = arranger.effort.part(budget)
        chosen = {kind: arranger.members[kind] for kind in kinds[:number]}
        joining = Joining(chosen, arranger.rooms, effort)
        spent, budget = budget - effort.work, effort.work
        arranger.effort.spend(STEP_COST * spent)
        if not joining.complete:
            break
        last = joining
        before, growth = max(1, spent), max(1, spent) / before
        if before * growth > budget:
            break
    if last is None:
        return 0.0
    bound, patterns = cheapest_cover(last, arranger.effort.deadline)
    for room, tree in patterns:
        arranger.hold(room, tree)
    return bound


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

    def tree(self, code: int, room: Room) -> Node | None:
        """A tree of cuts that gives a set; each piece is named by the first of its kind."""
        size = self.outline_in(code, room)
        if size is None:
            return None
        return built(
            room.width, room.height, (code, size), lambda part: self.outlines[part[0]][part[1]]
        )

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


def one_sheet(
    members: Mapping[Item, Sequence[int]], room: Room, effort: Effort
) -> tuple[Node | None, bool]:
    """A tree that gives all items from one sheet, if there is one, and whether that is settled."""
    wanted = sum(kind.area * len(alike) for kind, alike in members.items())
    spare = room.width * room.height - wanted
    if spare < 0:
        return None, True
    joining = Joining(members, [room], effort, spare)
    return joining.tree(joining.all, room), joining.complete


def cheapest_cover(joining: Joining, deadline: float) -> tuple[float, list[tuple[int, Node]]]:
    """The least price of a cover by joined sets, 0 when nothing was solved, and its sheets."""
    sets, rooms = joining.largest(), joining.rooms
    if not sets:
        return 0.0, []
    given = [(j, joining.counts(code)) for j, code in sets]
    demand = [len(alike) for alike in joining.members.values()]
    cover = Cover(given, [(room.price, room.most) for room in rooms], demand)
    solver = cover.solved(NODES, deadline)
    bound = float(solver.getInfo().mip_dual_bound)
    if not isfinite(bound):
        return 0.0, []
    if solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
        return bound, []
    numbers = [round(value) for value in solver.getSolution().col_value]
    left = joining.all
    trees: list[tuple[int, Node | None]] = []
    for (j, code), number in zip(sets, numbers, strict=True):
        for _ in range(number):
            # A set that gives more than is still wanted is cut without that.
            part = joining.common(code, left)
            left -= part
            trees.append((j, joining.tree(part, rooms[j])))
    return bound, [(j, tree) for j, tree in trees if tree is not None]

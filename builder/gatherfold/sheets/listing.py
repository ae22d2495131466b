"""Proof by listing: every set of pieces that one sheet can give, and the cheapest cover.

In: items, the usable sizes, prices and numbers of the sheets. Out: a lower bound on the price
and, where the integer program was solved, the sets to cut and how to build them.

A set of pieces can be cut from a rectangle exactly when it can be built from two smaller sets
side by side or one above the other, down to single pieces. Sets are listed from small to
large; a set is left out as soon as one of its subsets does not fit any sheet. Listing stops
when it needs more work than allowed, and then nothing is said. Equal pieces are counted, not
told apart: a set is a number in mixed radix, one digit for each kind of piece.

Whether all pieces come out of one sheet is settled by joining parts with little waste. Parts grow
from single pieces, two joined side by side or one above the other at a time (Wang, Operations
Research 31, 1983). A part that wastes more than the whole sheet can spare is never kept, so that
the tighter the sheet, the shorter the search. Equal pieces are counted, in one field of bits for
each kind of piece, with a guard bit that shows when too many are used.
"""

import time
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import highspy
import numpy as np

from gatherfold.sheets.guillotine import Leaf, Made, Node, built, empty
from gatherfold.sheets.packing import Effort, Item, members_of
from gatherfold.solver import Column, cheapest, silent_solver

Outline = tuple[int, int]
NODES = 400
# How often joining looks at the clock.
CLOCK_EVERY = 256
MOST_SETS = 150_000


@dataclass(frozen=True)
class Room:
    """A kind of sheet: usable size, price, and how many there may be."""

    width: int
    height: int
    price: float
    most: int


@dataclass(frozen=True)
class Proof:
    """A price no plan can go below, and a plan of that price if one was found.

    ``sheets`` lists (kind of sheet, its tree).
    """

    bound: float
    sheets: tuple[tuple[int, Node], ...] | None


class Listing:
    """Every set of pieces that fits a sheet, with the smallest outlines it can be built in."""

    def __init__(self, items: Sequence[Item], rooms: Sequence[Room], effort: Effort) -> None:
        self.rooms = rooms
        self.width = max(room.width for room in rooms)
        self.height = max(room.height for room in rooms)
        self.members = members_of(items)
        self.kinds = list(self.members)
        self.demand = [len(alike) for alike in self.members.values()]
        self.radix = [1]
        for count in self.demand:
            self.radix.append(self.radix[-1] * (count + 1))
        self.outlines: dict[int, tuple[Outline, ...]] = {}
        self.digits: dict[int, tuple[tuple[int, int], ...]] = {}
        self.effort = effort
        self.complete = self._list()

    def _list(self) -> bool:
        level: list[int] = []
        for t, kind in enumerate(self.kinds):
            outlines = {(w, h) for w, h in kind.sizes if w <= self.width and h <= self.height}
            self.outlines[self.radix[t]] = _smallest(outlines)
            self.digits[self.radix[t]] = ((t, 1),)
            level.append(self.radix[t])
        while level:
            larger: list[int] = []
            for code in level:
                last = self.digits[code][-1][0]
                for t in range(last, len(self.kinds)):
                    if self._extend(code, t):
                        larger.append(code + self.radix[t])
                if not self.effort.spend(0) or len(self.outlines) > MOST_SETS:
                    return False
            level = larger
        return True

    def _extend(self, code: int, t: int) -> bool:
        """Try a set with one more piece of a kind no earlier than its last."""
        *digits, (last, count) = self.digits[code]
        if last == t:
            if count == self.demand[t]:
                return False
            longer = (*digits, (t, count + 1))
        else:
            longer = (*digits, (last, count), (t, 1))
        self.effort.work -= 1
        if sum(self.kinds[u].area * number for u, number in longer) > self.width * self.height:
            return False
        wanted = code + self.radix[t]
        if any(wanted - self.radix[u] not in self.outlines for u, _ in longer):
            return False
        outlines = self._built(wanted, longer)
        if not outlines:
            return False
        self.outlines[wanted] = outlines
        self.digits[wanted] = longer
        return True

    def _built(self, code: int, digits: Sequence[tuple[int, int]]) -> tuple[Outline, ...]:
        width, height, known = self.width, self.height, self.outlines
        found: set[Outline] = set()
        for part in self._parts(code, digits):
            for wa, ha in known[part]:
                for wb, hb in known[code - part]:
                    if wa + wb <= width:
                        found.add((wa + wb, ha if ha > hb else hb))
                    if ha + hb <= height:
                        found.add((wa if wa > wb else wb, ha + hb))
            # Sets with many outlines, whose pieces may turn, take that much longer.
            self.effort.work -= 1 + len(known[part]) * len(known[code - part]) // 16
        return _smallest(found)

    def _parts(self, code: int, digits: Sequence[tuple[int, int]]) -> list[int]:
        """One of each pair of sets that make up a set."""
        parts = [0]
        for t, count in digits:
            parts = [p + k * self.radix[t] for k in range(count + 1) for p in parts]
        return [part for part in parts if 0 < part <= code - part]

    def fits(self, code: int, room: Room) -> bool:
        """Whether a set can be built within a sheet."""
        return any(w <= room.width and h <= room.height for w, h in self.outlines[code])

    def allowed(self, code: int, kind: int) -> bool:
        """Whether every piece of a set may come from a kind of sheet."""
        return all(
            kinds is None or kind in kinds
            for kinds in (self.kinds[t].kinds for t, _ in self.digits[code])
        )

    def columns(self) -> list[tuple[int, int]]:
        """(kind of sheet, set) for sets that take no further piece on that sheet."""
        found: list[tuple[int, int]] = []
        for j, room in enumerate(self.rooms):
            good = {c for c in self.outlines if self.fits(c, room) and self.allowed(c, j)}
            for code in good:
                held = dict(self.digits[code])
                if not any(
                    code + self.radix[t] in good
                    for t, demand in enumerate(self.demand)
                    if held.get(t, 0) < demand
                ):
                    found.append((j, code))
        return found

    def tree(self, room: Room, code: int, names: Mapping[int, list[int]]) -> Node:
        """A tree of cuts that gives a set, each piece by a name taken from its kind's."""

        def made_of(part: tuple[int, int, int]) -> Made[tuple[int, int, int]]:
            code, width, height = part
            ((t, count), *others) = self.digits[code]
            if count == 1 and not others:
                sizes = self.kinds[t].sizes
                w, h = next((w, h) for w, h in sizes if w <= width and h <= height)
                return Leaf(w, h, names[t].pop())
            for one in self._parts(code, self.digits[code]):
                for wa, ha in self.outlines[one]:
                    for wb, hb in self.outlines[code - one]:
                        if wa + wb <= width and max(ha, hb) <= height:
                            rest = (code - one, width - wa, height)
                            return True, wa, (one, wa, height), rest
                        if ha + hb <= height and max(wa, wb) <= width:
                            rest = (code - one, width, height - ha)
                            return False, ha, (one, width, ha), rest
            raise AssertionError("a listed set can be built")

        return built(room.width, room.height, (code, room.width, room.height), made_of)


def _smallest(outlines: set[Outline]) -> tuple[Outline, ...]:
    """The outlines that no other fits inside."""
    kept: list[Outline] = []
    for w, h in sorted(outlines):
        if not kept or h < kept[-1][1]:
            kept.append((w, h))
    return tuple(kept)


def prove(listing: Listing) -> Proof | None:
    """The least price of a cover by listed sets; None when nothing was solved."""
    columns = listing.columns()
    if not columns:
        return None
    solver = silent_solver()
    solver.setOptionValue("mip_max_nodes", NODES)
    # The nodes end the search; the clock only on a machine too slow for them.
    solver.setOptionValue("time_limit", max(0.1, listing.effort.deadline - time.monotonic()))
    solver.setOptionValue("mip_rel_gap", 0.0)
    solver.passModel(_model(listing, columns))
    solver.run()
    information = solver.getInfo()
    bound = float(information.mip_dual_bound)
    if not np.isfinite(bound):
        return None
    if solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
        return Proof(bound, None)
    values = solver.getSolution().col_value
    return Proof(bound, _chosen(listing, columns, [round(value) for value in values]))


def _model(listing: Listing, columns: Sequence[tuple[int, int]]) -> highspy.HighsLp:
    kinds, rooms = len(listing.kinds), listing.rooms
    infinite = highspy.kHighsInf
    sheets = [
        Column(rooms[j].price, rooms[j].most, [*listing.digits[code], (kinds + j, 1)], True)
        for j, code in columns
    ]
    least = [(float(wanted), infinite) for wanted in listing.demand]
    most = [(-infinite, float(room.most)) for room in rooms]
    return cheapest(sheets, [*least, *most])


def _chosen(
    listing: Listing, columns: Sequence[tuple[int, int]], numbers: Sequence[int]
) -> tuple[tuple[int, Node], ...]:
    """The sheets of a cover, each item on one of them only."""
    left = [list(alike) for alike in listing.members.values()]
    sheets: list[tuple[int, Node]] = []
    for j, code in [column for column, n in zip(columns, numbers, strict=True) for _ in range(n)]:
        names = {
            t: [left[t].pop() for _ in range(min(count, len(left[t])))]
            for t, count in listing.digits[code]
        }
        given = sum(listing.radix[t] * len(held) for t, held in names.items())
        if given:
            sheets.append((j, listing.tree(listing.rooms[j], given, names)))
    return tuple(sheets)


@dataclass(frozen=True, eq=False)
class Part:
    """A rectangle built of pieces: how many of each kind, its size, what it wastes, and what it is
    made of: one piece, named by its kind, or two parts."""

    counts: int
    width: int
    height: int
    waste: int
    made: "Made[Part]"


@dataclass(frozen=True)
class Answer:
    """A tree that gives all items, or None; ``settled`` says whether the search was complete."""

    tree: Node | None
    settled: bool


class _Kinds:
    """Equal items counted in bit fields."""

    def __init__(self, items: Sequence[Item]) -> None:
        self.members = members_of(items)
        self.ones: list[int] = []
        self.offset = self.guard = self.all = shift = 0
        for held in self.members.values():
            bits = (2 * len(held)).bit_length() + 1
            self.ones.append(1 << shift)
            self.offset |= ((1 << (bits - 1)) - 1 - len(held)) << shift
            self.guard |= 1 << (shift + bits - 1)
            self.all |= len(held) << shift
            shift += bits


def one_sheet(items: Sequence[Item], width: int, height: int, effort: Effort) -> Answer:
    """Try to cut all items from one sheet."""
    spare = width * height - sum(item.area for item in items)
    if spare < 0 or not items:
        return Answer(empty(width, height) if not items else None, True)
    kinds = _Kinds(items)
    parts = _Parts(width, height)
    for t, kind in enumerate(kinds.members):
        for w, h in kind.sizes:
            parts.add(Part(kinds.ones[t], w, h, 0, Leaf(w, h, t)))
    number = 0
    while number < len(parts.all):
        part = parts.all[number]
        if part.counts == kinds.all:
            return Answer(_tree(part, kinds, width, height), True)
        for other in parts.all[: number + 1]:
            if not (part.counts + other.counts + kinds.offset) & kinds.guard:
                for joined in _joined(part, other, spare):
                    parts.add(joined)
        number += 1
        effort.work -= number
        if effort.work < 0 or (number % CLOCK_EVERY == 0 and time.monotonic() > effort.deadline):
            return Answer(None, False)
    return Answer(None, True)


class _Parts:
    """The parts found: none larger than the sheet, none that another of its pieces fits in."""

    def __init__(self, width: int, height: int) -> None:
        self.width, self.height = width, height
        self.all: list[Part] = []
        self.sizes: dict[int, list[tuple[int, int]]] = {}

    def add(self, part: Part) -> None:
        """Keep a part unless it is of no use."""
        w, h = part.width, part.height
        if w > self.width or h > self.height:
            return
        known = self.sizes.setdefault(part.counts, [])
        if any(p <= w and q <= h for p, q in known):
            return
        known.append((w, h))
        self.all.append(part)


def _joined(one: Part, other: Part, spare: int) -> Iterator[Part]:
    """Both ways of joining two parts that do not waste too much."""
    counts, waste = one.counts + other.counts, one.waste + other.waste
    higher = one.height - other.height
    lost = waste + (higher * other.width if higher > 0 else -higher * one.width)
    if lost <= spare:
        height = one.height if higher > 0 else other.height
        made = (True, one.width, one, other)
        yield Part(counts, one.width + other.width, height, lost, made)
    wider = one.width - other.width
    lost = waste + (wider * other.height if wider > 0 else -wider * one.height)
    if lost <= spare:
        width = one.width if wider > 0 else other.width
        made = (False, one.height, one, other)
        yield Part(counts, width, one.height + other.height, lost, made)


def _tree(part: Part, kinds: _Kinds, width: int, height: int) -> Node:
    left = [list(held) for held in kinds.members.values()]

    def made_of(part: Part) -> Made[Part]:
        made = part.made
        return made._replace(item=left[made.item].pop()) if isinstance(made, Leaf) else made

    return built(width, height, part, made_of)

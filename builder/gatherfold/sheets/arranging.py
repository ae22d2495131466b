"""Choices of sheets, with pinned pieces laid on them and the rest filled by the search.

In: the pieces that can be cut, sheets, trimmer, work allowed. Out: for a choice of sheets the best
arrangement found, and what lies where on each of its sheets.

Every well filled bin that the search comes past is kept as a pattern, as are those priced for the
bound; of these the ones are chosen that together leave least outside. Equal items are counted, not
told apart, so that a pattern found once can be used several times. The choice is made by the set
covering approach of Monaci and Toth (INFORMS Journal on Computing 18, 2006), with what is left
outside in place of more bins.
"""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from random import Random

import highspy

from gatherfold.sheets.bounds import Choice
from gatherfold.sheets.guillotine import Node, empty, items_of, place, renamed, without
from gatherfold.sheets.model import Length, Rectangle, Sheet, Trimmer
from gatherfold.sheets.packing import Bin, Effort, Filling, Item, Packer, Room, members_of
from gatherfold.sheets.pins import Frame, frame, lay, lying, only_place, overlap, room_of, usable
from gatherfold.solver import Column, cheapest, silent_solver

# A bin, and the kinds of item that it gives in rising order.
Pattern = tuple[Bin, tuple[int, ...]]

# How many patterns are held, and among how many of the fullest a choice is made.
MOST_HELD = 30_000
MOST_COLUMNS = 1000
# How full a bin must be to be held, against the mean fullness that all items need.
FULL = 0.8
# How many nodes a choice may branch into, and its work for each kind of item.
NODES = 20
WORK_PER_KIND = 500
NOBODY = -1


class Patterns:
    """The patterns collected in one search."""

    def __init__(self, members: Mapping[Item, Sequence[int]], longest: int | None) -> None:
        self.areas = [item.area for item in members]
        self.members = list(members.values())
        self.kind_of = {item: kind for kind, held in enumerate(self.members) for item in held}
        self.whole = longest is not None
        self.held: dict[Pattern, Node] = {}
        self.least = 0.0

    def aim(self, bins: Sequence[Bin]) -> None:
        """Say which bins are to be filled, which decides what is worth holding."""
        room = sum(one.width * one.height for one in bins)
        wanted = sum(a * len(m) for a, m in zip(self.areas, self.members, strict=True))
        self.least = min(1.0, wanted / max(1, room)) * FULL

    def note(self, one: Bin, items: Sequence[int], root: Node) -> None:
        """Hold what a bin gives, if it is full enough."""
        area = sum([self.areas[self.kind_of[item]] for item in items])
        if area >= self.least * one.width * one.height and len(self.held) < MOST_HELD:
            self.hold(one, items, root)

    def hold(self, one: Bin, items: Sequence[int], tree: Node) -> None:
        """Hold what a bin can give."""
        kinds = tuple(sorted([self.kind_of[item] for item in items]))
        self.held.setdefault((one, kinds), tree)

    def best(self, bins: Sequence[Bin], effort: Effort) -> Filling:
        """The filling of the bins by patterns held that leaves least outside, as far as found."""
        room = Counter(bins)
        patterns = [pattern for pattern in self.held if pattern[0] in room]
        patterns.sort(key=self._free)
        taken = self._chosen(patterns[:MOST_COLUMNS], room, effort)
        left = [list(members) for members in self.members]
        roots = [self._filled(one, taken, left) for one in bins]
        return Filling(list(bins), roots, [item for members in left for item in members])

    def _free(self, pattern: Pattern) -> float:
        """The share of its bin that a pattern leaves free."""
        one, kinds = pattern
        return 1 - sum(self.areas[kind] for kind in kinds) / (one.width * one.height)

    def _filled(self, one: Bin, taken: list[Pattern], left: list[list[int]]) -> Node:
        """A bin filled by one of the patterns taken, each item in one of them only."""
        pattern = next((each for each in taken if each[0] == one), None)
        if pattern is None:
            return empty(one.width, one.height)
        taken.remove(pattern)

        def instead(item: int) -> int:
            members = left[self.kind_of[item]]
            return members.pop() if members else NOBODY

        return without(renamed(self.held[pattern], instead), {NOBODY}, self.whole)

    def _chosen(
        self, patterns: Sequence[Pattern], room: Mapping[Bin, int], effort: Effort
    ) -> list[Pattern]:
        """The patterns to take, each as often as it is used."""
        row = {one: j for j, one in enumerate(room)}
        mean = sum(self.areas) / len(self.areas)
        cover = Cover(
            [(row[one], [*Counter(given).items()]) for one, given in patterns],
            [(0.0, number) for number in room.values()],
            [len(members) for members in self.members],
            [area / mean for area in self.areas],
        )
        times = cover.solved(NODES, effort.deadline).getSolution().col_value
        effort.spend(WORK_PER_KIND * len(self.areas))
        pairs = zip(patterns, times, strict=False)
        return [pattern for pattern, number in pairs for _ in range(round(number))]


@dataclass(frozen=True)
class Cover:
    """Sheets that together give every kind of item as often as is wanted, at the least price.

    ``sets`` are what a sheet can give: (kind of sheet, how many of which kinds of item);
    ``rooms`` the price and number of each kind of sheet; ``alone``, where items may also be left
    outside, what one of each kind costs there.
    """

    sets: Sequence[tuple[int, Sequence[tuple[int, int]]]]
    rooms: Sequence[tuple[float, int]]
    demand: Sequence[int]
    alone: Sequence[float] = ()

    def solved(self, nodes: int, deadline: float) -> highspy.Highs:
        """The solver after so many nodes at most; the first columns are the sets."""
        kinds, infinite = len(self.demand), highspy.kHighsInf
        sheets = [
            Column(price, most, [*given, (kinds + j, 1)], True)
            for j, given in self.sets
            for price, most in (self.rooms[j],)
        ]
        outside = [
            Column(cost, self.demand[kind], [(kind, 1)]) for kind, cost in enumerate(self.alone)
        ]
        least = [(float(wanted), infinite) for wanted in self.demand]
        most = [(-infinite, float(number)) for _, number in self.rooms]
        solver = silent_solver()
        solver.setOptionValue("mip_max_nodes", nodes)
        # The clock ends it only on a machine too slow for the nodes.
        solver.setOptionValue("time_limit", max(0.1, deadline - time.monotonic()))
        solver.setOptionValue("mip_rel_gap", 0.0)
        solver.passModel(cheapest([*sheets, *outside], [*least, *most]))
        solver.run()
        return solver


# How many ways of laying the pinned pieces are tried.
FRAME_TRIES = 12
FRAME_TRIES_IN_COPIES = 3
# From here on only the quickest one-pass fillings are made.
MANY_PIECES = 300
MANY_PIECES_IN_COPIES = 100
# So many copies of each piece on average are many.
MANY_COPIES = 3
# The search at one price for pieces in copies is done in so many rounds.
ROUNDS = 5


@dataclass(frozen=True)
class Task:
    """Pieces that can be cut, the kinds of sheet for each, and what there is, in whole numbers."""

    pieces: tuple[Rectangle, ...]
    kinds: tuple[frozenset[int], ...]
    sheets: tuple[Sheet, ...]
    trimmer: Trimmer

    @property
    def longest(self) -> int | None:
        """The trimmer's longest cut."""
        longest = self.trimmer.longest_cut
        return None if longest is None else int(longest)


@dataclass(frozen=True)
class Arrangement:
    """Frames with their regions filled: the bins are all regions one after another."""

    frames: tuple[Frame, ...]
    filling: Filling
    pinned_outside: tuple[Rectangle, ...] = ()

    @property
    def complete(self) -> bool:
        """Whether every piece found room."""
        return not self.filling.outside and not self.pinned_outside

    def used(self) -> Arrangement:
        """The arrangement without the sheets that nothing lies on."""
        roots = iter(zip(self.filling.bins, self.filling.roots, strict=True))
        frames: list[Frame] = []
        bins: list[Bin] = []
        trees: list[Node] = []
        for one in self.frames:
            filled = [next(roots) for _ in one.regions]
            if one.placed or any(root.children for _, root in filled):
                frames.append(one)
                bins += [each for each, _ in filled]
                trees += [root for _, root in filled]
        filling = Filling(bins, trees, self.filling.outside)
        return replace(self, frames=tuple(frames), filling=filling)


class Arranger:
    """Fills choices of sheets with the pieces of one planning."""

    def __init__(self, task: Task, effort: Effort, seed: int) -> None:
        self.task = task
        self.sheets = task.sheets
        self.effort = effort
        self.allowed = effort.work
        self.kinds = {p.key: k for p, k in zip(task.pieces, task.kinds, strict=True)}
        self.free = [p for p in task.pieces if p.pin is None]
        self.pinned = [p for p in task.pieces if p.pin is not None]
        self.spots = {
            (p.key, j): only_place(p, self.sheets[j])
            for p in self.pinned
            for j in self.kinds[p.key]
        }
        everywhere = frozenset(range(len(self.sheets)))
        items = [
            Item(lying(p, kinds, self.sheets), None if kinds == everywhere else kinds)
            for p in self.free
            for kinds in (self.kinds[p.key],)
        ]
        self.members = members_of(items)
        self.in_copies = len(items) >= MANY_COPIES * max(1, len(self.members))
        self.packer = Packer(items, task.longest, seed, effort)
        self.patterns = Patterns(self.members, task.longest)
        self.chance = Random(seed)
        self.seen: list[Arrangement] = []
        count = len(task.pieces)
        self.most = [count if s.count is None else min(s.count, count) for s in self.sheets]
        self.rooms = [
            Room(*room_of(sheet), float(sheet.cost), most)
            for sheet, most in zip(self.sheets, self.most, strict=True)
        ]

    def rank(self, found: Arrangement) -> tuple[int, Length, int]:
        """Smaller is better: what lies outside, the cost, how evenly the sheets are free."""
        filling = found.filling
        outside = self.packer.loss(filling.outside)
        outside += sum(int(p.width * p.height) for p in found.pinned_outside)
        return outside, self.cost(found), -self.packer.room(filling)

    def attempt(self, choice: Choice, share: int) -> Arrangement | None:
        """Fill a choice of sheets; None when even the pinned pieces find no place."""
        best: Arrangement | None = None
        tries = 1
        if self.pinned:
            tries = FRAME_TRIES_IN_COPIES if self.in_copies else FRAME_TRIES
        for _ in range(tries):
            frames, outside = self._frames(choice)
            fillings = self._builds(bins_of(frames))
            filling = fillings[0]
            if filling.outside and share:
                filling = self.improved(filling, max(1, share // tries))
            found = Arrangement(tuple(frames), filling, tuple(outside))
            if not outside:
                self.seen += [
                    replace(found, filling=one).used() for one in fillings if not one.outside
                ]
            if best is None or self.rank(found) < self.rank(best):
                best = found
            if (share and best.complete) or not self.effort.spend(1):
                break
        return best

    def hold(self, kind: int, tree: Node) -> bool:
        """Hold what one kind of sheet can give, unless the trimmer may be too short for it."""
        if self.task.longest is not None:
            return False
        self.patterns.hold(Bin(*room_of(self.sheets[kind]), kind), items_of(tree), tree)
        return True

    def improved(self, filling: Filling, share: int) -> Filling:
        """The search, and before each round of it the best patterns held are put together."""
        packer, patterns = self.packer, self.patterns
        rounds = ROUNDS if self.in_copies else 1
        if self.in_copies:
            patterns.aim(filling.bins)
            packer.watch = patterns.note
        for _ in range(rounds):
            if patterns.held:
                together = patterns.best(filling.bins, self.effort)
                if packer.loss(together.outside) < packer.loss(filling.outside):
                    filling = together
            filling = packer.improve(filling, max(1, share // rounds))
            if not filling.outside or not self.effort.spend(1):
                break
        packer.watch = None
        return filling

    def _builds(self, bins: list[Bin]) -> list[Filling]:
        """One-pass fillings in several orders, the best first."""
        packer = self.packer
        many = len(self.free) > (MANY_PIECES_IN_COPIES if self.in_copies else MANY_PIECES)
        fillings: list[Filling] = []
        enough = self.effort.work // 2
        for order in packer.orders[: 2 if many else None]:
            queue = sorted(range(len(self.free)), key=lambda item: -order[item])
            for rule in (0, 3) if many else (0, 1, 2, 3):
                if not fillings or (self.effort.work > enough and self.effort.spend(1)):
                    fillings.append(packer.build(bins, queue, rule, 0.0))

        def rank(filling: Filling) -> tuple[int, int, int]:
            used = sum(1 for root in filling.roots if root.children)
            return packer.loss(filling.outside), used, -packer.room(filling)

        return sorted(fillings, key=rank)

    def _frames(self, choice: Choice) -> tuple[list[Frame], list[Rectangle]]:
        """Copies of the chosen sheets with the pinned pieces laid on them."""
        copies = [j for j, number in enumerate(choice) for _ in range(number)]
        copies.sort(key=lambda j: (self.sheets[j].cost, j))
        held: list[list[Rectangle]] = [[] for _ in copies]
        frames = [Frame(j, (), (usable(self.sheets[j]),)) for j in copies]
        outside: list[Rectangle] = []
        queue = list(self.pinned)
        self.chance.shuffle(queue)
        for piece in queue:
            for index, kind in enumerate(copies):
                if kind not in self.kinds[piece.key] or self._clash(piece, held[index], kind):
                    continue
                together = self._frame(kind, [*held[index], piece])
                if together is not None:
                    held[index].append(piece)
                    frames[index] = together
                    break
            else:
                outside.append(piece)
        return frames, outside

    def _clash(self, piece: Rectangle, held: Sequence[Rectangle], kind: int) -> bool:
        """Whether a piece's only place on a sheet is taken."""
        spot = self.spots[piece.key, kind]
        return any(overlap(spot, self.spots[other.key, kind]) != (0, 0) for other in held)

    def _frame(self, kind: int, pinned: Sequence[Rectangle]) -> Frame | None:
        for _ in range(8):
            found = frame(self.sheets[kind], kind, pinned, self.task.longest, self.chance)
            if found is not None:
                return found
        return None

    def cost(self, found: Arrangement) -> Length:
        """What the sheets of an arrangement cost."""
        return sum(self.sheets[one.kind].cost for one in found.frames)

    def layouts(self, found: Arrangement) -> tuple[Frame, ...]:
        """The frames with all that lies on them."""
        roots = iter(found.filling.roots)
        layouts: list[Frame] = []
        for one in found.frames:
            placed = list(one.placed)
            for x, y, _, _ in one.regions:
                for item, left, bottom, w, h in place(next(roots), int(x), int(y)):
                    placed.append(lay(self.free[item], (left, bottom, w, h)))
            layouts.append(replace(one, placed=tuple(placed)))
        return tuple(layouts)


def bins_of(frames: Iterable[Frame]) -> list[Bin]:
    """The regions of frames as bins."""
    return [Bin(int(w), int(h), one.kind) for one in frames for _, _, w, h in one.regions]

"""The search for the cheapest sheets that give all pieces of one planning.

In: the pieces that can be cut, sheets, trimmer, work allowed. Out: what lies where on each sheet
of the best plan found, the pieces outside, and a bound. Generous choices of sheets are filled in
one pass; then cheaper choices one by one, with the pinned pieces laid first and the rest filled by
the packer, until the bound or the work is reached.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from random import Random

from gatherfold.sheets.bounds import (
    Choice,
    enough,
    inequalities,
    least_price,
    most_room,
    price,
    round_up,
)
from gatherfold.sheets.guillotine import Node, empty, items_of, place, toil
from gatherfold.sheets.model import Length, Rectangle, Sheet, Trimmer
from gatherfold.sheets.packing import Bin, Effort, Filling, Item, Packer, Room, members_of
from gatherfold.sheets.pins import Frame, frame, lay, lying, only_place, overlap, room_of, usable
from gatherfold.sheets.proving import is_in_copies, proved

# How many ways of laying the pinned pieces are tried.
FRAME_TRIES = 12
FRAME_TRIES_IN_COPIES = 3
# From here on only the quickest one-pass fillings are made.
MANY_PIECES = 300
MANY_PIECES_IN_COPIES = 100
# The most work at one price, and in the search for what a short stock can still give.
WORK_PER_PIECE = 100_000
SHORT_WORK_PER_PIECE = 10_000


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

    def used(self) -> list[tuple[Frame, list[Node]]]:
        """The frames that something lies on, each with the trees of its regions."""
        roots = iter(self.filling.roots)
        filled = [(one, [next(roots) for _ in one.regions]) for one in self.frames]
        return [
            (one, trees)
            for one, trees in filled
            if one.placed or any(tree.children for tree in trees)
        ]


@dataclass(frozen=True)
class Result:
    """What lies on each sheet, the pieces outside, the bound for those inside."""

    layouts: tuple[Frame, ...]
    outside: tuple[Rectangle, ...]
    bound: Length


class Search:
    """One planning of one stock."""

    def __init__(self, task: Task, effort: Effort, seed: int) -> None:
        self.task, self.pieces, self.sheets = task, task.pieces, task.sheets
        self.effort = effort
        self.kinds = {p.key: k for p, k in zip(task.pieces, task.kinds, strict=True)}
        self.free = [p for p in task.pieces if p.pin is None]
        self.pinned = [p for p in task.pieces if p.pin is not None]
        everywhere = frozenset(range(len(self.sheets)))
        items = [
            Item(lying(p, kinds, self.sheets), None if kinds == everywhere else kinds)
            for p in self.free
            for kinds in (self.kinds[p.key],)
        ]
        self.members = members_of(items)
        self.in_copies = is_in_copies(self.members)
        self.packer = Packer(items, task.longest, seed, effort)
        self.chance = Random(seed)
        #: Sheets that a bound comes from: the search begins with them.
        self.cover: list[tuple[int, Node]] = []
        count = len(task.pieces)
        self.most = tuple(count if s.count is None else min(s.count, count) for s in self.sheets)
        self.needs = inequalities(task.pieces, self.kinds, task.sheets)

    def run(self) -> Result:
        """Search until the bound is reached or the work is spent."""
        if not self.pieces:
            return Result((), (), 0)
        best = self._first()
        if not best.complete:
            return self._short(best)
        cost = self._cost(best)
        bound = least_price(self.sheets, self.needs, self.most, cost)
        if bound < cost and not self.pinned:
            bound = min(cost, max(bound, self._proved(len(best.used()))))
        best = self._cheaper(best, bound)
        return Result(self._layouts(best), (), min(bound, self._cost(best)))

    def could_be_enough(self) -> bool:
        """Whether no inequality rules out that all pieces come from the sheets there are."""
        return enough(self.needs, self.most)

    def _first(self) -> Arrangement:
        """The best of the one-pass fillings over generous choices of sheets."""
        attempts = [self._attempt(choice, 0) for choice in self._generous()]
        return min(attempts, key=self._rank)

    def _generous(self) -> Iterator[Choice]:
        """Choices with more than enough: each paid kind with all that is free, then all."""
        count = len(self.sheets)
        free = [m if s.cost == 0 else 0 for s, m in zip(self.sheets, self.most, strict=True)]
        for j in range(count):
            if self.sheets[j].cost > 0 or count == 1:
                number = min(self.most[j], self._plenty(j) + len(self.pinned))
                yield tuple(number if i == j else free[i] for i in range(count))
        if count > 1 or self.most[0] > self._plenty(0):
            yield self.most

    def _plenty(self, kind: int) -> int:
        """More sheets of a kind than should be needed if all pieces came from it."""
        found = [-(-need.total // need.offers[kind]) for need in self.needs if need.offers[kind]]
        return 2 * max(found, default=1) + 4

    def _proved(self, sheets: int) -> Length:
        """A better bound than by inequalities; the sheets that it comes from are kept."""
        rooms = [
            Room(*room_of(sheet), float(sheet.cost), most)
            for sheet, most in zip(self.sheets, self.most, strict=True)
        ]
        bound, cover = proved(self.members, rooms, sheets, self.effort)
        if self.task.longest is None:
            # The trimmer may be too short for sheets that know nothing of it.
            self.cover = cover
        return round_up(bound, self.sheets)

    def _cheaper(self, best: Arrangement, bound: Length) -> Arrangement:
        """Go down the prices while a choice at the price can be filled."""
        while self._cost(best) > bound and self.effort.spend(1):
            better = self._below(self._cost(best), bound)
            if better is None:
                break
            best = better
        return best

    def _below(self, cost: Length, bound: Length) -> Arrangement | None:
        """A complete arrangement at a lower price, if the search finds one."""
        nearest = most_room(self.sheets, self.needs, self.most, bound, cost)
        # The sheets that the bound comes from may well reach it at once.
        held = [kind for kind, _ in self.cover]
        covering = tuple(
            held.count(j) if sheet.cost else self.most[j] for j, sheet in enumerate(self.sheets)
        )
        targets = dict.fromkeys([covering, nearest] if held else [nearest])
        for number, choice in enumerate(targets):
            if choice is not None and price(self.sheets, choice) < cost:
                share = self.effort.work // (len(targets) - number)
                found = self._attempt(choice, min(share, WORK_PER_PIECE * len(self.pieces)))
                if found.complete:
                    return found
        return None

    def _short(self, best: Arrangement) -> Result:
        """The stock is limited and pieces lie outside: try harder, then report them."""
        share = min(self.effort.work // 2, SHORT_WORK_PER_PIECE * len(self.pieces))
        best = min(best, self._attempt(self.most, share), key=self._rank)
        outside = [self.free[item] for item in best.filling.outside]
        outside += best.pinned_outside
        missing = {piece.key for piece in outside}
        inside = [piece for piece in self.pieces if piece.key not in missing]
        bound: Length = 0
        if inside:
            needs = inequalities(inside, self.kinds, self.sheets)
            bound = least_price(self.sheets, needs, self.most, self._cost(best))
        return Result(self._layouts(best), tuple(outside), bound)

    def _rank(self, found: Arrangement) -> tuple[int, Length, int]:
        """Smaller is better: what lies outside, the cost, the cuts and settings."""
        filling = found.filling
        outside = self.packer.loss(filling.outside)
        outside += sum(int(p.width * p.height) for p in found.pinned_outside)
        return outside, self._cost(found), sum(map(toil, filling.roots))

    def _cost(self, found: Arrangement) -> Length:
        """What the sheets of an arrangement cost."""
        return sum(self.sheets[one.kind].cost for one, _ in found.used())

    def _attempt(self, choice: Choice, share: int) -> Arrangement:
        """Fill a choice of sheets: in one pass, and by a share of the work where that is given."""
        found: list[Arrangement] = []
        tries = 1
        if self.pinned:
            tries = FRAME_TRIES_IN_COPIES if self.in_copies else FRAME_TRIES
        for _ in range(tries):
            frames, outside = self._frames(choice)
            bins = [Bin(int(w), int(h), one.kind) for one in frames for _, _, w, h in one.regions]
            filling = self._built(bins)
            if filling.outside and share:
                start = min(self._covered(bins), filling, key=lambda f: self.packer.loss(f.outside))
                filling = start
                for _ in range(5):
                    filling = self.packer.improve(filling, max(1, share // tries // 5))
            found.append(Arrangement(tuple(frames), filling, tuple(outside)))
            if (share and found[-1].complete) or not self.effort.spend(1):
                break
        return min(found, key=self._rank)

    def _built(self, bins: Sequence[Bin]) -> Filling:
        """The best of the one-pass fillings in several orders."""
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
            return packer.loss(filling.outside), used, sum(map(toil, filling.roots))

        return min(fillings, key=rank)

    def _covered(self, bins: Sequence[Bin]) -> Filling:
        """The bins filled by the sheets that the bound comes from, as far as there are any."""
        waiting = list(self.cover)
        roots: list[Node] = []
        for one in bins:
            known = next((each for each in waiting if each[0] == one.kind), None)
            if known is not None:
                waiting.remove(known)
            roots.append(empty(one.width, one.height) if known is None else known[1])
        inside = {item for root in roots for item in items_of(root)}
        return Filling(list(bins), roots, [i for i in range(len(self.free)) if i not in inside])

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
                together = None
                if kind in self.kinds[piece.key]:
                    together = self._frame(kind, [*held[index], piece])
                if together is not None:
                    held[index].append(piece)
                    frames[index] = together
                    break
            else:
                outside.append(piece)
        return frames, outside

    def _frame(self, kind: int, pinned: Sequence[Rectangle]) -> Frame | None:
        """A copy of a sheet with these pieces on it, if one is found."""
        sheet, *others = self.sheets[kind], *pinned[:-1]
        spot = only_place(pinned[-1], sheet)
        if any(overlap(spot, only_place(other, sheet)) != (0, 0) for other in others):
            return None
        for _ in range(8):
            found = frame(sheet, kind, pinned, self.task.longest, self.chance)
            if found is not None:
                return found
        return None

    def _layouts(self, found: Arrangement) -> tuple[Frame, ...]:
        """The frames with all that lies on them."""
        layouts: list[Frame] = []
        for one, trees in found.used():
            placed = list(one.placed)
            for (x, y, _, _), tree in zip(one.regions, trees, strict=True):
                for item, *spot in place(tree, int(x), int(y)):
                    left, bottom, width, height = spot
                    placed.append(lay(self.free[item], (left, bottom, width, height)))
            layouts.append(replace(one, placed=tuple(placed)))
        return tuple(layouts)

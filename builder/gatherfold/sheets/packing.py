"""Fill a fixed list of bins: ruin a few, put the pieces back, keep what leaves less outside.

In: items (sizes they may be laid in, bins they may lie in) and bins (rectangles without
pins). Out: a tree of cuts per bin and the items left outside. The search follows the
goal-driven ruin and recreate idea of Gardeyn & Wauters (European Journal of Operational
Research, 2022): the bins are given, items may stay outside, and the aim is to have none there.
Work is counted in gaps looked at, not in seconds, so the same seed gives the same result.
"""

import random
import time
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from math import exp

from gatherfold.sheets.guillotine import Gap, Leaf, Node, empty, gaps_of, insert, items_of, without
from gatherfold.sheets.model import Length

Size = tuple[int, int]


@dataclass(frozen=True)
class Item:
    """A piece as the search sees it: sizes it may be laid in, kinds of bin it may lie in."""

    sizes: tuple[Size, ...]
    kinds: frozenset[int] | None = None

    @property
    def area(self) -> int:
        """Its area."""
        return self.sizes[0][0] * self.sizes[0][1]


def members_of(items: Sequence[Item]) -> dict[Item, list[int]]:
    """The numbers of the items that are alike, by what they are like."""
    members: dict[Item, list[int]] = {}
    for number, item in enumerate(items):
        members.setdefault(item, []).append(number)
    return members


@dataclass(frozen=True)
class Bin:
    """A free rectangle to fill; ``kind`` tells apart sheets that take different pieces."""

    width: int
    height: int
    kind: int = 0


@dataclass(frozen=True)
class Room:
    """The usable part of a kind of sheet: its size, the sheet's price, how many there may be."""

    width: int
    height: int
    price: float
    most: int


@dataclass
class Effort:
    """Work left, and the hour at which to stop whatever is left."""

    work: int
    deadline: float

    def part(self, parts: int) -> "Effort":
        """One of so many parts of the work, taken off here."""
        share = self.work // parts
        self.work -= share
        return Effort(share, self.deadline)

    def spend(self, amount: int) -> bool:
        """Take some of the work; False when none is left or the time is up."""
        self.work -= amount
        return self.work > 0 and time.monotonic() < self.deadline


@dataclass
class Filling:
    """Trees, one a bin, and what lies outside them."""

    bins: list[Bin]
    roots: list[Node]
    outside: list[int] = field(default_factory=list)

    def copy(self) -> "Filling":
        """The same filling in fresh lists (the trees are never changed once stored)."""
        return Filling(list(self.bins), list(self.roots), list(self.outside))


# How much worse a step may be at first, in mean pieces left outside; it falls to nothing.
HEAT = 0.08
# What gathering free area on one bin is worth, against area left outside.
EVEN = 0.1
# The chances of ruining one bin alone, and one or two (otherwise three).
ONE_BIN = 0.1
TWO_BINS = 0.7
# The shares of a bin's pieces to take out.
SHARES = (0.3, 0.5, 0.8, 1.0, 1.0)
# The chance of cutting round a piece the other way than leaves the larger gap.
CONTRARY = 0.15


def best_gap(gaps: Sequence[Gap], sizes: Sequence[Size], rule: int) -> tuple[int, int, int]:
    """The gap a piece fits best: (its index or -1, width, height as laid)."""
    best, best_w, best_h = -1, 0, 0
    best_score = 1 << 62
    for w, h in sizes:
        for index, (width, height, _, _) in enumerate(gaps):
            right = width - w
            if right < 0:
                continue
            above = height - h
            if above < 0:
                continue
            if rule == 0:
                score = right if right < above else above
            elif rule == 1:
                score = width * height
            elif rule == 2:
                score = right if right > above else above
            else:
                score = index
            if score < best_score:
                best_score, best, best_w, best_h = score, index, w, h
    return best, best_w, best_h


def cut_order(
    width: Length, height: Length, w: Length, h: Length, longest: Length | None, contrary: bool
) -> bool | None:
    """Whether to cut vertically first round a piece in a gap; None when it cannot be cut."""
    right, above = width - w, height - h
    vertical = max(right * height, w * above)
    horizontal = max(above * width, h * right)
    wanted = (vertical > horizontal) != contrary
    if longest is None:
        return wanted
    by_vertical = (not right or height <= longest) and (not above or w <= longest)
    by_horizontal = (not above or width <= longest) and (not right or h <= longest)
    if by_vertical and by_horizontal:
        return wanted
    return True if by_vertical else False if by_horizontal else None


class Packer:
    """The items, the trimmer's longest cut, and the chance used for every choice."""

    def __init__(
        self, items: Sequence[Item], longest: int | None, seed: int, effort: Effort
    ) -> None:
        self.items = items
        self.longest = longest
        self.effort = effort
        self.chance = random.Random(seed)
        self.sizes = [item.sizes for item in items]
        self.areas = [item.area for item in items]
        self.orders = _orders(items)
        self.least_width = min((w for sizes in self.sizes for w, _ in sizes), default=0)
        self.least_height = min((h for sizes in self.sizes for _, h in sizes), default=0)

    def put(
        self,
        order: Iterable[int],
        gaps: list[Gap],
        rule: tuple[int, float],
        bins: Sequence[Bin],
        held: dict[int, list[int]] | None = None,
        following: dict[int, Gap] | None = None,
    ) -> list[int]:
        """Put items into gaps in the order given; return those that found no room.

        ``rule`` is that of :func:`best_gap`, and how often a gap is cut the other way.  ``held``
        gets the items put into each bin. ``following`` holds the gap that is there only once a bin
        has something in it.
        """
        outside: list[int] = []
        chance, longest, (best, contrary) = self.chance.random, self.longest, rule
        for item in order:
            self.effort.work -= len(gaps) + 4
            kinds = self.items[item].kinds
            allowed = gaps if kinds is None else [g for g in gaps if bins[g[3]].kind in kinds]
            index, w, h = best_gap(allowed, self.sizes[item], best)
            if index < 0:
                outside.append(item)
                continue
            gap = allowed[index]
            vertical = cut_order(*gap[:2], w, h, longest, contrary > 0 and chance() < contrary)
            if vertical is None:
                outside.append(item)
                continue
            made = insert(gap, Leaf(w, h, item), vertical)
            # A gap that no item fits in need not be looked at again.
            left = [g for g in made if g[0] >= self.least_width and g[1] >= self.least_height]
            if following and gap[3] in following:
                left.append(following.pop(gap[3]))
            at = index if allowed is gaps else gaps.index(gap)
            gaps[at : at + 1] = left
            if held is not None:
                held[gap[3]].append(item)
        return outside

    def build(
        self, bins: Sequence[Bin], order: Iterable[int], rule: int, contrary: float
    ) -> Filling:
        """Fill empty bins in one pass, of equal bins one after the other."""
        roots = [empty(b.width, b.height) for b in bins]
        gaps: list[Gap] = []
        following: dict[int, Gap] = {}
        last: dict[Bin, int] = {}
        for i, one in enumerate(bins):
            gap = (one.width, one.height, roots[i], i)
            if one in last and last[one] == i - 1:
                following[i - 1] = gap
            else:
                gaps.append(gap)
            last[one] = i
        outside = self.put(order, gaps, (rule, contrary), bins, following=following)
        return Filling(list(bins), roots, outside)

    def loss(self, outside: Iterable[int]) -> int:
        """How much lies outside."""
        return sum(self.areas[item] for item in outside)

    def improve(self, start: Filling, effort_share: int) -> Filling:
        """Ruin and recreate until nothing is outside or the share of the work is spent."""
        if not start.bins:
            return start
        state = start.copy()
        best = start
        best_loss = loss = self.loss(state.outside)
        stop_at = self.effort.work - effort_share
        mean = max(1.0, sum(self.areas) / max(1, len(self.areas)))
        held = [items_of(root) for root in state.roots]
        free = [self._free(root) for root in state.roots]
        size = max(one.width * one.height for one in state.bins)
        while best_loss and self.effort.spend(20) and self.effort.work > stop_at:
            chosen = self._choose_bins(len(held))
            roots, kept, queue = self._ruin(state, chosen, held)
            outside = self._recreate(queue + state.outside, roots, chosen, state.bins, kept)
            new_loss = self.loss(outside)
            new_free = {
                i: root.width * root.height - self.loss(kept[i])
                for i, root in zip(chosen, roots, strict=True)
            }
            gain = sum(new_free[i] ** 2 - free[i] ** 2 for i in chosen)
            # At first steps that make things worse are taken now and then, in the end none.
            heat = HEAT * mean * max(0.0, (self.effort.work - stop_at) / effort_share) ** 2
            delta = new_loss - loss - EVEN * gain / size
            if delta > 0 and (heat <= 0 or self.chance.random() >= exp(-delta / heat)):
                continue
            for index, root in zip(chosen, roots, strict=True):
                state.roots[index] = root
                held[index] = kept[index]
                free[index] = new_free[index]
            state.outside = outside
            loss = new_loss
            if loss < best_loss:
                best, best_loss = state.copy(), loss
        return best

    def _free(self, root: Node) -> int:
        return root.width * root.height - sum(self.areas[item] for item in items_of(root))

    def _choose_bins(self, count: int) -> list[int]:
        chance = self.chance.random
        draw = chance()
        wanted = 1 if draw < ONE_BIN else 2 if draw < TWO_BINS else 3
        return self.chance.sample(range(count), min(count, wanted))

    def _ruin(
        self, state: Filling, chosen: Sequence[int], held: Sequence[list[int]]
    ) -> tuple[list[Node], dict[int, list[int]], list[int]]:
        """Take a random share of the pieces out of the chosen bins."""
        chance = self.chance.random
        share = SHARES[int(chance() * len(SHARES))]
        whole = self.longest is not None
        roots: list[Node] = []
        kept: dict[int, list[int]] = {}
        removed: list[int] = []
        for index in chosen:
            root = state.roots[index]
            gone = [item for item in held[index] if chance() < share]
            removed += gone
            kept[index] = [item for item in held[index] if item not in gone]
            roots.append(without(root, gone, whole))
        return roots, kept, removed

    def _recreate(
        self,
        queue: list[int],
        roots: list[Node],
        chosen: Sequence[int],
        bins: Sequence[Bin],
        kept: dict[int, list[int]],
    ) -> list[int]:
        """Put the pieces back, largest first by a measure drawn, with some noise."""
        chance = self.chance.random
        order = self.orders[int(chance() * len(self.orders))]
        noise = 0.2 if chance() < 0.7 else 0.6
        ranked = [(order[item] * (noise * chance() - 1.0), item) for item in queue]
        ranked.sort()
        gaps: list[Gap] = []
        for index, root in zip(chosen, roots, strict=True):
            gaps += gaps_of(root, index)
        rule = int(chance() * 3)
        return self.put([item for _, item in ranked], gaps, (rule, CONTRARY), bins, kept)


def _orders(items: Sequence[Item]) -> list[list[float]]:
    """The measures by which pieces are put back, largest first."""
    if all(len(item.sizes) > 1 or item.sizes[0][0] == item.sizes[0][1] for item in items):
        pairs = [(max(item.sizes[0]), min(item.sizes[0])) for item in items]
    else:
        pairs = [item.sizes[0] for item in items]
    return [
        [float(w * h) for w, h in pairs],
        [float(max(w, h)) for w, h in pairs],
        [float(w) for w, _ in pairs],
        [float(h) for _, h in pairs],
        [float(w + h) for w, h in pairs],
    ]

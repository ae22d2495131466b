"""What one bin can give, collected while bins are filled, and the best choice among it.

In: every well filled bin that the search comes past. Out: for a given list of bins the patterns
held that together leave least outside. Equal items are counted, not told apart, so that a
pattern found once can be used several times.
"""

from collections.abc import Callable, Sequence
from random import Random

from builder.sheets.choosing import Choosing, Pattern
from builder.sheets.guillotine import Leaf, Node, empty, without
from builder.sheets.packing import Bin, Effort, Filling, Item

MOST_HELD = 30_000
# How full a bin must be to be held, against the mean fullness that all items need.
FULL = 0.8
# Where even parts of patterns leave nearly as much outside, no choice of wholes is tried.
ALMOST = 0.9
# How many choices are made by rounding, and the work a kind of item that an exact one may take.
DIVES = 4
WORK_PER_KIND = 12_000
NOBODY = -1


class Patterns:
    """The patterns collected in one search."""

    def __init__(self, items: Sequence[Item], longest: int | None, seed: int) -> None:
        numbers: dict[Item, int] = {}
        self.kind_of = [numbers.setdefault(item, len(numbers)) for item in items]
        self.kinds = list(numbers)
        self.areas = [item.area for item in numbers]
        self.members: list[list[int]] = [[] for _ in numbers]
        for index, kind in enumerate(self.kind_of):
            self.members[kind].append(index)
        self.whole = longest is not None
        self.chance = Random(seed)
        self.held: dict[Pattern, Node] = {}
        self.least = 0.0

    def aim(self, bins: Sequence[Bin]) -> None:
        """Say which bins are to be filled, which decides what is worth holding."""
        room = sum(one.width * one.height for one in bins)
        wanted = sum(a * len(m) for a, m in zip(self.areas, self.members, strict=True))
        self.least = min(1.0, wanted / max(1, room)) * FULL

    def note(self, one: Bin, items: Sequence[int], root: Node, area: int) -> None:
        """Hold what a bin gives, if it is full enough."""
        if area < self.least * one.width * one.height or len(self.held) >= MOST_HELD:
            return
        kind_of = self.kind_of
        pattern = (one, tuple(sorted([kind_of[item] for item in items])))
        if pattern not in self.held:
            self.held[pattern] = root

    def hold(self, one: Bin, kinds: tuple[int, ...], tree: Node) -> None:
        """Hold a pattern whose tree names kinds in place of items."""
        self.held.setdefault((one, kinds), _renamed(tree, lambda kind: self.members[kind][0]))

    def best(
        self, bins: Sequence[Bin], outside: int, effort: Effort, exactly: bool
    ) -> Filling | None:
        """The filling of the bins by patterns held that leaves least outside.

        None where it cannot leave clearly less than the area ``outside``. ``exactly`` asks for the
        integer program to be solved too, if there is the work for it.
        """
        room = {one: bins.count(one) for one in dict.fromkeys(bins)}
        patterns = [pattern for pattern in self.held if pattern[0] in room]
        if not patterns:
            return None
        demand = [len(members) for members in self.members]
        choosing = Choosing(patterns, room, self.areas, demand, effort)
        if choosing.least > ALMOST * outside:
            return None
        choices = [choosing.rounded(self.chance) for _ in range(DIVES)]
        best = min(choices, key=lambda choice: choice.outside)
        enough = WORK_PER_KIND * len(self.areas)
        if exactly and best.outside > 0 and effort.work > enough:
            exact = choosing.exact()
            effort.spend(enough // 4)
            if exact is not None and exact.outside < best.outside:
                best = exact
        return self._filled(best.taken, bins)

    def _filled(self, taken: Sequence[Pattern], bins: Sequence[Bin]) -> Filling:
        """The patterns taken as trees, each item in one of them only."""
        left = [list(members) for members in self.members]

        def instead(item: int) -> int:
            members = left[self.kind_of[item]]
            return members.pop() if members else NOBODY

        waiting = list(taken)
        roots: list[Node] = []
        for one in bins:
            pattern = next((each for each in waiting if each[0] == one), None)
            if pattern is None:
                roots.append(empty(one.width, one.height))
                continue
            waiting.remove(pattern)
            renamed = _renamed(self.held[pattern], instead)
            roots.append(without(renamed, {NOBODY}, self.whole))
        return Filling(list(bins), roots, [item for members in left for item in members])


def _renamed(node: Node, name: Callable[[int], int]) -> Node:
    """The same tree with other items."""
    children: list[Node | Leaf] = []
    for child in node.children:
        if isinstance(child, tuple):
            children.append((child[0], child[1], name(child[2])))
        else:
            children.append(_renamed(child, name))
    return Node(node.vertical, node.width, node.height, node.waste, children)

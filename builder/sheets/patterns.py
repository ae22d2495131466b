"""What one bin can give, collected while bins are filled, and the best choice among it.

In: every well filled bin that the search comes past, and patterns priced for the bound. Out: for a
given list of bins the patterns held that together leave least outside. Equal items are counted,
not told apart, so that a pattern found once can be used several times. The choice is made by the
set covering approach of Monaci and Toth (INFORMS Journal on Computing 18, 2006), with what is left
outside in place of more bins.
"""

import time
from collections import Counter
from collections.abc import Mapping, Sequence

import highspy

from builder.sheets.guillotine import Node, empty, renamed, without
from builder.sheets.packing import Bin, Effort, Filling, Item
from builder.solver import Column, cheapest, silent_solver

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
        kinds, infinite = len(self.areas), highspy.kHighsInf
        row = {one: kinds + j for j, one in enumerate(room)}
        mean = sum(self.areas) / kinds
        columns = [
            Column(0.0, room[one], [*Counter(given).items(), (row[one], 1)], True)
            for one, given in patterns
        ]
        outside = [
            Column(area / mean, len(members), [(kind, 1)])
            for kind, (area, members) in enumerate(zip(self.areas, self.members, strict=True))
        ]
        least = [(float(len(members)), infinite) for members in self.members]
        most = [(-infinite, float(number)) for number in room.values()]
        solver = silent_solver()
        solver.setOptionValue("mip_max_nodes", NODES)
        # The clock ends it only on a machine too slow for the nodes.
        solver.setOptionValue("time_limit", max(0.05, effort.deadline - time.monotonic()))
        solver.passModel(cheapest([*columns, *outside], [*least, *most]))
        solver.run()
        effort.spend(WORK_PER_KIND * kinds)
        times = solver.getSolution().col_value[: len(patterns)]
        pairs = zip(patterns, times, strict=False)
        return [pattern for pattern, number in pairs for _ in range(round(number))]

"""The search for the cheapest choice of sheets that takes all pieces.

In: the pieces that can be cut, sheets, trimmer, work allowed. Out: layouts (what lies where on
each sheet), the pieces that found no room on a limited stock, and the lower bound.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from builder.sheets.arranging import Arrangement, Arranger, Task
from builder.sheets.bounds import Choice, choices, enough, inequalities, least_price, price
from builder.sheets.model import Length, Rectangle
from builder.sheets.packing import Effort
from builder.sheets.pins import Frame
from builder.sheets.proving import proved

# The most work at one price, and in the search for what a short stock can still give.
WORK_PER_PIECE = 100_000
SHORT_WORK_PER_PIECE = 10_000
MOST_ARRANGEMENTS = 6
MOST_TARGETS = 6


@dataclass(frozen=True)
class Result:
    """Layouts of one cost to choose from, the pieces outside, the bound for those inside."""

    arrangements: tuple[tuple[Frame, ...], ...]
    outside: tuple[Rectangle, ...]
    bound: Length


class Search:
    """One planning of one stock."""

    def __init__(self, task: Task, effort: Effort, seed: int) -> None:
        self.pieces, self.sheets, self.effort = task.pieces, task.sheets, effort
        self.arranger = Arranger(task, effort, seed)
        self.most = self.arranger.most
        self.needs = inequalities(task.pieces, self.arranger.kinds, task.sheets)

    def run(self) -> Result:
        """Search until the bound is reached or the work is spent."""
        if not self.pieces:
            return Result(((),), (), 0)
        arranger = self.arranger
        best = self._first()
        if not best.complete:
            return self._short(best)
        cost = arranger.cost(best)
        bound = least_price(self.sheets, self.needs, self.most, cost)
        if bound < cost:
            best, bound = proved(arranger, best, bound)
        best = self._cheaper(best, bound)
        cost = arranger.cost(best)
        bound = max(bound, least_price(self.sheets, self.needs, self.most, cost))
        equal = [one for one in arranger.seen if one is not best and arranger.cost(one) == cost]
        equal.sort(key=arranger.rank)
        arrangements = [arranger.layouts(one) for one in [best, *equal[:MOST_ARRANGEMENTS]]]
        return Result(tuple(arrangements), (), bound)

    def _first(self) -> Arrangement:
        """The best of the one-pass fillings over generous choices of sheets."""
        attempts = [self.arranger.attempt(choice, 0) for choice in self._generous()]
        found = [attempt.used() for attempt in attempts if attempt is not None]
        return min(found, key=self.arranger.rank)

    def _generous(self) -> Iterator[Choice]:
        """Choices with more than enough: each paid kind with all that is free, then all."""
        count = len(self.sheets)
        free = [m if s.cost == 0 else 0 for s, m in zip(self.sheets, self.most, strict=True)]
        for j in range(count):
            if self.sheets[j].cost > 0 or count == 1:
                number = min(self.most[j], self._plenty(j) + len(self.arranger.pinned))
                yield tuple(number if i == j else free[i] for i in range(count))
        if count > 1 or self.most[0] > self._plenty(0):
            yield tuple(self.most)

    def _plenty(self, kind: int) -> int:
        """More sheets of a kind than should be needed if all pieces came from it."""
        found = [-(-need.total // need.offers[kind]) for need in self.needs if need.offers[kind]]
        return 2 * max(found, default=1) + 4

    def _cheaper(self, best: Arrangement, bound: Length) -> Arrangement:
        """Go down the prices while a choice at the price can be filled."""
        while self.arranger.cost(best) > bound and self.effort.spend(1):
            better = self._below(self.arranger.cost(best))
            if better is None:
                break
            best = better
        return best

    def _below(self, cost: Length) -> Arrangement | None:
        """A complete arrangement at a lower price, the nearest first, if the search finds one."""
        found, _ = choices(self.sheets, self.needs, self.most, cost)
        found.sort(key=lambda choice: price(self.sheets, choice), reverse=True)
        # With one kind to pay for, fewer sheets than too few need not be tried.
        paid = sum(1 for sheet in self.sheets if sheet.cost > 0)
        targets = found[: MOST_TARGETS if paid > 1 else 1]
        for number, choice in enumerate(targets):
            part = min(2, len(targets) - number)
            share = min(self.effort.work // part, WORK_PER_PIECE * len(self.pieces))
            better = self.arranger.attempt(choice, max(1, share))
            if better is not None and better.complete:
                return better.used()
        return None

    def _short(self, best: Arrangement) -> Result:
        """The stock is limited and pieces lie outside: try harder, then report them."""
        arranger = self.arranger
        share = min(self.effort.work // 2, SHORT_WORK_PER_PIECE * len(self.pieces))
        better = arranger.attempt(tuple(self.most), share)
        if better is not None and arranger.rank(better) < arranger.rank(best):
            best = better.used()
        outside = [arranger.free[item] for item in best.filling.outside]
        outside += best.pinned_outside
        missing = {piece.key for piece in outside}
        inside = [piece for piece in self.pieces if piece.key not in missing]
        bound: Length = 0
        if inside:
            needs = inequalities(inside, arranger.kinds, self.sheets)
            bound = least_price(self.sheets, needs, self.most, arranger.cost(best))
        return Result((arranger.layouts(best),), tuple(outside), bound)

    def could_be_enough(self) -> bool:
        """Whether no inequality rules out that all pieces come from the sheets there are."""
        return enough(self.needs, tuple(self.most))

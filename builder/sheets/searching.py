"""The search for the cheapest choice of sheets that takes all pieces.

In: the pieces that can be cut, sheets, trimmer, work allowed. Out: layouts (what lies where on
each sheet), the pieces that found no room on a limited stock, and the lower bound.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from builder.sheets.arranging import Arrangement, Arranger, Layout
from builder.sheets.demands import Demands
from builder.sheets.inequalities import inequalities
from builder.sheets.model import Length, Rectangle, Sheet, Trimmer
from builder.sheets.packing import Effort
from builder.sheets.proving import Prover
from builder.sheets.stock import Choice, choices, least_price, price

# The most work at one price, and in the search for what a short stock can still give.
WORK_PER_PIECE = 100_000
SHORT_WORK_PER_PIECE = 10_000
MOST_ARRANGEMENTS = 6
MOST_TARGETS = 6


@dataclass(frozen=True)
class Result:
    """Layouts of one cost to choose from, the pieces outside, the bound for those inside."""

    arrangements: tuple[tuple[Layout, ...], ...]
    outside: tuple[Rectangle, ...]
    bound: Length


class Search:
    """One planning of one stock."""

    def __init__(
        self,
        wanted: Demands,
        sheets: Sequence[Sheet],
        trimmer: Trimmer,
        effort: Effort,
        seed: int,
    ) -> None:
        self.wanted = wanted
        self.arranger = Arranger(wanted, sheets, trimmer, effort, seed)

    def run(self) -> Result:
        """Search until the bound is reached or the work is spent."""
        if not self.wanted.pieces:
            return Result(((),), (), 0)
        self.needs = inequalities(self.wanted.pieces, self.arranger.kinds, self.arranger.sheets)
        best = self._first()
        if not best.complete:
            return self._short(best)
        cost = self.arranger.cost(best)
        bound = least_price(self.arranger.sheets, self.needs, self.arranger.most, cost)
        if bound < cost:
            best, bound = Prover(self.arranger).proved(best, bound)
        best = self._cheaper(best, bound)
        cost = self.arranger.cost(best)
        bound = max(bound, least_price(self.arranger.sheets, self.needs, self.arranger.most, cost))
        equal = [
            one for one in self.arranger.seen if one is not best and self.arranger.cost(one) == cost
        ]
        equal.sort(key=self.arranger.rank)
        arrangements = [self.arranger.layouts(one) for one in [best, *equal[:MOST_ARRANGEMENTS]]]
        return Result(tuple(arrangements), (), bound)

    def _first(self) -> Arrangement:
        """The best of the one-pass fillings over generous choices of sheets."""
        best: Arrangement | None = None
        for choice in self._generous():
            found = self.arranger.attempt(choice, 0)
            if found is None:
                continue
            found = self.arranger.used(found)
            if best is None or self.arranger.rank(found) < self.arranger.rank(best):
                best = found
        assert best is not None
        return best

    def _generous(self) -> Iterator[Choice]:
        """Choices with more than enough: each paid kind with all that is free, then all."""
        count = len(self.arranger.sheets)
        free = [
            m if s.cost == 0 else 0
            for s, m in zip(self.arranger.sheets, self.arranger.most, strict=True)
        ]
        for j in range(count):
            if self.arranger.sheets[j].cost > 0 or count == 1:
                most = self.arranger.most[j]
                number = min(most, 2 * self._fewest(j) + 4 + len(self.arranger.pinned))
                yield tuple(number if i == j else free[i] for i in range(count))
        if count > 1 or self.arranger.most[0] > 2 * self._fewest(0) + 4:
            yield tuple(self.arranger.most)

    def _fewest(self, kind: int) -> int:
        found = [-(-need.total // need.offers[kind]) for need in self.needs if need.offers[kind]]
        return max(found, default=1)

    def _cheaper(self, best: Arrangement, bound: Length) -> Arrangement:
        """Go down the prices while a choice at the price can be filled."""
        while self.arranger.cost(best) > bound and self.arranger.effort.spend(1):
            better = self._below(self.arranger.cost(best))
            if better is None:
                break
            best = better
        return best

    def _below(self, cost: Length) -> Arrangement | None:
        """A complete arrangement at a lower price, the nearest first, if the search finds one."""
        found, _ = choices(self.arranger.sheets, self.needs, self.arranger.most, cost)
        if not found:
            return None
        found.sort(key=lambda choice: price(self.arranger.sheets, choice), reverse=True)
        # With one kind to pay for, fewer sheets than too few need not be tried.
        paid = sum(1 for sheet in self.arranger.sheets if sheet.cost > 0)
        targets = found[: MOST_TARGETS if paid > 1 else 1]
        for number, choice in enumerate(targets):
            part = min(2, len(targets) - number)
            share = min(self.arranger.effort.work // part, WORK_PER_PIECE * len(self.wanted.pieces))
            better = self.arranger.attempt(choice, max(1, share))
            if better is not None and better.complete:
                return self.arranger.used(better)
        return None

    def _short(self, best: Arrangement) -> Result:
        """The stock is limited and pieces lie outside: try harder, then report them."""
        share = min(self.arranger.effort.work // 2, SHORT_WORK_PER_PIECE * len(self.wanted.pieces))
        better = self.arranger.attempt(tuple(self.arranger.most), share)
        if better is not None and self.arranger.rank(better) < self.arranger.rank(best):
            best = self.arranger.used(better)
        outside = [self.arranger.free[item] for item in best.filling.outside] + list(
            best.pinned_outside
        )
        missing = {piece.key for piece in outside}
        inside = [piece for piece in self.wanted.pieces if piece.key not in missing]
        cost = self.arranger.cost(best)
        bound: Length = 0
        if inside:
            found = inequalities(inside, self.arranger.kinds, self.arranger.sheets)
            bound = least_price(self.arranger.sheets, found, self.arranger.most, cost)
        return Result((self.arranger.layouts(best),), tuple(outside), bound)

    def could_be_enough(self) -> bool:
        """Whether no inequality rules out that all pieces come from the sheets there are."""
        return all(
            sum(o * n for o, n in zip(need.offers, self.arranger.most, strict=True)) >= need.total
            for need in self.needs
        )

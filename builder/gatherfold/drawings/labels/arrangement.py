"""Where marks stand on crowded paper so that none touches another.

In: a canvas with all that is fixed, and marks, each with its places, the best first.  Out: one
place for each mark.

The marks are placed in turn, each as well as it can be by then.  Where some touch after that, a
local search mends it: a mark in trouble moves to the place that costs least, and when no single
move helps any more, the faults that are left count for more than before, until it is worth another
mark's while to make room (the breakout method: P. Morris, "The Breakout Method for Escaping from
Local Minima", AAAI 1993, from memory).  Then those that stand badly are tried where others are in
the way.  The same marks always come to the same places.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Collection, Iterable
from functools import cache, partial
from itertools import chain, combinations

from gatherfold.drawings.kernel.canvas import Canvas
from gatherfold.drawings.kernel.plane import Rect
from gatherfold.drawings.labels.placings import (
    CROWDED,
    FAULT,
    NEAR,
    Mark,
    MarkPlace,
    crowding,
    faults_between,
)

#: What it costs a leader to cross a line of the drawing.
_ACROSS = 3.0
#: How many rounds without fewer faults are waited for to mend all.
_PATIENCE = 100
#: A mark that costs so much more than it might is worth moving others for, each of which is
#: reckoned with so much.
_WORTH_IT, _ROOM = 8.0, 8.0
#: Costs nearer than this are the same.
_HAIR = 1e-6


def arranged(canvas: Canvas, marks: Iterable[Mark]) -> dict[Mark, MarkPlace]:
    """The places of all marks together, found from what each takes in turn."""
    search = _Arranging(canvas)
    for mark in marks:
        search.place(mark)
    search.mend()
    for mark in search.chosen:
        search.make_room(mark)
    return search.chosen


class _Arranging:
    """The places chosen so far, on a canvas with all that is fixed."""

    def __init__(self, canvas: Canvas) -> None:
        self.chosen: dict[Mark, MarkPlace] = {}
        #: What it costs a place to touch what is fixed; and the faults between two places, and what
        #: it costs that they are near each other.  Both are asked for again and again.
        self._fixed_cost = cache(partial(_cost_fixed, canvas))
        self._between = cache(lambda one, other: (faults_between(one, other), crowding(one, other)))
        #: How many faults more than one a fault counts for, between two marks or of one alone, and
        #: how many a place does that was no way out.
        self._raised: Counter[tuple[Mark, ...]] = Counter()
        self._spoilt: Counter[MarkPlace] = Counter()

    def place(self, mark: Mark) -> None:
        """Choose the best place for one more mark as the others stand."""
        self.chosen[mark] = self._best(mark, None)

    def mend(self) -> None:
        """Move marks until none touches another, or faults get no fewer for so many rounds."""
        before = best = dict(self.chosen)
        fewest, waited = math.inf, 0
        while waited < _PATIENCE:
            faults, waited = self._faults(), waited + 1
            if len(faults) < fewest:
                best, fewest, waited = dict(self.chosen), len(faults), 0
            if not faults:
                break
            # Those with the most faults come first.
            movable = [mark for mark, _ in Counter(chain(*faults)).most_common()]
            if not any(self._moves(mark) for mark in movable):
                self._raised.update(faults)
                self._spoilt.update(self.chosen[mark] for mark in movable)
        self._raised.clear()
        self._spoilt.clear()
        self.chosen = dict(best)
        for mark, placing in best.items():
            if placing is not before[mark]:
                self._moves(mark)

    def make_room(self, mark: Mark) -> None:
        """Give a mark that costs far more than it might a place that others have to leave, if that
        is better on the whole."""
        before = dict(self.chosen)
        alone = next((each for each in mark if self._fixed_cost(each) < FAULT), before[mark])
        if before[mark].cost - alone.cost < _WORTH_IT:
            return
        total = self._total()
        self.chosen[mark] = self._best(mark, None, _ROOM)
        for other in [other for fault in self._faults() if mark in fault for other in fault]:
            if other is not mark:
                self._moves(other)
        if self._total() >= total:
            self.chosen = before

    def _total(self) -> float:
        """What all places cost together."""
        chosen = self.chosen.values()
        near = ((a, b) for a, b in combinations(chosen, 2) if a.reach.meets(b.reach))
        between = (self._between(*pair) for pair in near)
        alone = (placing.cost + self._fixed_cost(placing) for placing in chosen)
        return sum(alone) + sum(FAULT * n + crowded for n, crowded in between)

    def _faults(self) -> list[tuple[Mark, ...]]:
        """Every two marks that touch, and every one that touches what is fixed."""
        chosen = self.chosen.items()
        pairs = combinations(chosen, 2)
        between = [
            (one, other)
            for (one, at), (other, to) in pairs
            if at.reach.meets(to.reach) and self._between(at, to)[0]
        ]
        return [*between, *((one,) for one, at in chosen if self._fixed_cost(at) >= FAULT)]

    def _moves(self, mark: Mark) -> bool:
        """Whether the mark has a better place than it has; it goes there."""
        here = self.chosen[mark]
        self.chosen[mark] = self._best(mark, here)
        return self.chosen[mark] is not here

    def _best(self, mark: Mark, here: MarkPlace | None, fault: float = FAULT) -> MarkPlace:
        """The place that costs least as the others stand; ``here`` unless another is better.  To
        touch another mark costs ``fault``."""
        others = [
            (placing.reach, fault * self._weight((mark, other), (other, mark)), placing)
            for other, placing in self.chosen.items()
            if other is not mark
        ]
        cost = partial(self._cost, self._weight((mark,)), others)
        least = math.inf if here is None else cost(here, math.inf)
        best = _cheapest(mark, cost, least) or here
        assert best is not None, mark.name
        return best

    def _weight(self, *faults: tuple[Mark, ...]) -> float:
        """How much a fault counts by now, its marks named in any order."""
        return 1.0 + sum(self._raised[fault] for fault in faults) if self._raised else 1.0

    def _cost(
        self,
        alone: float,
        others: Collection[tuple[Rect, float, MarkPlace]],
        placing: MarkPlace,
        limit: float,
    ) -> float:
        """What a place costs as the others stand; at least ``limit`` if it is not below that."""
        fixed = self._fixed_cost(placing)
        cost = placing.cost + (fixed * alone if fixed >= FAULT else fixed)
        cost += FAULT * self._spoilt.get(placing, 0)
        if cost >= limit:
            return cost
        reach = placing.reach
        for its_reach, fault, other in others:
            if reach.meets(its_reach):
                faults, near = self._between(placing, other)
                cost += fault * faults + near
                if cost >= limit:
                    break
        return cost


def best_place(
    canvas: Canvas, places: Iterable[MarkPlace], limit: float = math.inf
) -> MarkPlace | None:
    """The place that costs least as the canvas is; None where all cost a limit or more."""

    def cost(placing: MarkPlace, limit: float) -> float:
        return placing.cost + cost_on(canvas, placing, limit - placing.cost)

    return _cheapest(places, cost, limit)


def _cheapest(
    places: Iterable[MarkPlace], cost_of: Callable[[MarkPlace, float], float], limit: float
) -> MarkPlace | None:
    """The place that costs least, if that is below a limit.  What each costs is asked with the most
    that is of interest; no place that would cost more alone is asked about, nor any after it."""
    best = None
    for placing in places:
        if placing.cost >= limit:
            break
        cost = cost_of(placing, limit)
        if cost < limit - _HAIR:
            best, limit = placing, cost
    return best


def cost_on(canvas: Canvas, placing: MarkPlace, limit: float = math.inf) -> float:
    """What it costs a place to touch what is on the canvas, to stand beside it, or to leave it; not
    counted beyond a limit."""
    if not canvas.frame.contains(placing.clear):
        return 5 * FAULT
    cost = CROWDED * canvas.neighbours(placing.ground, NEAR) if placing.is_free else 0.0
    enough = 1 if limit <= FAULT else 2
    cost += FAULT * canvas.collisions(placing.ground, placing.clearance, enough)
    if placing.leader is not None and cost < limit:
        words = canvas.words_crossed(*placing.leader) + canvas.words_beside(placing.leader[1])
        cost += FAULT * words
        if cost < FAULT:
            cost += _ACROSS * canvas.lines_crossed(*placing.leader)
    return cost


def _cost_fixed(canvas: Canvas, placing: MarkPlace) -> float:
    return 0.0 if placing.is_sound else cost_on(canvas, placing)

"""The plan of a set of pieces over the sheets of a stock.

In: rectangles, sheets, trimmer. Out: a ``Plan``. The order of work: impossible demands, whole
numbers, a lower bound, one-pass fillings, cheaper choices of sheets one by one until the bound
or the work is reached, then fewer settings and cuts on each sheet and a larger offcut: of layouts
of equal cost the one that needs the fewest is taken; then the pieces of each of its sheets are laid
again in several ways, and the best way is kept.
"""

from __future__ import annotations

import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from random import Random

from gatherfold.sheets.arranging import Arrangement, Arranger, Task
from gatherfold.sheets.bounds import Choice, choices, enough, inequalities, least_price, price
from gatherfold.sheets.cutting import sheet_plan
from gatherfold.sheets.guillotine import place
from gatherfold.sheets.model import (
    Length,
    Plan,
    Problem,
    Rectangle,
    Sheet,
    SheetPlan,
    Trimmer,
    scale_of,
    scaled,
    unscaled,
)
from gatherfold.sheets.packing import Bin, Effort, Item, Packer
from gatherfold.sheets.pins import Frame, Region, lay, lying, room_of, usable
from gatherfold.sheets.problems import Demands, clash, demands, too_few
from gatherfold.sheets.proving import proved

MOST_PIECES = 30
MOST_TRIED = 6
# From here on fewer arrangements are compared.
MANY_PIECES = 60
WORK = 25_000
# The work of laying a piece again.
WORK_OF_A_TRY = 60
Finished = list[tuple[int, SheetPlan]]
Spot = tuple[int, int, int, int, int]


def finish(
    arrangements: Sequence[Sequence[Frame]], task: Task, seed: int, deadline: float
) -> Finished:
    """The sheet plans of the best arrangement; the first must be one to fall back on."""
    effort = Effort(WORK, deadline)
    best: Finished | None = None
    for layouts in arrangements[:MOST_TRIED]:
        found = [
            (one.kind, sheet_plan(task.sheets[one.kind], one.placed, task.trimmer))
            for one in layouts
        ]
        if best is None or _worth(found) < _worth(best):
            best = found
        count = sum(len(one.placed) for one in layouts)
        if not effort.spend((40 if count <= MANY_PIECES else 160) * count):
            break
    result: Finished = []
    for number, (kind, plan) in enumerate(best or []):
        share = max(0, effort.work) // (len(best or []) - number)
        result.append((kind, _better(kind, plan, task, seed, Effort(share, deadline), effort)))
    return result


def _worth(found: Finished) -> tuple[int, Length]:
    """Smaller is better: settings and cuts, then the largest offcut."""
    effort = sum(plan.settings + len(plan.cuts) for _, plan in found)
    offcuts = [plan.largest_offcut for _, plan in found]
    return effort, -max((o.width * o.height for o in offcuts if o is not None), default=0)


def _better(
    kind: int, plan: SheetPlan, task: Task, seed: int, share: Effort, total: Effort
) -> SheetPlan:
    """The best plan found for the same pieces on the same sheet within the share."""
    sheet, by_key = task.sheets[kind], {piece.key: piece for piece in task.pieces}
    pieces = [by_key[one.key] for one in plan.placed]
    if len(pieces) > MOST_PIECES or len(pieces) < 2 or any(p.pin is not None for p in pieces):
        return plan
    area = usable(sheet)
    packer = Packer(
        [Item(lying(p, [kind], task.sheets)) for p in pieces], task.longest, seed, share
    )
    chance = Random(seed)
    left, right, bottom, top = sheet.margins
    uneven = left != right or bottom != top
    best, seen = plan, set()
    while share.spend(WORK_OF_A_TRY * len(pieces)):
        total.work -= WORK_OF_A_TRY * len(pieces)
        measure = chance.choice(packer.orders)
        noise = chance.choice((0.0, 0.1, 0.3))
        ranks = [-order * (1 - noise * chance.random()) for order in measure]
        queue = sorted(range(len(pieces)), key=lambda item: ranks[item])
        filling = packer.build([Bin(*room_of(sheet))], queue, chance.randrange(3), 0.2)
        if filling.outside:
            continue
        spots = tuple(place(filling.roots[0], int(area[0]), int(area[1])))
        if uneven and chance.random() < 0.5:
            # The far side of an uneven margin may save the cut that takes the margin off.
            spots = _mirrored(spots, area, chance.randrange(1, 4))
        if spots in seen:
            continue
        seen.add(spots)
        placed = [lay(pieces[item], (a, b, w, h)) for item, a, b, w, h in spots]
        found = sheet_plan(sheet, placed, task.trimmer)
        if _worth([(kind, found)]) < _worth([(kind, best)]):
            best = found
    return best


def _mirrored(spots: Sequence[Spot], area: Region, ways: int) -> tuple[Spot, ...]:
    """The spots of an area mirrored across (1), up and down (2), or both (3)."""
    x, y, width, height = (int(length) for length in area)
    return tuple(
        (
            item,
            2 * x + width - a - w if ways & 1 else a,
            2 * y + height - b - h if ways & 2 else b,
            w,
            h,
        )
        for item, a, b, w, h in spots
    )


WORK_PER_SECOND = 700_000
# What may be spent on how many more sheets would do.
SHORTAGE_WORK, SHORTAGE_SECONDS = 40_000, 0.2
# The most work at one price, and in the search for what a short stock can still give.
WORK_PER_PIECE = 100_000
SHORT_WORK_PER_PIECE = 10_000
MOST_ARRANGEMENTS = 6
MOST_TARGETS = 6


def plan(
    pieces: Sequence[Rectangle],
    sheets: Sheet | Sequence[Sheet],
    *,
    trimmer: Trimmer | None = None,
    time_limit: float = 2.0,
    patience: float = 1.0,
    seed: int = 0,
) -> Plan:
    """Plan the cutting of pieces from sheets; the same input and seed give the same plan.

    The work allowed is counted, in proportion to ``time_limit`` (in seconds); the clock stops
    the search only on a machine too slow for that count, after ``patience`` times as long.
    """
    deadline = time.monotonic() + patience * time_limit
    stock = [sheets] if isinstance(sheets, Sheet) else list(sheets)
    _refuse_nonsense(pieces, stock)
    limits = trimmer or Trimmer()
    factor = scale_of([*pieces, *stock, limits])
    wanted = demands(pieces, stock, limits)
    effort = Effort(int(time_limit * WORK_PER_SECOND), deadline)
    task = _task(wanted, stock, limits, factor)
    search = Search(task, effort, seed)
    result = search.run()
    finished = finish(result.arrangements, task, seed, deadline)
    problems = list(wanted.problems)
    if result.outside:
        missing = {piece.key for piece in result.outside}
        by_key = {piece.key: piece for piece in wanted.pieces}
        outside = [by_key[piece.key] for piece in result.outside]
        inside = [piece for piece in wanted.pieces if piece.key not in missing]
        problems += _shortage(outside, inside, stock, limits, not search.could_be_enough())
    sheets_cut = [unscaled(one, stock[kind], factor) for kind, one in finished]
    return assembled(sheets_cut, result.bound, problems)


def _task(wanted: Demands, sheets: Sequence[Sheet], trimmer: Trimmer, factor: int) -> Task:
    """What can be cut, in whole numbers."""
    return Task(
        tuple(scaled(piece, factor) for piece in wanted.pieces),
        wanted.kinds,
        tuple(scaled(sheet, factor) for sheet in sheets),
        scaled(trimmer, factor),
    )


def _shortage(
    outside: Sequence[Rectangle],
    inside: Sequence[Rectangle],
    sheets: Sequence[Sheet],
    trimmer: Trimmer,
    is_certain: bool,
) -> list[Problem]:
    """One problem for every pinned piece in another's place, and one for all other pieces."""
    clashes = {piece.key: clash(piece, inside, sheets) for piece in outside}
    problems = [problem for problem in clashes.values() if problem is not None]
    left = [piece for piece in outside if clashes[piece.key] is None]
    if left:
        name, more = _more(left, sheets, trimmer)
        problems.append(too_few(left, sheets, name, more, is_certain))
    return problems


def _more(left: Sequence[Rectangle], sheets: Sequence[Sheet], trimmer: Trimmer) -> tuple[str, int]:
    """The kind of sheet that takes most of the pieces left, and how many more take them."""
    ranks: list[tuple[int, int, str]] = []
    for sheet in sheets:
        endless = [replace(sheet, count=None, cost=1)]
        wanted = demands(left, endless, trimmer)
        if wanted.pieces:
            task = _task(wanted, endless, trimmer, scale_of([*left, *endless, trimmer]))
            effort = Effort(SHORTAGE_WORK, time.monotonic() + SHORTAGE_SECONDS)
            found = Search(task, effort, 0).run()
            ranks.append((-len(wanted.pieces), len(found.arrangements[0]), sheet.name))
    _, more, name = min(ranks)
    return name, more


def _refuse_nonsense(pieces: Sequence[Rectangle], sheets: Sequence[Sheet]) -> None:
    """A caller's mistakes, as against a design's."""
    if not sheets:
        raise ValueError("there must be at least one sheet")
    keys = [piece.key for piece in pieces]
    if len(set(keys)) != len(keys):
        raise ValueError("every piece needs a key of its own")
    for piece in pieces:
        if piece.width <= 0 or piece.height <= 0:
            raise ValueError(f"piece {piece.key} must have a width and a height above 0")
    for sheet in sheets:
        left, right, bottom, top = sheet.margins
        if sheet.width - left - right <= 0 or sheet.height - bottom - top <= 0:
            raise ValueError(f"sheet {sheet.name} has no usable area")
        if sheet.cost < 0 or min(sheet.margins) < 0:
            raise ValueError(f"sheet {sheet.name} has a negative cost or margin")


def assembled(sheets: Sequence[SheetPlan], bound: Length, problems: Sequence[Problem]) -> Plan:
    """A plan of these sheets, with its cost, its proof and its sums."""
    cost = sum(one.sheet.cost for one in sheets)
    proven = cost == bound
    status = "proven minimal" if proven else f"at most {cost - bound} more than possible"
    return Plan(
        tuple(sheets),
        cost,
        bound,
        proven,
        status,
        sum(len(one.cuts) for one in sheets),
        sum(one.settings for one in sheets),
        tuple(problems),
    )


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
            bound = proved(arranger, best, bound)
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
            better = self._below(self.arranger.cost(best), bound)
            if better is None:
                break
            best = better
        return best

    def _below(self, cost: Length, bound: Length) -> Arrangement | None:
        """A complete arrangement at a lower price, the nearest first, if the search finds one.

        Where patterns are held, they may well reach the bound at once.
        """
        found, _ = choices(self.sheets, self.needs, self.most, cost)
        found = [choice for choice in found if price(self.sheets, choice) >= bound]
        found.sort(key=lambda choice: price(self.sheets, choice), reverse=True)
        # With one kind to pay for, fewer sheets than too few need not be tried.
        paid = sum(1 for sheet in self.sheets if sheet.cost > 0)
        targets = found[: MOST_TARGETS if paid > 1 else 1]
        if self.arranger.patterns.held:
            targets = [*found[len(targets) :][-1:], *targets]
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

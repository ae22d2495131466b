"""The plan of a set of pieces over the sheets of a stock.

In: rectangles, sheets, trimmer. Out: a ``Plan``. The order of work: impossible demands, whole
numbers, the search for the cheapest sheets, then fewer settings and cuts on each sheet and a larger
offcut: the pieces of a sheet are laid again in several ways, and the best way is kept.
"""

import time
from collections.abc import Sequence
from dataclasses import replace
from math import inf
from random import Random

from gatherfold.sheets.cutting import sheet_plan
from gatherfold.sheets.guillotine import place, toil
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
from gatherfold.sheets.search import Search, Task

# Sheets of more pieces are left as they are.
MOST_PIECES = 30
# The work of laying the pieces of sheets again, at most that of one sheet, and of laying one piece.
WORK, WORK_OF_A_SHEET = 45_000, 10_000
WORK_OF_A_TRY = 40
# Trees that take so many cuts and settings more than another are not looked at.
SPARE_TOIL = 2
Spot = tuple[int, int, int, int, int]


def _worth(plan: SheetPlan) -> tuple[int, Length]:
    """Smaller is better: settings and cuts, then the largest offcut."""
    offcut = plan.largest_offcut
    return plan.settings + len(plan.cuts), 0 if offcut is None else -offcut.width * offcut.height


def finished(layout: Frame, task: Task, seed: int, share: Effort) -> SheetPlan:
    """The best plan found for the same pieces on the same sheet within the share."""
    sheet, by_key = task.sheets[layout.kind], {piece.key: piece for piece in task.pieces}
    best = sheet_plan(sheet, layout.placed, task.trimmer)
    pieces = [by_key[one.key] for one in layout.placed]
    if len(pieces) > MOST_PIECES or len(pieces) < 2 or any(p.pin is not None for p in pieces):
        return best
    area = usable(sheet)
    items = [Item(lying(piece, [layout.kind], task.sheets)) for piece in pieces]
    packer = Packer(items, task.longest, seed, share)
    chance = Random(seed)
    left, right, bottom, top = sheet.margins
    # The far side of an uneven margin may save the cut that takes the margin off.
    ways = 4 if left != right or bottom != top else 1
    seen, least = set(), inf
    while share.spend(WORK_OF_A_TRY * len(pieces)):
        measure = chance.choice(packer.orders)
        noise = chance.choice((0.0, 0.1, 0.3))
        ranks = [-order * (1 - noise * chance.random()) for order in measure]
        queue = sorted(range(len(pieces)), key=lambda item: ranks[item])
        filling = packer.build([Bin(*room_of(sheet))], queue, chance.randrange(3), 0.2)
        tree = filling.roots[0]
        if filling.outside or toil(tree) > least + SPARE_TOIL:
            continue
        least = min(least, toil(tree))
        spots = tuple(place(tree, int(area[0]), int(area[1])))
        spots = _mirrored(spots, area, chance.randrange(ways))
        if spots not in seen:
            seen.add(spots)
            placed = [lay(pieces[item], (a, b, w, h)) for item, a, b, w, h in spots]
            best = min(best, sheet_plan(sheet, placed, task.trimmer), key=_worth)
    return best


def _mirrored(spots: Sequence[Spot], area: Region, ways: int) -> tuple[Spot, ...]:
    """The spots of an area as they are (0), mirrored across (1), up and down (2), or both (3)."""
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
    return _planned(pieces, sheets, trimmer, (time_limit, patience), seed, WORK)


def plan_to_count(
    pieces: Sequence[Rectangle],
    sheets: Sheet | Sequence[Sheet],
    *,
    trimmer: Trimmer | None = None,
    time_limit: float = 2.0,
    patience: float = 1.0,
) -> Plan:
    """As many sheets as :func:`plan` takes, for those who only count them: no better cuts are
    looked for than the first."""
    return _planned(pieces, sheets, trimmer, (time_limit, patience), 0, 0)


def _planned(
    pieces: Sequence[Rectangle],
    sheets: Sheet | Sequence[Sheet],
    trimmer: Trimmer | None,
    limits_of_time: tuple[float, float],
    seed: int,
    work: int,
) -> Plan:
    """A plan with so much ``work`` on the cuts of its sheets."""
    time_limit, patience = limits_of_time
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
    share = min(work // max(len(result.layouts), 1), WORK_OF_A_SHEET)
    shares = [Effort(share, deadline) for _ in result.layouts]
    cut = [
        (one.kind, finished(one, task, seed, share))
        for one, share in zip(result.layouts, shares, strict=True)
    ]
    problems = list(wanted.problems)
    if result.outside:
        missing = {piece.key for piece in result.outside}
        by_key = {piece.key: piece for piece in wanted.pieces}
        outside = [by_key[piece.key] for piece in result.outside]
        inside = [piece for piece in wanted.pieces if piece.key not in missing]
        problems += _shortage(outside, inside, stock, limits, not search.could_be_enough())
    sheets_cut = [unscaled(one, stock[kind], factor) for kind, one in cut]
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
            ranks.append((-len(wanted.pieces), len(found.layouts), sheet.name))
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

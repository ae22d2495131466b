"""Fewer settings and cuts, and a larger offcut, once the sheets are settled.

In: layouts of equal cost to choose from. Out: for each sheet of the best its kind and its
sheet plan. The arrangement that needs the fewest settings and cuts is taken; then the pieces
of each of its sheets are laid again in several ways, and the best way is kept.
"""

from collections.abc import Sequence
from random import Random

from builder.sheets.arranging import Task
from builder.sheets.cutting import sheet_plan
from builder.sheets.guillotine import place
from builder.sheets.model import Length, SheetPlan
from builder.sheets.packing import Bin, Effort, Item, Packer
from builder.sheets.pins import Frame, Region, lay, lying, room_of, usable

MOST_PIECES = 30
MOST_ARRANGEMENTS = 6
# From here on fewer arrangements are compared.
MANY_PIECES = 60
WORK = 25_000
# The work of laying a piece again.
WORK_PER_PIECE = 60
Finished = list[tuple[int, SheetPlan]]
Spot = tuple[int, int, int, int, int]


def finish(
    arrangements: Sequence[Sequence[Frame]], task: Task, seed: int, deadline: float
) -> Finished:
    """The sheet plans of the best arrangement; the first must be one to fall back on."""
    effort = Effort(WORK, deadline)
    best: Finished | None = None
    for layouts in arrangements[:MOST_ARRANGEMENTS]:
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
    while share.spend(WORK_PER_PIECE * len(pieces)):
        total.work -= WORK_PER_PIECE * len(pieces)
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

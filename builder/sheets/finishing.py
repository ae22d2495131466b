"""Fewer settings and cuts, and a larger offcut, once the sheets are settled.

In: layouts of equal cost to choose from. Out: for each sheet of the best its kind and its
sheet plan. The arrangement that needs the fewest settings and cuts is taken; then the pieces
of each of its sheets are laid again in several ways, and the best way is kept.
"""

from collections.abc import Sequence
from random import Random

from builder.sheets.arranging import Layout
from builder.sheets.cutting import sheet_plan
from builder.sheets.guillotine import place
from builder.sheets.model import Placed, Rectangle, Sheet, SheetPlan, Trimmer
from builder.sheets.packing import Bin, Effort, Item, Packer
from builder.sheets.pins import allowed, sizes, usable

MOST_PIECES = 30
MOST_ARRANGEMENTS = 6
# From here on fewer arrangements are compared.
MANY_PIECES = 60
WORK = 25_000
Finished = list[tuple[int, SheetPlan]]
Spot = tuple[int, int, int, int, int]


def finish(
    arrangements: Sequence[Sequence[Layout]],
    pieces: Sequence[Rectangle],
    sheets: Sequence[Sheet],
    trimmer: Trimmer,
    seed: int,
    deadline: float,
) -> Finished:
    """The sheet plans of the best arrangement; the first must be one to fall back on."""
    effort = Effort(WORK, deadline)
    best: Finished | None = None
    for layouts in arrangements[:MOST_ARRANGEMENTS]:
        found = [(one.kind, sheet_plan(sheets[one.kind], one.placed, trimmer)) for one in layouts]
        if best is None or _worth(found) < _worth(best):
            best = found
        count = sum(len(one.placed) for one in layouts)
        if not effort.spend((40 if count <= MANY_PIECES else 160) * count):
            break
    by_key = {piece.key: piece for piece in pieces}
    again = _Again(by_key, sheets, trimmer, seed)
    result: Finished = []
    for number, (kind, plan) in enumerate(best or []):
        share = max(0, effort.work) // (len(best or []) - number)
        result.append((kind, again.better(kind, plan, Effort(share, deadline), effort)))
    return result


def _worth(found: Finished) -> tuple[int, int]:
    """Smaller is better: settings and cuts, then the largest offcut."""
    effort = sum(plan.settings + len(plan.cuts) for _, plan in found)
    return effort, -max((_largest(plan) for _, plan in found), default=0)


def _largest(plan: SheetPlan) -> int:
    offcut = plan.largest_offcut
    return 0 if offcut is None else int(offcut.width * offcut.height)


def _mirrored(
    spots: Sequence[Spot], x: int, y: int, width: int, height: int, ways: int
) -> tuple[Spot, ...]:
    """The spots of a layout mirrored across (1), up and down (2), or both (3)."""
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


class _Again:
    """Lay the pieces of one sheet again."""

    def __init__(
        self, pieces: dict[str, Rectangle], sheets: Sequence[Sheet], trimmer: Trimmer, seed: int
    ) -> None:
        self.pieces = pieces
        self.sheets = sheets
        self.trimmer = trimmer
        self.seed = seed

    def better(self, kind: int, plan: SheetPlan, share: Effort, total: Effort) -> SheetPlan:
        """The best plan found for the same pieces on the same sheet within the share."""
        sheet = self.sheets[kind]
        pieces = [self.pieces[one.key] for one in plan.placed]
        if len(pieces) > MOST_PIECES or len(pieces) < 2 or any(p.pin is not None for p in pieces):
            return plan
        x, y, width, height = usable(sheet)
        items = [
            Item(tuple((w, h) for w, h, _ in sizes(p) if not allowed(p, sheet, w, h).empty))
            for p in pieces
        ]
        longest = self.trimmer.longest_cut
        packer = Packer(items, None if longest is None else int(longest), self.seed, share)
        chance = Random(self.seed)
        left, right, bottom, top = sheet.margins
        uneven = left != right or bottom != top
        best, seen = plan, set()
        while share.spend(60 * len(pieces)):
            total.work -= 60 * len(pieces)
            measure = chance.choice(packer.orders)
            noise = chance.choice((0.0, 0.1, 0.3))
            ranks = [-order * (1 - noise * chance.random()) for order in measure]
            queue = sorted(range(len(items)), key=lambda item: ranks[item])
            filling = packer.build([Bin(width, height)], queue, chance.randrange(3), 0.2)
            if filling.outside:
                continue
            spots = tuple(place(filling.roots[0], x, y))
            if uneven and chance.random() < 0.5:
                # The far side of an uneven margin may save the cut that takes the margin off.
                spots = _mirrored(spots, x, y, width, height, chance.randrange(1, 4))
            if spots in seen:
                continue
            seen.add(spots)
            placed = [
                Placed(pieces[i].key, a, b, w, h, (w, h) != (pieces[i].width, pieces[i].height))
                for i, a, b, w, h in spots
            ]
            found = sheet_plan(sheet, placed, self.trimmer)
            if _worth([(kind, found)]) < _worth([(kind, best)]):
                best = found
        return best

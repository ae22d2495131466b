"""Sheets that a bound comes from, of pieces in copies: every piece once, in place, at the price."""

from collections import Counter
from random import Random

import pytest

from gatherfold.sheets import Rectangle, Sheet, plan
from gatherfold.sheets.guillotine import place
from gatherfold.sheets.packing import Effort, Item, Room, members_of
from gatherfold.sheets.proving import Joining, cheapest_cover

LONG = float("inf")


def job(seed: int) -> list[Item]:
    """Three or four kinds, some that may turn, in two to four copies."""
    chance = Random(seed)
    kinds: dict[Item, int] = {}
    for _ in range(chance.randint(3, 4)):
        w, h = chance.randint(2, 9), chance.randint(2, 9)
        kinds[Item(((w, h), (h, w)) if w != h and seed % 2 else ((w, h),))] = chance.randint(2, 4)
    return [kind for kind, count in kinds.items() for _ in range(count)]


@pytest.mark.parametrize("seed", range(20))
def test_a_cover_gives_every_piece_once_without_overlaps(seed: int) -> None:
    items = job(seed)
    room = Room(12, 10, 1.0, len(items))
    bound, sheets = cheapest_cover(Joining(members_of(items), [room], Effort(10**7, LONG)), LONG)
    given: Counter[int] = Counter()
    for _, tree in sheets:
        covered: set[tuple[int, int]] = set()
        for item, x, y, w, h in place(tree, 0, 0):
            given[item] += 1
            assert (w, h) in items[item].sizes and x + w <= 12 and y + h <= 10
            cells = {(a, b) for a in range(x, x + w) for b in range(y, y + h)}
            assert not covered & cells
            covered |= cells
    assert given == Counter(range(len(items)))
    # Never less than the area says, nor more than the sheets themselves.
    assert sum(item.area for item in items) / 120 <= bound * 1.001 <= len(sheets) * 1.002


def test_a_bound_is_exact_where_sheets_repeat() -> None:
    # Twelve 7 x 5 on 12 x 10: two a sheet, as 7 + 7 is wider; area alone would allow three.
    members = members_of([Item(((7, 5),))] * 12)
    joining = Joining(members, [Room(12, 10, 1.0, 12)], Effort(10**7, LONG))
    assert cheapest_cover(joining, LONG)[0] == pytest.approx(6, abs=1e-4)


def test_pieces_in_copies_are_planned_at_the_price_that_is_proven() -> None:
    pieces = [Rectangle(f"{w}{n}", w, 10) for w in (7, 3, 6, 4) for n in range(6)]
    found = plan(pieces, Sheet("s", 10, 10))
    assert (found.cost, found.proven) == (12, True)

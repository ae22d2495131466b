"""Patterns put together, and priced: bounds against joined sets, fillings against contents."""

from random import Random

import pytest

from gatherfold.sheets.arranging import Patterns
from gatherfold.sheets.guillotine import items_of, place
from gatherfold.sheets.packing import Bin, Effort, Item, Packer, Room, members_of
from gatherfold.sheets.pricing import priced
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
def test_a_plan_in_fractions_costs_no_more_than_the_best_cover_by_joined_sets(seed: int) -> None:
    items = job(seed)
    members, room = members_of(items), Room(12, 10, 1.0, len(items))
    bound, _ = priced(members, [room], Effort(10**7, LONG))
    least, sheets = cheapest_cover(Joining(members, [room], Effort(10**7, LONG)), LONG)
    assert sheets and bound <= least + 1e-6
    # Never less than the area says.
    assert bound >= sum(item.area for item in items) / 120 * 0.999


@pytest.mark.parametrize("seed", range(20))
def test_a_priced_pattern_lies_within_its_sheet_without_overlaps(seed: int) -> None:
    items = job(seed)
    _, patterns = priced(members_of(items), [Room(12, 10, 1.0, 9)], Effort(10**7, LONG))
    assert patterns
    for _, tree in patterns:
        covered: set[tuple[int, int]] = set()
        for item, x, y, w, h in place(tree, 0, 0):
            assert (w, h) in items[item].sizes and x + w <= 12 and y + h <= 10
            cells = {(a, b) for a in range(x, x + w) for b in range(y, y + h)}
            assert not covered & cells
            covered |= cells


def test_a_bound_of_fractions_is_exact_where_patterns_repeat() -> None:
    # Twelve 7 x 5 on 12 x 10: two a sheet, as 7 + 7 is wider; area alone would allow three.
    members = members_of([Item(((7, 5),))] * 12)
    bound, _ = priced(members, [Room(12, 10, 1.0, 12)], Effort(10**7, LONG))
    assert bound == pytest.approx(6, abs=1e-4)


def test_patterns_seen_one_by_one_are_put_together() -> None:
    # Halves seen with the wrong thirds: only the choice of one from each fills two bins.
    items = [Item(((w, 10),)) for w in (7, 3, 6, 4)]
    one = Bin(10, 10)
    patterns = Patterns(members_of(items), None)
    patterns.aim([one, one])
    packer = Packer(items, None, 0, Effort(10**6, LONG))
    for group in ([0, 1], [2, 3], [1, 2], [3]):
        filling = packer.build([one], group, 0, 0.0)
        patterns.note(one, group, filling.roots[0])
    found = patterns.best([one, one], Effort(10**6, LONG))
    assert found.outside == []
    assert sorted(sorted(items_of(root)) for root in found.roots) == [[0, 1], [2, 3]]


def test_an_item_in_two_patterns_is_given_once() -> None:
    items = [Item(((w, 10),)) for w in (7, 3, 6)]
    one = Bin(10, 10)
    patterns = Patterns(members_of(items), None)
    patterns.aim([one, one])
    packer = Packer(items, None, 0, Effort(10**6, LONG))
    for group in ([0, 1], [1, 2]):
        filling = packer.build([one], group, 0, 0.0)
        patterns.note(one, group, filling.roots[0])
    found = patterns.best([one, one], Effort(10**6, LONG))
    assert found.outside == []
    assert sorted(item for root in found.roots for item in items_of(root)) == [0, 1, 2]
    for root in found.roots:
        assert (root.width, root.height) == (10, 10)


def test_without_patterns_everything_stays_outside() -> None:
    patterns = Patterns(members_of([Item(((1, 1),))]), None)
    found = patterns.best([Bin(2, 2)], Effort(1000, LONG))
    assert found.outside == [0]
    assert [items_of(root) for root in found.roots] == [[]]

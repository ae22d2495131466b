"""The search keeps every item exactly once, in a bin it may lie in or outside."""

import time
from random import Random

import pytest

from gatherfold.sheets.guillotine import items_of, place
from gatherfold.sheets.packing import Bin, Effort, Filling, Item, Packer


def packer(seed: int, work: int = 40_000) -> Packer:
    """Thirty items, some of which turn and some of which lie in one kind of bin only."""
    chance = Random(seed)
    items = []
    for _ in range(30):
        w, h = chance.randint(2, 11), chance.randint(2, 11)
        sizes = ((w, h), (h, w)) if chance.random() < 0.5 and w != h else ((w, h),)
        items.append(Item(sizes, chance.choice([None, None, frozenset({0}), frozenset({1})])))
    return Packer(items, None, seed, Effort(work, time.monotonic() + 60))


def check(filling: Filling, items: list[Item]) -> None:
    """Every item once, as large as it is, in a bin of its kinds."""
    inside = [item for root in filling.roots for item in items_of(root)]
    assert sorted(inside + filling.outside) == list(range(len(items)))
    for one, root in zip(filling.bins, filling.roots, strict=True):
        for item, x, y, w, h in place(root, 0, 0):
            assert (w, h) in items[item].sizes
            assert x + w <= one.width and y + h <= one.height
            kinds = items[item].kinds
            assert kinds is None or one.kind in kinds


@pytest.mark.parametrize("seed", range(10))
def test_ruin_and_recreate_loses_no_item_and_leaves_no_more_outside(seed: int) -> None:
    search = packer(seed)
    items = list(search.items)
    bins = [Bin(16, 14, kind) for kind in (0, 1, 0)]
    start = search.build(bins, range(30), 0, 0.0)
    check(start, items)
    before = search.loss(start.outside)
    better = search.improve(start, 30_000)
    check(better, items)
    assert search.loss(better.outside) <= before
    assert search.loss(start.outside) == before


def test_the_work_allowed_ends_the_search_at_the_same_place_every_time() -> None:
    bins = [Bin(16, 14, kind) for kind in (0, 1, 0)]
    ends = []
    for _ in range(2):
        search = packer(3)
        found = search.improve(search.build(bins, range(30), 0, 0.0), 30_000)
        ends.append((found.outside, [list(place(root, 0, 0)) for root in found.roots]))
    assert ends[0] == ends[1]

"""Lower bounds and joined sets: never above what is possible, exact where all are joined."""

from itertools import combinations
from random import Random

import numpy as np
import pytest

from gatherfold.sheets import Rectangle, Sheet, plan
from gatherfold.sheets.bounds import _functions, needs
from gatherfold.sheets.guillotine import items_of, place
from gatherfold.sheets.packing import Effort, Item, Room, members_of
from gatherfold.sheets.proving import Joining, cheapest_cover

LONG = float("inf")


def joined(items: list[Item], width: int, height: int, work: int = 10**7) -> Joining:
    """Every set that fits one of as many equal sheets as there are items."""
    rooms = [Room(width, height, 1.0, len(items))]
    return Joining(members_of(items), rooms, Effort(work, LONG))


def test_the_constrained_guillotine_value_of_christofides_and_whitlock_instance_1() -> None:
    # Christofides & Whitlock, Operations Research 25 (1977), 30-44, problem 1: value 244 with
    # fixed orientation. The value is published; the instance (OR-Library file cgcut1: width,
    # height, number at most, value) is typed from memory, and gives exactly that value.
    instance = [
        (8, 4, 2, 66),
        (3, 7, 1, 35),
        (8, 2, 3, 24),
        (3, 4, 5, 17),
        (3, 3, 2, 11),
        (3, 2, 2, 8),
        (2, 1, 1, 2),
    ]
    items = [Item(((w, h),)) for w, h, most, _ in instance for _ in range(most)]
    values = {(w, h): value for w, h, _, value in instance}
    joining = joined(items, 15, 10)
    assert joining.complete

    def sizes_in(code: int) -> list[tuple[int, int]]:
        kinds = list(joining.members)
        return [kinds[t].sizes[0] for t, n in joining.counts(code) for _ in range(n)]

    def value(code: int) -> int:
        return sum(values[size] for size in sizes_in(code))

    best = max(joining.outlines, key=value)
    assert value(best) == 244
    sizes = sizes_in(best)
    pieces = [Rectangle(str(i), w, h) for i, (w, h) in enumerate(sizes)]
    found = plan(pieces, Sheet("stock", 15, 10), time_limit=5)
    assert (len(found.sheets), found.unplaced) == (1, ())


def test_a_joined_set_is_built_inside_its_sheet() -> None:
    chance = Random(5)
    sizes = [(chance.randint(2, 7), chance.randint(2, 7)) for _ in range(9)]
    items = [Item(((w, h), (h, w)) if w != h else ((w, h),)) for w, h in sizes]
    bound, sheets = cheapest_cover(joined(items, 12, 9), LONG)
    assert len(sheets) == bound > 0
    assert {i for _, tree in sheets for i in items_of(tree)} == set(range(9))
    for _, tree in sheets:
        spots = list(place(tree, 0, 0))
        for item, x, y, w, h in spots:
            assert (w, h) in items[item].sizes
            assert 0 <= x <= 12 - w and 0 <= y <= 9 - h
        for (_, x, y, w, h), (_, u, v, p, q) in combinations(spots, 2):
            assert x + w <= u or u + p <= x or y + h <= v or v + q <= y


def test_joining_that_runs_out_of_work_says_so() -> None:
    items = [Item(((1 + i % 5, 1 + i % 3),)) for i in range(30)]
    assert not joined(items, 20, 20, work=100).complete


@pytest.mark.parametrize("whole", [7, 12, 30, 97])
def test_what_fits_side_by_side_still_fits_after_every_function(whole: int) -> None:
    chance = Random(whole)
    lengths = sorted({chance.randint(1, whole) for _ in range(12)} | {whole})
    table = _functions(lengths, whole)
    limit = table[:, lengths.index(whole)]
    for _ in range(400):
        room = chance.randint(1, whole)
        held, used = np.zeros(len(table), dtype=np.int64), 0
        while True:
            index = chance.randrange(len(lengths))
            if used + lengths[index] > room:
                break
            held, used = held + table[:, index], used + lengths[index]
        assert (held <= limit).all()
        if room in lengths:
            assert (held <= table[:, lengths.index(room)]).all()


def test_five_pieces_over_half_the_sheet_each_way_need_five_sheets() -> None:
    found = needs([[(7, 7)]] * 5, [(12, 12)])
    assert max(-(-need.total // need.offers[0]) for need in found) == 5


def test_a_piece_that_may_turn_counts_where_it_counts_least() -> None:
    # Laid flat, six strips fill the sheet; the bound must not count them standing.
    found = needs([[(12, 2), (2, 12)]] * 6, [(12, 12)])
    assert max(-(-need.total // need.offers[0]) for need in found) == 1

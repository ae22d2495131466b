"""Trees of cuts keep every piece inside the sheet and account for all of its area."""

from itertools import combinations
from random import Random

import pytest

from gatherfold.sheets.guillotine import (
    Gap,
    Leaf,
    Node,
    empty,
    gaps_of,
    insert,
    items_of,
    place,
    without,
)

WIDTH, HEIGHT = 24, 18


def filled(chance: Random) -> Node:
    """A tree with pieces put at random into its gaps."""
    root = empty(WIDTH, HEIGHT)
    for item in range(30):
        width, height = chance.randint(1, 9), chance.randint(1, 9)
        room: list[Gap] = [g for g in gaps_of(root, 0) if g[0] >= width and g[1] >= height]
        if room:
            insert(chance.choice(room), Leaf(width, height, item), chance.random() < 0.5)
    return root


def check(root: Node, items: set[int]) -> None:
    """Pieces lie inside and apart; pieces and gaps make up the whole."""
    assert (root.width, root.height) == (WIDTH, HEIGHT)
    spots = list(place(root, 0, 0))
    assert {spot[0] for spot in spots} == items == set(items_of(root))
    for _, x, y, w, h in spots:
        assert 0 <= x <= WIDTH - w and 0 <= y <= HEIGHT - h
    for (_, x, y, w, h), (_, u, v, p, q) in combinations(spots, 2):
        assert x + w <= u or u + p <= x or y + h <= v or v + q <= y
    area = sum(w * h for *_, w, h in spots) + sum(g[0] * g[1] for g in gaps_of(root, 0))
    assert area == WIDTH * HEIGHT


@pytest.mark.parametrize("seed", range(40))
def test_taking_pieces_out_keeps_the_others_and_the_area(seed: int) -> None:
    chance = Random(seed)
    root = filled(chance)
    items = set(items_of(root))
    check(root, items)
    while items:
        gone = {item for item in items if chance.random() < 0.4}
        before = len(gaps_of(root, 0))
        root = without(root, gone, keep_whole=seed % 2 == 0)
        items -= gone
        check(root, items)
        if items and not gone:
            assert len(gaps_of(root, 0)) <= before
    assert gaps_of(root, 0)[0][:2] == (WIDTH, HEIGHT)


def test_two_neighbouring_gaps_become_one() -> None:
    root = empty(12, 12)
    insert(gaps_of(root, 0)[0], Leaf(12, 4, 0), False)
    insert(gaps_of(root, 0)[0], Leaf(12, 4, 1), False)
    root = without(root, {0})
    assert [gap[:2] for gap in gaps_of(root, 0)] == [(12, 8)]


def test_a_part_left_alone_brings_no_cut_that_was_not_there() -> None:
    # The whole is cut upright only; both halves then end at one height, which tempts to a cut
    # across it.
    root = empty(20, 15)
    right, above = insert(gaps_of(root, 0)[0], Leaf(10, 4, 0), True)
    insert(above, Leaf(10, 11, 1), True)
    insert(right, Leaf(10, 4, 2), True)
    kept = without(root, {1}, keep_whole=True)
    assert [gap[:2] for gap in gaps_of(kept, 0)] == [(10, 11), (10, 11)]
    freed = without(root, {1})
    assert [gap[:2] for gap in gaps_of(freed, 0)] == [(20, 11)]

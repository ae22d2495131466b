"""Small cases against an exhaustive search written for these tests alone.

The search lists every set of pieces that edge-to-edge cuts can free from one sheet, from the
smallest rectangle a set can be built in, and covers the pieces with the fewest such sets. It
shares nothing with the planner.
"""

from functools import cache
from itertools import combinations
from random import Random

import pytest

from gatherfold.sheets import Rectangle, Sheet, plan
from tests.sheets.checker import verify

Sizes = tuple[tuple[int, int], ...]


def fewest_sheets(pieces: Sizes, width: int, height: int, turns: bool) -> int:
    """The fewest sheets, by trying everything (up to seven pieces or so)."""

    @cache
    def built(group: frozenset[int]) -> frozenset[tuple[int, int]]:
        """Every outline in which the group can be built by joining two parts at a time."""
        if len(group) == 1:
            w, h = pieces[next(iter(group))]
            outlines = {(w, h), (h, w)} if turns else {(w, h)}
            return frozenset(o for o in outlines if o[0] <= width and o[1] <= height)
        found = set()
        first, *others = sorted(group)
        for size in range(len(others)):
            for chosen in combinations(others, size):
                one = frozenset((first, *chosen))
                for a in built(one):
                    for b in built(group - one):
                        found.add((a[0] + b[0], max(a[1], b[1])))
                        found.add((max(a[0], b[0]), a[1] + b[1]))
        return frozenset(o for o in found if o[0] <= width and o[1] <= height)

    @cache
    def cover(group: frozenset[int]) -> int:
        if not group:
            return 0
        first, *others = sorted(group)
        best = len(group)
        for size in range(len(others) + 1):
            for chosen in combinations(others, size):
                one = frozenset((first, *chosen))
                if built(one):
                    best = min(best, 1 + cover(group - one))
        return best

    return cover(frozenset(range(len(pieces))))


@pytest.mark.parametrize("seed", range(24))
def test_the_plan_uses_the_fewest_sheets_possible(seed: int) -> None:
    chance = Random(seed)
    width, height = chance.randint(6, 12), chance.randint(6, 12)
    turns = seed % 2 == 0
    side = min(width, height)
    sizes = tuple((chance.randint(1, side), chance.randint(1, side)) for _ in range(7))
    pieces = [Rectangle(str(i), w, h, turns) for i, (w, h) in enumerate(sizes)]
    found = plan(pieces, Sheet("s", width, height), time_limit=0.5, seed=seed)
    fewest = fewest_sheets(sizes, width, height, turns)
    assert verify(found, pieces) == []
    assert len(found.sheets) == fewest
    assert found.bound <= fewest


def test_a_pinwheel_does_not_come_out_of_one_sheet() -> None:
    # Four pieces round a middle: they fill 3 x 3 and no cut goes from edge to edge.
    sizes = ((2, 1), (1, 2), (2, 1), (1, 2))
    assert fewest_sheets(sizes, 3, 3, False) == 2
    pieces = [Rectangle(str(i), w, h) for i, (w, h) in enumerate(sizes)]
    found = plan(pieces, Sheet("s", 3, 3))
    assert len(found.sheets) == 2

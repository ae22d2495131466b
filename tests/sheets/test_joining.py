"""One sheet: settled by joining parts, found where it is possible and refuted where it is not."""

import time
from random import Random

import pytest

from gatherfold.sheets import Rectangle, Sheet, plan
from gatherfold.sheets.packing import Effort, Item, Room, members_of
from gatherfold.sheets.proving import one_sheet
from tests.sheets.checker import verify

SIDE = 96


def chopped(chance: Random, count: int) -> list[tuple[int, int]]:
    """A square cut edge to edge into parts at random: they fit it, and leave nothing."""
    parts = [(SIDE, SIDE)]
    while len(parts) < count:
        parts.sort(key=lambda part: -part[0] * part[1] * (0.3 + chance.random()))
        w, h = parts.pop(0)
        if chance.random() < w / (w + h):
            at = chance.randint(w // 4 or 1, 3 * w // 4)
            parts += [(at, h), (w - at, h)]
        else:
            at = chance.randint(h // 4 or 1, 3 * h // 4)
            parts += [(w, at), (w, h - at)]
    return parts


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("turns", [False, True])
def test_fifteen_pieces_that_fill_a_sheet_are_found_on_it(seed: int, turns: bool) -> None:
    sizes = chopped(Random(seed), 15)
    pieces = [Rectangle(str(i), w, h, turns) for i, (w, h) in enumerate(sizes)]
    found = plan(pieces, Sheet("s", SIDE, SIDE), time_limit=20)
    assert verify(found, pieces) == []
    assert (found.cost, found.proven) == (1, True)
    assert found.sheets[0].offcuts == ()


def test_a_pinwheel_is_refuted() -> None:
    # Four pieces round a middle fill 11 by 11 but for one square; no cut runs edge to edge.
    items = [Item(((6, 5),)), Item(((6, 5),)), Item(((5, 6),)), Item(((5, 6),))]
    effort = Effort(10**6, time.monotonic() + 20)
    assert one_sheet(members_of(items), Room(11, 11, 1.0, 1), effort) == (None, True)


def test_work_that_runs_out_settles_nothing() -> None:
    items = [Item(((w, h),)) for w, h in chopped(Random(1), 15)]
    effort = Effort(50, time.monotonic() + 20)
    assert one_sheet(members_of(items), Room(SIDE, SIDE + 30, 1.0, 1), effort) == (None, False)

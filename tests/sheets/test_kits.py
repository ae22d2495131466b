"""A class is planned as one: fewer sheets than kit after kit, every kit whole, sheets cut alike."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from fractions import Fraction
from itertools import groupby

import pytest

from gatherfold.sheets import (
    Pin,
    Rectangle,
    Sheet,
    SheetPlan,
    Trimmer,
    name_of,
    pattern_of,
    plan_kits,
)
from tests.sheets.checker import verify

CARD = Sheet("card", 12, 12)
#: One kit alone needs two sheets, the second nearly empty.
KIT = [
    Rectangle(f"piece{number}", width, height, True)
    for number, (width, height) in enumerate([(8, 8), (8, 3), (3, 8), (4, 4), (4, 4)])
]


def wanted(kit: list[Rectangle], kits: int) -> list[Rectangle]:
    """The pieces of all kits, written out without the planner."""
    later = [(piece, f"{piece.key}#kit{n}") for n in range(2, kits + 1) for piece in kit]
    named = [(piece, piece.key) for piece in kit] + later
    return [Rectangle(key, p.width, p.height, p.turns, p.pin, p.sheet) for p, key in named]


def test_one_kit_is_planned_as_it_always_was() -> None:
    found = plan_kits(KIT, 1, [CARD])
    assert found.one is found.all


@pytest.mark.parametrize("kits", [2, 3, 5, 12])
def test_every_kit_is_whole(kits: int) -> None:
    found = plan_kits(KIT, kits, [CARD]).all
    assert verify(found, wanted(KIT, kits)) == []
    cut = Counter(name_of(placed.key) for sheet in found.sheets for placed in sheet.placed)
    assert set(cut.values()) == {kits}


def test_twelve_kits_take_fewer_sheets_than_twelve_times_one() -> None:
    found = plan_kits(KIT, 12, [CARD])
    assert len(found.all.sheets) < 12 * len(found.one.sheets)
    assert found.all.proven


def test_sheets_that_give_the_same_pieces_are_cut_alike_and_side_by_side() -> None:
    found = plan_kits(KIT, 12, [CARD]).all

    def pieces(sheet: SheetPlan) -> tuple[str, ...]:
        return tuple(sorted(name_of(placed.key) for placed in sheet.placed))

    runs = [pieces for pieces, _ in groupby(found.sheets, key=pieces)]
    assert len(runs) == len(set(runs))
    assert len({pattern_of(sheet) for sheet in found.sheets}) == len(runs)


def test_one_map_does_where_a_kit_fills_a_sheet() -> None:
    kit = [Rectangle("panel", 12, 8), Rectangle("strip", 12, 4)]
    found = plan_kits(kit, 7, [CARD]).all
    assert (len(found.sheets), len({pattern_of(sheet) for sheet in found.sheets})) == (7, 1)


def test_pinned_pieces_come_once_from_each_sheet() -> None:
    kit = [Rectangle("heron", 4, 4, pin=Pin(1, 1)), Rectangle("tag", 3, 3)]
    found = plan_kits(kit, 6, [CARD]).all
    assert verify(found, wanted(kit, 6)) == []
    assert (found.cost, found.bound) == (6, 6)


def test_a_limited_stock_is_limited_for_all_kits_together() -> None:
    kit = [Rectangle("panel", 7, 7)]
    found = plan_kits(kit, 4, [Sheet("card", 12, 12, count=3)])
    assert (found.one.unplaced, len(found.all.sheets)) == ((), 3)
    (problem,) = found.all.unplaced
    assert (problem.code, problem.remedy["more_sheets"]) == ("not-enough-sheets", 1)


def test_scraps_are_shared_by_all_kits() -> None:
    kit = [Rectangle("tag", 4, 4), Rectangle("panel", 12, 12)]
    scraps = Sheet("scrap", 4, 12, count=1, cost=0)
    found = plan_kits(kit, 3, [CARD, scraps]).all
    assert verify(found, wanted(kit, 3)) == []
    assert (found.cost, found.proven) == (3, True)


def test_the_same_input_gives_the_same_plan() -> None:
    assert plan_kits(KIT, 6, [CARD]) == plan_kits(KIT, 6, [CARD])


def test_pieces_in_many_copies_are_proven_by_their_kinds() -> None:
    """Twelve kinds in twelve copies: all but the smallest are listed, and the rest fills gaps."""
    sizes = [
        (8, 11), (8, 11), (6, 10), (6, 10), (7, 4), (7, 4), (6, 4), (6, 4), (2, 11), (8, 5),
        (12, 2), (8, 2), (5, 2), (3, 1),
    ]  # fmt: skip
    kit = [Rectangle(f"p{i}", w, h, True) for i, (w, h) in enumerate(sizes)]
    found = plan_kits(kit, 12, [CARD])
    assert verify(found.all, wanted(kit, 12)) == []
    assert found.all.proven
    assert len(found.all.sheets) < 12 * len(found.one.sheets)


def test_a_trimmer_too_short_for_the_sheet_across_is_never_asked_to_cut_it_across() -> None:
    # 10 wide, cut at most 9 long: the first cuts are upright. Twelve flat pieces tempt otherwise.
    kit = [Rectangle("p0", 5, 1), Rectangle("p1", 6, 1), Rectangle("p2", 1, 1)]
    sheet = Sheet("s0", 10, 8, 1, 0, (0, 0, Fraction(1, 2), 0))
    trimmer = Trimmer(longest_cut=9)
    found = plan_kits(kit, 4, [sheet], trimmer=trimmer, time_limit=0.1)
    later = [replace(p, key=f"{p.key}#kit{n}") for n in range(2, 5) for p in kit]
    assert verify(found.all, kit + later, trimmer) == []

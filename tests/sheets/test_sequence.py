"""The order of the cuts against an exhaustive search over all orders, written for these tests.

The search knows the cuts of a sheet and the trimmer. It tries every cut that can come next, from
either edge that the trimmer allows, and shares nothing with the planner.
"""

from fractions import Fraction
from functools import cache

import pytest
from hypothesis import given, settings, strategies as st

from gatherfold.sheets import Rectangle, Sheet, SheetPlan, Trimmer, plan
from gatherfold.sheets.cutting import CutStep, GuideWay, in_order, moves
from tests.sheets.checker import holding_parts, parts_after, verify

MOST_CUTS = 9


def ways_of(sheet: SheetPlan, trimmer: Trimmer) -> dict[int, tuple[int, set[Fraction]]]:
    """For each part that is cut, the part it comes out of and the settings it can be cut at."""
    found: dict[int, tuple[int, set[Fraction]]] = {}
    holding = holding_parts(sheet)
    for number, cut in enumerate(sheet.cuts):
        after = parts_after(sheet.sheet, sheet.cuts[: number + 1])
        thick = 2 if cut.axis == "vertical" else 3
        sizes = {part: Fraction(after[part][thick]) for part in cut.parts}
        allowed = {
            size
            for part, size in sizes.items()
            if part in holding or size >= trimmer.narrowest_strip
        }
        step = trimmer.guide_step
        marked = {size for size in allowed if step and size % step == 0}
        made_by = next((c.part for c in sheet.cuts if cut.part in c.parts), -1)
        found[cut.part] = made_by, marked or allowed
    return found


def fewest_moves(ways: dict[int, tuple[int, set[Fraction]]]) -> int:
    """The least number of guide moves, by trying every order and every edge."""

    @cache
    def least(left: frozenset[int], guide: Fraction | None) -> int:
        if not left:
            return 0
        return min(
            (setting != guide) + least(left - {part}, setting)
            for part in left
            if ways[part][0] not in left
            for setting in ways[part][1]
        )

    return least(frozenset(ways), None)


@st.composite
def jobs(draw: st.DrawFn) -> tuple[list[Rectangle], Sheet, Trimmer]:
    """Up to six pieces of few sizes on one sheet, some of whose sides are no whole steps."""
    sizes = draw(st.lists(st.tuples(st.integers(1, 5), st.integers(1, 5)), min_size=1, max_size=4))
    count = draw(st.integers(1, 6))
    pieces = [
        Rectangle(str(i), *sizes[draw(st.integers(0, len(sizes) - 1))], draw(st.booleans()))
        for i in range(count)
    ]
    side = draw(st.sampled_from([8, 9, Fraction(48, 5)]))
    narrowest = draw(st.sampled_from([0, 1, Fraction(3, 2)]))
    return pieces, Sheet("s", side, draw(st.integers(8, 12))), Trimmer(None, narrowest, 1)


@given(jobs(), st.booleans())
@settings(max_examples=150, deadline=None)
def test_no_order_of_the_same_cuts_moves_the_guide_less(
    job: tuple[list[Rectangle], Sheet, Trimmer], stepped: bool
) -> None:
    pieces, sheet, trimmer = job
    limits = trimmer if stepped else Trimmer(None, trimmer.narrowest_strip)
    found = plan(pieces, sheet, trimmer=limits, time_limit=0.05)
    assert verify(found, pieces, limits) == []
    for one in found.sheets:
        if len(one.cuts) <= MOST_CUTS:
            assert one.settings == fewest_moves(ways_of(one, limits))


@st.composite
def trees(draw: st.DrawFn) -> list[CutStep]:
    """Up to nine steps, each after an earlier one, with one or two settings out of four."""
    steps: list[CutStep] = []
    for number in range(draw(st.integers(1, MOST_CUTS))):
        chosen = draw(st.lists(st.integers(1, 4), min_size=1, max_size=2, unique=True))
        ways = tuple(GuideWay(setting, "left", setting == chosen[0]) for setting in chosen)
        steps.append(CutStep(draw(st.integers(-1, number - 1)), "vertical", ways))
    return steps


@given(trees())
@settings(max_examples=300, deadline=None)
def test_any_tree_is_ordered_with_the_fewest_moves(steps: list[CutStep]) -> None:
    order = in_order(steps)
    assert sorted(number for number, _ in order) == list(range(len(steps)))
    place = {number: position for position, (number, _) in enumerate(order)}
    for number, way in order:
        assert way in steps[number].ways
        assert steps[number].after < 0 or place[steps[number].after] < place[number]
    ways = {n: (s.after, {Fraction(w.setting) for w in s.ways}) for n, s in enumerate(steps)}
    assert moves([way.setting for _, way in order]) == fewest_moves(ways)


def test_a_cut_is_measured_from_the_edge_that_saves_a_move() -> None:
    # After the first cut at 3 the guide can stay: what is left is 7 wide, 3 from its other edge.
    steps = [
        CutStep(-1, "vertical", (GuideWay(3, "left", True), GuideWay(7, "right", True))),
        CutStep(0, "vertical", (GuideWay(4, "left", True), GuideWay(3, "right", True))),
    ]
    assert [way.setting for _, way in in_order(steps)] == [3, 3]


def test_a_kept_part_lies_against_the_guide_where_that_costs_no_move() -> None:
    steps = [
        CutStep(-1, "vertical", (GuideWay(4, "left", True),)),
        CutStep(0, "horizontal", (GuideWay(8, "bottom", True), GuideWay(4, "top", False))),
        CutStep(0, "horizontal", (GuideWay(8, "bottom", True),)),
    ]
    order = in_order(steps)
    assert moves([way.setting for _, way in order]) == 2
    assert all(way.of_kept for _, way in order)


@pytest.mark.parametrize("width", [Fraction(3048, 10), 300])
def test_a_sheet_that_is_no_whole_number_of_steps_is_set_by_its_marks(width: Fraction) -> None:
    # Twelve inches are 304.8 mm: a cut is measured from the edge where the piece lies.
    pieces = [Rectangle(str(i), 100, 150) for i in range(5)]
    trimmer = Trimmer(None, 0, 1)
    found = plan(pieces, Sheet("s", width, width), trimmer=trimmer)
    assert verify(found, pieces, trimmer) == []
    (sheet,) = found.sheets
    assert {cut.setting % 1 for cut in sheet.cuts} == {0}
    assert sheet.settings == 2

"""Marks that share paper: each takes the best place that the others leave, or make room for."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

import pytest

from gatherfold.drawings.kernel.canvas import Canvas
from gatherfold.drawings.kernel.plane import Place, Rect
from gatherfold.drawings.kernel.styles import Line
from gatherfold.drawings.labels.arrangement import arranged
from gatherfold.drawings.labels.placings import Mark, MarkPlace, faults_between


def at(x: float, cost: float = 0.0, y: float = 20.0) -> MarkPlace:
    """Lettering 10 mm wide whose middle is at x."""
    return MarkPlace(Rect(x - 5, y - 1, x + 5, y + 1), cost)


def led(start: Place, end: Place) -> MarkPlace:
    """Lettering just above the start of its leader."""
    x, y = start
    return MarkPlace(Rect(x - 1, y + 0.5, x + 1, y + 2.5), 0.0, leader=(start, end))


def settled(*marks: Sequence[MarkPlace], canvas: Canvas | None = None) -> list[MarkPlace]:
    """The places of marks that were placed in turn and then settled."""
    named = [Mark(f"mark {number}", places) for number, places in enumerate(marks)]
    return list(arranged(canvas or Canvas(200, 40), named).values())


def are_apart(placings: Sequence[MarkPlace]) -> bool:
    return not any(faults_between(*pair) for pair in combinations(placings, 2))


def test_each_takes_its_best_place_where_nothing_is_in_the_way() -> None:
    first, second = [at(20), at(40, 1.0)], [at(60), at(80, 1.0)]
    assert settled(first, second) == [first[0], second[0]]


def test_what_came_first_makes_room() -> None:
    first, second = [at(20), at(60, 5.0)], [at(22)]
    assert settled(first, second) == [first[1], second[0]]


def test_room_is_made_along_a_chain() -> None:
    first, second, third = [at(20), at(40, 1.0)], [at(42), at(60, 1.0)], [at(18)]
    assert settled(first, second, third) == [first[1], second[1], third[0]]


def test_two_move_where_neither_can_alone() -> None:
    """Each of the second places is free only when the other mark has left its first."""
    first, second = [at(20), at(32, 1.0)], [at(25), at(13, 1.0)]
    assert faults_between(first[1], second[0])
    assert faults_between(first[0], second[1])
    assert settled(first, second) == [first[1], second[1]]


def test_many_places_in_the_way_of_one_do_not_hold_up_the_search() -> None:
    alone, other = [at(20)], [at(62), at(90, 1.0)]
    many = [at(20 + step / 100, step / 1000) for step in range(100)]
    found = settled(other, [*many, at(60, 1.0)], alone)
    assert [place.ground.centre[0] for place in found] == [90, 60, 20]


def test_one_that_stands_far_worse_than_it_might_is_made_room_for() -> None:
    first, second = [at(20), at(60, 1.0)], [at(22), at(100, 30.0)]
    assert settled(first, second) == [first[1], second[0]]


def test_nobody_moves_where_that_is_worse_on_the_whole() -> None:
    first, second = [at(20), at(60, 50.0)], [at(22), at(100, 30.0)]
    assert settled(first, second) == [first[0], second[1]]


def test_marks_keep_off_what_is_fixed_and_on_the_paper() -> None:
    canvas = Canvas(200, 40)
    canvas.strokes([((20, 0), (20, 40))], Line.CUT)
    on_line, off_paper, free = at(20), at(198, 1.0), at(100, 2.0)
    assert settled([on_line, off_paper, free], canvas=canvas) == [free]


def test_where_there_is_no_room_the_fewest_touch() -> None:
    places = settled([at(20)], [at(22), at(60, 1.0)], [at(18)])
    assert sum(faults_between(*pair) > 0 for pair in combinations(places, 2)) == 1


@pytest.mark.parametrize(
    ("other", "faults"),
    [
        (led((10, 5), (30, 20)), True),
        (led((10, 5), (24, 13)), True),
        (MarkPlace(Rect(15, 9, 25, 19.5), 0.0), True),
        (MarkPlace(Rect(31, 9, 41, 11), 0.0), True),
        (led((10, 30), (40, 30)), False),
        (MarkPlace(Rect(33, 9, 43, 11), 0.0), False),
    ],
    ids=["crosses", "ends on it", "under it", "beside its end", "apart", "clear of its end"],
)
def test_leaders_keep_apart_and_off_lettering(other: MarkPlace, faults: bool) -> None:
    """A leader from (10, 20) to (30, 10) beside another mark."""
    mark = led((10, 20), (30, 10))
    assert (faults_between(mark, other) > 0) is faults
    assert faults_between(mark, other) == faults_between(other, mark)

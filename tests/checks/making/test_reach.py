"""What is put on a face must come there: nothing is closed over it, nothing else lies there."""

from __future__ import annotations

import pytest

from gatherfold.checks.making.reach import check_reach
from gatherfold.checks.making.stages import stages_of
from tests.checks.making.works_in_steps import WRAP, codes_of, steps


def codes(pieces: str, rest: str) -> list[str]:
    return codes_of(lambda resolved: check_reach(resolved, stages_of(resolved)), pieces, rest)


CARD = WRAP + "card: {as: card, from: night, size: 3 x 3, on: wrap.body, glue: none}\n"


@pytest.mark.parametrize(
    ("done", "expected"),
    [
        (["attach: card", "close: all"], []),
        (["close: all", "attach: card"], ["closed-over-place"]),
        (["close: all", "open: all", "attach: card", "close: all"], []),
    ],
)
def test_a_card_goes_in_before_the_flaps_close(done: list[str], expected: list[str]) -> None:
    assert codes(CARD, steps("cut: all\nscore: wrap", *done)) == expected


#: A tray that slides into a sleeve as deep as it is high; its walls stand on all four sides.
DRAWER = """
sleeve:
  from: night
  closed: 90
  across: {front: 4, right_side: 1, back: 4, left_side: 1, tab: 1/2}
  height: 5
  joins: {tab: {on: sleeve.front}}
tray:
  as: tray
  from: night
  across: {left_wall: 7/8, base: 3 3/4, right_wall: 7/8}
  up: {front_wall: 7/8, base: 4 7/8, back_wall: 7/8}
  corners: {all: notch 7/8 x 7/8}
  on: sleeve.front
  by: base
  glue: none
card: {as: card, from: night, size: 3 x 4, on: tray.base, glue: none}
"""


@pytest.mark.parametrize(
    ("last", "expected"),
    [
        ("attach: card\ninsert: tray", []),
        ("insert: tray\nattach: card", ["out-of-reach"]),
    ],
)
def test_a_drawer_is_filled_before_it_is_slid_in(last: str, expected: list[str]) -> None:
    done = steps("cut: all\nscore: sleeve, tray", "close: sleeve, tray", last)
    assert codes(DRAWER, done) == expected


BASE = """
base: {as: panel, from: night, size: 8 x 6}
hinge: {as: hinge, from: night, across: {tab: 1, flap: 1}, height: 4, on: base, by: flap, left: 0}
"""
MAT = "mat: {as: mat, from: night, on: base, leaving: %s}\n"


@pytest.mark.parametrize(
    ("order", "leaving", "expected"),
    [
        ("hinge, mat", "1/8", []),
        ("mat, hinge", "1/8", ["lies-on-another"]),
        # Less than half of the flap lies on the mat.
        ("mat, hinge", "3/4", []),
    ],
)
def test_a_hinge_goes_on_before_its_mat(order: str, leaving: str, expected: list[str]) -> None:
    done = steps("cut: all\nscore: hinge", f"attach: {order}")
    assert codes(BASE + MAT % leaving, done) == expected


def test_the_back_of_a_board_is_lined_before_it_is_glued_down() -> None:
    pieces = """
    base: {as: panel, from: night, size: 8 x 6}
    board: {as: panel, from: night, size: 4 x 4, on: base}
    lining: {as: mat, from: night, on_back: board, leaving: 1/8}
    """
    assert codes(pieces, steps("cut: all", "attach: lining, board")) == []
    assert codes(pieces, steps("cut: all", "attach: board, lining")) == ["host-covered"]

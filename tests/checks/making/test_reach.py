"""What is put on a face must come there: nothing is closed over it, or lies against it."""

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


def test_the_back_of_a_board_is_lined_before_it_is_glued_down() -> None:
    pieces = """
    base: {as: panel, from: night, size: 8 x 6}
    board: {as: panel, from: night, size: 4 x 4, on: base}
    lining: {as: mat, from: night, on_back: board, leaving: 1/8}
    """
    assert codes(pieces, steps("cut: all", "attach: lining, board")) == []
    assert codes(pieces, steps("cut: all", "attach: board, lining")) == ["host-covered"]


@pytest.mark.parametrize(
    ("size", "bottom", "expected"),
    [
        ("4 x 5", "1/8", ["host-covered"]),
        ("4 x 9", "1/8", ["host-covered"]),
        # It ends above the mouth.
        ("4 x 9", "3 3/4", []),
    ],
)
def test_what_is_in_a_pocket_is_matted_before(size: str, bottom: str, expected: list[str]) -> None:
    pieces = f"""
    base: {{as: panel, from: night, size: 8 x 12}}
    pocket: {{as: pocket, from: night, size: 6 x 4, on: base, bottom: 0,
      glue: "left, bottom, right"}}
    tag: {{as: tag, from: night, size: {size}, inside: pocket, bottom: 1/2}}
    mat: {{as: mat, from: night, on: tag, leaving: 1/8, bottom: {bottom}}}
    """
    start = "cut: all"
    assert codes(pieces, steps(start, "attach: pocket, mat", "insert: tag")) == []
    assert codes(pieces, steps(start, "attach: pocket", "insert: tag", "attach: mat")) == expected


def test_nothing_is_glued_under_a_flap_that_is_glued_down() -> None:
    pieces = """
    card: {from: night, closed: 180, across: {body: 4, flap: 4}, height: 4}
    mat: {as: mat, from: night, size: 3 x 3, on: card.body}
    """
    done = ["cut: all\nscore: card", "close: card", "attach: mat"]
    assert codes(pieces, steps(*done)) == ["host-covered"]
    assert codes(pieces, steps(done[0], done[2], done[1])) == []


def test_a_pocket_is_filled_before_its_card_is_shut_over_it() -> None:
    pieces = """
    card: {from: night, closed: 180, across: {left: 4, right: 4}, height: 6,
      seams: {left: none, right: none}}
    pocket: {as: pocket, from: night, size: 4 x 3, on: card.left, bottom: 0,
      glue: "left, bottom, right"}
    tag: {as: tag, from: night, size: 3 x 4, inside: pocket, bottom: 1/2}
    """
    start, fill, shut = ["cut: all\nscore: card", "attach: pocket"], "insert: tag", "close: card"
    assert codes(pieces, steps(*start, fill, shut)) == []
    assert codes(pieces, steps(*start, shut, fill)) == ["closed-over-place"]
    assert codes(pieces, steps(*start, shut, "open: card", fill)) == []

"""Names under ``close``, ``open`` and ``closing`` stand in the order in which it can be done.

By hand: of flaps that lap over one another, the one that closes later lies over the other.
"""

from __future__ import annotations

import pytest

from gatherfold.checks.making.stages import stages_of
from gatherfold.checks.making.written import check_written
from tests.checks.making.works_in_steps import CLOSE_WALLS, TRAY, WRAP, codes_of, steps

START = "cut: all\nscore: wrap\nfold: wrap"
ALL_THREE = "wrap.left_flap, wrap.right_flap, wrap.top_flap"


def codes(pieces: str, rest: str) -> list[str]:
    return codes_of(lambda resolved: check_written(resolved, stages_of(resolved)), pieces, rest)


@pytest.mark.parametrize(
    ("written", "closing", "expected"),
    [
        (ALL_THREE, ALL_THREE, []),
        ("wrap.top_flap, wrap.left_flap, wrap.right_flap", ALL_THREE, ["closed-in-other-order"]),
        # The right flap lies over the left one, as 'closing' has it.
        (
            "wrap.right_flap, wrap.left_flap, wrap.top_flap",
            ALL_THREE,
            ["closed-in-other-order"],
        ),
        # Which of two dry flaps closes first is only found.
        ("wrap.right_flap, wrap.left_flap, wrap.top_flap", "", []),
    ],
)
def test_what_lies_over_another_is_written_after_it(
    written: str, closing: str, expected: list[str]
) -> None:
    assert codes(WRAP, steps(START, f"close: {written}", closing=closing)) == expected


def test_walls_that_stand_close_in_any_order() -> None:
    start = "cut: all\nscore: tray\nfold: tray"
    turned_round = ", ".join(reversed(CLOSE_WALLS.split(", ")))
    assert codes(TRAY, steps(start, f"close: {CLOSE_WALLS}")) == []
    assert codes(TRAY, steps(start, f"close: {turned_round}")) == []


def test_flaps_that_do_not_meet_close_in_any_order() -> None:
    apart = WRAP.replace("left_flap: 2 1/4", "left_flap: 1").replace(
        "right_flap: 2 1/4", "right_flap: 1"
    )
    apart = apart.replace("corners: {top: notch 2 1/4 x 3}", "corners: {top: notch 1 x 3}")
    assert codes(apart, steps(START, "close: wrap.right_flap, wrap.left_flap")) == []


@pytest.mark.parametrize(
    ("closing", "expected"),
    [
        ("wrap.left_flap, wrap.right_flap, wrap.top_flap", []),
        ("wrap.top_flap, wrap.left_flap, wrap.right_flap", ["closing-in-other-order"]),
    ],
)
def test_closing_against_steps(closing: str, expected: list[str]) -> None:
    """One step for each flap: what the steps do stands, whatever ``closing`` says."""
    done = [START, "close: wrap.left_flap", "close: wrap.right_flap", "close: wrap.top_flap"]
    assert codes(WRAP, steps(*done, closing=closing)) == expected


@pytest.mark.parametrize(
    ("closing", "expected"), [("tray, lid", []), ("lid, tray", ["closing-in-other-order"])]
)
def test_a_lid_closes_over_its_tray(closing: str, expected: list[str]) -> None:
    pieces = f"""
    {TRAY.replace(chr(10), chr(10) + "    ")}
    lid: {{as: lid, from: night, fold: mountain, across: {{left: 1, panel: 4 1/8, right: 1}},
      height: 3 1/8, on: tray.base, by: panel, raised: 1, glue: none}}
    """
    done = steps("cut: all\nscore: tray, lid", f"close: {CLOSE_WALLS}", "attach: lid")
    assert codes(pieces, done.replace("steps:", f"closing: [{closing}]\nsteps:")) == expected


@pytest.mark.parametrize(
    ("done", "expected"),
    [
        (["close: wrap.left_flap", "open: wrap.left_flap", "close: wrap.left_flap"], []),
        (["close: wrap.left_flap", "close: wrap.left_flap"], ["closed-twice"]),
        (["close: wrap.left_flap", "close: all", "close: all"], []),
        (["open: wrap.left_flap", "close: all"], ["opened-unclosed"]),
        (["close: all", "open: wrap.top_flap, wrap.right_flap"], []),
        (["close: all", "open: wrap.right_flap, wrap.top_flap"], ["opened-in-other-order"]),
    ],
)
def test_what_is_closed_or_open_already(done: list[str], expected: list[str]) -> None:
    assert codes(WRAP, steps(START, *done, closing=ALL_THREE)) == expected


def test_what_is_glued_closes_over_what_it_holds() -> None:
    glued = WRAP.replace("top_flap: none", "top_flap: {left: 0}")
    order = "wrap.left_flap, wrap.right_flap"
    assert codes(glued, steps(START, f"close: {order}, wrap.top_flap")) == []
    first = steps(START, f"close: wrap.top_flap, {order}")
    assert codes(glued, first) == ["closed-in-other-order"]


def test_what_glue_holds_is_not_opened() -> None:
    glued = WRAP.replace("top_flap: none", "top_flap: {left: 0}")
    done = [START, f"close: {ALL_THREE}", "open: wrap.top_flap"]
    assert codes(glued, steps(*done)) == ["opened-glued"]
    assert codes(WRAP, steps(*done)) == []


@pytest.mark.parametrize(
    ("closing", "expected"), [("one, two", []), ("one", ["closing-incomplete"])]
)
def test_closing_names_all_of_a_kind(closing: str, expected: list[str]) -> None:
    pieces = """
    base: {as: panel, from: night, size: 8 x 4}
    one: {as: hinge, from: night, across: {flap: 1, tab: 1}, height: 2, on: base, by: tab, left: 0}
    two: {as: hinge, from: night, across: {tab: 1, flap: 1}, height: 2, on: base, by: tab, right: 0}
    """
    done = steps("cut: all\nscore: one, two", "attach: one, two", "close: all", closing=closing)
    assert codes(pieces, done) == expected


@pytest.mark.parametrize(
    ("under", "expected"), [("left_flap", []), ("right_flap", ["tucked-without-ring"])]
)
def test_a_tuck_closes_a_ring(under: str, expected: list[str]) -> None:
    """Four flaps of half the width: each over the next, the last under the first."""
    pieces = f"""
    wrap:
      as: envelope
      from: night
      closed: 180
      across: {{left_flap: 2, body: 4, right_flap: 2}}
      up: {{bottom_flap: 2, body: 4, top_flap: 2}}
      corners: {{all: notch 2 x 2}}
      seams: {{left_flap: none, right_flap: none, top_flap: none, bottom_flap: none}}
      tucks: {{top_flap: {under}}}
    """
    order = "wrap.left_flap, wrap.bottom_flap, wrap.right_flap, wrap.top_flap"
    assert codes(pieces, steps(START, f"close: {order}", closing=order)) == expected

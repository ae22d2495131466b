"""Of what is alike, one is not left out."""

from __future__ import annotations

import pytest

from gatherfold.checks.making.rows import check_rows
from gatherfold.checks.making.stages import stages_of
from tests.checks.making.works_in_steps import CLOSE_WALLS, TRAY, WRAP, codes_of, steps

START = "cut: all\nscore: tray"


def codes(pieces: str, rest: str) -> list[str]:
    return codes_of(lambda resolved: check_rows(resolved, stages_of(resolved)), pieces, rest)


@pytest.mark.parametrize(
    ("done", "expected"),
    [
        ([f"close: {CLOSE_WALLS}"], []),
        (["close: tray"], []),
        (["close: tray.left_wall, tray.right_wall, tray.front_wall"], ["section-left-open"]),
        (["close: tray.left_wall, tray.right_wall"], ["never-closed", "never-closed"]),
        (["close: tray.left_wall, tray.right_wall", "close: all"], []),
        ([], []),
    ],
)
def test_walls_that_stay_open(done: list[str], expected: list[str]) -> None:
    assert codes(TRAY, steps(START, *done)) == expected


def test_a_flap_unlike_the_others_closes_with_all() -> None:
    done = ["close: wrap.left_flap, wrap.right_flap", "close: all"]
    assert codes(WRAP, steps("cut: all\nscore: wrap", *done)) == []


def test_the_same_section_of_another_piece() -> None:
    pieces = "".join(WRAP.replace("wrap:", f"{name}:") for name in ("one", "two"))
    start = "cut: all\nscore: one, two"
    both = "close: one.top_flap, one.left_flap, one.right_flap, two.left_flap, two.right_flap"
    assert codes(pieces, steps(start, f"{both}, two.top_flap", "close: all")) == []
    assert codes(pieces, steps(start, both, "close: all")) == ["section-left-open"]


@pytest.mark.parametrize(("sense", "expected"), [("valley", []), ("mountain", ["folds-other-way"])])
def test_a_wall_that_folds_to_the_other_side(sense: str, expected: list[str]) -> None:
    tray = TRAY.replace("back_wall: 1}", f"back_wall: {{size: 1, fold: {sense}}}}}")
    assert codes(tray.partition("  tabs")[0], steps(START)) == expected


def test_a_strip_folds_to_and_fro() -> None:
    strip = (
        "strip: {from: night, across: {a: 2, b: 2, c: {size: 2, fold: mountain}, d: 2}, height: 2}"
    )
    assert codes(strip, steps("cut: all\nscore: strip")) == []


@pytest.mark.parametrize(
    ("inked", "expected"),
    [("mat_*", []), ("mat_1, mat_2", ["left-out-of-row"]), ("mat_1", []), ("base", [])],
)
def test_one_of_a_group_is_not_inked(inked: str, expected: list[str]) -> None:
    pieces = """
    base: {as: panel, from: night, size: 8 x 6}
    mats:
      each: {n: [1, 2, 3]}
      pieces: {"mat_{n}": {as: mat, from: night, size: 1 x 1, on: base, left: "{n}"}}
    """
    assert codes(pieces, steps("cut: all", f"ink: {inked}", "attach: mat_*")) == expected


@pytest.mark.parametrize(
    ("walls", "expected"),
    [
        ("front, back, left, right", []),
        ("front, back, left", ["bare-section"]),
        ("front, back", []),
    ],
)
def test_one_wall_without_a_mat(walls: str, expected: list[str]) -> None:
    mats = f"""
mats:
  each: {{wall: [{walls}]}}
  pieces: {{"{{wall}}_mat": {{as: mat, from: night, on_back: "tray.{{wall}}_wall", leaving: 1/8}}}}
"""
    assert codes(TRAY + mats, steps(START, "attach: '*_mat'")) == expected

"""What is meant to be looked at shows, and stands upright where it is looked at."""

from __future__ import annotations

import pytest

from gatherfold.checks.making.unseen import check_unseen
from gatherfold.reading import read_design
from gatherfold.resolve import resolve
from gatherfold.resolve.edition import IMPERIAL
from gatherfold.work import pierced
from tests.checks.making.works_in_steps import codes_of, steps


def codes(pieces: str, rest: str) -> list[str]:
    return codes_of(check_unseen, pieces, rest)


@pytest.mark.parametrize(
    ("relation", "seams", "expected"),
    [
        ("on_back", "{}", []),
        # Inside, under the half that is glued over it.
        ("on", "{}", ["never-seen"]),
        # Inside, under a half that opens again.
        ("on", "{flap: none}", []),
    ],
)
def test_a_label_under_what_is_glued_over_it(
    relation: str, seams: str, expected: list[str]
) -> None:
    pieces = f"""
    card: {{from: night, closed: 180, across: {{body: 4, flap: 4}}, height: 4, seams: {seams}}}
    label: {{as: tag, from: night, size: 2 x 2, {relation}: card.body}}
    """
    done = steps("cut: all\nscore: card", "attach: label", "close: card")
    assert codes(pieces, done) == expected


def test_a_mat_under_a_smaller_plate_shows() -> None:
    pieces = """
    base: {as: panel, from: night, size: 8 x 6}
    mat: {as: mat, from: night, on: base, leaving: 1/8}
    over: {as: panel, from: night, size: %s, on: base}
    """
    done = steps("cut: all", "attach: mat, over")
    assert codes(pieces % "7 x 5", done) == []
    assert codes(pieces % "8 x 6", done) == ["never-seen"]


def test_a_mat_is_not_covered_by_a_lining_that_comes_later() -> None:
    pieces = """
    base: {as: panel, from: night, size: 6 x 6}
    lining: {as: liner, from: night, size: 5 x 5, on: base}
    mat: {as: mat, from: night, size: 3 x 3, on: base}
    """
    assert codes(pieces, steps("cut: all", "attach: lining, mat")) == []
    assert codes(pieces, steps("cut: all", "attach: mat, lining")) == ["never-seen"]


def test_a_lining_over_turn_ins_is_meant_to_be_hidden() -> None:
    pieces = """
    base: {as: panel, from: night, size: 8 x 6}
    board: {as: panel, from: night, size: 4 x 4, on: base}
    cloth: {as: mat, from: night, on: board, leaving: 0}
    lining: {as: mat, from: night, on_back: board, leaving: 1/8}
    """
    assert codes(pieces, steps("cut: all", "attach: cloth, lining, board")) == []


@pytest.mark.parametrize(("relation", "expected"), [("on", []), ("on_back", ["never-seen"])])
def test_a_mat_is_not_glued_between_its_plate_and_what_that_lies_on(
    relation: str, expected: list[str]
) -> None:
    pieces = f"""
    base: {{as: panel, from: night, size: 8 x 6}}
    plate: {{as: panel, from: night, size: 4 x 2, on: base}}
    mat: {{as: mat, from: night, {relation}: plate, leaving: 1/8}}
    """
    assert codes(pieces, steps("cut: all", "attach: mat, plate")) == expected


@pytest.mark.parametrize(
    ("relation", "more", "expected"),
    [
        ("on_back", "", []),
        ("behind", "", ["print-glued-down"]),
        ("behind", ", window: {size: 2 x 2}", []),
    ],
)
def test_a_mat_shows_the_side_of_the_paper_that_it_is_cut_from(
    relation: str, more: str, expected: list[str]
) -> None:
    text = PRINTED % "" + steps("cut: all", "attach: back")
    text = text.replace("on_back", relation).replace("size: 8 x 6", f"size: 8 x 6{more}")
    text = text.replace("print: upright", "print: any")
    resolved = pierced(resolve(read_design(text.encode(), "test.yaml"), IMPERIAL))
    assert [each.code for each in check_unseen(resolved)] == expected


PRINTED = """\
title: Test
units: inch
stocks:
  night: {material: cardstock, weight: 80 lb cover, sheet: 12 in x 12 in}
  stars: {material: cardstock, weight: 80 lb cover, sheet: 12 in x 12 in,
    front: {name: stars, print: upright}}
pieces:
  base: {as: panel, from: night, size: 8 x 6}
  back: {as: mat, from: stars, on_back: base, leaving: 1/8%s}
"""


@pytest.mark.parametrize(
    ("relation", "expected"), [("on_back", []), ("on", ["sideways-elsewhere"])]
)
def test_a_print_that_is_turned_for_the_outside_of_a_card_lies_outside(
    relation: str, expected: list[str]
) -> None:
    card = f"""\
  card: {{as: card, from: night, up: {{lower: 4, upper: 4}}, width: 4, closed: 180, on: base,
    by: lower, glue: none, seams: {{upper: none}}}}
  mat: {{as: mat, from: stars, {relation}: card.upper, leaving: 1/8, turned: 180}}
"""
    done = steps("cut: all\nscore: card", "attach: mat, card", "close: card")
    text = PRINTED % "" + card + done
    resolved = pierced(resolve(read_design(text.encode(), "test.yaml"), IMPERIAL))
    assert [each.code for each in check_unseen(resolved)] == expected


@pytest.mark.parametrize(
    ("turned", "expected"), [("", []), (", turned: 180", ["sideways-elsewhere"])]
)
def test_the_back_stands_upright_when_the_work_is_turned_over(
    turned: str, expected: list[str]
) -> None:
    text = PRINTED % turned + steps("cut: all", "attach: back")
    resolved = pierced(resolve(read_design(text.encode(), "test.yaml"), IMPERIAL))
    assert [each.code for each in check_unseen(resolved)] == expected

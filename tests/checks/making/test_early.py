"""Seals, bands and ribbons come when that is there which they hold."""

from __future__ import annotations

import pytest

from gatherfold.checks.making.early import check_early
from gatherfold.checks.making.stages import stages_of
from gatherfold.reading import read_design
from gatherfold.resolve import resolve
from gatherfold.resolve.edition import IMPERIAL
from gatherfold.work import pierced
from tests.checks.joins.designs import BOX
from tests.checks.making.works_in_steps import WRAP, codes_of, steps


def codes(pieces: str, rest: str) -> list[str]:
    return codes_of(lambda resolved: check_early(resolved, stages_of(resolved)), pieces, rest)


SEAL = "seal: {as: tag, from: night, size: 1 x 1, on_back: wrap.top_flap, top: %s%s}\n"
JOINS = ", joins: {face: {on_back: wrap.left_flap}}"


@pytest.mark.parametrize(
    ("seal", "done", "expected"),
    [
        (SEAL % ("-1/2", ""), ["close: all", "attach: seal"], []),
        (SEAL % ("-1/2", ""), ["attach: seal", "close: all"], ["sealed-too-early"]),
        # It ends at the flap's edge, and holds nothing else.
        (SEAL % ("0", ""), ["attach: seal", "close: all"], []),
    ],
)
def test_a_seal_comes_after_what_it_holds(seal: str, done: list[str], expected: list[str]) -> None:
    start = "cut: all\nscore: wrap"
    assert (
        codes(WRAP + seal, steps(start, "close: wrap.left_flap, wrap.right_flap", *done))
        == expected
    )


def test_a_join_that_only_comes_about_when_all_is_closed() -> None:
    start = "cut: all\nscore: wrap"
    closed = "close: wrap.left_flap, wrap.right_flap"
    seal = WRAP + SEAL % ("-1/2", JOINS)
    assert codes(seal, steps(start, closed, "close: all", "attach: seal")) == []
    assert "joined-by-closing-all" in codes(
        seal, steps(start, closed, "attach: seal", "close: all")
    )


RIBBON = """\
title: Test
units: inch
stocks:
  night: {material: cardstock, weight: 80 lb cover, sheet: 12 in x 12 in}
  silk: {material: ribbon, width: 1/2 in}
pieces:
  base: {as: panel, from: night, size: 4 x 3}
  lid: {as: lid, from: night, size: 4 x 3, on: base, raised: 1, glue: none}
  label: {as: tag, from: night, size: 1 x 1, on: lid}
fastenings:
  tie: {kind: ribbon tie, ribbon: silk, length: 20, round: lid, left: 3/4}
"""


@pytest.mark.parametrize(
    ("last", "expected"),
    [
        (["attach: lid\nfasten: tie", "attach: label"], []),
        (["fasten: tie\nattach: lid, label"], ["tied-too-early"]),
    ],
)
def test_a_ribbon_goes_round_what_is_there(last: list[str], expected: list[str]) -> None:
    text = RIBBON + steps("cut: all", *last)
    resolved = pierced(resolve(read_design(text.encode(), "test.yaml"), IMPERIAL))
    assert [each.code for each in check_early(resolved, stages_of(resolved))] == expected


@pytest.mark.parametrize(
    ("done", "expected"),
    [
        ('attach: "note, lid", fasten: bow', []),
        ('fasten: bow, attach: "note, lid"', ["tied-too-early"]),
    ],
)
def test_a_bow_is_tied_when_the_lid_is_on(done: str, expected: list[str]) -> None:
    text = BOX.replace('attach: "note, lid", fasten: bow', done)
    resolved = pierced(resolve(read_design(text.encode(), "test.yaml"), IMPERIAL))
    assert [each.code for each in check_early(resolved, stages_of(resolved))] == expected

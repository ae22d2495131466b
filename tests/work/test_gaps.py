"""What is slid in goes over what lies beside its pocket, and into no pocket that is shut.

Facts of paper (common practice, no source): a card in a pocket lies before what the pocket is glued
on, and before what is glued beside it; a pocket glued all round takes nothing.
"""

from __future__ import annotations

from gatherfold.work import FaceKey, Work, work_of
from gatherfold.work.moments import Trouble
from tests.checks.small_designs import resolved_design

PIECES = """
back: {as: panel, from: night, size: 10 x 10}
pocket: {as: pocket, from: night, size: 6 x 4, on: back, bottom: 0, glue: "%s"}
picture: {as: photo mat, from: night, size: 4 x 4, on: back, bottom: 4 1/2}
tag: {as: tag, from: night, size: 5 x 5, inside: pocket, bottom: 1/2}
"""
STEPS = """
steps:
  - {title: Glue, text: It., attach: "pocket, picture"}
  - {title: Fill, text: It., insert: tag}
"""


def work(glue: str) -> Work:
    return work_of(resolved_design(PIECES % glue, STEPS))


def test_a_tag_lies_before_what_is_glued_beside_its_pocket() -> None:
    found = work("left, bottom, right")
    assert found.problems == ()
    tag = FaceKey("tag", "face")
    sides = {
        name: found.opened.is_above(tag, FaceKey(name, "face"))
        for name in ("back", "picture", "pocket")
    }
    assert sides == {"back": False, "picture": False, "pocket": True}


def test_a_pocket_glued_all_round_takes_nothing() -> None:
    (problem,) = work("all").problems
    assert (problem.trouble, problem.part) == (Trouble.CANNOT_GO_IN, "tag")


def test_a_card_goes_before_a_lining_that_is_glued_down_all_over() -> None:
    found = work_of(
        resolved_design(
            """
back: {as: panel, from: night, size: 10 x 10}
lining: {as: liner, from: night, size: 8 x 8, on: back}
card: {as: card, from: night, size: 5 x 5, on: back, glue: none}
""",
            """
steps:
  - {title: Glue, text: It., attach: lining}
  - {title: Fill, text: It., insert: card}
""",
        )
    )
    assert found.problems == ()
    assert found.opened.is_above(FaceKey("lining", "face"), FaceKey("card", "face"))

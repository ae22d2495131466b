"""Closed parts that pass through one another, by hand; and glue across a fold.

A tray with a base of 6 by 4 and walls of 2 stands on x 2–8, y 2–6 of its sheet; a card lies or
stands in it, raised above its base.
"""

from __future__ import annotations

import pytest

from gatherfold.checks.printing import check_across_folds
from gatherfold.checks.troubles import check_troubles
from gatherfold.findings import Finding
from tests.checks.small_designs import resolved_design

TRAY = """tray:
  as: tray
  from: night
  across: {left_wall: 2, base: 6, right_wall: 2}
  up: {front_wall: 2, base: 4, back_wall: 2}
  corners: {all: notch 2 x 2}
"""


def collisions(pieces: str) -> list[Finding]:
    return list(check_troubles(resolved_design(pieces)))


@pytest.mark.parametrize(
    ("card", "expected"),
    [
        ("size: 6 x 4, raised: 1", 0),  # from wall to wall
        ("size: 6 1/8 x 4, raised: 1", 1),
        ("size: 6 x 4 1/8, raised: 1", 1),
        ("size: 7 x 5, raised: 2", 0),  # like a lid on the edges of the walls
        ("size: 7 x 5, raised: 1 15/16", 1),
        ("size: 7 x 5", 1),  # on the base and over its folds: no wall turns up
        ("size: 4 x 2, left: 5, raised: 1", 1),  # through the right wall
        ("size: 2 x 2, left: 6, raised: 1", 1),  # over the wall that turns up
        ("size: 2 x 2, left: 8, raised: 1", 0),  # beyond it
    ],
)
def test_a_card_in_a_tray(card: str, expected: int) -> None:
    found = collisions(f"{TRAY}card: {{as: card, from: night, {card}, on: tray.base, glue: none}}")
    assert bool(found) == expected
    assert {finding.code for finding in found} <= {"collides", "cannot-turn"}
    assert all(finding.remedy and "card" in finding.about for finding in found)


def test_the_finding_says_by_how_much_and_what_to_do() -> None:
    card = (
        "card: {as: card, from: night, size: 4 x 2, left: 2 1/4, raised: 1, on: tray.base, "
        "glue: none}"
    )
    (finding,) = collisions(TRAY + card)
    assert finding.message == (
        "when all is closed, the right wall of 'tray' cannot be folded: the right wall of 'tray' "
        "would pass through 'card', by about ¼\N{NO-BREAK SPACE}in"
    )
    assert finding.remedy.startswith("Make one of them ¼\N{NO-BREAK SPACE}in smaller, or move it")


def test_a_card_may_pass_through_a_window() -> None:
    """A window from ½ to 1½ above the fold turns up over a card that reaches ¼ beyond."""
    with_window = TRAY + "  window: [{size: 1 x 3, right: 1/2}]\n"
    card = (
        "card: {as: card, from: night, size: 4 x 2, left: 2 1/4, raised: 1, on: tray.base, "
        "glue: none}"
    )
    assert collisions(with_window + card) == []
    assert len(collisions(with_window + card.replace("4 x 2", "4 x 3 1/2"))) == 1


def test_two_standing_parts() -> None:
    """A divider that stands up from the base, as wide as the tray, and one wider by ½."""
    divider = """divider: {as: insert, from: night, up: {foot: 1/2, wall: 1}, width: %s, closed: 90,
  on: tray.base, by: foot, bottom: 1}"""
    assert collisions(TRAY + divider % "6") == []
    # Its foot is glued over the folds of both walls.
    found = list(check_across_folds(resolved_design(TRAY + divider % "6 1/2")))
    assert [(each.code, each.about) for each in found] == [
        ("glued-across-fold", ("divider", "tray"))
    ] * 2


@pytest.mark.parametrize(("gusset", "expected"), [("1/2", 0), ("9/16", 1)])
def test_gussets_on_opposite_covers(gusset: str, expected: int) -> None:
    """Covers 1 apart: a gusset of each, at the same edge, may take half of that."""
    pieces = f"""
    back: {{as: panel, from: night, size: 8 x 8}}
    spine: {{as: spine, from: night, across: {{front_tab: 1, gusset: 1, back_tab: 1}}, height: 8,
      on: back, by: back_tab, left: 0}}
    front: {{as: panel, from: night, size: 8 x 8, behind: spine.front_tab, right: 0}}
    right: {{as: hinge, from: night, across: {{tab: 1, gusset: {gusset}, end: 1}}, height: 4,
      on: back, by: tab, right: 0}}
    left: {{as: hinge, from: night, across: {{end: 1, gusset: {gusset}, tab: 1}}, height: 4,
      on: front, by: tab, left: 0}}
    """
    found = collisions(pieces)
    assert [finding.code for finding in found] == ["folds-through"] * expected


def test_a_lining_that_folds_up_with_its_tray_is_nested() -> None:
    lining = """lining: {as: liner, from: night, across: {left: 1, body: 6, right: 1}, height: 4,
  closed: 90, on: tray.base, by: body}"""
    assert collisions(TRAY + lining) == []


@pytest.mark.parametrize(
    ("label", "expected"),
    [
        # The right wall begins at x 8: 6 from the base's left edge.
        ("on: tray.base, left: 4", 0),
        ("on: tray.base, left: 4 1/8", 1),
        ("on: tray.base, left: 4 1/8, glue: none", 0),
        ("on: tray.base, left: 4 1/8, glue: left", 0),
        ("on: tray.base, left: 4 1/8, glue: 'top, bottom'", 1),
        ("on_back: tray.base, left: 4 1/8", 1),
        ("on: tray.right_wall, right: 1/8", 1),
        # The score beside the right wall ends where the corners are notched, at y 2 and y 6.
        ("on: tray.base, left: 5, bottom: 4", 0),
    ],
)
def test_a_label_two_by_one_across_a_fold(label: str, expected: int) -> None:
    pieces = f"{TRAY}label: {{as: panel, from: night, size: 2 x 1, {label}}}"
    found = list(check_across_folds(resolved_design(pieces)))
    assert [finding.code for finding in found] == ["glued-across-fold"] * expected


def test_a_piece_with_a_fold_of_its_own_there_may_go_on() -> None:
    liner = """liner: {as: liner, from: night, across: {body: 2, side: 1}, height: 3,
  on: tray.base, by: body, right: 0}"""
    assert list(check_across_folds(resolved_design(TRAY + liner))) == []

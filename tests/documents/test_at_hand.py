"""What stands under "At hand": pieces, the very supplies, tools with their sizes."""

from __future__ import annotations

import pytest

from gatherfold.documents.steps_text import step_html, things_at_hand, tools_at_hand, tools_to_have
from gatherfold.reading import read_design
from gatherfold.resolve import ResolvedDesign, resolve
from gatherfold.resolve.edition import IMPERIAL
from gatherfold.wording import load_wording
from gatherfold.work import pierced

TEXT = """\
title: Needed
units: inch
stocks:
  card: {material: cardstock, sheet: 12 in x 12 in}
  silk: {material: ribbon, width: 1/4 in, name: Red silk}
supplies:
  roll: {kind: tape, width: 1/4 in, name: Wide tape}
  pad: {kind: ink, name: Blue pad}
pieces:
  base: {as: panel, from: card, size: 8 x 6, corners: {all: round 1/2}}
  each_mat:
    as: mat
    from: card
    size: 1 x 1
    count: 2
    corners: {all: round 1/4}
    on: base
  tag: {as: tag, from: card, size: 2 x 3, hole: {diameter: 1/4, top: 3/8}}
  many:
    as: card
    from: card
    size: 1 x 2
fastenings:
  tie: {kind: ribbon tie, ribbon: silk, length: 10, allowance: 1}
steps:
  - {title: Cut, text: Cut., cut: all}
  - {title: Ink, text: Ink., ink: "*"}
  - {title: Glue, text: "Lay the [base] down and glue the [each_mat] on.", attach: each_mat}
  - {title: Tie, text: Tie it., fasten: tie}
"""


def at_hand(resolved: ResolvedDesign) -> list[tuple[tuple[str, ...], tuple[str, ...]]]:
    wording = load_wording()
    return [
        (things_at_hand(step, resolved, wording), tools_at_hand(step, resolved, wording))
        for step in resolved.design.steps
    ]


@pytest.fixture(scope="module")
def resolved() -> ResolvedDesign:
    return pierced(resolve(read_design(TEXT.encode(), "needed.yaml"), IMPERIAL))


def test_the_piece_worked_on_and_the_adhesive_by_its_name(resolved: ResolvedDesign) -> None:
    _, _, glue, _ = at_hand(resolved)
    assert glue == (("Base (A1)", "Each mat (A2)"), ("Wide tape",))


def test_ink_and_ribbon_are_called_as_the_supplies_call_them(resolved: ResolvedDesign) -> None:
    _, ink, _, tie = at_hand(resolved)
    assert ink[1] == ("Blue pad",)
    assert tie[0] == ("Red silk",)


def test_what_is_cut_is_not_at_hand_yet_and_tools_say_their_sizes(
    resolved: ResolvedDesign,
) -> None:
    (things, tools), *_ = at_hand(resolved)
    assert things == ()
    plain = [tool.replace("\u00a0", " ") for tool in tools]
    assert "Corner rounder, or a coin and scissors: radius ¼ in and ½ in" in plain
    assert "Hole punch: ¼ in across" in plain


def test_many_pieces_are_listed_by_their_codes() -> None:
    rows = "\n".join(
        f"  p{n}: {{as: mat, from: card, size: 1 x 1, on: base, left: {n}}}" for n in range(6)
    )
    text = TEXT.replace("fastenings:", f"{rows}\nfastenings:")
    _, ink, _, _ = at_hand(pierced(resolve(read_design(text.encode(), "needed.yaml"), IMPERIAL)))
    assert ink[0] == ("A1, A2, A3, A4, A5, A6, A7, A8, A9, A10",)


def test_an_adhesive_that_is_no_supply_is_a_tool_to_have(resolved: ResolvedDesign) -> None:
    """Whatever a step asks for stands on one of the two lists."""
    wording = load_wording()
    assert "Adhesive" not in tools_to_have(resolved, wording)
    text = TEXT.replace("  roll: {kind: tape, width: 1/4 in, name: Wide tape}\n", "")
    bare = pierced(resolve(read_design(text.encode(), "needed.yaml"), IMPERIAL))
    assert "Adhesive" in tools_to_have(bare, wording)
    assert at_hand(bare)[2][1] == ("Adhesive",)


@pytest.mark.parametrize(
    ("parts", "said"),
    [(("steps", "sheet_maps"), "by their maps"), (("steps",), "no sheet maps")],
)
def test_how_to_cut_depends_on_the_parts_of_the_layout(
    resolved: ResolvedDesign, parts: tuple[str, ...], said: str
) -> None:
    cut, ink, *_ = resolved.design.steps
    text = step_html(cut, resolved, load_wording(), parts)
    assert said in text and text.endswith("<p>Cut.</p>\n")
    assert step_html(ink, resolved, load_wording(), parts) == "<p>Ink.</p>\n"


LATCHED = TEXT.replace(
    "fastenings:\n",
    "  turn:\n    as: tab\n    from: card\n    size: 2 x 1\n    on: base\n    glue: none\n"
    "fastenings:\n  stud:\n    kind: brad\n    head: 1/4 in\n    leg: 3/8 in\n"
    "    through: turn, base\n    holds: tie\n",
).replace(
    "  - {title: Tie",
    "  - {title: Latch, text: Turn., attach: turn, fasten: stud}\n  - {title: Tie",
)


def test_what_only_turns_on_a_brad_asks_for_no_tape_and_a_brad_for_what_it_holds() -> None:
    latched = pierced(resolve(read_design(LATCHED.encode(), "latched.yaml"), IMPERIAL))
    things, tools = at_hand(latched)[3]
    assert "Red silk" in things
    assert "Wide tape" not in tools and "Wide tape" in at_hand(latched)[2][1]

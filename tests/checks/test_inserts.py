"""Ways in and out of a pocket, on a panel of 10 by 10 with a pocket of 6 by 4 at its lower edge.

By hand, in inches: the pocket covers x 2–8 and y 0–4; tape ¼ wide runs along its left, bottom
and right edges, so a tag 5 wide and 5 high that stands on ½ has a lane x 2½–7½ and, to come
clear of the pocket, moves 3½ up: its lane ends at y 9.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from gatherfold import check_design, read_text
from gatherfold.checks.inserts import check_inserts
from gatherfold.findings import Finding, Severity
from tests.checks.small_designs import resolved_design

POCKET = "pocket: {as: pocket, from: night, size: 6 x 4, on: back, bottom: 0, glue: %s}"
TAG = "tag: {as: tag, from: night, size: 5 x 5, inside: pocket, bottom: 1/2}"
SIDES = "'left, bottom, right'"


def findings(
    *pieces: str, pocket: str = POCKET % SIDES, tag: str = TAG, fastening: str = ""
) -> list[Finding]:
    lines = ["back: {as: panel, from: night, size: 10 x 10}", pocket, tag, *pieces]
    rest = f"fastenings:\n  brad: {{{fastening}}}\n" if fastening else ""
    rest += made("pocket", "tag", *(line.partition(":")[0] for line in pieces))
    return list(check_inserts(resolved_design("\n".join(lines), rest)))


def made(pocket: str, tag: str, *later: str) -> str:
    """Steps in which the tag is slid in before what is glued on later."""
    last = f"  - {{title: Rest, text: It., attach: [{', '.join(later)}]}}\n" if later else ""
    return f"""steps:
  - {{title: Pocket, text: It., attach: {pocket}}}
  - {{title: Tag, text: It., insert: {tag}}}
{last}"""


def codes(*pieces: str, **more: str) -> list[str]:
    return [finding.code for finding in findings(*pieces, **more)]


def test_a_free_lane_is_no_finding() -> None:
    assert codes() == []


@pytest.mark.parametrize(
    ("glue", "expected"),
    [
        ("all", ["closed-pocket"]),
        ("'left, right, top, bottom'", ["closed-pocket"]),
        ("'left, top, right'", ["glued-mouth"]),
        ("'left, right'", []),
        ("'bottom, top'", ["glued-mouth"]),
        ("none", []),
    ],
)
def test_where_the_pocket_is_glued(glue: str, expected: list[str]) -> None:
    assert codes(pocket=POCKET % glue) == expected


def test_a_tag_wholly_inside_slides_out_sideways() -> None:
    short = "tag: {as: tag, from: night, size: 5 x 3, inside: pocket}"
    assert codes(pocket=POCKET % "'bottom, top'", tag=short) == []


def test_a_dry_corner_too_narrow_for_the_tag_holds_it() -> None:
    """Only 3 of the 6 inches of the top edge are dry, and the tag is 5 wide."""
    pocket = POCKET % "'left, bottom, right, top', keep_off: {top left: 3 x 1}"
    short = "tag: {as: tag, from: night, size: 5 x 3, inside: pocket}"
    (finding,) = findings(pocket=pocket, tag=short)
    assert finding.code == "path-blocked"
    assert "adhesive of 'pocket'" in finding.message


def test_a_dry_edge_wide_enough_lets_it_out() -> None:
    pocket = POCKET % "'left, bottom, right, top', keep_off: {top left: 5 3/4 x 1}"
    narrow = "tag: {as: tag, from: night, size: 5 x 5, inside: pocket, left: 1/2, bottom: 1/2}"
    assert codes(pocket=pocket, tag=narrow) == []


@pytest.mark.parametrize(
    ("place", "expected"),
    [
        ("bottom: 1/4", []),
        ("bottom: 3/16", ["insert-on-glue"]),
        ("bottom: 1/2, left: 1/4", []),
        ("bottom: 1/2, left: 3/16", ["insert-on-glue"]),
        ("bottom: 1/2, right: 3/16", ["insert-on-glue"]),
    ],
)
def test_resting_on_the_tape(place: str, expected: list[str]) -> None:
    assert (
        codes(tag=f"tag: {{as: tag, from: night, size: 5 x 5, inside: pocket, {place}}}")
        == expected
    )


@pytest.mark.parametrize(
    ("label", "expected"),
    [
        # Within the lane, over the tag at rest (y to 5½).
        ("on: back, left: 4, bottom: 5", ["path-blocked"]),
        # Beside the lane: x 8–9.
        ("on: back, left: 8, bottom: 5", []),
        # Touching the lane's edge, x 7½.
        ("on: back, left: 7 1/2, bottom: 5", []),
        # Glued down over the mouth, y 3½–4½.
        ("on: back, left: 4, bottom: 3 1/2", ["mouth-covered"]),
        # On the pocket and within it.
        ("on: pocket, bottom: 1", []),
        # On the pocket and over its mouth.
        ("on: pocket, bottom: 3 1/2", ["mouth-covered"]),
        # Over the mouth, but its adhesive beside the lane.
        ("on: back, left: 7 1/2, bottom: 3 1/2", []),
        # Laid loose over the tag.
        ("on: back, left: 4, bottom: 5, glue: none", []),
        # On the tag itself: it moves along.
        ("on: tag, top: 0", []),
        # On the outside.
        ("on_back: back, left: 4, bottom: 3 1/2", []),
    ],
)
def test_a_label_of_one_by_one_laid_later(label: str, expected: list[str]) -> None:
    assert codes(f"label: {{as: panel, from: night, size: 1 x 1, {label}}}") == expected


def test_a_strap_glued_at_both_ends_lets_the_tag_through() -> None:
    strap = "strap: {as: strip, from: night, size: 7 x 1, on: back, bottom: 3 1/2, glue: %s}"
    assert codes(strap % "'left, right'") == []
    assert codes(strap % "top") == ["mouth-covered"]


def test_what_only_the_moving_tag_would_meet_is_a_warning() -> None:
    """The tag at rest ends at y 5½, and its lane at y 9."""
    label = "label: {as: panel, from: night, size: 1 x 1, on: back, left: 4, bottom: %s}"
    (finding,) = findings(label % "7")
    assert (finding.code, finding.severity) == ("path-blocked", Severity.WARNING)
    assert findings(label % "9") == []


@pytest.mark.parametrize(
    ("fastening", "expected"),
    [
        # Through pocket and base: the shaft stands in the lane.
        ("kind: brad, head: 1/4 in, leg: 3/8 in, through: [pocket, back]", ["path-blocked"]),
        # Prongs behind the pocket, ⅜ long, at x 2¼: they reach 2⅝, into the lane.
        ("kind: brad, head: 1/4 in, leg: 3/8 in, through: pocket, left: 1/4", ["path-blocked"]),
        # At x 2⅛ they reach 2½ and touch the lane only.
        ("kind: brad, head: 1/4 in, leg: 3/8 in, through: pocket, left: 1/8", []),
        # A head on the base, ⅛ each way: from x 2⅜ it touches the lane, from 2 7/16 it is in it.
        ("kind: brad, head: 1/4 in, leg: 3/8 in, through: back, left: 2 3/8, bottom: 2", []),
        (
            "kind: brad, head: 1/4 in, leg: 3/8 in, through: back, left: 2 7/16, bottom: 2",
            ["path-blocked"],
        ),
        # Beyond the end of the lane.
        ("kind: brad, head: 1/4 in, leg: 3/8 in, through: back, bottom: 9 1/4", []),
    ],
)
def test_a_brad(fastening: str, expected: list[str]) -> None:
    assert codes(fastening=fastening) == expected


def test_a_layer_over_the_head_covers_it() -> None:
    pieces = """
    back: {as: panel, from: night, size: 10 x 10}
    mat: {as: mat, from: night, %s, on: back}
    pocket: {as: pocket, from: night, size: 6 x 4, on: mat, bottom: 0, glue: "left, bottom, right"}
    tag: {as: tag, from: night, size: 5 x 5, inside: pocket, bottom: 1/2}
    """
    brad = """
    fastenings:
      brad: {kind: brad, head: 1/4 in, leg: 3/8 in, through: back, bottom: 2}
    """
    whole, with_window = "size: 10 x 10", "size: 10 x 10, window: [{size: 1 x 1, bottom: 1 1/2}]"
    assert list(check_inserts(resolved_design(pieces % whole, brad))) == []
    (finding,) = check_inserts(resolved_design(pieces % with_window, brad))
    assert (finding.code, finding.about) == ("path-blocked", ("tag", "pocket", "brad"))


def test_a_pocket_on_the_back_is_looked_at_from_its_own_side() -> None:
    pieces = """
    back: {{as: panel, from: night, size: 10 x 10}}
    pocket:
      {{as: pocket, from: night, size: 6 x 4, on_back: back, bottom: 0, glue: "{glue}"}}
    tag: {{as: tag, from: night, size: 5 x 5, inside: pocket, {side}: 1/2, bottom: 1/2}}
    label: {{as: panel, from: night, size: 1 x 1, on_back: back, left: 4, bottom: 5}}
    """
    sound = pieces.format(glue="left, bottom, right", side="left")
    (finding,) = check_inserts(resolved_design(sound, made("pocket", "tag", "label")))
    assert finding.code == "path-blocked" and "over its top edge" in finding.message
    sideways = pieces.replace("size: 5 x 5", "size: 6 x 3").replace("bottom: 5", "bottom: 1")
    sideways = sideways.format(glue="top, bottom, left", side="left")
    (finding,) = check_inserts(
        resolved_design(sideways.replace("left: 4", "left: 7 1/2"), made("pocket", "tag", "label"))
    )
    assert finding.code == "mouth-covered" and "across the right edge" in finding.message


def test_what_was_put_in_its_pocket_only_when_all_was_closed_is_looked_at_then() -> None:
    """Its pocket is no part of the work at rest: asking for it there stopped a check."""
    text = (Path(__file__).parents[1] / "designs/concertina-boards.yaml").read_text()
    changed = text.replace(
        "    on_back: front_board\n    by: p1", "    inside: front_board\n    by: p1"
    )
    assert changed != text
    (check,) = check_design(read_text(changed), editions=["imperial"]).editions
    assert "length_a" in {name for each in check.findings for name in each.about}

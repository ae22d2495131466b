"""A tab of 3 by 1 that turns at ½ from its left end, in the middle of a panel of 20 by 20.

By hand, in inches: the tab covers x 8½–11½ and y 9½–10½, the pivot lies at (9, 10).  Its far
corners lie 2½ along and ½ across, so it sweeps a disc whose radius squared is 6½ (about 2.55).
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from gatherfold.checks.moving import check_moving, swept_radius
from gatherfold.findings import Finding
from gatherfold.geometry.outline import Arc, Box, Outline, Point, Segment, circle, rectangle
from gatherfold.lengths import INCH
from tests.checks.small_designs import resolved_design

TAB = "tab: {as: tab, from: night, size: 3 x 1, on: back, left: 8 1/2, glue: none}"
PIVOT = "{kind: brad, head: 1/4 in, leg: 3/8 in, through: [tab, back], left: 1/2, pivot: yes%s}"


def findings(*pieces: str, tab: str = TAB, rest: str = "", holds: str = "") -> list[Finding]:
    lines = ["back: {as: panel, from: night, size: 20 x 20}", *pieces[:-1], tab, *pieces[-1:]]
    pivot = PIVOT % (f", holds: {holds}" if holds else "")
    return list(
        check_moving(resolved_design("\n".join(lines), f"fastenings:\n  pivot: {pivot}\n{rest}"))
    )


STEPS = """steps:
  - {title: Label, text: It., attach: label}
  - {title: Tab, text: It., attach: tab, fasten: pivot}
"""


def codes(*pieces: str, tab: str = TAB, rest: str = "", holds: str = "") -> list[str]:
    return [finding.code for finding in findings(*pieces, tab=tab, rest=rest, holds=holds)]


def test_a_free_tab_is_no_finding() -> None:
    assert codes() == []


@pytest.mark.parametrize("glue", ["all", "left"])
def test_a_glued_tab(glue: str) -> None:
    assert codes(tab=TAB.replace("none", glue)) == ["glued-moving-part"]


@pytest.mark.parametrize(
    ("left", "bottom", "expected"),
    [
        # Over the end of the tab, x 11½.
        ("11 1/4", "9 1/2", ["sweep-blocked"]),
        # Beside it: the tab swings over it, as over any mat.
        ("11 1/2", "9 1/2", []),
        # Over one corner of the tab, and beside it.
        ("11 1/4", "10 1/4", ["sweep-blocked"]),
        ("11 1/4", "10 1/2", []),
    ],
)
def test_a_label_glued_down_later(left: str, bottom: str, expected: list[str]) -> None:
    label = f"label: {{from: night, size: 1 x 1, on: back, left: {left}, bottom: {bottom}}}"
    assert codes(label) == expected
    assert codes(label.replace("size", "glue: none, size")) == []


def test_a_label_glued_down_before_the_tab_is_swung_over() -> None:
    label = "label: {from: night, size: 1 x 1, on: back, left: 11}"
    assert codes(label, "", rest=STEPS) == []


def test_a_label_on_the_tab_turns_with_it() -> None:
    assert codes("label: {from: night, size: 1 x 1, on: tab}") == []


@pytest.mark.parametrize(
    ("place", "expected"),
    [
        # Heads are ¼ across: the disc is met until 2.55 + ⅛ = 2.67.
        ("left: 11 5/8, bottom: 10", ["sweep-blocked"]),
        ("left: 11 11/16, bottom: 10", []),
    ],
)
def test_a_brad_beside_the_tab(place: str, expected: list[str]) -> None:
    rest = f"  brad: {{kind: brad, head: 1/4 in, leg: 3/8 in, through: back, {place}}}\n"
    assert codes(rest=rest) == expected
    assert codes("mat: {as: mat, from: night, on: back, size: 9 x 9}", "", rest=rest) == []


FLAP = """hinge: {{as: hinge, from: night, across: {{cover_tab: 1, gusset: 1/4, flap_tab: 1}},
  height: 10, on: back, by: cover_tab, right: 0}}
flap: {{as: flap, from: night, size: {width} x 10, behind: hinge.flap_tab, left: 0}}"""


@pytest.mark.parametrize(
    ("width", "expected"),
    [
        # Closed, the flap reaches from x 20 back to 20 - width; the tab reaches 11½ at most.
        ("8", ["closure-misses"]),
        ("8 1/2", ["closure-misses"]),
        ("8 9/16", []),
        # At a quarter turn the tab covers x 8½–9½; from there on it never lets go.
        ("10 1/2", []),
        ("10 9/16", ["closure-always-holds"]),
        # The head reaches x 9⅛.
        ("10 7/8", ["closure-always-holds"]),
        ("10 15/16", ["closure-covered", "closure-always-holds"]),
    ],
)
def test_a_tab_that_holds_a_flap(width: str, expected: list[str]) -> None:
    pieces = FLAP.format(width=width)
    assert codes(pieces, "", holds="flap") == expected


def test_the_missing_length() -> None:
    (finding,) = findings(FLAP.format(width="8"), "", holds="flap")
    assert "½\N{NO-BREAK SPACE}in is missing" in finding.message
    assert finding.remedy.startswith("Make 'tab' ¾\N{NO-BREAK SPACE}in longer")


def test_a_flap_that_closes_first_must_leave_the_pivot_free() -> None:
    top = """top_hinge: {as: hinge, from: night, up: {cover_tab: 1, gusset: 1/8, flap_tab: 1},
  width: 10, on: back, by: cover_tab, top: 0}
top_flap: {as: flap, from: night, size: 10 x 10 1/2, behind: top_hinge.flap_tab, bottom: 0}"""
    pieces = FLAP.format(width="9") + "\n" + top
    first = "closing: [top_hinge, hinge]\n"
    (finding,) = findings(pieces, "", holds="flap", rest=first)
    assert finding.code == "closure-covered" and "'top_flap'" in finding.message
    assert codes(pieces, "", holds="flap", rest="closing: [hinge, top_hinge]\n") == []


def point(x: int, y: int) -> Point:
    return Point(Fraction(x), Fraction(y))


@pytest.mark.parametrize(
    ("outline", "pivot", "expected"),
    [
        (rectangle(Box(Fraction(0), Fraction(0), Fraction(4), Fraction(2))), point(1, 1), 10),
        # The far point of a circle, straight beyond its centre.
        (circle(point(0, 0), Fraction(3)), point(-2, 0), 25),
        (circle(point(0, 0), Fraction(3)), point(0, 2), 25),
        # A quarter of a disc from its own centre: every point of the arc is as far.
        (
            Outline(
                (
                    Segment(point(0, 0), point(5, 0)),
                    Arc(point(5, 0), point(0, 5), point(0, 0), False),
                    Segment(point(0, 5), point(0, 0)),
                )
            ),
            point(0, 0),
            25,
        ),
    ],
)
def test_the_radius_of_a_sweep(outline: Outline, pivot: Point, expected: int) -> None:
    assert swept_radius(outline, pivot) ** 2 == pytest.approx(expected)


def test_a_tab_with_round_ends_sweeps_less_than_its_corners() -> None:
    """Rounded by ½, its far end is 2½ from the pivot and no more."""
    round_tab = TAB.replace("glue", "corners: {all: round 1/2}, glue")
    tab = resolved_design(f"back: {{from: night, size: 20 x 20}}\n{round_tab}").pieces["tab"]
    radius = swept_radius(tab.outline, Point(INCH / 2, INCH / 2))
    assert radius == pytest.approx(float(INCH * 5 / 2))

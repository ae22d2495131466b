"""Where pieces lie on one another, on small designs: each rule with a case near it."""

from __future__ import annotations

import pytest

from gatherfold.checks.shapes import check_shapes
from tests.checks.small_designs import resolved_design


def found(pieces: str, steps: str, rest: str = "") -> dict[str, tuple[str, ...]]:
    """The codes of the findings, with the parts that the last of each is about."""
    resolved = resolved_design(pieces, f"{rest}\nsteps:\n{steps}")
    return {each.code: each.about for each in check_shapes(resolved)}


_ATTACH = "  - {title: All, text: All., attach: [%s]}"


@pytest.mark.parametrize(
    ("corners", "codes"),
    [
        ("round 1/4", set()),
        ("round 1", {"corner-stands-out"}),
        ("mitre 1/8", set()),
        ("mitre 1", {"corner-stands-out"}),
    ],
)
def test_a_mat_keeps_within_the_corners_of_its_plate(corners: str, codes: set[str]) -> None:
    pieces = f"""
        plate: {{as: panel, from: night, size: 4 x 3, corners: {{all: {corners}}}}}
        mat: {{as: mat, from: night, on: plate, leaving: 1/8}}
    """
    assert set(found(pieces, _ATTACH % "mat")) == codes


@pytest.mark.parametrize(("top", "codes"), [("3/4", set()), ("1/8", {"notch-covered"})])
def test_a_mat_keeps_off_a_thumb_notch(top: str, codes: set[str]) -> None:
    pieces = f"""
        base: {{as: panel, from: night, size: 6 x 6}}
        pocket: {{as: pocket, from: night, size: 5 x 3, thumb_notch: {{top: 1/2}}, on: base,
                  bottom: 0, glue: "left, bottom, right"}}
        mat: {{as: mat, from: night, on: pocket, leaving: 1/8, top: {top}}}
    """
    assert set(found(pieces, _ATTACH % "pocket, mat")) == codes


@pytest.mark.parametrize(
    ("mat", "codes"),
    [
        ("top: 1", set()),
        ("top: 1/8", {"hole-covered"}),
        ("top: 1/8, hole: {diameter: 1/4, top: 1/4}", set()),
    ],
)
def test_a_mat_keeps_off_a_hole(mat: str, codes: set[str]) -> None:
    pieces = f"""
        tag: {{as: tag, from: night, size: 2 x 4, hole: {{diameter: 1/4, top: 3/8}}}}
        mat: {{as: mat, from: night, on: tag, leaving: 1/8, {mat}}}
    """
    assert set(found(pieces, _ATTACH % "mat")) == codes


@pytest.mark.parametrize(
    ("place", "codes"),
    [("bottom: 1/2", set()), ("bottom: 4", {"overhang"}), ("top: -1/2", set())],
)
def test_what_has_room_on_its_host_reaches_beyond_it_only_where_that_is_said(
    place: str, codes: set[str]
) -> None:
    pieces = f"""
        base: {{as: panel, from: night, size: 4 x 5}}
        plate: {{as: panel, from: night, size: 2 x 2, on: base, {place}}}
    """
    # What stands out of the closed work is another finding.
    assert set(found(pieces, _ATTACH % "plate")) - {"sticks-out"} == codes


_HINGES = """
    base: {{as: panel, from: night, size: 8 x 8}}
    side: {{as: hinge, from: night, across: {{a: 3/4, gap: 1/4, b: 3/4}}, height: 7, on: base,
            by: a, right: 0}}
    upper: {{as: hinge, from: night, up: {{a: 3/4, gap: 1/4, b: 3/4}}, width: 7, on: base, by: a,
             top: 0, corners: {{all: {corners}}}}}
"""


@pytest.mark.parametrize(
    ("corners", "codes"), [("mitre 1/2", set()), ("mitre 1/16", {"tabs-overlap"})]
)
def test_tabs_clear_one_another_at_a_corner(corners: str, codes: set[str]) -> None:
    pieces = _HINGES.format(corners=corners)
    assert set(found(pieces, _ATTACH % "side, upper")) - {"sticks-out"} == codes


@pytest.mark.parametrize(
    ("order", "codes"), [("hinge, mat", set()), ("mat, hinge", {"tab-over-mat"})]
)
def test_a_mat_is_glued_over_a_tab(order: str, codes: set[str]) -> None:
    pieces = """
        base: {as: panel, from: night, size: 8 x 8}
        hinge: {as: hinge, from: night, across: {a: 3/4, gap: 1/4, b: 3/4}, height: 7, on: base,
                by: a, right: 0}
        mat: {as: mat, from: night, on: base, leaving: 1/8}
    """
    assert set(found(pieces, _ATTACH % order)) - {"sticks-out"} == codes


@pytest.mark.parametrize(
    ("plate", "codes"),
    [
        ("on: base, left: 1/2", set()),
        ("on: base, left: 3", {"laid-over"}),
        ("on: lining, left: 1/4", set()),
        ("on_back: base, left: 3", set()),
    ],
)
def test_a_plate_lies_beside_a_lining_or_is_laid_on_it(plate: str, codes: set[str]) -> None:
    pieces = f"""
        base: {{as: panel, from: night, size: 8 x 8}}
        lining: {{as: liner, from: night, size: 4 x 6, on: base, right: 1/2}}
        plate: {{as: panel, from: night, size: 2 x 2, {plate}}}
    """
    assert set(found(pieces, _ATTACH % "lining, plate")) == codes


@pytest.mark.parametrize(("second", "codes"), [("3", set()), ("1", {"same-place"})])
def test_two_like_pieces_lie_in_two_places(second: str, codes: set[str]) -> None:
    pieces = f"""
        base: {{as: panel, from: night, size: 8 x 8}}
        one: {{as: panel, from: night, size: 2 x 1, on: base, bottom: 1}}
        two: {{as: panel, from: night, size: 2 x 1, on: base, bottom: {second}}}
    """
    assert set(found(pieces, _ATTACH % "one, two")) == codes


_POCKET = """
    base: {{as: panel, from: night, size: 6 x 8}}
    pocket: {{as: pocket, from: night, size: 5 x 4, on: base, bottom: 0, {pocket}}}
    tag: {{as: tag, from: night, size: 3 x {height}, inside: pocket, bottom: {bottom}}}
"""
_SHOWS = 'glue: "left, bottom, right"'


@pytest.mark.parametrize(
    ("pocket", "height", "bottom", "code"),
    [
        (_SHOWS, "5", "1/4", ""),
        (_SHOWS, "3 1/2", "1/4", "insert-lost"),
        (f"{_SHOWS}, thumb_notch: {{top: 1/2}}", "3 1/2", "1/4", ""),
        (f"{_SHOWS}, thumb_notch: {{bottom: 1/2}}", "5", "1/4", "notch-on-glued-edge"),
        ('glue: "left, bottom"', "5", "1/4", "pocket-open"),
        ('glue: "left, top, right"', "5", "-2", "pocket-upside-down"),
        (_SHOWS, "8 1/4", "1/4", "sticks-out"),
    ],
)
def test_a_pocket_holds_what_is_in_it_and_lets_it_be_taken(
    pocket: str, height: str, bottom: str, code: str
) -> None:
    pieces = _POCKET.format(pocket=pocket, height=height, bottom=bottom)
    steps = (_ATTACH % "pocket") + "\n  - {title: In, text: In., insert: tag}"
    codes = set(found(pieces, steps))
    assert code in codes if code else not codes

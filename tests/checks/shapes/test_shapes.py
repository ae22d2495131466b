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


@pytest.mark.parametrize(("side", "codes"), [("on_back", set()), ("on", {"tab-over-mat"})])
def test_no_tab_is_glued_onto_a_mat(side: str, codes: set[str]) -> None:
    pieces = f"""
        tray:
          as: tray
          from: night
          across: {{left: 1, base: 4, right: 1}}
          up: {{front: 1, base: 3, back: 1}}
          corners: {{all: notch 1 x 1}}
          tabs:
            left: {{top: 1/2, bottom: 1/2, taper: 1/8}}
            right: {{top: 1/2, bottom: 1/2, taper: 1/8}}
        mat: {{as: mat, from: night, {side}: tray.front, leaving: 1/8}}
    """
    steps = (_ATTACH % "mat") + "\n  - {title: Up, text: Up., close: tray}"
    assert set(found(pieces, steps)) == codes


@pytest.mark.parametrize(
    ("window", "codes"),
    [
        ("size: 2 x 2, left: 1", set()),
        ("size: 2 x 2, left: 1/16", {"window-near-edge"}),
        ("size: 2 x 2, left: 3", {"window-across-fold"}),
    ],
)
def test_a_window_is_cut_within_one_section(window: str, codes: set[str]) -> None:
    pieces = f"""
        card: {{as: card, from: night, across: {{left: 4, right: 4}}, height: 5,
                window: {{{window}, top: 1}}}}
    """
    assert set(found(pieces, "  - {title: Cut, text: Cut., cut: card}")) == codes


_CORNERS = """
    board: {{as: panel, from: night, size: 4 x 5}}
    paper:
      as: piece
      from: night
      fold: mountain
      closed: 180
      across: {{left: 1/2, middle: 4, right: 1/2}}
      up: {{bottom: 1/2, middle: 5, top: 1/2}}
      corners:
        all: notch 1/2 x 1/2
        left left: mitre 1/2
        right right: mitre 1/2
        top top: mitre 1/2
        {last}
      on: board
      by: middle
"""


@pytest.mark.parametrize(
    ("last", "codes"),
    [
        ("bottom bottom: mitre 1/2", set()),
        ("bottom bottom left: mitre 1/2", {"turn-ins-overlap"}),
    ],
)
def test_margins_meet_at_their_corners(last: str, codes: set[str]) -> None:
    steps = (_ATTACH % "paper") + "\n  - {title: In, text: In., close: paper}"
    assert set(found(_CORNERS.format(last=last), steps)) == codes


@pytest.mark.parametrize(("margin", "codes"), [("2", set()), ("2 1/8", {"margins-overlap"})])
def test_margins_of_both_sides_stay_beside_one_another(margin: str, codes: set[str]) -> None:
    """A board of 4 in has room for two of 2 in."""
    pieces = f"""
    board: {{as: panel, from: night, size: 4 x 5}}
    paper:
      as: piece
      from: night
      fold: mountain
      closed: 180
      across: {{left: {margin}, middle: 4, right: {margin}}}
      height: 5
      on: board
      by: middle
"""
    steps = (_ATTACH % "paper") + "\n  - {title: In, text: In., close: paper}"
    assert set(found(pieces, steps)) == codes


_BAND = """
    case: {{as: panel, from: night, across: {{front: 4, spine: 1/2, back: 4}}, height: 6}}
    plate: {{as: panel, from: night, size: 2 x 1, on_back: case.front, top: 1/2}}
    band:
      as: band
      from: night
      across: {{left_lap: 3, left_side: 5/8, run: 4 1/8, right_side: 5/8, right_lap: 3}}
      height: 1 1/2
      joins: {{right_lap: {{behind: band.left_lap, glue: right}}}}
      behind: case.back
      by: run
      bottom: {bottom}
      glue: none
    label: {{as: tag, from: night, size: 1 x 1, {side}: band.right_lap}}
"""


@pytest.mark.parametrize(
    ("bottom", "side", "codes"),
    [
        ("1", "on_back", set()),
        ("3 1/2", "on_back", {"band-over-plate"}),
        ("5", "on_back", {"sticks-out", "band-over-plate"}),
        ("1", "on", {"label-inside-band"}),
    ],
)
def test_a_band_goes_round_clear_of_all(bottom: str, side: str, codes: set[str]) -> None:
    steps = "\n".join(
        [
            _ATTACH % "plate",
            "  - {title: Shut, text: Shut., close: case}",
            _ATTACH % "band",
            "  - {title: Round, text: Round., close: band}",
            _ATTACH % "label",
        ]
    )
    assert set(found(_BAND.format(bottom=bottom, side=side), steps)) == codes


_WALLS = """
    tray:
      as: tray
      from: night
      across: {{left: 1, base: 4, right: 1}}
      up: {{front: 1, base: 4, back: 1}}
      corners: {{all: notch 1 x 1}}
    mats:
      each: {each}
      pieces:
        "{{wall}}_mat": {{as: mat, from: night, on_back: "tray.{{wall}}", leaving: "{{reveal}}"}}
"""
_ALL_WALLS = ("left", "right", "front", "back")


@pytest.mark.parametrize(
    ("reveals", "codes"),
    [
        (("1/8", "1/8", "1/8", "1/8"), set()),
        # That the fourth is bare is said where rows are checked (making/test_rows.py).
        (("1/8", "1/8", "1/8", ""), set()),
        (("1/8", "1/8", "", ""), set()),
        (("1/8", "1/8", "1/8", "1/4"), {"unlike-its-like"}),
        (("1/8", "1/8", "1/4", "1/4"), set()),
    ],
)
def test_three_of_four_that_are_alike_speak_of_the_fourth(
    reveals: tuple[str, ...], codes: set[str]
) -> None:
    rows = zip(_ALL_WALLS, reveals, strict=True)
    each = [f"{{wall: {wall}, reveal: '{reveal}'}}" for wall, reveal in rows if reveal]
    pieces = _WALLS.format(each=f"[{', '.join(each)}]")
    names = ", ".join(
        wall + "_mat" for wall, reveal in zip(_ALL_WALLS, reveals, strict=True) if reveal
    )
    assert set(found(pieces, _ATTACH % names)) == codes


_ROLL = """
    base: {as: panel, from: night, size: 6 x 6}
    strip:
      as: strip
      from: night
      closed: 180
      across: %s
      height: 3
      seams: {p1: none, p2: none, p3: none, p4: none}
      on: base
      by: p5
"""


@pytest.mark.parametrize(
    ("widths", "codes"),
    [
        ("{p1: 1, p2: 1 1/16, p3: 1 1/8, p4: 1 3/16, p5: 1 1/4}", set()),
        ("{p1: 1, p2: 1, p3: 1, p4: 1, p5: 1}", {"roll-too-narrow"}),
        # The last section only bears the roll.
        ("{p1: 1, p2: 1 1/16, p3: 1 1/8, p4: 1 3/16, p5: 1}", set()),
        ("{p1: 1, p2: 1 1/8, p3: 1, p4: 1 1/4, p5: 1 1/4}", {"roll-too-narrow"}),
    ],
)
def test_each_section_of_a_roll_goes_round_the_one_before(widths: str, codes: set[str]) -> None:
    steps = (_ATTACH % "strip") + "\n  - {title: Roll, text: Roll., close: strip}"
    assert set(found(_ROLL % widths, steps)) & {"roll-too-narrow"} == codes


@pytest.mark.parametrize(
    ("folds", "codes"),
    [
        ("vmvm", set()),
        ("vvvv", set()),
        ("vvvm", {"folds-other-way"}),
        ("vmvv", {"folds-other-way"}),
        # Two fold otherwise: that is a way of its own.
        ("vvmm", set()),
        # Too few to tell.
        ("vvm", set()),
    ],
)
def test_folds_of_a_strip_go_to_and_fro_or_all_one_way(folds: str, codes: set[str]) -> None:
    senses = {"v": "valley", "m": "mountain"}
    rest = "".join(
        f", p{n}: {{size: {1 + n / 8}, fold: {senses[fold]}}}" for n, fold in enumerate(folds, 2)
    )
    pieces = f"""
        strip: {{as: strip, from: night, closed: 180, across: {{p1: 1{rest}}}, height: 3}}
    """
    steps = "  - {title: Cut, text: Cut., cut: strip}"
    assert set(found(pieces, steps)) & {"folds-other-way"} == codes


_LINED = """
    envelope:
      as: envelope
      from: night
      closed: 180
      across: {left: 1, body: 6, right: 1}
      up: {bottom: 2 1/2, body: 4, top: 2}
      corners: {bottom: notch 1 x 2 1/2, top: notch 1 x 2}
      thumb_notch: {bottom: 1/2}
      seams: {left: none, right: none, bottom: {left: 0, right: 0}}
    lining:
      as: liner
      from: night
      up: {body: %s, flap: %s}
      width: 5 3/4
      on: envelope.body
      by: body, flap
      top: 0
"""


@pytest.mark.parametrize(
    ("depth", "flap", "codes"),
    [
        ("2 1/2", "1 7/8", set()),
        ("2 1/2", "2 1/8", {"overhang"}),
        ("2 1/2", "2", {"uneven-reveal"}),
        # The flap ends 1 1/2 below the fold of the top, its notch 2.
        ("1 3/4", "1 7/8", {"lining-too-short"}),
        ("1 1/4", "1 7/8", {"lining-too-short"}),
    ],
)
def test_a_lining_ends_within_the_flap_and_under_the_pocket(
    depth: str, flap: str, codes: set[str]
) -> None:
    steps = (_ATTACH % "lining") + (
        "\n  - {title: Fold, text: Fold., close: 'envelope.left, envelope.right'}"
        "\n  - {title: Glue, text: Glue., close: envelope.bottom}"
    )
    assert set(found(_LINED % (depth, flap), steps)) == codes


@pytest.mark.parametrize(("width", "codes"), [("4", set()), ("5 1/2", {"in-no-pocket"})])
def test_a_card_goes_into_some_pocket(width: str, codes: set[str]) -> None:
    pieces = f"""
        base: {{as: panel, from: night, size: 6 x 8}}
        pocket: {{as: pocket, from: night, size: 5 1/2 x 4, on: base, bottom: 0, {_SHOWS}}}
        notes: {{as: card, from: night, size: {width} x 5, count: 3}}
    """
    assert set(found(pieces, _ATTACH % "pocket")) == codes


@pytest.mark.parametrize(("spine", "codes"), [("1", set()), ("3/4", {"wider-together"})])
def test_hinges_stand_side_by_side_on_their_spine(spine: str, codes: set[str]) -> None:
    hinges = "".join(
        f"""
        h{n}: {{as: hinge, from: night, across: {{left: 1, gusset: 1/4, right: 1}}, height: 4,
             on: case.spine, by: gusset, left: {n}/4}}"""
        for n in range(4)
    )
    pieces = f"""
        case: {{as: panel, from: night, across: {{front: 5, spine: {spine}, back: 5}}, height: 5}}
        {hinges}
    """
    names = ", ".join(f"h{n}" for n in range(4))
    assert set(found(pieces, _ATTACH % names)) & {"wider-together"} == codes


@pytest.mark.parametrize(("margin", "codes"), [("1/2", set()), ("1/4", {"turn-in-too-short"})])
def test_enough_of_a_margin_is_glued_behind_its_board(margin: str, codes: set[str]) -> None:
    """The board is 2 mm thick and a quarter of an inch 6.35 mm."""
    pieces = f"""
        board: {{as: panel, from: grey, size: 4 x 4}}
        paper:
          as: mat
          from: night
          fold: mountain
          closed: 180
          across: {{left: {margin}, middle: 4, right: {margin}}}
          height: 4
          on: board
          by: middle
    """
    steps = (_ATTACH % "paper") + "\n  - {title: In, text: In., close: paper}"
    assert set(found(pieces, steps)) == codes

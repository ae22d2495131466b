"""Each rule speaks about a mistake, and not about what is nearly one.

What is a mistake is common practice, no source.
"""

from itertools import permutations

import pytest

from gatherfold.checks.joins import check_joins
from tests.checks.joins.designs import BOOK, BOX, ENVELOPE, codes
from tests.checks.making.works_in_steps import CLOSE_WALLS, TRAY, codes_of, steps

LEFT_TABS = "      left: {top: 1/2, bottom: 1/2, taper: 1/16}\n"
RIGHT_TABS = "      right: {top: 1/2, bottom: 1/2, taper: 1/16}\n"
GLUED = ["glued-card"]
FRONT = "front: {as: panel, from: night, size: "
FLAPS = "close: envelope.left_flap, envelope.right_flap, envelope.bottom_flap"
BOTTOM_FIRST = (
    "close: envelope.bottom_flap\n"
    "  - {title: Sides, text: It., close: 'envelope.left_flap, envelope.right_flap'}"
)


@pytest.mark.parametrize("design", [BOX, ENVELOPE, BOOK])
def test_a_sound_design(design: str) -> None:
    assert codes(design) == []


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ("as: tray\n    from: night", "as: tray\n    from: thin", ["weak-stock"]),
        ("weight: 80 lb cover", "weight: 80 lb text", ["unlikely-weight"]),
        ("weight: 80 lb cover", "weight: 160 g/m2", []),
        ("as: tray\n    from: night", "as: tray\n    from: grey", ["folded-board"]),
        # The tape is 1/4 wide.
        (
            LEFT_TABS,
            "      left: {top: 3/16, bottom: 1/2, taper: 1/16}\n",
            ["join-narrower-than-tape"],
        ),
        (LEFT_TABS, LEFT_TABS.replace("top: 1/2", "top: 1/4"), []),
        (RIGHT_TABS, "", ["open-corner"]),
        # The front wall is 4 wide and 2 high.
        (RIGHT_TABS, RIGHT_TABS.replace("taper: 1/16", "taper: 1/4"), []),
        (RIGHT_TABS, "      right: {top: 1/2, taper: 1/16}\n", ["open-corner"]),
        # Whichever of two walls has the tab.
        (
            RIGHT_TABS,
            "      right: {top: 1/2, taper: 1/16}\n      front: {right: 1/2, taper: 1/16}\n",
            [],
        ),
        ("raised: 2\n    glue: none", "raised: 2", ["glued-lid"]),
        ("on: tray.base, glue: none", "on: tray.base", ["glued-card"]),
        ("panel: 4 1/8,", "panel: 4 3/4,", ["closes-too-loosely"]),
        ("panel: 4 1/8,", "panel: 4 1/4,", []),
        ("raised: 2\n", "raised: 2 1/4\n", ["lid-not-seated"]),
    ],
)
def test_a_box(old: str, new: str, expected: list[str]) -> None:
    assert codes(BOX, (old, new)) == expected


@pytest.mark.parametrize(("side", "expected"), [("2 1/4", ["lid-stands-beside"]), ("2", [])])
def test_sides_of_a_lid(side: str, expected: list[str]) -> None:
    changes = [
        ("left_side: 1, panel", f"left_side: {side}, panel"),
        ("right_side: 1}", f"right_side: {side}}}"),
        ("front_side: 1, panel", f"front_side: {side}, panel"),
        ("back_side: 1}", f"back_side: {side}}}"),
        ("round: lid, right: 2}", "round: lid, right: 3}"),
        ("notch 1 x 1}", f"notch {side} x {side}}}"),
    ]
    assert codes(BOX.replace("sheet: 12 in", "sheet: 14 in"), *changes) == expected


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        # Round 3 1/8 and 2 of depth: 10 1/4, and a bow takes 7 at least.
        ("length: 24", "length: 16", ["ribbon-too-short"]),
        ("length: 24", "length: 18", []),
        ("right: 2}\nclosing", "right: 1 1/8}\nclosing", ["ribbon-over-edge"]),
        ("right: 2}\nclosing", "right: 1 1/4}\nclosing", []),
        # Measured from the edge of the blank, 1 beyond the fold; the plate ends 2 5/8 from that.
        ("right: 2}\nclosing", "right: 3 1/2}\nclosing", ["ribbon-over-piece"]),
        ("right: 2}\nclosing", "right: 3 3/8}\nclosing", []),
    ],
)
def test_a_ribbon_round_a_box(old: str, new: str, expected: list[str]) -> None:
    assert codes(BOX, (old, new)) == expected


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ("{left: 0, right: 0}", "{left: 0}", ["one-sided-seam"]),
        ("{left: 0, right: 0}", "{left: 0, bottom: 0}", []),
        ("by: body, flap", "by: body", ["loose-section"]),
        ("top_flap: 2}", "top_flap: 1 1/4}", ["flaps-leave-gap"]),
        ("5 x 3 1/2, on: envelope.body, glue: none", "5 x 3 1/2, on: envelope.body", GLUED),
        ("top: -1/2}", "top: 0}", ["seals-nothing"]),
        ("top: -1/2}", "top: -1/8}", ["seal-too-small"]),
        ("top: -1/2}", "top: -1}", ["seal-too-small"]),
        (FLAPS, BOTTOM_FIRST, ["flap-not-held"]),
    ],
)
def test_an_envelope(old: str, new: str, expected: list[str]) -> None:
    assert expected == [code for code in codes(ENVELOPE, (old, new)) if code in {*expected}]
    assert expected or codes(ENVELOPE, (old, new)) == []


def test_the_names_in_one_close_have_no_order() -> None:
    for order in permutations(("left_flap", "right_flap", "bottom_flap")):
        names = ", ".join(f"envelope.{flap}" for flap in order)
        assert codes(ENVELOPE, (FLAPS, f"close: {names}")) == []


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ("as: spine\n    from: night", "as: spine\n    from: thin", ["weak-stock"]),
        ("front: {as: panel, from: night, size: 5 x 7", FRONT + "4 3/4 x 7", ["covers-apart"]),
        ("front: {as: panel, from: night, size: 5 x 7", FRONT + "4 7/8 x 7", []),
        ("bottom: 1\n    glue: none", "bottom: 1", ["glued-band"]),
        ("    joins: {right_lap: {behind: band.left_lap, glue: right}}\n", "", ["band-not-joined"]),
        ("bottom: 1\n", "bottom: 3\n", ["band-over-bow"]),
        ("length: 12, allowance: 1", "length: 3, allowance: 1", ["ribbon-too-short"]),
        ("length: 12, allowance: 1", "length: 12, allowance: 1/8", ["turn-under-too-short"]),
        ("length: 12, allowance: 1", "length: 12", ["no-turn-under"]),
        ("count: 2", "count: 1", ["ribbons-too-few"]),
        ("on: back, leaving: 1/8}", "on: back, leaving: 1/8, glue: none}", ["nothing-holds"]),
        ("through: front, left: 3/8", "through: front, left: 3/8, top: 1", ["ties-apart"]),
        ("through: front, left: 3/8", "through: front, right: 1", ["ties-apart"]),
    ],
)
def test_a_book(old: str, new: str, expected: list[str]) -> None:
    assert codes(BOOK, (old, new)) == expected


@pytest.mark.parametrize(("place", "expected"), [("1/16", True), ("1/8", False)])
def test_a_head_near_an_edge(place: str, expected: bool) -> None:
    old = "through: front, left: 3/8"
    found = codes(BOOK, (old, f"through: front, left: {place}"))
    assert ("head-over-edge" in found) is expected


def test_a_tab_reaches_past_a_lower_wall() -> None:
    lower = [("front: 2, base: 3", "front: 1, base: 3"), ("all: notch 2 x 2", "top: notch 2 x 2")]
    lower += [("top: notch 2 x 2", "top: notch 2 x 2, bottom: notch 2 x 1")]
    assert "tab-past-wall" in codes(BOX, *lower)


#: Four flaps of half the width: each over the next, the last under the first.
RING = """
wrap:
  as: envelope
  from: night
  closed: 180
  across: {{left: 2, body: 4, right: 2}}
  up: {{bottom: 2, body: 4, top: 2}}
  corners: {{all: notch 2 x 2}}
  seams: {{left: none, right: none, bottom: none{seams}}}
  tucks: {{{tucks}}}
mat: {{as: mat, from: night, on: wrap.{on}, leaving: 1/4}}
"""


@pytest.mark.parametrize(
    ("seams", "tucks", "on", "expected"),
    [
        (", top: none", "top: left", "top", set()),
        (", top: none", "bottom: left", "body", {"flap-not-held"}),
        ("", "top: left", "body", {"glued-tuck"}),
        ("", "", "top", {"glue-over-print"}),
    ],
)
def test_a_flap_is_tucked_and_not_glued(
    seams: str, tucks: str, on: str, expected: set[str]
) -> None:
    flaps = [f"close: wrap.{flap}" for flap in ("left", "bottom", "right", "top")]
    done = steps("cut: all\nscore: wrap", "attach: mat", *flaps)
    pieces = RING.format(seams=seams, tucks=tucks, on=on)
    assert set(codes_of(check_joins, pieces, done)) == expected


@pytest.mark.parametrize(
    ("order", "expected"),
    [("fasten: brad\nattach: mat", []), ("attach: mat\nfasten: brad", ["legs-between-layers"])],
)
def test_legs_open_before_a_layer_covers_them(order: str, expected: list[str]) -> None:
    pieces = """
    base: {as: panel, from: night, size: 4 x 4}
    plate: {as: panel, from: night, size: 2 x 2, on: base}
    mat: {as: mat, from: night, on_back: base, leaving: 1/8}
    """
    brad = "fastenings: {brad: {kind: brad, head: 1/4 in, leg: 3/8 in, through: 'plate, base'}}\n"
    done = brad + steps("cut: all", "attach: plate", order)
    assert codes_of(check_joins, pieces, done) == expected


@pytest.mark.parametrize(("last", "expected"), [("1", []), ("1 1/4", ["tab-off-edge"])])
def test_a_tube_is_as_wide_on_both_sides(last: str, expected: list[str]) -> None:
    """Glued flat: two walls over two, and the fold of the tab on the edge of the first."""
    pieces = f"""
    sleeve:
      from: night
      across: {{a: 1, b: {{size: 1, closed: 0}}, c: {{size: 1, closed: 180}},
        d: {{size: {last}, closed: 0}}, tab: {{size: 1/2, closed: 180}}}}
      height: 4
      seams: {{c: none, tab: none}}
      joins: {{tab: {{on: sleeve.a}}}}
    """
    done = steps("cut: all\nscore: sleeve", "close: sleeve")
    found = codes_of(check_joins, pieces, done)
    assert [code for code in found if code == "tab-off-edge"] == expected


@pytest.mark.parametrize(
    ("relation", "expected"), [("behind", []), ("on", ["covers-on-both-sides"])]
)
def test_both_covers_lie_on_one_side_of_their_spine(relation: str, expected: list[str]) -> None:
    """The back cover lies behind the spine, which is glued on it."""
    front = "behind: spine.front_tab, right: 0}"
    assert codes(BOOK, (front, front.replace("behind", relation))) == expected


@pytest.mark.parametrize(("closed", "expected"), [("90", []), ("180", ["lies-flat"])])
def test_a_divider_stands(closed: str, expected: list[str]) -> None:
    pieces = f"""
    {TRAY.replace(chr(10), chr(10) + "    ")}
    divider: {{from: night, up: {{panel: 7/8, foot: 1/2}}, width: 3, closed: {closed},
      on: tray.base, by: foot, seams: {{panel: none}}}}
    """
    done = steps(
        "cut: all\nscore: tray, divider", "attach: divider", f"close: {CLOSE_WALLS}, divider"
    )
    found = codes_of(check_joins, pieces, done)
    assert [code for code in found if code == "lies-flat"] == expected


@pytest.mark.parametrize(("stock", "expected"), [("thin", ["weak-stock"]), ("night", [])])
def test_what_stands_on_its_foot_is_stiff(stock: str, expected: list[str]) -> None:
    note = "  note: {as: card, from: night,"
    wall = f"  wall: {{as: panel, from: {stock}, up: {{foot: 1/2, wall: {{size: 1, closed: 90}}}},"
    wall += " width: 3, on: tray.base, by: foot}\n"
    found = codes(BOX, (note, wall + note))
    assert [code for code in found if code == "weak-stock"] == expected


@pytest.mark.parametrize(
    ("left", "expected"),
    # Half an inch within is a hinge of its own; by less it was to fold on the edge.
    [("0", []), ("1/8", ["hinge-set-in"]), ("1/2", [])],
)
def test_a_hinge_folds_on_the_edge_of_its_cover(left: str, expected: list[str]) -> None:
    pieces = f"""
    base: {{as: panel, from: night, size: 8 x 8}}
    hinge: {{as: hinge, from: night, across: {{flap_tab: 3/4, gusset: 1/4, tab: 3/4}}, height: 4,
      on: base, by: tab, left: {left}}}
    """
    done = steps("cut: all\nscore: hinge", "attach: hinge")
    assert codes_of(check_joins, pieces, done) == expected

"""Holes, legs, layers and magnets, on small designs with figures worked out by hand.

Distances to slanted and round edges are also measured by shapely 2 on outlines with chords.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings, strategies as st
from shapely.geometry import LineString, Point as ShapelyPoint, Polygon

from gatherfold.checks.fastenings import check_fastenings
from gatherfold.findings import Finding
from gatherfold.geometry.clearance import clears, encloses, room_around, run_stays_within
from gatherfold.geometry.outline import Point, flattened
from gatherfold.lengths import INCH
from gatherfold.reading import read_design
from gatherfold.resolve import Edition, ResolvedDesign, resolve
from gatherfold.resolve.edition import IMPERIAL, METRIC
from gatherfold.work import pierced

HEAD = """\
title: Test
units: inch
stocks:
  night: {material: cardstock, sheet: 12 in x 12 in, caliper: 0.5 mm}
pieces:
"""


def made(pieces: str, fastenings: str = "", edition: Edition = IMPERIAL) -> ResolvedDesign:
    text = HEAD + "".join(f"  {line}\n" for line in pieces.splitlines())
    if fastenings:
        text += "fastenings:\n" + "".join(f"  {line}\n" for line in fastenings.splitlines())
    return pierced(resolve(read_design(text.encode(), "test.yaml"), edition))


def found(pieces: str, fastenings: str = "", edition: Edition = IMPERIAL) -> list[Finding]:
    return list(check_fastenings(made(pieces, fastenings, edition)))


def codes(pieces: str, fastenings: str = "", edition: Edition = IMPERIAL) -> list[str]:
    return [finding.code for finding in found(pieces, fastenings, edition)]


SHAPED = """\
plate:
  from: night
  size: 4 x 3
  corners: {top left: round 1, top right: mitre 3/4 x 1/2, bottom left: notch 1/2 x 1/4}
  thumb_notch: {bottom: 1/2}
  window: {size: 1/2 x 1/2, right: 1/4, top: 1 1/4}
"""
EIGHTHS = st.integers(0, 64)


@settings(max_examples=200, deadline=None)
@given(EIGHTHS, EIGHTHS)
def test_distances_to_every_shape_are_those_that_shapely_measures(across: int, upward: int) -> None:
    """Chords of a quarter in 256 steps lie within 0.001 mm of these arcs."""
    plate = made(SHAPED).pieces["plate"]
    point = Point(across * plate.width / 64, upward * plate.height / 64)
    outlines = (plate.outline, *plate.windows)
    rings = [Polygon(flattened(outline, 256)) for outline in outlines]
    there = ShapelyPoint(float(point.x), float(point.y))
    measured = min(ring.exterior.distance(there) for ring in rings)
    edges = [edge for outline in outlines for edge in outline.edges]
    step = Fraction(1, 100)
    room = room_around(step, Fraction(200), lambda r: all(clears(e, point, r) for e in edges))
    assert float(room) - 0.002 <= measured <= float(room + step) + 0.002
    if measured > 0.01:
        for outline, ring in zip(outlines, rings, strict=True):
            assert encloses(outline, point) == ring.contains(there)


@settings(max_examples=200, deadline=None)
@given(EIGHTHS, EIGHTHS, st.integers(-64, 64), st.booleans())
def test_a_run_leaves_the_paper_when_shapely_says_so(
    across: int, upward: int, length: int, is_level: bool
) -> None:
    plate = made(SHAPED).pieces["plate"]
    start = Point(across * plate.width / 64, upward * plate.height / 64)
    nothing, reach = Fraction(0), length * plate.height / 64
    end = start.moved(reach, nothing) if is_level else start.moved(nothing, reach)
    ring = Polygon(flattened(plate.outline, 256))
    run = LineString([(float(p.x), float(p.y)) for p in (start, end)])
    is_near_edge = ring.exterior.distance(run) < 0.01
    if ring.contains(ShapelyPoint(float(start.x), float(start.y))) and (
        not is_near_edge or ring.exterior.crosses(run)
    ):
        assert run_stays_within(plate.outline, start, end) == ring.contains(run)


def test_distances_worked_out_by_hand() -> None:
    """All in inches."""
    plate = made(SHAPED).pieces["plate"]
    edges = plate.outline.edges

    def room_is(x: str, y: str, distance: Fraction) -> bool:
        """Whether the room of a place is ``distance``, to a thousandth of an inch."""
        point = Point(Fraction(x) * INCH, Fraction(y) * INCH)
        near, far = distance - Fraction(1, 1000), distance + Fraction(1, 1000)
        return all(clears(edge, point, near * INCH) for edge in edges) and not all(
            clears(edge, point, far * INCH) for edge in edges
        )

    # The round corner's centre is (1, 2); (0.6, 2.3) lies ½ from it, so ½ from the arc.
    assert room_is("0.6", "2.3", Fraction(1, 2))
    # The mitre runs from (4, 2½) to (3¼, 3), 2x + 3y = 15½; at (3¼, 2½) 1½ / √13 = 0.416 is left.
    assert room_is("3.25", "2.5", Fraction(416, 1000))
    # The lower edge runs from ½ to 4; the thumb notch is a half circle of ½ about (2¼, 0).
    assert room_is("2.25", "0.75", Fraction(1, 4))
    # The notched corner reaches to (½, ¼); (0.8, 0.65) lies ½ from it, on 3, 4, 5.
    assert room_is("0.8", "0.65", Fraction(1, 2))


@pytest.mark.parametrize(
    ("hole", "wrong"),
    [
        ("{diameter: 1/4, left: 1/4, bottom: 1/2}", False),
        ("{diameter: 1/4, left: 3/16, bottom: 1/2}", True),
        ("{diameter: 1/2, left: 1/2, bottom: 1}", False),
        ("{diameter: 1/2, left: 7/16, bottom: 1}", True),
        ("{diameter: 1/8, left: 3/16, bottom: 1}", False),
        ("{diameter: 1/8, left: 1/8, bottom: 1}", True),
    ],
)
def test_a_plain_hole_keeps_half_its_width_and_an_eighth(hole: str, wrong: bool) -> None:
    """Rim to edge: of ¼ it is ⅛, of ½ it is ¼, and of ⅛ still ⅛."""
    assert codes(f"tag: {{from: night, size: 2 x 2, hole: {hole}}}") == ["hole-near-edge"] * wrong


@pytest.mark.parametrize(
    ("shape", "hole", "distance"),
    [
        ("corners: {all: mitre 1/2}", "left: 3/8, bottom: 3/8", "11⁄64"),
        ("corners: {all: round 1}", "left: 3/8, bottom: 3/8", "7⁄64"),
        ("corners: {all: notch 1/2 x 1/2}", "left: 5/8, bottom: 5/8", "11⁄64"),
        ("thumb_notch: {top: 1/2}", "top: 11/16", "3⁄16"),
        ("window: {size: 1 x 1}", "left: 3/8", "⅛"),
        ("window: {size: 1 x 1}", "left: 1", "0"),
        ("corners: {all: notch 1/2 x 1/2}", "left: 3/8, bottom: 3/8", "0"),
    ],
)
def test_cut_outs_count_as_edges(shape: str, hole: str, distance: str) -> None:
    """A hole of ¼ in a square of 2, told down to 1/64 in.

    Mitre: (⅜ + ⅜ − ½) / √2 = 0.177.  Round 1: 1 − ⅝·√2 = 0.116.  Notch: ⅛·√2 = 0.177.  The
    window begins at ½; in it, or where the corner is cut away, nothing is left.
    """
    piece = f"tag: {{from: night, size: 2 x 2, {shape}, hole: {{diameter: 1/4, {hole}}}}}"
    (finding,) = found(piece)
    assert finding.code == "hole-near-edge"
    assert dict(finding.numbers)["distance"] == f"{distance}\N{NO-BREAK SPACE}in"


PAIR = "back: {from: night, size: 8 x 8}\nmat: {from: night, on: back, leaving: 1}"
COVER = "\nouter: {from: night, on_back: back, leaving: 1/8}"


def brad(through: str, leg: str = "3/8 in", more: str = "") -> str:
    return f"pin: {{kind: brad, head: 1/4 in, leg: {leg}, through: '{through}'{more}}}"


def test_a_sound_brad_has_no_finding() -> None:
    for edition in (IMPERIAL, METRIC):
        assert codes(PAIR + COVER, brad("mat, back"), edition) == []


def test_a_pierced_hole_keeps_its_own_width() -> None:
    """Pierced holes are ⅛: a centre 3/16 from the edge has ⅛ of paper, ⅛ has less."""
    assert codes(PAIR + COVER, brad("mat, back", more=", left: 3/16")) == []
    assert codes(PAIR + COVER, brad("mat, back", more=", left: 1/8")) == ["hole-near-edge"]


@pytest.mark.parametrize(("left", "wrong"), [("2", False), ("1 15/16", False), ("1 7/8", True)])
def test_a_brad_keeps_off_the_folds_of_what_it_goes_through(left: str, wrong: bool) -> None:
    hinge = "hinge: {from: night, across: {tab: 1 7/8, gusset: 2}, height: 4}"
    found = codes(hinge, brad("hinge", more=f", left: {left}"))
    assert ("hole-on-score" in found) == wrong


@pytest.mark.parametrize(("left", "wrong"), [("2 3/4", False), ("2 13/16", True), ("3", False)])
def test_holes_keep_apart(left: str, wrong: bool) -> None:
    """Two of ⅛, the pierced one at 3: centres ⅛ for the rims and ⅛ for the paper apart, or one."""
    pieces = PAIR.replace("leaving: 1}", f"leaving: 1, hole: {{diameter: 1/8, left: {left}}}}}")
    assert codes(pieces + COVER, brad("mat, back")) == ["hole-near-hole"] * wrong


@pytest.mark.parametrize(
    ("size", "leg", "code"),
    [
        ("1 x 1", "1/2 in", []),
        ("1 x 1", "9/16 in", ["legs-stick-out"]),
        ("1 x 2", "9/16 in", []),
        ("1 x 1", "1/4 in", ["legs-too-short"]),
    ],
)
def test_legs_lie_on_the_last_layer(size: str, leg: str, code: list[str]) -> None:
    """Two layers of 0.5 mm: of 12.7 mm 11.7 reach, the edge is 12.7 away; of 14.2875 13.2875."""
    pieces = (
        f"back: {{from: night, size: 8 x 8}}\nlabel: {{from: night, size: {size}, on_back: back}}"
    )
    top = "\ntop: {from: night, size: 2 x 2, on: label}"
    assert codes(pieces + top, brad("back, label", leg)) == code


def test_legs_over_a_window_do_not_lie_on_paper() -> None:
    """From ¾ the legs reach 5/8 in less 0.5 mm: into a window at 1 on the right and one above."""
    windows = (
        "{size: 1/2 x 1/2, left: 1, bottom: 1/2}",
        "{size: 1/2 x 1/2, left: 1/2, bottom: 1}",
    )
    for count, code in ((1, []), (2, ["legs-stick-out"])):
        window = f"window: [{', '.join(windows[:count])}]"
        pieces = f"back: {{from: night, size: 8 x 8, {window}}}" + COVER
        assert codes(pieces, brad("back", "5/8 in", ", left: 3/4, bottom: 3/4")) == code


@pytest.mark.parametrize(
    ("through", "wrong"),
    [
        ("label, mat, back", False),
        ("back, mat, label", False),
        ("mat, back, label", True),
        ("label, back, mat", True),
    ],
)
def test_layers_are_named_as_they_are_met(through: str, wrong: bool) -> None:
    label = (
        "\nlabel: {from: night, size: 2 x 2, on: mat}\ntop: {from: night, on: label, leaving: 1/8}"
    )
    named = [code for code in codes(PAIR + COVER + label, brad(through)) if "order" in code]
    assert named == ["through-out-of-order"] * wrong


def test_the_layers_are_given_in_their_order() -> None:
    label = "\nlabel: {from: night, size: 2 x 2, on: mat}"
    findings = found(PAIR + COVER + label, brad("label, back, mat"))
    (finding,) = [each for each in findings if each.code == "through-out-of-order"]
    assert "'through: label, mat, back'" in finding.remedy


def test_a_layer_left_out_is_named() -> None:
    label = "\nlabel: {from: night, size: 2 x 2, on: mat}"
    (finding,) = found(PAIR + COVER + label, brad("label, back"))
    assert (finding.code, finding.about) == ("layer-not-pierced", ("mat", "pin"))


def test_a_layer_with_a_window_there_is_not_in_the_way() -> None:
    pieces = PAIR.replace("leaving: 1}", "leaving: 1, window: {size: 1 x 1}}")
    label = "\nlabel: {from: night, size: 2 x 2, on: mat}"
    assert codes(pieces + COVER + label, brad("label, back")) == []


@pytest.mark.parametrize(
    ("over", "wrong"),
    [
        ("", True),
        ("\nouter: {from: night, on_back: back, leaving: 1/8}", False),
        ("\nouter: {from: night, on_back: back, leaving: 1/8, window: {size: 1 x 1}}", True),
        ("\nouter: {from: night, on_back: back, leaving: 1/8, glue: none}", True),
        ("\nouter: {from: night, on: mat, leaving: 1/8}", True),
    ],
)
def test_prongs_are_covered_for_good(over: str, wrong: bool) -> None:
    assert codes(PAIR + over, brad("mat, back")) == ["prongs-showing"] * wrong


def test_an_eyelet_is_set_flat_and_needs_no_cover() -> None:
    assert codes(PAIR, "ring: {kind: eyelet, head: 1/4 in, through: 'mat, back'}") == []


FOLDED = """\
card:
  from: night
  across: {left: 4, right: 4}
  height: 6
mat: {from: night, on: card.right, leaving: 1/2}"""


def magnets(through: str, more: str = "") -> str:
    return f"clasp: {{kind: magnet pair, head: 1/4 in, through: '{through}'{more}}}"


def folded(more: str = "", gap: str = "") -> str:
    """A card whose right half lies on its left one when closed, with a mat on each half."""
    text = FOLDED.replace("right: 4", "right: {size: 4, closed: 180}")
    if gap:
        text = text.replace("right: {", f"gusset: {{size: {gap}, closed: 90}}, right: {{").replace(
            "closed: 180", "closed: 90"
        )
    other = "\nleft_mat: {from: night, on: card.left, leaving: 1/2}"
    return text + other + more


def test_magnets_make_no_hole_and_lie_across_from_each_other_when_closed() -> None:
    """1 in from the left of one mat is 1 in from the right of the other, mats being 3 wide."""
    found_design = made(folded(), magnets("mat, left_mat", ", left: 1, bottom: 2"))
    assert all(piece.holes == () for piece in found_design.pieces.values())
    marks = found_design.fastenings["clasp"].marks
    assert marks == {"mat": Point(INCH, 2 * INCH), "left_mat": Point(2 * INCH, 2 * INCH)}
    assert list(check_fastenings(found_design)) == []


def test_a_brad_marks_the_centres_of_its_holes() -> None:
    found_design = made(PAIR + COVER, brad("mat, back", more=", left: 1/2, bottom: 1/2"))
    marks = found_design.fastenings["pin"].marks
    assert marks == {
        "mat": Point(INCH / 2, INCH / 2),
        "back": Point(INCH * 3 / 2, INCH * 3 / 2),
    }
    for key, point in marks.items():
        assert [hole.centre for hole in found_design.pieces[key].holes] == [point]


@pytest.mark.parametrize(
    ("pieces", "fastening", "said"),
    [
        (folded(), magnets("mat"), "does not name two pieces"),
        (folded(), magnets("mat, left_mat", ", left: 1/16"), "over the edge of 'mat'"),
        (
            folded("\nlabel: {from: night, size: 1 x 1, on: card.left, left: 0}"),
            magnets("mat, label"),
            "nothing of 'label' across it",
        ),
        (folded(gap="1/2"), magnets("mat, left_mat"), "stay ½\N{NO-BREAK SPACE}in apart"),
        (
            "wall: {from: night, across: {base: 4, side: {size: 2, closed: 90}}, height: 4}\n"
            "mat: {from: night, on: wall.base, leaving: 1/4}\n"
            "side_mat: {from: night, on: wall.side, leaving: 1/4}",
            magnets("mat, side_mat"),
            "nothing of 'side_mat' across it",
        ),
    ],
)
def test_magnets_that_do_not_meet(pieces: str, fastening: str, said: str) -> None:
    (finding,) = found(pieces, fastening)
    assert finding.code == "magnets-miss"
    assert said in finding.message
    assert finding.remedy


def test_magnets_across_a_small_gusset_meet() -> None:
    assert codes(folded(gap="1/4"), magnets("mat, left_mat")) == []


def test_how_far_a_magnet_is_moved() -> None:
    """Closed, the label spans 3 to 4 in from the fold, the magnet lies at 2: 1 + ⅛ to be on it."""
    label = "\nlabel: {from: night, size: 1 x 1, on: card.left, left: 0}"
    (finding,) = found(folded(label), magnets("mat, label"))
    assert "at least 1⅛\N{NO-BREAK SPACE}in" in finding.remedy


@pytest.mark.parametrize(("bottom", "wrong"), [("2 7/16", True), ("2 1/2", False)])
def test_magnets_keep_away_from_pockets(bottom: str, wrong: bool) -> None:
    """The pocket reaches 2 in up the mat; rim ⅛ and ⅜ of distance make ½."""
    pocket = "\npocket: {as: pocket, from: night, size: 3 x 2, on: left_mat, bottom: 0}"
    place = f", bottom: {bottom}"
    assert codes(folded(pocket), magnets("mat, left_mat", place)) == ["magnet-near-cards"] * wrong

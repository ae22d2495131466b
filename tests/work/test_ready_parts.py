"""Pieces made ready: their faces as regions, their folds, and the unit that all is counted in.

Sources: outlines drawn on squared paper beside each check, and shapely's own areas.

Lengths are mm.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache

import pytest
from shapely import Point, Polygon, box
from shapely.geometry.base import BaseGeometry

from gatherfold.geometry.outline import Point as Spot, polygon
from gatherfold.reading import read_design
from gatherfold.resolve import resolve
from gatherfold.resolve.edition import EDITIONS
from gatherfold.work.assembly import FoldKey
from gatherfold.work.parts import Parts, parts_of, placement_demands, tape_width
from gatherfold.work.regions import Bounds, FaceKey, Region

_HEAD = """
title: Shapes
units: millimetre
UNLESS
stocks:
  grey: {name: Grey card, material: cardstock, weight: 220 g/m2, sheet: 305 mm x 305 mm}
supplies:
  narrow: {name: Narrow tape, kind: tape, width: 4 mm}
  tape: {name: Tape, kind: tape, width: 6 mm}
pieces:
"""
_FOOT = """
steps:
  - {title: Cut, text: Cut., cut: all}
"""


@lru_cache
def parts(pieces: str, more: str = "") -> Parts:
    text = _HEAD.replace("UNLESS", more) + pieces + _FOOT
    design = read_design(text.encode(), "shapes.yaml")
    return parts_of(resolve(design, EDITIONS[design.native]))


def shape(region: Region, scale: int) -> BaseGeometry:
    """The even-odd fill of the rings of a region, in mm."""
    found: BaseGeometry = Polygon()
    for ring in region.rings:
        corners = [(float(x) / scale, float(y) / scale) for x, y in ring]
        found = found.symmetric_difference(Polygon(corners))
    return found


def shapes(pieces: str) -> dict[str, BaseGeometry]:
    """The faces of the one piece called ``it``."""
    made = parts(pieces)
    part = made.pieces["it"]
    return {key.face: shape(region, made.scale) for key, region in part.regions.items()}


def corners(pieces: str) -> dict[str, tuple[int, ...]]:
    """How many corners the rings of each face of ``it`` have."""
    part = parts(pieces).pieces["it"]
    return {key.face: tuple(len(r) for r in region.rings) for key, region in part.regions.items()}


def same(found: BaseGeometry, wanted: BaseGeometry, off: float = 1e-6) -> None:
    assert found.is_valid
    assert found.symmetric_difference(wanted).area <= off


# ---- faces


def test_a_plain_piece_is_its_rectangle() -> None:
    text = "  it: {as: card, from: grey, size: 60 x 40}\n"
    (found,) = shapes(text).values()
    same(found, box(0, 0, 60, 40))
    assert corners(text) == {"face": (4,)}


def test_sections_are_what_the_folds_leave_of_the_outline() -> None:
    """Three sections of 20, 30 and 10; the upper corners are cut aslant over 30 by 20, so that the
    left cut ends within the second section, and over the whole of the last one."""
    text = """
  it:
    as: card
    from: grey
    across: {a: 20, b: 30, c: 10}
    height: 40
    corners: {top left: mitre 30 x 20, bottom right: mitre 10 x 10}
"""
    outline = Polygon([(0, 0), (50, 0), (60, 10), (60, 40), (30, 40), (0, 20)])
    found = shapes(text)
    for name, left, right in (("a", 0, 20), ("b", 20, 50), ("c", 50, 60)):
        same(found[name], outline.intersection(box(left, 0, right, 40)))
    # The cut leaves the first section at 20 + 2/3 of 20; where the last begins there is a corner.
    assert corners(text) == {"a": (4,), "b": (5,), "c": (4,)}
    spots = set(parts(text).pieces["it"].regions[FaceKey("it", "a")].rings[0])
    scale = parts(text).scale
    assert (20 * scale, Fraction(100, 3) * scale) in spots
    assert all(isinstance(end, int) for x, y in spots for end in (x, y) if x != 20 * scale)


def test_sections_up_and_across_are_cut_out_of_a_cross() -> None:
    """A cross: 10 + 40 + 20 across, 15 + 30 + 25 up, its corners cut away."""
    text = """
  it:
    as: tray
    from: grey
    across: {left: 10, base: 40, right: 20}
    up: {front: 15, base: 30, back: 25}
    corners:
      bottom left: notch 10 x 15
      bottom right: notch 20 x 15
      top left: notch 10 x 25
      top right: notch 20 x 25
"""
    wanted = {
        "base": box(10, 15, 50, 45),
        "left": box(0, 15, 10, 45),
        "right": box(50, 15, 70, 45),
        "front": box(10, 0, 50, 15),
        "back": box(10, 45, 50, 70),
    }
    found = shapes(text)
    assert found.keys() == wanted.keys()
    for name, area in wanted.items():
        same(found[name], area)
    assert set(corners(text).values()) == {(4,)}


def test_a_window_across_a_fold_is_cut_in_each_section() -> None:
    """A window of 20 by 10 from (10, 5) on, over the fold at 20; what is punched is
    no part of the outline."""
    text = """
  it:
    as: card
    from: grey
    across: {a: 20, b: 40}
    height: 40
    window: [{size: 20 x 10, left: 10, bottom: 5}]
    hole: [{diameter: 8, left: 41, bottom: 16}]
"""
    found = shapes(text)
    same(found["a"], box(0, 0, 20, 40) - box(10, 5, 20, 15))
    same(found["b"], box(20, 0, 60, 40) - box(20, 5, 30, 15))
    assert [len(rings) for rings in corners(text).values()] == [2, 2]
    within = text.replace("left: 10", "left: 25")
    assert [len(rings) for rings in corners(within).values()] == [1, 2]
    flat = shapes(text.replace("across: {a: 20, b: 40}", "width: 60"))
    same(flat["face"], box(0, 0, 60, 40) - box(10, 5, 30, 15))


@pytest.mark.parametrize("radius", [3, 10, 20])
def test_arcs_are_chords_that_keep_within_two_hundredths_of_a_millimetre(radius: int) -> None:
    """The chord of an angle a lies r (1 - cos a/2) inside of its arc, at its middle."""
    text = f"  it: {{as: card, from: grey, size: 60 x 40, corners: {{all: round {radius}}}}}\n"
    made = parts(text)
    (region,) = made.pieces["it"].regions.values()
    (ring,) = region.rings
    inner = box(radius, radius, 60 - radius, 40 - radius)
    spots = [(float(x) / made.scale, float(y) / made.scale) for x, y in ring]
    middles = []
    for (x0, y0), (x1, y1) in zip(spots, (*spots[1:], spots[0]), strict=True):
        assert inner.distance(Point(x0, y0)) == pytest.approx(radius, abs=1e-3)
        if abs(x1 - x0) < 1e-9 or abs(y1 - y0) < 1e-9:
            # The straight edges are where they were drawn, exactly.
            assert x0 in (0, 60) or y0 in (0, 40)
            continue
        middles.append(radius - inner.distance(Point((x0 + x1) / 2, (y0 + y1) / 2)))
    assert 0.005 < max(middles) <= 0.0205
    # No more chords than that takes: one less to a quarter leaves more than two hundredths.
    assert len(middles) % 4 == 0 and max(middles) > 0.017
    # Corners of arcs are exact, places between them are thousandths.
    thousandths = {Fraction(end * 1000, made.scale) for spot in ring for end in spot}
    assert all(each.denominator == 1 for each in thousandths)
    assert {(radius * made.scale, 0), (0, radius * made.scale)} <= set(ring)


def test_the_widest_arc_says_how_many_chords_there_are() -> None:
    """Of a small and of a wide corner each gets as many; alone the small one would get fewer."""
    small, both = (
        f"  it: {{as: card, from: grey, size: 60 x 40, corners: {{{names}}}}}\n"
        for names in ("top: round 3", "top: round 3, bottom: round 15")
    )

    def chords(text: str) -> int:
        made = parts(text)
        (region,) = made.pieces["it"].regions.values()
        high = [spot for spot in region.rings[0] if spot[1] > 37 * made.scale]
        return len(high)

    assert chords(both) > 1.8 * chords(small)


def test_what_runs_straight_on_at_a_fold_is_no_corner() -> None:
    """A thumb notch within one of two sections leaves the other one a rectangle, whose outer ring
    runs there and back along the fold."""
    text = """
  it:
    as: card
    from: grey
    across: {a: 30, b: 30}
    height: 40
    corners: {top left: notch 30 x 15}
"""
    found = shapes(text)
    same(found["a"], box(0, 0, 30, 25))
    same(found["b"], box(30, 0, 60, 40))
    assert corners(text) == {"a": (4,), "b": (4,)}


#: The sections of a piece of 60 by 40: across it from 0 to 15, 40 and 60, or up it.
ACROSS = "across: {a: 15, b: 25, c: 20}, height: 40"
UP = "up: {a: 10, b: 18, c: 12}, width: 60"
BOXES = {
    ACROSS: {"a": box(0, 0, 15, 40), "b": box(15, 0, 40, 40), "c": box(40, 0, 60, 40)},
    UP: {"a": box(0, 0, 60, 10), "b": box(0, 10, 60, 28), "c": box(0, 28, 60, 40)},
}


def redrawn(
    *rings: Sequence[tuple[float, float]], way: str = ACROSS
) -> tuple[dict[str, Region], int]:
    """The sections of a piece of 60 by 40 with another outline and windows, and the units to a
    millimetre."""
    text = f"  it: {{as: card, from: grey, {way}}}\n"
    plain = parts(text).resolved
    outline, *windows = (
        polygon([Spot(Fraction(int(x)), Fraction(int(y))) for x, y in ring]) for ring in rings
    )
    piece = replace(plain.pieces["it"], outline=outline, windows=tuple(windows))
    made = parts_of(replace(plain, pieces={"it": piece}))
    return {key.face: region for key, region in made.pieces["it"].regions.items()}, made.scale


def test_what_a_cut_leaves_of_a_section_may_be_a_triangle_and_a_window_may_end_at_a_fold() -> None:
    found, scale = redrawn(
        [(0, 0), (60, 0), (60, 40), (15, 40)], [(15, 5), (30, 5), (30, 15), (15, 15)]
    )
    same(shape(found["a"], scale), Polygon([(0, 0), (15, 0), (15, 40)]))
    same(shape(found["b"], scale), box(15, 0, 40, 40) - box(15, 5, 30, 15))
    # Of the window nothing is within the triangle, though it touches it.
    assert [[len(ring) for ring in found[face].rings] for face in "abc"] == [[3], [4, 4], [4]]


def stars(rng: random.Random) -> Polygon:
    """A polygon on squared paper within 60 by 40, slanted and often hollow."""
    while True:
        spots = [(rng.randint(0, 60), rng.randint(0, 40)) for _ in range(rng.randint(3, 8))]
        found = Polygon(spots)
        if found.is_valid and found.area > 200:
            return found


@pytest.mark.parametrize("way", [ACROSS, UP])
def test_any_outline_is_divided_into_what_lies_in_each_section(way: str) -> None:
    """Of outlines at random no corner is left where a section's edge runs straight on."""
    rng = random.Random(8)
    for _ in range(40):
        drawn = stars(rng)
        sections, scale = redrawn(drawn.exterior.coords[:-1], way=way)
        for face, region in sections.items():
            wanted = drawn.intersection(BOXES[way][face])
            if wanted.area == 0:
                continue
            found = shape(region, scale)
            assert found.symmetric_difference(wanted).area < 1e-6
            for ring in region.rings:
                for n, (x, y) in enumerate(ring):
                    (x0, y0), (x1, y1) = ring[n - 1], ring[(n + 1) % len(ring)]
                    assert (x - x0) * (y1 - y) != (y - y0) * (x1 - x)
            # Where it is in one part it has the corners of that, and no others.
            if isinstance(wanted, Polygon) and len(region.rings) == 1:
                ends = {(round(x, 6), round(y, 6)) for x, y in wanted.exterior.coords}
                own = [
                    (round(float(x) / scale, 6), round(float(y) / scale, 6))
                    for x, y in region.rings[0]
                ]
                assert set(own) <= ends and len(set(own)) == len(own)


# ---- folds


FOLDED = """
  it:
    as: strip
    from: grey
    across: {a: 20, b: {size: 30, closed: 90}, c: {size: 25, fold: mountain, closed: 180}}
    height: 40
"""


def test_folds_with_their_lines_and_the_sides_beside_them() -> None:
    text = FOLDED.replace("across", "on: card\n    by: a\n    left: 5\n    across")
    made = parts("  card: {as: card, from: grey, size: 90 x 90}\n" + text)
    mm = made.scale
    first, second = made.pieces["it"].creases
    assert [str(each.key) for each in (first, second)] == ["it.b", "it.c"]
    assert [str(each.staying) for each in (first, second)] == ["it.a", "it.b"]
    assert (first.at, first.ends, first.axis) == (20 * mm, (0, 40 * mm), "vertical")
    assert (second.at, second.ends, second.axis) == (50 * mm, (0, 40 * mm), "vertical")
    assert (first.sense, first.closed, first.is_beyond) == ("valley", 90, True)
    assert (second.sense, second.closed, second.is_beyond) == ("mountain", 180, True)
    assert made.pieces["it"].by == FaceKey("it", "a")


def test_what_a_piece_lies_by_has_its_sections_on_both_sides() -> None:
    text = FOLDED.replace("across", "on: card\n    by: b\n    left: 5\n    up").replace(
        "height: 40", "width: 40"
    )
    made = parts("  card: {as: card, from: grey, size: 90 x 90}\n" + text)
    mm = made.scale
    part = made.pieces["it"]
    assert part.by == FaceKey("it", "b")
    below, above = part.creases
    assert (str(below.key), below.is_beyond, below.axis) == ("it.a", False, "horizontal")
    assert (str(above.key), above.is_beyond, above.axis) == ("it.c", True, "horizontal")
    assert (below.at, above.at, above.ends) == (20 * mm, 50 * mm, (0, 40 * mm))
    assert below.staying == above.staying == FaceKey("it", "b")
    alone = part.loose()
    assert alone.base == FaceKey("it", "b")
    assert set(alone.creases) == {FoldKey("it", "a"), FoldKey("it", "c")}
    assert {key.face for key in alone.plates} == {"a", "b", "c"}
    assert all(plate.plane == 0 and plate.facing == 1 for plate in alone.plates.values())


# ---- units


@pytest.mark.parametrize(
    ("pieces", "denominator"),
    [
        ("  it: {as: card, from: grey, size: 60 x 40}\n", 1),
        # Of a size, a fold, a place and a height each.
        ("  it: {as: card, from: grey, size: 100 / 3 x 40}\n", 3),
        ("  it: {as: card, from: grey, size: 60 x 100 / 7}\n", 7),
        ("  it: {as: card, from: grey, across: {a: 100 / 11, b: 120 / 11}, height: 40}\n", 11),
        ("  it: {as: card, from: grey, up: {a: 100 / 13, b: 160 / 13}, width: 40}\n", 13),
        (
            "  it: {as: card, from: grey, size: 60 x 40}\n"
            "  tag: {as: tag, from: grey, size: 9 x 9, on: it, left: 100 / 7, bottom: 1}\n",
            7,
        ),
        (
            "  it: {as: card, from: grey, size: 60 x 40}\n"
            "  tag: {as: tag, from: grey, size: 9 x 9, on: it, left: 1, bottom: 100 / 11}\n",
            11,
        ),
        (
            "  it: {as: card, from: grey, size: 60 x 40}\n"
            "  tag: {as: tag, from: grey, size: 9 x 9, on: it, left: 1, bottom: 1,"
            " raised: 10 / 3}\n",
            3,
        ),
        ("  it: {as: card, from: grey, size: 60 x 40, window: [{size: 100 / 7 x 9}]}\n", 7),
    ],
)
def test_half_of_every_length_is_a_whole_number_of_units(pieces: str, denominator: int) -> None:
    """And a two-thousandth of a millimetre is one, for arcs end at thousandths."""
    scale = parts(pieces).scale
    assert scale % (2000 * denominator) == 0
    assert scale in (2000 * denominator, 4000 * denominator)


def test_the_hand_cut_tolerance_in_units() -> None:
    for more, wanted in (("tolerance: 3", 3), ("tolerance: 1/2", 0.5)):
        made = parts("  it: {as: card, from: grey, size: 60 x 40}\n", more)
        assert made.tolerance == wanted * made.scale


def test_the_narrowest_tape_says_how_wide_glue_is() -> None:
    made = parts("  it: {as: card, from: grey, size: 60 x 40}\n")
    assert tape_width(made.resolved) == 4


def test_strips_of_glue_are_as_deep_as_the_tape_and_no_wider_than_the_face() -> None:
    """A tape of 4 along all edges of 40 by 3: the strips along its length are all of it."""
    made = parts(
        "  it: {as: card, from: grey, size: 60 x 40}\n"
        "  low: {as: mat, from: grey, size: 40 x 3, on: it, top: 5, glue: [left, top]}\n"
    )
    (demand,) = placement_demands(made, made.pieces["low"])
    unit = made.scale
    assert [region.bounds for region in demand.adhesive.spread] == [
        Bounds(0, 0, 4 * unit, 3 * unit), Bounds(0, 0, 40 * unit, 3 * unit)
    ]  # fmt: skip

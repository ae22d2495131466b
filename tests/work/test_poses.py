"""Poses, turned-over pieces and flattened outlines, by places worked out on squared paper.

Sources: plain geometry; x runs to the right, y up and z towards the reader.
"""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction
from itertools import product

import pytest

from gatherfold.geometry.edges import is_vertical
from gatherfold.geometry.outline import (
    Arc,
    Box,
    Outline,
    Point,
    Segment,
    circle,
    flattened,
    rectangle,
)
from gatherfold.geometry.pose import IDENTITY, Pose, Vector, flipped, shifted, turned
from gatherfold.reading import read_design
from gatherfold.resolve import resolve
from gatherfold.resolve.edition import EDITIONS
from gatherfold.resolve.resolved import ResolvedDesign
from gatherfold.work.parts import lying_pose
from gatherfold.work.space import (
    AT_REST,
    Rigid,
    Sense,
    SpaceLine,
    as_pose,
    quarter_turn,
    shifted_by,
)


def F(*lengths: int) -> tuple[Fraction, ...]:
    return tuple(Fraction(length) for length in lengths)


def place(pose: Pose, x: int, y: int) -> tuple[int, ...]:
    return tuple(int(part) for part in pose.apply((Fraction(x), Fraction(y), 0)))


def standing(line: SpaceLine, sense: Sense) -> Pose:
    return as_pose(quarter_turn(line, sense), 1)


# ---- poses


def test_where_a_place_comes_when_a_face_is_shifted_turned_or_turned_over() -> None:
    """The place (2, 1) of the face, and the way that its front looks."""
    cases = (
        (shifted(*F(5, 7, 9)), (7, 8, 9), (0, 0, 1), (0, 1, 0)),
        (shifted(*F(5, 7)), (7, 8, 0), (0, 0, 1), (0, 1, 0)),
        (turned(0), (2, 1, 0), (0, 0, 1), (0, 1, 0)),
        (turned(90), (-1, 2, 0), (0, 0, 1), (-1, 0, 0)),
        (turned(180), (-2, -1, 0), (0, 0, 1), (0, -1, 0)),
        (turned(270), (1, -2, 0), (0, 0, 1), (1, 0, 0)),
        (turned(-90), (1, -2, 0), (0, 0, 1), (1, 0, 0)),
        (turned(450), (-1, 2, 0), (0, 0, 1), (-1, 0, 0)),
        (flipped(), (-2, 1, 0), (0, 0, -1), (0, 1, 0)),
        # A quarter towards the front, about x = 0 and y = 0: what lies beyond stands up.
        (standing(SpaceLine(1, (0, 0)), -1), (0, 1, 2), (-1, 0, 0), (0, 1, 0)),
        (standing(SpaceLine(0, (0, 0)), 1), (2, 0, 1), (0, -1, 0), (0, 0, 1)),
        # About x = 5 and y = 5 it lies before the line, 3 and 4 away, and stands up as well.
        (standing(SpaceLine(1, (0, 5)), 1), (5, 1, 3), (1, 0, 0), (0, 1, 0)),
        (standing(SpaceLine(0, (5, 0)), -1), (2, 5, 4), (0, 1, 0), (0, 0, -1)),
    )
    for pose, where, normal, upward in cases:
        assert place(pose, 2, 1) == where
        assert pose.normal == normal
        assert tuple(row[1] for row in pose.rotation) == upward


def all_turns() -> list[Pose]:
    """A face in each of the 24 ways in which it can lie, somewhere."""
    found: dict[object, Pose] = {}
    quarters = [quarter_turn(SpaceLine(axis, (1, 2)), 1) for axis in (0, 1, 2)]
    motions = [AT_REST]
    for steps in product(quarters, repeat=4):
        motion = AT_REST
        for step in steps:
            motion = step.then(motion)
            motions.append(motion)
    for number, motion in enumerate(motions):
        if motion.rotation not in found:
            found[motion.rotation] = as_pose(shifted_by((number, 3, -5)).then(motion), 1)
    assert len(found) == 24
    return list(found.values())


def by_matrix(pose: Pose, local: Vector) -> Vector:
    """Where a place comes, row by row."""
    first, second, third = (
        sum((a * b for a, b in zip(row, local, strict=True)), start)
        for row, start in zip(pose.rotation, pose.shift, strict=True)
    )
    return first, second, third


def test_every_pose_is_its_matrix_and_comes_back() -> None:
    poses = all_turns()
    one, other, third = F(3, -4, 7)
    for pose in poses:
        assert pose.apply((one, other, 0)) == by_matrix(pose, (one, other, Fraction(0)))
        assert pose.undone().apply(by_matrix(pose, (one, other, third))) == (one, other, third)
        assert pose.then(IDENTITY) == pose == IDENTITY.then(pose)
        for inner in poses:
            both = pose.then(inner)
            whole = by_matrix(pose, by_matrix(inner, (one, other, third)))
            assert by_matrix(both, (one, other, third)) == whole


def test_motions_in_whole_units_are_undone_without_a_denominator() -> None:
    motion = Rigid(turned(90).rotation, (3, 4, 5))
    back = motion.undone()
    assert back == Rigid(turned(270).rotation, (-4, 3, -5))
    assert all(isinstance(part, int) for part in back.shift)
    # A place is turned by (x, y) → (-y, x), then shifted.
    assert motion.apply((1, 2, 6)) == (3 - 2, 4 + 1, 5 + 6)
    assert motion.direction((1, 2, 6)) == (-2, 1, 6)
    assert (motion.axis, motion.facing) == (2, 1)
    over = Rigid(flipped().rotation, (0, 0, 0))
    assert (over.axis, over.facing) == (2, -1)


def test_which_lines_are_upright() -> None:
    assert is_vertical("vertical") is True
    assert is_vertical("horizontal") is False


# ---- where a piece lies on its host


_TEXT = """
title: Two pieces
units: millimetre
stocks:
  grey: {name: Grey card, material: cardstock, weight: 220 g/m2, sheet: 305 mm x 305 mm}
supplies: {tape: {name: Double-sided tape, kind: tape, width: 5 mm}}
pieces:
  card: {as: panel, from: grey, size: 100 x 80}
  tag: {as: tag, from: grey, size: 30 x 20, on: card, left: 10, bottom: 5, turned: 0}
  strip:
    as: strip
    from: grey
    across: {a: 20, b: 30, c: 25, d: 15}
    height: 40
    on: card
    by: b
    left: 30
    bottom: 6
steps:
  - {title: Cut, text: Cut., cut: all}
  - {title: Glue, text: Glue., attach: "tag, strip"}
"""


def two(text: str = _TEXT) -> ResolvedDesign:
    design = read_design(text.encode(), "two.yaml")
    return resolve(design, EDITIONS[design.native])


@pytest.mark.parametrize(
    ("how", "raised", "corners"),
    [
        # The lower left and the upper right corner of the tag, on the card's plane.
        ("on", 0, ((10, 5, 0), (40, 25, 0))),
        ("on", 3, ((10, 5, 3), (40, 25, 3))),
        ("behind", 3, ((10, 5, -3), (40, 25, -3))),
        # Its left is the right of the front.
        ("on_back", 0, ((90, 5, 0), (60, 25, 0))),
        ("on_back", 3, ((90, 5, -3), (60, 25, -3))),
    ],
)
def test_where_a_piece_lies_on_its_host(how: str, raised: int, corners: object) -> None:
    text = _TEXT.replace("on: card, left: 10", f"{how}: card, raised: {raised}, left: 10")
    design = two(text if raised else text.replace(" raised: 0,", ""))
    pose = lying_pose(design.pieces["tag"], design.pieces["card"])
    assert (place(pose, 0, 0), place(pose, 30, 20)) == corners


@pytest.mark.parametrize(
    ("degrees", "corner", "right"),
    [
        # Where the tag's own lower left corner comes, and where its lower right one.
        (0, (10, 5), (40, 5)),
        (90, (30, 5), (30, 35)),
        (180, (40, 25), (10, 25)),
        (270, (10, 35), (10, 5)),
    ],
)
def test_a_turned_piece_keeps_its_lower_left_place(
    degrees: int, corner: tuple[int, int], right: tuple[int, int]
) -> None:
    design = two(_TEXT.replace("turned: 0", f"turned: {degrees}"))
    pose = lying_pose(design.pieces["tag"], design.pieces["card"])
    assert place(pose, 0, 0)[:2] == corner
    assert place(pose, 30, 0)[:2] == right


def test_the_face_that_a_piece_lies_by_gives_the_place() -> None:
    """Its second section begins at 20 of the strip and lies at 30 of the card."""
    design = two()
    strip = design.pieces["strip"]
    pose = lying_pose(strip, design.pieces["card"])
    assert place(pose, 20, 0) == (30, 6, 0)
    assert place(pose, 0, 40) == (10, 46, 0)
    # What is folded across lies by a section that begins at 20 of its height in the same way.
    upright = two(
        _TEXT.replace("across: {a: 20, b: 30, c: 25, d: 15}", "up: {a: 20, b: 30, c: 10}").replace(
            "height: 40", "width: 40"
        )
    )
    pose = lying_pose(upright.pieces["strip"], upright.pieces["card"])
    assert place(pose, 0, 20) == (30, 6, 0)
    # By the first one the whole strip lies 20 further on.
    design = two(_TEXT.replace("by: b", "by: a"))
    pose = lying_pose(design.pieces["strip"], design.pieces["card"])
    assert place(pose, 0, 0) == (30, 6, 0)


def test_folds_are_counted_outward_from_the_face_that_a_piece_lies_by() -> None:
    strip = two().pieces["strip"]
    found = [(staying, hanging, int(score.at)) for staying, hanging, score in strip.folds_outward()]
    assert found == [("b", "a", 20), ("b", "c", 50), ("c", "d", 75)]
    last = replace(strip, by="d")
    found = [(staying, hanging, int(score.at)) for staying, hanging, score in last.folds_outward()]
    assert found == [("d", "c", 75), ("c", "b", 50), ("b", "a", 20)]


# ---- outlines in floats


def test_a_straight_outline_is_its_corners() -> None:
    box = Box(*F(1, 2, 5, 9))
    assert flattened(rectangle(box), 8) == [(1, 2), (5, 2), (5, 9), (1, 9)]
    inside = [(x, y) for x in range(8) for y in range(11) if box.contains(Point(*F(x, y)))]
    assert inside == [(x, y) for x in range(1, 6) for y in range(2, 10)]


@pytest.mark.parametrize("steps", [1, 2, 3, 8])
@pytest.mark.parametrize("is_mirrored", [False, True])
def test_a_circle_is_as_many_even_chords_as_are_asked_for(steps: int, is_mirrored: bool) -> None:
    """About (3, 4) with a radius of 2, from its right end; mirrored about the vertical it runs
    clockwise about (-3, 4), from its left end."""
    whole: Outline = circle(Point(*F(3, 4)), Fraction(2))
    if is_mirrored:
        whole = whole.mapped(lambda point: Point(-point.x, point.y), True)
    found = flattened(whole, steps)
    # A half circle is at least two chords.
    number = 4 * max(steps, 1)
    assert len(found) == number
    for n, (x, y) in enumerate(found):
        angle = 2 * math.pi * n / number
        across = 3 + 2 * math.cos(angle)
        assert x == pytest.approx(-across if is_mirrored else across)
        assert y == pytest.approx(4 + 2 * math.sin(angle))


def test_a_quarter_of_a_circle_is_two_chords_at_least() -> None:
    centre, right, top = (Point(*F(*each)) for each in ((0, 0), (2, 0), (0, 2)))
    quarter = Outline(
        (Arc(right, top, centre, False), Segment(top, centre), Segment(centre, right))
    )
    middle = math.sqrt(2)
    for steps, number in ((1, 2), (2, 2), (3, 3)):
        found = flattened(quarter, steps)
        assert len(found) == number + 2
        assert found[0] == (2, 0) and found[-2:] == [(0, 2), (0, 0)]
    assert flattened(quarter, 1)[1] == pytest.approx((middle, middle))

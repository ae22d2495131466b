"""Rigid motions: group laws, and a strip folded into a box by hand-computed points."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builder.geometry.pose import IDENTITY, Pose, flipped, folded, shifted, turned

_NUMBERS = st.fractions(-50, 50, max_denominator=16)
_POSES = st.lists(
    st.one_of(
        st.builds(shifted, _NUMBERS, _NUMBERS, _NUMBERS),
        st.builds(turned, st.sampled_from((0, 90, 180, 270))),
        st.just(flipped()),
        st.builds(
            folded,
            st.sampled_from(("vertical", "horizontal")),
            _NUMBERS,
            st.sampled_from((-180, -90, 0, 90, 180)),
            st.booleans(),
        ),
    ),
    min_size=1,
    max_size=5,
)


def joined(poses: list[Pose]) -> Pose:
    result = IDENTITY
    for pose in poses:
        result = result.then(pose)
    return result


def determinant(pose: Pose) -> int:
    (a, b, c), (d, e, f), (g, h, i) = pose.rotation
    return a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g)


@settings(max_examples=40, deadline=None)
@given(_POSES, _NUMBERS, _NUMBERS)
def test_undo_is_the_inverse(poses: list[Pose], x: Fraction, y: Fraction) -> None:
    pose = joined(poses)
    assert pose.undo(pose.apply(x, y)) == (x, y, 0)


@settings(max_examples=40, deadline=None)
@given(_POSES, _POSES, _POSES)
def test_joining_is_associative(first: list[Pose], second: list[Pose], third: list[Pose]) -> None:
    a, b, c = joined(first), joined(second), joined(third)
    assert a.then(b).then(c) == a.then(b.then(c))


@settings(max_examples=40, deadline=None)
@given(_POSES, _NUMBERS, _NUMBERS, _NUMBERS, _NUMBERS)
def test_motions_are_rigid(
    poses: list[Pose], x: Fraction, y: Fraction, u: Fraction, v: Fraction
) -> None:
    pose = joined(poses)
    assert determinant(pose) == 1
    first, second = pose.apply(x, y), pose.apply(u, v)
    apart = sum((a - b) ** 2 for a, b in zip(first, second, strict=True))
    assert apart == (x - u) ** 2 + (y - v) ** 2


def test_identity() -> None:
    pose = shifted(Fraction(3), Fraction(4), Fraction(5)).then(turned(90))
    assert pose.then(IDENTITY) == pose == IDENTITY.then(pose)


def test_a_quarter_turn_runs_counter_clockwise() -> None:
    assert turned(90).apply(Fraction(1), Fraction(0)) == (0, 1, 0)
    assert turned(90).upward == (-1, 0, 0)
    assert turned(-90) == turned(270)


def test_a_flip_shows_the_back_and_keeps_up() -> None:
    assert flipped().normal == (0, 0, -1)
    assert flipped().upward == (0, 1, 0)
    assert flipped().then(flipped()) == IDENTITY


@pytest.mark.parametrize("axis", ["vertical", "horizontal"])
@pytest.mark.parametrize("beyond", [True, False])
def test_a_fold_leaves_its_line_in_place(axis: str, beyond: bool) -> None:
    at = Fraction(7)
    for degrees in (-180, -90, 0, 90, 180):
        pose = folded(axis, at, degrees, beyond)
        along = (at, Fraction(3)) if axis == "vertical" else (Fraction(3), at)
        assert pose.apply(*along) == (*along, 0)


def test_a_valley_fold_rises_towards_the_reader() -> None:
    two, ten = Fraction(2), Fraction(10)
    assert folded("vertical", two, 90, beyond=True).apply(ten, ten) == (2, 10, 8)
    assert folded("vertical", two, -90, beyond=True).apply(ten, ten) == (2, 10, -8)
    assert folded("vertical", ten, 90, beyond=False).apply(two, ten) == (10, 10, 8)
    assert folded("horizontal", two, 90, beyond=True).apply(ten, ten) == (10, 2, 8)
    assert folded("horizontal", ten, 90, beyond=False).apply(ten, two) == (10, 10, 8)
    assert folded("vertical", two, 180, beyond=True).apply(ten, ten) == (-6, 10, 0)


def test_a_strip_folds_into_a_square_tube() -> None:
    """Four walls of 10 along x, folded at 10, 20, 30: by hand, the strip's end meets its start."""
    pose, ends = IDENTITY, []
    for at in (10, 20, 30):
        pose = pose.then(folded("vertical", Fraction(at), 90, beyond=True))
        ends.append(pose.apply(Fraction(at + 10), Fraction(0)))
    assert ends == [(10, 0, 10), (0, 0, 10), (0, 0, 0)]
    assert pose.normal == (1, 0, 0)


def test_a_cross_folds_into_a_tray() -> None:
    """Base 0..30 × 0..20, walls of 5: all four corners of neighbours meet at height 5."""
    right = folded("vertical", Fraction(30), 90, beyond=True)
    left = folded("vertical", Fraction(0), 90, beyond=False)
    back = folded("horizontal", Fraction(20), 90, beyond=True)
    front = folded("horizontal", Fraction(0), 90, beyond=False)
    assert right.apply(Fraction(35), Fraction(20)) == (30, 20, 5)
    assert back.apply(Fraction(30), Fraction(25)) == (30, 20, 5)
    assert left.apply(Fraction(-5), Fraction(0)) == (0, 0, 5)
    assert front.apply(Fraction(0), Fraction(-5)) == (0, 0, 5)
    assert [pose.normal for pose in (left, right, front, back)] == [
        (1, 0, 0),
        (-1, 0, 0),
        (0, 1, 0),
        (0, -1, 0),
    ]

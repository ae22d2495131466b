"""Rigid motions: group laws, and turns by hand-computed points."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given, settings, strategies as st

from gatherfold.geometry.pose import IDENTITY, Pose, flipped, shifted, turned

_NUMBERS = st.fractions(-50, 50, max_denominator=16)
_POSES = st.lists(
    st.one_of(
        st.builds(shifted, _NUMBERS, _NUMBERS, _NUMBERS),
        st.builds(turned, st.sampled_from((0, 90, 180, 270))),
        st.just(flipped()),
        # Raised by a quarter turn, about a line up and about a line across.
        st.just(Pose(((0, 0, -1), (0, 1, 0), (1, 0, 0)), IDENTITY.shift)),
        st.just(Pose(((1, 0, 0), (0, 0, -1), (0, 1, 0)), IDENTITY.shift)),
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
    assert pose.undone().apply(pose.apply((x, y, 0))) == (x, y, 0)


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
    first, second = pose.apply((x, y, 0)), pose.apply((u, v, 0))
    apart = sum((a - b) ** 2 for a, b in zip(first, second, strict=True))
    assert apart == (x - u) ** 2 + (y - v) ** 2


def test_identity() -> None:
    pose = shifted(Fraction(3), Fraction(4), Fraction(5)).then(turned(90))
    assert pose.then(IDENTITY) == pose == IDENTITY.then(pose)


def test_a_quarter_turn_runs_counter_clockwise() -> None:
    assert turned(90).apply((Fraction(1), Fraction(0), 0)) == (0, 1, 0)
    assert turned(90).apply((Fraction(0), Fraction(1), 0)) == (-1, 0, 0)
    assert turned(-90) == turned(270)


def test_a_flip_shows_the_back_and_keeps_up() -> None:
    assert flipped().normal == (0, 0, -1)
    assert flipped().apply((Fraction(0), Fraction(1), 0)) == (0, 1, 0)
    assert flipped().then(flipped()) == IDENTITY

"""Works made by hand and at random, as the oracle makes them.

All sources here are plain geometry, unless a check names another one.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest

from tests.work.made import (
    Attempt,
    Case,
    Glued,
    LiesOn,
    SlideBlock,
    State,
    TurnFold,
    WorkFace,
    WorkFold,
    WorkMotion,
    WorkPiece,
    attempt,
    begin,
    carried_out,
    exact,
    overlaps_without_side,
    play,
)
from tests.work.oracle import (
    Flat,
    Fold,
    Point,
    SheetFace,
    contact_order_is_sound,
    front_normal,
    overlap_in_plane,
    poses_by_folding,
    slid,
    turned,
)
from tests.work.random_works import FAMILIES, Answered, random_answers
from tests.work.test_oracle import pierce

# --- by hand ---------------------------------------------------------------------------------


def rectangle(name: str, x0: int, y0: int, x1: int, y1: int) -> WorkFace:
    corners = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
    return WorkFace(name, tuple((Fraction(x), Fraction(y)) for x, y in corners))


def upright(name: str, base: str, hanging: str, x: int, low: int, high: int) -> WorkFold:
    """Give a valley along y with the hanging face to the right of it."""
    ends = (Fraction(x), Fraction(high)), (Fraction(x), Fraction(low))
    return WorkFold(name, base, hanging, *ends, "valley")


def flat_piece(name: str, faces: list[WorkFace], folds: list[WorkFold]) -> WorkPiece:
    none = Fraction(0)
    return WorkPiece(name, tuple(faces), tuple(folds), (none, none, none), (1, 0, 0), (0, 1, 0))


def book(*before: WorkMotion, motion: WorkMotion) -> Case:
    """Give two leaves glued tab on tab on a plate, whose right side has a flap to close over."""
    plate = flat_piece(
        "plate",
        [rectangle("plate", -60, 0, 60, 80), rectangle("flap", 60, 0, 100, 80)],
        [upright("flap fold", "plate", "flap", 60, 0, 80)],
    )
    leaves = [
        flat_piece(
            f"leaf {n}",
            [rectangle(f"tab {n}", -8, 10, 0, 70), rectangle(f"leaf {n}", 0, 10, 50, 70)],
            [upright(f"leaf fold {n}", f"tab {n}", f"leaf {n}", 0, 10, 70)],
        )
        for n in (1, 2)
    ]
    lies_on = [
        ("tab 1", "plate"),
        ("leaf 1", "plate"),
        ("tab 2", "plate"),
        ("leaf 2", "plate"),
        ("tab 2", "tab 1"),
        ("leaf 2", "leaf 1"),
    ]
    return Case(
        "book",
        (plate, *leaves),
        (Glued("tab 1", "plate"), Glued("tab 2", "tab 1")),
        tuple(LiesOn(upper, lower, "front") for upper, lower in lies_on),
        before,
        motion,
    )


def leaf(number: int, start: int, end: int) -> TurnFold:
    return TurnFold(f"leaf fold {number}", f"leaf {number}", start, end)


FLAP_CLOSED = TurnFold("flap fold", "flap", 0, 180)


def test_the_upper_leaf_turns_alone_and_the_lower_one_takes_it_along() -> None:
    alone = play(book(motion=leaf(2, 0, 180))).attempt
    assert (alone.outcome, alone.moving) == ("free", {"leaf 2"})
    both = play(book(motion=leaf(1, 0, 180))).attempt
    assert (both.outcome, both.moving, both.carried) == ("free", {"leaf 1", "leaf 2"}, {"leaf 2"})


def test_a_leaf_carried_along_has_its_fold_closed_and_lies_below() -> None:
    case = book(leaf(1, 0, 180), motion=leaf(1, 180, 0))
    played = play(case)
    assert played.state.angles == {"flap fold": 0, "leaf fold 1": 180, "leaf fold 2": 180}
    # Turned over to the left, the lower leaf is on top: it goes back alone.
    assert (played.attempt.outcome, played.attempt.moving) == ("free", {"leaf 1"})
    # It looks down there, so that the leaf under it lies on its front.
    assert played.state.sides["leaf 2", "leaf 1"] == 1
    assert played.state.sides["leaf 1", "leaf 2"] == -1
    below = play(replace(case, motion=leaf(2, 180, 0))).attempt
    assert below.moving == {"leaf 1", "leaf 2"}


def test_leaves_turned_one_by_one_come_to_lie_in_the_other_order() -> None:
    played = play(book(leaf(2, 0, 180), leaf(1, 0, 180), motion=leaf(1, 180, 0)))
    assert played.attempt.moving == {"leaf 1"}
    assert played.state.sides["leaf 1", "plate"] == 1
    assert played.state.sides["leaf 2", "tab 1"] == 1


def test_a_leaf_under_a_closed_flap_is_held() -> None:
    # The flap lies from 20 to 60, over the leaves' right part, and hangs on another line.
    made = play(book(FLAP_CLOSED, motion=leaf(2, 0, 90))).attempt
    assert (made.outcome, made.at_start) == ("blocked", ("leaf 2", "flap"))
    assert play(
        book(FLAP_CLOSED, motion=TurnFold("flap fold", "flap", 180, 0))
    ).attempt.outcome == ("free")


def test_a_flap_cannot_close_further_than_its_plate() -> None:
    made = play(book(FLAP_CLOSED, motion=TurnFold("flap fold", "flap", 180, 270))).attempt
    assert made.outcome == "blocked"
    assert made.at_start is not None and made.at_start[0] == "flap"


def test_a_standing_leaf_before_a_closing_one_is_left_to_the_rule() -> None:
    made = play(book(leaf(2, 0, 90), motion=leaf(1, 0, 180))).attempt
    assert made.outcome == "undetermined"
    assert [(glide.still, glide.first) for glide in made.verdict.glides] == [
        ("leaf 2", pytest.approx(90))
    ]


def test_a_glued_fold_is_locked() -> None:
    case = book(FLAP_CLOSED, motion=TurnFold("flap fold", "flap", 180, 90))
    glued = replace(case, glued=(*case.glued, Glued("flap", "leaf 2", after=1)))
    assert play(glued).attempt.outcome == "locked"
    assert play(replace(glued, motion=leaf(2, 0, 90))).attempt.outcome == "locked"
    # The lower leaf could turn, but for the upper one and the flap that are held on it.
    under = play(replace(glued, motion=leaf(1, 0, 90))).attempt
    assert under.outcome == "blocked"
    assert under.moving == {"leaf 1"}
    assert under.at_start in {("leaf 1", "leaf 2"), ("leaf 1", "flap")}


def test_overlaps_at_the_start_need_a_side() -> None:
    bare = replace(book(motion=FLAP_CLOSED), lies_on=(LiesOn("tab 2", "tab 1", "front"),))
    assert ("plate", "tab 1") in overlaps_without_side(begin(bare))
    assert ("tab 1", "tab 2") not in overlaps_without_side(begin(bare))
    assert not overlaps_without_side(begin(book(motion=FLAP_CLOSED)))


# --- works at random -------------------------------------------------------------------------


@pytest.fixture(scope="module")
def answers() -> tuple[Answered, ...]:
    """Give two blocked and two free cases of each family."""
    return random_answers(seed=7, each=8)


def test_there_are_as_many_free_as_blocked_and_all_families(answers: tuple[Answered, ...]) -> None:
    for family in FAMILIES:
        of_family = [answer.free for answer in answers if answer.family == family]
        assert sorted(of_family) == [False, False, True, True]


def test_a_seed_gives_the_same_cases_and_another_seed_others() -> None:
    assert random_answers(3, 2) == random_answers(3, 2)
    assert random_answers(3, 1)[0].case.pieces != random_answers(4, 1)[0].case.pieces


def test_cases_are_exact_on_half_millimetres_and_quarter_turns(
    answers: tuple[Answered, ...],
) -> None:
    for answer in answers:
        for value in numbers(answer.case):
            assert isinstance(value, Fraction)
            assert (value * 2).denominator == 1
        for motion in (*answer.case.before, answer.case.motion):
            if isinstance(motion, TurnFold):
                assert motion.start in (0, 90, 180) and motion.end in (0, 90, 180)
        for face in play(answer.case).state.faces.values():
            exact(face)


def numbers(case: Case) -> Iterator[Fraction]:
    for piece in case.pieces:
        yield from piece.origin
        for face in piece.faces:
            for ring in (face.corners, *face.holes):
                yield from (value for corner in ring for value in corner)
        for fold in piece.folds:
            yield from (*fold.start, *fold.end)
    for motion in (*case.before, case.motion):
        if isinstance(motion, SlideBlock):
            yield from motion.vector


def test_playing_a_case_from_its_data_gives_its_answer(answers: tuple[Answered, ...]) -> None:
    for answer in answers:
        assert play(answer.case).attempt == answer.attempt


def test_folding_piece_by_piece_agrees_with_the_motions_done(
    answers: tuple[Answered, ...],
) -> None:
    """Source: the angles of the folds alone, without the way they were reached."""
    for answer in answers:
        state = play(answer.case).state
        for piece in answer.case.pieces:
            faces = [
                SheetFace(face.name, tuple((float(x), float(y)) for x, y in face.corners))
                for face in piece.faces
            ]
            folds = [
                Fold(
                    f.base, f.hanging, tuple(map(float, f.start)), tuple(map(float, f.end)), f.sense
                )
                for f in piece.folds
            ]
            folded = poses_by_folding(faces, folds, [state.angles[f.name] for f in piece.folds])
            same_shape(
                [folded[face.name] for face in piece.faces],
                [state.faces[face.name] for face in piece.faces],
            )


def same_shape(ours: list[Flat], theirs: list[Flat]) -> None:
    """Assert that faces lie to each other alike, fronts too."""
    for one, other in zip(ours, theirs, strict=True):
        one_there = seen_from(theirs[0], other.corners)
        one_here = seen_from(ours[0], one.corners)
        assert np.allclose(sorted(one_here), sorted(one_there), atol=1e-6)


def seen_from(base: Flat, places_in_space: tuple[Point, ...]) -> list[tuple[float, ...]]:
    """Give places along a face's lowest edge, across it and over it."""
    first, second = (np.array(corner) for corner in base.corners[:2])
    across_it = np.array(front_normal(base))
    edge = (second - first) / np.linalg.norm(second - first)
    frame = np.array([edge, np.cross(across_it, edge), across_it])
    return [
        tuple(np.round(frame @ (np.array(place) - first), 6) + 0.0) for place in places_in_space
    ]


def test_what_is_free_forth_is_free_back(answers: tuple[Answered, ...]) -> None:
    """Source: a path is the same path when it is gone backwards."""
    asked = 0
    for answer in answers:
        motion = answer.case.motion
        if not answer.free or not answer.attempt.settled:
            continue
        state = play(answer.case).state
        after = carried_out(answer.case, state, answer.attempt)
        back = attempt(answer.case, after, reverse(motion))
        assert back.outcome == "free", answer.case.name
        asked += 1
    assert asked >= 4


def reverse(motion: WorkMotion) -> WorkMotion:
    if isinstance(motion, TurnFold):
        return TurnFold(motion.fold, motion.moving, motion.end, motion.start)
    return SlideBlock(motion.face, tuple(-value for value in motion.vector))


def test_blocked_cases_are_blocked_for_the_reason_given(answers: tuple[Answered, ...]) -> None:
    for answer in answers:
        if answer.free:
            continue
        made = answer.attempt
        state = play(answer.case).state
        if made.at_start:
            assert made.at_start in state.sides
            continue
        assert not made.verdict.clear
        for crossing in made.verdict.crossings:
            mover = state.faces[crossing.moving]
            moved = (
                turned(mover, made.line, math.copysign(crossing.first + 0.2, made.degrees))
                if made.line is not None
                else slid(mover, along_way(made.vector, crossing.first + 0.1))
            )
            assert pierce(moved, state.faces[crossing.still])


def along_way(vector: Point | None, distance: float) -> Point:
    assert vector is not None
    size = math.hypot(*vector)
    x, y, z = (value / size * distance for value in vector)
    return x, y, z


def test_the_sides_after_a_turn_are_those_from_which_it_came(
    answers: tuple[Answered, ...],
) -> None:
    """Source: set a little apart and turned back, what lies on the right side goes through nothing.

    The sides come from how fast the faces move on landing, the other way from moving them.
    """
    asked = 0
    for answer in answers:
        state = begin(answer.case)
        for motion in (*answer.case.before, answer.case.motion):
            made = attempt(answer.case, state, motion)
            if made.outcome != "free" or not made.settled:
                break
            state = carried_out(answer.case, state, made)
            if made.line is not None:
                asked += landed_as_said(state, made)
    assert asked >= 20


def landed_as_said(state: State, made: Attempt) -> int:
    """Assert that each side of a face that landed is sound and the other side is not."""
    assert made.line is not None
    asked = 0
    for (mover, other), side in state.sides.items():
        if mover not in made.moving or other in made.moving:
            continue
        faces = [state.faces[other], state.faces[mover]]
        if overlap_in_plane(turned(faces[1], made.line, -1), faces[0]).area:
            continue
        right, wrong = ((mover, other), (other, mover))[::side]
        way = (made.line, made.degrees)
        assert contact_order_is_sound(faces, {mover}, {right}, *way).sound
        assert not contact_order_is_sound(faces, {mover}, {wrong}, *way).sound
        assert state.sides[other, mover] == (
            -side if np.dot(*map(front_normal, faces)) > 0 else side
        )
        asked += 1
    return asked

"""A small work as plain exact data, and what the oracle says when it is made.

In: pieces with faces and folds, what is glued when, the motions done before, and the motion asked
about. Out: where every face lies then, the layers, and whether the motion can be done.

Only the oracle is used here; the data can be given to the program as well.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import combinations
from typing import Literal, TypeAlias, assert_never

from tests.work.oracle import (
    SHRINK,
    Flat,
    Glide,
    Line,
    Point,
    Sense,
    Verdict,
    approach,
    front_normal,
    overlap_in_plane,
    slid,
    slide_is_free,
    turn_is_free,
    turned,
)

ExactPoint: TypeAlias = tuple[Fraction, ...]
Side = Literal["front", "back"]
Outcome = Literal["free", "blocked", "locked", "doubtful", "undetermined"]

NOTHING_MET = Verdict()
HARDLY_ANY = 0.005
"""A motion is free for sure if it is free with this much taken off each edge."""
PLENTY = 0.25
"""A motion is blocked for sure if it is blocked with this much taken off each edge."""


@dataclass(frozen=True)
class WorkFace:
    """A face in its piece's flat sheet, seen from the front, anticlockwise."""

    name: str
    corners: tuple[ExactPoint, ...]
    holes: tuple[tuple[ExactPoint, ...], ...] = ()


@dataclass(frozen=True)
class WorkFold:
    """A fold; `hanging` lies to the left of the line from `start` to `end`."""

    name: str
    base: str
    hanging: str
    start: ExactPoint
    end: ExactPoint
    sense: Sense


@dataclass(frozen=True)
class WorkPiece:
    """A piece, and where it lies flat at the start.

    The sheet's point (x, y) is at `origin` + x `right` + y `up`; the front looks along
    `right` × `up`.
    """

    name: str
    faces: tuple[WorkFace, ...]
    folds: tuple[WorkFold, ...]
    origin: ExactPoint
    right: tuple[int, int, int]
    up: tuple[int, int, int]


@dataclass(frozen=True)
class Glued:
    """Two faces that lie over each other in one plane, glued once `after` motions are done."""

    one: str
    other: str
    after: int = 0


@dataclass(frozen=True)
class LiesOn:
    """A face that at the start lies on the front or the back of another one."""

    upper: str
    lower: str
    side: Side


@dataclass(frozen=True)
class TurnFold:
    """Close or open a fold: the part with the face `moving` turns, from angle to angle."""

    fold: str
    moving: str
    start: int
    end: int


@dataclass(frozen=True)
class SlideBlock:
    """Slide all that is joined to a face, straight."""

    face: str
    vector: ExactPoint


WorkMotion: TypeAlias = TurnFold | SlideBlock


@dataclass(frozen=True)
class Case:
    """A work, the motions done before (all free), and the motion asked about.

    `stays` names a face that no other part takes along, where there is one.
    """

    name: str
    pieces: tuple[WorkPiece, ...]
    glued: tuple[Glued, ...]
    lies_on: tuple[LiesOn, ...]
    before: tuple[WorkMotion, ...]
    motion: WorkMotion
    stays: str = ""


@dataclass(frozen=True)
class State:
    """How the work is at a moment.

    `sides` says for faces (a, b) that overlap in one plane whether a lies on the side of b's front
    (1) or of its back (-1), for both orders of each pair.
    """

    faces: Mapping[str, Flat]
    lines: Mapping[str, tuple[Point, Point]]
    angles: Mapping[str, int]
    sides: Mapping[tuple[str, str], int]
    glued: tuple[Glued, ...]
    done: int = 0


@dataclass(frozen=True)
class Attempt:
    """What comes of a motion: what moves, how, and what is in its way.

    `at_start` names a pair that touches at the start, the still face ahead; it is then blocked
    there. `line` and `degrees` are given for a turn, `vector` for a slide. A free motion is
    `settled` if it says for each overlap on its way and at its end which face lies on which.
    """

    outcome: Outcome
    moving: frozenset[str] = frozenset()
    carried: frozenset[str] = frozenset()
    line: Line | None = None
    degrees: float = 0.0
    vector: Point | None = None
    at_start: tuple[str, str] | None = None
    verdict: Verdict = NOTHING_MET
    settled: bool = True

    @property
    def way(self) -> tuple[Line, float] | Point:
        """Give the motion in space."""
        if self.line is not None:
            return self.line, self.degrees
        assert self.vector is not None
        return self.vector


@dataclass(frozen=True)
class Played:
    """A case as the oracle sees it: the state before the motion in question, and the attempt."""

    state: State
    attempt: Attempt


def play(case: Case) -> Played:
    """Do all motions before, and attempt the one in question."""
    state = begin(case)
    for motion in case.before:
        made = attempt(case, state, motion)
        if made.outcome != "free" or not made.settled:
            raise ValueError(f"{case.name}: {motion} is {made.outcome}")
        state = carried_out(case, state, made)
    return Played(state, attempt(case, state, case.motion))


def begin(case: Case) -> State:
    """Lay all pieces flat."""
    faces: dict[str, Flat] = {}
    lines: dict[str, tuple[Point, Point]] = {}
    for piece in case.pieces:
        for face in piece.faces:
            corners = tuple(_placed(piece, corner) for corner in face.corners)
            holes = tuple(tuple(_placed(piece, corner) for corner in hole) for hole in face.holes)
            faces[face.name] = Flat(face.name, corners, holes)
        for fold in piece.folds:
            lines[fold.name] = (_placed(piece, fold.start), _placed(piece, fold.end))
    sides: dict[tuple[str, str], int] = {}
    for lies in case.lies_on:
        _set_side(sides, faces, lies.upper, lies.lower, 1 if lies.side == "front" else -1)
    glued = tuple(glue for glue in case.glued if glue.after == 0)
    return State(faces, lines, dict.fromkeys(lines, 0), sides, glued)


def _placed(piece: WorkPiece, place: ExactPoint) -> Point:
    x, y, z = (
        float(origin + place[0] * right + place[1] * up)
        for origin, right, up in zip(piece.origin, piece.right, piece.up, strict=True)
    )
    return x, y, z


def _set_side(
    sides: dict[tuple[str, str], int], faces: Mapping[str, Flat], one: str, other: str, side: int
) -> None:
    """Set on which side of the other the one lies, and so the other way about."""
    alike = _dot(front_normal(faces[one]), front_normal(faces[other]))
    sides[one, other] = side
    sides[other, one] = -side if alike > 0 else side


# --- what moves ------------------------------------------------------------------------------


def attempt(case: Case, state: State, motion: WorkMotion) -> Attempt:
    """Find out what moves with a motion, and whether it can be done."""
    match motion:
        case TurnFold():
            return _attempted_turn(case, state, motion)
        case SlideBlock(face=face, vector=vector):
            moving = next(part for part in _parts(case, state, frozenset()) if face in part)
            x, y, z = (float(value) for value in vector)
            return _judged(state, Attempt("free", moving, vector=(x, y, z)), frozenset())
        case _:
            assert_never(motion)


def _attempted_turn(case: Case, state: State, motion: TurnFold) -> Attempt:
    folds = {fold.name: fold for piece in case.pieces for fold in piece.folds}
    fold = folds[motion.fold]
    if state.angles[motion.fold] != motion.start:
        raise ValueError(f"{motion.fold} is at {state.angles[motion.fold]}, not {motion.start}")
    start, end = state.lines[motion.fold]
    line = Line(start, _minus(end, start))
    cut = frozenset(name for name, ends in state.lines.items() if _on_line(line, ends))
    parts = _parts(case, state, cut)
    moving = next(part for part in parts if motion.moving in part)
    if fold.base in moving and fold.hanging in moving:
        return Attempt("locked", moving)
    held = next(part for part in parts if part != moving and {fold.base, fold.hanging} & part)
    degrees = float(motion.end - motion.start) * (1 if fold.sense == "valley" else -1)
    made = Attempt(
        "free", moving, line=line, degrees=degrees if fold.hanging in moving else -degrees
    )
    beside = [{folds[name].base, folds[name].hanging} for name in cut]
    loose = [part for part in parts if part not in (moving, held) and any(part & p for p in beside)]
    # What hangs on the moving part alone goes with it, as the rest of a closed concertina does.
    stays = _reached(held, [part for part in parts if part != moving], beside)
    hung = [part for part in loose if part not in stays]
    made = replace(made, moving=made.moving.union(*hung))
    loose = [part for part in loose if part not in hung and case.stays not in part]
    made = _with_carried(state, made, loose)
    return _judged(state, made, frozenset().union(*loose) - made.moving)


def _parts(case: Case, state: State, cut: frozenset[str]) -> list[frozenset[str]]:
    """Divide the faces into parts that are joined by folds not cut, or by glue."""
    part_of = {name: {name} for name in state.faces}
    folds = [(f.base, f.hanging) for p in case.pieces for f in p.folds if f.name not in cut]
    for one, other in folds + [(glue.one, glue.other) for glue in state.glued]:
        if part_of[one] is not part_of[other]:
            part_of[one] |= part_of[other]
            for name in part_of[other]:
                part_of[name] = part_of[one]
    return list(dict.fromkeys(frozenset(part) for part in part_of.values()))


def _reached(
    start: frozenset[str], parts: Sequence[frozenset[str]], folds: Sequence[set[str]]
) -> set[frozenset[str]]:
    """Give the parts that one is joined to by folds, directly or not."""
    found, waiting = {start}, [start]
    while waiting:
        at = waiting.pop()
        beside = set().union(*(fold for fold in folds if fold & at))
        near = [part for part in parts if part & beside and part not in found]
        found.update(near)
        waiting += near
    return found


def _with_carried(state: State, made: Attempt, loose: list[frozenset[str]]) -> Attempt:
    """Take along what lies ahead and hangs on the same line, and what lies ahead of that."""
    ahead = {still for _, still in _touching_ahead(state, made)}
    for part in loose:
        if part & ahead:
            more = replace(made, moving=made.moving | part, carried=made.carried | part)
            return _with_carried(state, more, [other for other in loose if other != part])
    return made


def _touching_ahead(state: State, made: Attempt) -> list[tuple[str, str]]:
    """Name the moving and still faces that lie on each other, the still one ahead."""
    found = []
    for (one, other), side in sorted(state.sides.items()):
        if one not in made.moving or other in made.moving:
            continue
        to_front, to_back = approach(state.faces[one], state.faces[other], made.way)
        if (to_back if side == 1 else to_front) > 0:
            found.append((one, other))
    return found


# --- whether it can be done ------------------------------------------------------------------


def _judged(state: State, made: Attempt, loose: frozenset[str]) -> Attempt:
    """Tell whether a motion can be done, and say so only where it is sure.

    A face passed half-way that hangs on the same line (`loose`) may be taken along from there:
    that is a question of the rule and not of the path, so it is left undetermined.
    """
    ahead = _touching_ahead(state, made)
    if ahead:
        return replace(made, outcome="blocked", at_start=ahead[0])
    sure = _verdict(state, made, HARDLY_ANY)
    if any(glide.through and glide.still in loose for glide in sure.glides):
        return replace(made, outcome="undetermined", verdict=sure)
    if sure.clear:
        settled = _sides_after(state, made, _moved_faces(state, made)) is not None
        # What comes over another face in its own plane must go on one side of it: on which?
        settled &= all(glide.through or _has_side(state, glide) for glide in sure.glides)
        return replace(made, verdict=sure, settled=settled)
    blocked = not _verdict(state, made, PLENTY).clear
    verdict = _verdict(state, made, SHRINK)
    return replace(made, outcome="blocked" if blocked else "doubtful", verdict=verdict)


def _has_side(state: State, glide: Glide) -> bool:
    """Tell whether it is known on which side of the still face the moving one lies."""
    return (glide.moving, glide.still) in state.sides


def _verdict(state: State, made: Attempt, shrink: float) -> Verdict:
    moving = [face for name, face in state.faces.items() if name in made.moving]
    still = [face for name, face in state.faces.items() if name not in made.moving]
    if made.line is not None:
        return turn_is_free(moving, still, made.line, made.degrees, shrink)
    assert made.vector is not None
    return slide_is_free(moving, still, made.vector, shrink)


# --- afterwards ------------------------------------------------------------------------------


def carried_out(case: Case, state: State, made: Attempt) -> State:
    """Give the state after a free motion, with what is glued then."""
    faces = _moved_faces(state, made)
    sides = _sides_after(state, made, faces)
    if sides is None:
        raise ValueError("the motion leaves open which face lies on which")
    lines, angles = dict(state.lines), dict(state.angles)
    for fold in (fold for piece in case.pieces for fold in piece.folds):
        ends = state.lines[fold.name]
        if fold.base in made.moving:
            lines[fold.name] = _moved_place(made, ends[0]), _moved_place(made, ends[1])
        if (fold.base in made.moving) != (fold.hanging in made.moving):
            assert made.line is not None
            along = _dot(_minus(ends[1], ends[0]), made.line.direction)
            signs = (along > 0, fold.sense == "valley", fold.hanging in made.moving)
            angles[fold.name] += round(made.degrees) * (1 if sum(signs) % 2 else -1)
    done = state.done + 1
    glued = tuple(glue for glue in case.glued if glue.after <= done)
    return State(faces, lines, angles, sides, glued, done)


def _moved_faces(state: State, made: Attempt) -> dict[str, Flat]:
    return {
        name: _moved_face(made, face) if name in made.moving else face
        for name, face in state.faces.items()
    }


def _moved_face(made: Attempt, face: Flat) -> Flat:
    """Move a face, and set corners beside the grid on it again, so that no error adds up."""
    if made.line is not None:
        face = turned(face, made.line, made.degrees)
    else:
        assert made.vector is not None
        face = slid(face, made.vector)
    holes = tuple(tuple(map(_snapped, hole)) for hole in face.holes)
    return Flat(face.name, tuple(map(_snapped, face.corners)), holes)


def _moved_place(made: Attempt, place: Point) -> Point:
    return _moved_face(made, Flat("", (place,))).corners[0]


def _snapped(place: Point) -> Point:
    """Set a place that lies beside the half millimetres on them; others stay as they are."""
    x, y, z = (
        round(value * 2) / 2 if abs(round(value * 2) / 2 - value) < 1e-6 else value
        for value in place
    )
    return x, y, z


def _on_grid(place: Point) -> Point:
    """Set a place on the half millimetres, on which quarter turns leave it."""
    x, y, z = (round(value * 2) / 2 for value in place)
    if max(abs(x - place[0]), abs(y - place[1]), abs(z - place[2])) > 1e-6:
        raise ValueError(f"{place} does not lie on the grid")
    return x, y, z


def _sides_after(
    state: State, made: Attempt, faces: Mapping[str, Flat]
) -> dict[tuple[str, str], int] | None:
    """Give the sides of all overlaps after a motion; nothing if one of them cannot be told."""
    sides = {
        pair: side
        for pair, side in state.sides.items()
        if (pair[0] in made.moving) == (pair[1] in made.moving)
    }
    for mover in sorted(made.moving):
        for other in sorted(faces.keys() - made.moving):
            if overlap_in_plane(faces[mover], faces[other]).is_empty:
                continue
            to_front, to_back = approach(faces[mover], faces[other], made.way)
            if to_front and to_back:
                return None
            if to_front or to_back:
                side: int | None = 1 if to_back else -1
            else:
                side = state.sides.get((mover, other))
            if side is None:
                return None
            _set_side(sides, faces, mover, other, side)
    return sides


# --- small parts -----------------------------------------------------------------------------


def overlaps_without_side(state: State) -> list[tuple[str, str]]:
    """Name the pairs of faces that lie over each other in one plane with no side given."""
    return [
        (one, other)
        for one, other in combinations(sorted(state.faces), 2)
        if (one, other) not in state.sides
        and not overlap_in_plane(state.faces[one], state.faces[other]).is_empty
    ]


def exact(face: Flat) -> tuple[ExactPoint, ...]:
    """Give the corners of a face on the half-millimetre grid as exact numbers."""
    return tuple(
        tuple(Fraction(round(value * 2), 2) for value in _on_grid(place)) for place in face.corners
    )


def _minus(one: Point, other: Point) -> Point:
    return one[0] - other[0], one[1] - other[1], one[2] - other[2]


def _on_line(line: Line, places: tuple[Point, Point]) -> bool:
    """Tell whether places lie on a line."""
    return all(math.dist(place, _foot(line, place)) < 1e-6 for place in places)


def _foot(line: Line, place: Point) -> Point:
    """Give the place of a line that is nearest to another place."""
    away, along = _minus(place, line.point), line.direction
    share = _dot(away, along) / _dot(along, along)
    x, y, z = (start + share * step for start, step in zip(line.point, along, strict=True))
    return x, y, z


def _dot(one: Point, other: Point) -> float:
    return sum(first * second for first, second in zip(one, other, strict=True))

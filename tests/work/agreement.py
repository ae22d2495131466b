"""The program and the oracle asked the same: which motions are free, and what then lies on what.

In: works at random, works made by hand, and every moment of the shipped and the test designs.
Out: how many questions of each kind were asked, and each on which the two do not agree.

The program is asked without a tolerance, the oracle by its own rule: a motion is free or blocked
for sure, or it is left out.  As a command, ``python -m tests.work.agreement`` asks everything.
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import assert_never

from shapely.geometry import Polygon
from shapely.geometry.polygon import orient

from gatherfold.work.assembly import Assembly, Bond, Crease, FoldKey, Pair, both_ways
from gatherfold.work.closing import Turn
from gatherfold.work.moments import Work
from gatherfold.work.paths import crossings_of_slide
from gatherfold.work.regions import FaceKey, Plate, Region
from gatherfold.work.space import Exact, Place, Rigid, Sense, shifted_by
from gatherfold.work.turning import Blocked, Quarter, turned
from tests.work.designs import DESIGNS
from tests.work.hand_made import hand_made
from tests.work.made import (
    Attempt,
    Case,
    Glued,
    SlideBlock,
    State,
    TurnFold,
    WorkFold,
    WorkMotion,
    WorkPiece,
    attempt,
    begin,
    carried_out,
    play,
)
from tests.work.oracle import Flat, Line, Point, contact_order_is_sound, front_normal
from tests.work.played import work_of
from tests.work.random_works import random_answers

#: Cases lie on half millimetres: two units to one.
UNITS = 2


@dataclass(frozen=True)
class Tally:
    """What was asked, by kind and answer, and each question on which the two differ."""

    asked: Counter[str]
    differences: tuple[str, ...] = ()

    def plus(self, other: Tally) -> Tally:
        """Both together."""
        return Tally(self.asked + other.asked, (*self.differences, *other.differences))


def together(tallies: Iterable[Tally]) -> Tally:
    """Many together."""
    whole = Tally(Counter())
    for tally in tallies:
        whole = whole.plus(tally)
    return whole


# --- a case as the program has it --------------------------------------------------------------


def assembly_of(case: Case) -> Assembly:
    """The pieces of a case laid flat, with the sides and the glue that it starts with."""
    plates: dict[FaceKey, Plate] = {}
    creases: dict[FoldKey, Crease] = {}
    for piece in case.pieces:
        pose = _pose_of(piece)
        for face in piece.faces:
            key = FaceKey(piece.name, face.name)
            rings = (face.corners, *face.holes)
            own = Region(tuple(tuple((_units(x), _units(y)) for x, y in ring) for ring in rings))
            plates[key] = Plate(key, own, pose)
        for fold in piece.folds:
            crease = _crease_of(piece, fold)
            creases[crease.key] = crease
    named = {key.face: key for key in plates}
    sides: dict[Pair, Sense] = {}
    for lies in case.lies_on:
        lower, upper = named[lies.lower], named[lies.upper]
        is_above = (1 if lies.side == "front" else -1) == plates[lower].facing
        sides.update(both_ways(plates, lower, upper, is_above))
    return _glued(Assembly(next(iter(plates)), plates, creases, sides=sides), case, 0)


def _pose_of(piece: WorkPiece) -> Rigid:
    (a, b, c), (d, e, f) = piece.right, piece.up
    front = (b * f - c * e, c * d - a * f, a * e - b * d)
    first, second, third = zip(piece.right, piece.up, front, strict=True)
    x, y, z = (_units(value) for value in piece.origin)
    return Rigid((first, second, third), (x, y, z))


def _crease_of(piece: WorkPiece, fold: WorkFold) -> Crease:
    (x0, y0), (x1, y1) = fold.start, fold.end
    is_vertical = x0 == x1
    at, ends = (x0, sorted((y0, y1))) if is_vertical else (y0, sorted((x0, x1)))
    return Crease(
        key=FoldKey(piece.name, fold.hanging),
        staying=FaceKey(piece.name, fold.base),
        axis="vertical" if is_vertical else "horizontal",
        at=_units(at),
        sense=fold.sense,
        closed=180,
        # What hangs to the left of a line that runs down lies to its right on the sheet.
        is_beyond=y1 < y0 if is_vertical else x1 > x0,
        ends=(_units(ends[0]), _units(ends[1])),
    )


def _units(length: Fraction) -> Exact:
    found = length * UNITS
    return found.numerator if found.denominator == 1 else found


def _glued(assembly: Assembly, case: Case, done: int) -> Assembly:
    """The assembly with what is glued when so many motions are done."""
    named = {key.face: key for key in assembly.plates}
    return assembly.with_bonds(
        Bond(named[glue.one], named[glue.other], "glue", glue.one)
        for glue in case.glued
        if glue.after == done
    )


# --- motions of the program --------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class Made:
    """What comes of a motion in the program: the assembly after it, or what stops it."""

    after: Assembly | None
    moved: frozenset[FaceKey] = frozenset()
    stop: str = ""


def made(assembly: Assembly, motion: WorkMotion) -> Made:
    """Do a motion of a case, without any tolerance."""
    match motion:
        case TurnFold(fold=_, moving=moving, start=start, end=end):
            return _turn(assembly, _fold_named(assembly, motion), moving, end - start)
        case SlideBlock(face=face, vector=vector):
            x, y, z = (_units(value) for value in vector)
            return _slide(assembly, face, (x, y, z))
        case _:
            assert_never(motion)


def _fold_named(assembly: Assembly, motion: TurnFold) -> FoldKey:
    return next(fold for fold in assembly.creases if fold.hanging == motion.moving)


def _turn(assembly: Assembly, fold: FoldKey, moving: str, degrees: int) -> Made:
    """Turn a fold by quarters; the face on its other side stays."""
    crease = assembly.creases[fold]
    rest = crease.staying if crease.hanging.face == moving else crease.hanging
    now, moved = replace(assembly, base=rest), frozenset[FaceKey]()
    for _ in range(abs(degrees) // 90):
        quarter = turned(now, fold, degrees > 0)
        if isinstance(quarter, Blocked):
            return Made(None, moved, f"{quarter.moving} by {quarter.by}: {quarter.why.value}")
        now, moved = quarter.after, moved | quarter.moved
    return Made(now, moved)


def _slide(assembly: Assembly, face: str, way: Place) -> Made:
    """Slide all that is joined to a face; what it lies against stops it, or what it crosses."""
    start = next(key for key in assembly.plates if key.face == face)
    moved = assembly.connected(start)
    axis = next(k for k in (0, 1, 2) if way[k])
    for first, second in assembly.overlaps_with(moved):
        if assembly.plates[first].axis == axis and assembly.is_above(first, second) is (
            way[axis] > 0
        ):
            return Made(None, moved, f"{first} lies against {second}")
    still = [plate for key, plate in assembly.plates.items() if key not in moved]
    for crossing in crossings_of_slide([assembly.plates[key] for key in moved], still, way):
        return Made(None, moved, f"{crossing.moving.key} by {crossing.still.key}")
    motion = shifted_by(way)
    plates = {k: p.moved(motion) if k in moved else p for k, p in assembly.plates.items()}
    after = replace(assembly, plates=plates)
    sides = {p: s for p, s in assembly.sides.items() if (p[0] in moved) == (p[1] in moved)}
    for first, second in after.overlaps_with(moved):
        known = assembly.is_above(first, second)
        is_above = way[axis] > 0 if plates[first].axis == axis else known
        if is_above is not None:
            sides.update(both_ways(plates, first, second, is_above))
    return Made(replace(after, sides=sides), moved)


# --- cases asked -------------------------------------------------------------------------------


def asked(case: Case, theirs: Attempt, kind: str) -> Tally:
    """Ask the program the question of a case, and what the motions before it led to."""
    assembly, state = assembly_of(case), begin(case)
    whole = Tally(Counter())
    for number, motion in enumerate(case.before, start=1):
        done = attempt(case, state, motion)
        own = made(assembly, motion)
        name = f"{case.name}, motion {number}"
        whole = whole.plus(_compared(name, "before", done, own))
        if own.after is None:
            return whole
        state = carried_out(case, state, done)
        whole = whole.plus(_landed(name, case, state, own.after))
        assembly = _glued(own.after, case, number)
    own = made(assembly, case.motion)
    whole = whole.plus(_compared(case.name, kind, theirs, own))
    if own.after is not None and theirs.outcome == "free" and theirs.settled:
        state = carried_out(case, state, theirs)
        whole = whole.plus(_landed(case.name, case, state, own.after))
    return whole


def _compared(name: str, kind: str, theirs: Attempt, ours: Made) -> Tally:
    """Count a motion, with a difference where one calls it free and the other does not, or where
    other faces move."""
    # A slide is asked for its path alone: what it lies on afterwards is a rule of the putting.
    is_open = not theirs.settled and theirs.line is not None
    if theirs.outcome in ("doubtful", "undetermined") or is_open:
        return Tally(Counter({f"{kind}, left out": 1}))
    is_free = theirs.outcome == "free"
    word = theirs.outcome
    found = []
    if is_free != (ours.after is not None):
        found.append(f"{name}: {theirs.outcome} for the oracle ({reason(theirs)}), {ours.stop}")
    elif is_free and theirs.moving != {key.face for key in ours.moved}:
        others = sorted(theirs.moving ^ {key.face for key in ours.moved})
        found.append(f"{name}: {others} move for one of the two only")
    return Tally(Counter({f"{kind}, {word}": 1}), tuple(found))


def reason(made: Attempt) -> str:
    """Say what stops a motion for the oracle."""
    if made.at_start:
        return f"{made.at_start[0]} lies against {made.at_start[1]}"
    crossings, glides = made.verdict.crossings, [g for g in made.verdict.glides if g.through]
    if crossings:
        return f"{crossings[0].moving} through {crossings[0].still}"
    return f"{glides[0].moving} through {glides[0].still}" if glides else "nothing"


def _landed(name: str, case: Case, state: State, after: Assembly) -> Tally:
    """Compare what lies on what, of faces in one plane, and where every face lies."""
    found = []
    named = {key.face: key for key in after.plates}
    pairs = 0
    for (one, other), side in state.sides.items():
        # A side of the oracle is that of the other face on which the one lies.
        ours = after.side_of(named[other], named[one])
        pairs += 1
        if ours != side:
            found.append(f"{name}: {one} lies on side {side} of {other}, not {ours}")
    for face in state.faces.values():
        if _corners(after.plates[named[face.name]]) != _rounded(face):
            found.append(f"{name}: {face.name} lies elsewhere")
    for key, angle in ((fold, after.angle(fold)) for fold in after.creases):
        fold = next(f for p in case.pieces for f in p.folds if f.hanging == key.hanging)
        if state.angles[fold.name] != angle:
            found.append(f"{name}: {fold.name} is at {state.angles[fold.name]}, not {angle}")
    return Tally(Counter({"sides after a motion": pairs}), tuple(found))


def _corners(plate: Plate) -> frozenset[tuple[float, ...]]:
    places = (plate.pose.apply((x, y, 0)) for x, y in plate.own.rings[0])
    return frozenset(tuple(float(value) / UNITS for value in place) for place in places)


def _rounded(face: Flat) -> frozenset[tuple[float, ...]]:
    return frozenset(tuple(round(value * 2) / 2 for value in place) for place in face.corners)


# --- designs -----------------------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class Seen:
    """An assembly of a design as the oracle has it: a state, and its folds as a case."""

    assembly: Assembly
    case: Case
    state: State


def seen(assembly: Assembly, scale: int) -> Seen:
    """Give an assembly of a design to the oracle, in mm."""
    faces = {str(key): _flat(plate, scale) for key, plate in assembly.plates.items()}
    sides = {
        (str(second), str(first)): int(side) for (first, second), side in assembly.sides.items()
    }
    glued = tuple(Glued(str(bond.first), str(bond.second)) for bond in assembly.bonds)
    folds: list[WorkFold] = []
    lines: dict[str, tuple[Point, Point]] = {}
    for key, crease in assembly.creases.items():
        pose = assembly.plates[crease.staying].pose
        start, end = (
            _mm(pose.apply((*place, 0)), scale) for place in _ends_with_hanging_on_left(crease)
        )
        lines[str(key)] = start, end
        folds.append(
            WorkFold(str(key), str(crease.staying), str(crease.hanging), (), (), crease.sense)
        )
    piece = WorkPiece("", (), tuple(folds), (), (1, 0, 0), (0, 1, 0))
    case = Case("", (piece,), glued, (), (), SlideBlock("", ()), stays=str(assembly.base))
    angles = {str(key): assembly.angle(key) for key in assembly.creases}
    return Seen(assembly, case, State(faces, lines, angles, sides, glued))


def _ends_with_hanging_on_left(crease: Crease) -> tuple[tuple[Exact, Exact], tuple[Exact, Exact]]:
    low, high = crease.ends
    match crease.axis:
        case "vertical":
            ends = (crease.at, low), (crease.at, high)
            return ends[::-1] if crease.is_beyond else ends
        case "horizontal":
            ends = (low, crease.at), (high, crease.at)
            return ends if crease.is_beyond else ends[::-1]
        case _:
            assert_never(crease.axis)


def _mm(place: Place, scale: int) -> tuple[float, float, float]:
    x, y, z = (float(value) / scale for value in place)
    return x, y, z


def _flat(plate: Plate, scale: int) -> Flat:
    """A face in space, its outer ring anticlockwise seen from its front."""
    outer, *inner = plate.own.rings
    shape = orient(Polygon([(float(x), float(y)) for x, y in outer]))
    rings = [
        list(shape.exterior.coords[:-1]),
        *([(float(x), float(y)) for x, y in r] for r in inner),
    ]
    placed = [tuple(_mm(plate.pose.apply((x, y, 0)), scale) for x, y in ring) for ring in rings]
    return Flat(str(plate.key), placed[0], tuple(placed[1:]))


def motion_of(at: Seen, fold: FoldKey, is_closing: bool) -> TurnFold:
    """A quarter turn of a fold, of its side that the base does not hold without it."""
    assembly, crease = at.assembly, at.assembly.creases[fold]
    hanging = assembly.connected(crease.hanging, assembly.folds_on(assembly.lines[fold]))
    is_held = assembly.base in assembly.connected(crease.staying, {fold})
    moving = crease.hanging if is_held and assembly.base not in hanging else crease.staying
    angle = assembly.angle(fold)
    return TurnFold(str(fold), str(moving), angle, angle + (90 if is_closing else -90))


def turns_confirmed(work: Work, name: str) -> Tally:
    """Ask the oracle whether each turn of each moment is free, and lands where the work says."""
    whole = Tally(Counter())
    for motion in (*(m.motion for m in work.moments), *work.closing):
        if not isinstance(motion, Turn):
            continue
        now = motion.before
        for quarter in motion.quarters:
            label = f"{name}: {motion.fold} from {now.angle(motion.fold)}"
            whole = whole.plus(_confirmed(seen(now, work.scale), motion, quarter, label))
            whole = whole.plus(landings(quarter, work, label))
            now = quarter.after
    return whole


def _confirmed(at: Seen, turn: Turn, quarter: Quarter, label: str) -> Tally:
    theirs = attempt(at.case, at.state, motion_of(at, turn.fold, turn.is_closing))
    moved = {str(key) for key in quarter.moved}
    if theirs.outcome == "free":
        same = theirs.moving == moved
        found = () if same else (f"{label}: {sorted(theirs.moving ^ moved)} move for one only",)
        return Tally(Counter({"design turns, free": 1}), found)
    if quarter.grazed and theirs.outcome in ("doubtful", "blocked"):
        return Tally(Counter({"design turns, within the cutting tolerance": 1}))
    if theirs.outcome in ("doubtful", "undetermined"):
        return Tally(Counter({f"design turns, {theirs.outcome}": 1}))
    return Tally(Counter(), (f"{label}: {theirs.outcome} for the oracle ({reason(theirs)})",))


def landings(quarter: Quarter, work: Work, label: str) -> Tally:
    """Ask the oracle whether what has landed can lie on the side on which the work has it, and
    whether it could as well lie on the other.

    What is tucked in by hand has to lie on the other side than that from which it comes.
    """
    after, scale = quarter.after, work.scale
    tucked_under = _tucked_under(quarter, work)
    counts: Counter[str] = Counter()
    found = []
    flats = {key: _flat(plate, scale) for key, plate in after.plates.items()}
    x, y, z = 0.0, 0.0, 0.0
    at = [x, y, z]
    for k, value in zip(
        [k for k in (0, 1, 2) if k != quarter.line.axis], _line_place(quarter), strict=True
    ):
        at[k] = float(value) / scale
    along = [0.0, 0.0, 0.0]
    along[quarter.line.axis] = 1.0
    line = Line((at[0], at[1], at[2]), (along[0], along[1], along[2]))
    for (first, second), side in after.sides.items():
        if first not in quarter.moved or second in quarter.moved:
            continue
        if after.plates[first].axis == quarter.line.axis:
            continue
        # The second lies before the front of the first, or behind it.
        normal = front_normal(flats[first])
        upper, lower = (second, first) if side == 1 else (first, second)
        faces = [flats[first], flats[second]]
        ways = (line, 90.0 * quarter.sense, normal)
        here = contact_order_is_sound(faces, {str(first)}, {(str(upper), str(lower))}, *ways).sound
        other = contact_order_is_sound(faces, {str(first)}, {(str(lower), str(upper))}, *ways).sound
        if second in tucked_under:
            counts["landings, tucked in"] += 1
            here, other = other, here
        else:
            counts["landings, sound" if not other else "landings, sound on either side"] += 1
        if not here:
            found.append(f"{label}: {first} cannot come to lie so on {second}; otherwise: {other}")
    return Tally(counts, tuple(found))


def _tucked_under(quarter: Quarter, work: Work) -> set[FaceKey]:
    """What the design says that a moved section is tucked under, with what is glued on that."""
    found = {
        FaceKey(tuck.host, tuck.host_face)
        for key, part in work.parts.pieces.items()
        for tuck in part.piece.source.tucks
        if FaceKey(key, tuck.section) in quarter.moved
    }
    glued = [bond for bond in quarter.after.bonds if bond.kind == "glue"]
    on_it = {bond.first for bond in glued if bond.second in found}
    return found | (on_it - quarter.moved)


def _line_place(quarter: Quarter) -> tuple[Exact, ...]:
    """Where the line of a turn crosses the two other axes, in the order of their numbers."""
    first, second = quarter.line.at
    # The two other axes are named in cyclic order: of y the first is z, the second x.
    return (second, first) if quarter.line.axis == 1 else (first, second)


def other_turns(work: Work, name: str, every: int = 1, most: int | None = None) -> Tally:
    """Turn every fold both ways at every moment, without tolerance, and compare."""
    whole = Tally(Counter())
    number = 0
    for assembly in assemblies_of(work):
        at: Seen | None = None
        for fold in assembly.creases:
            for is_closing in (True, False):
                number += 1
                if number % every or (most is not None and number // every > most):
                    continue
                at = at or seen(assembly, work.scale)
                whole = whole.plus(_other_turn(at, fold, is_closing, f"{name}, try {number}"))
    return whole


def assemblies_of(work: Work) -> Iterator[Assembly]:
    """Every assembly of every moment, once."""
    met: set[int] = set()
    for moment in work.moments:
        for assembly in (moment.assembly, *moment.others):
            if id(assembly) not in met:
                met.add(id(assembly))
                yield assembly


def _other_turn(at: Seen, fold: FoldKey, is_closing: bool, name: str) -> Tally:
    ours = turned(at.assembly, fold, is_closing)
    theirs = attempt(at.case, at.state, motion_of(at, fold, is_closing))
    label = f"{name}: {fold} {'on' if is_closing else 'back'} from {at.assembly.angle(fold)}"
    if theirs.outcome in ("doubtful", "undetermined"):
        return Tally(Counter({f"other turns, {theirs.outcome}": 1}))
    is_free = theirs.outcome == "free"
    if is_free and not theirs.settled:
        return Tally(Counter({"other turns, free but for what lies on what": 1}))
    counts = Counter({f"other turns, {theirs.outcome}": 1})
    if isinstance(ours, Blocked):
        if not is_free:
            return Tally(counts)
        stop = f"{ours.moving} by {ours.by}: {ours.why.value}, {ours.depth}"
        return Tally(counts, (f"{label}: free for the oracle, {stop}",))
    if not is_free:
        return Tally(counts, (f"{label}: {theirs.outcome} for the oracle ({reason(theirs)})",))
    moved = {str(key) for key in ours.moved}
    if moved != theirs.moving:
        others = sorted(moved ^ theirs.moving)
        return Tally(counts, (f"{label}: {others} move for one of the two only",))
    return Tally(counts)


# --- by hand -----------------------------------------------------------------------------------


def by_hand() -> Tally:
    """Ask both of every work made by hand; what is true of it stands beside it."""
    whole = Tally(Counter())
    for each in hand_made():
        theirs = play(each.case).attempt
        if (theirs.outcome == "free") != each.is_free:
            name = f"{each.case.name}, {each.case.motion}"
            whole = whole.plus(Tally(Counter(), (f"{name}: {theirs.outcome} for the oracle",)))
        whole = whole.plus(asked(each.case, theirs, "by hand"))
    return whole


# --- the command -------------------------------------------------------------------------------


def main(arguments: list[str] | None = None) -> int:
    """Ask everything and print the counts; 1 where the two differ somewhere."""
    parser = argparse.ArgumentParser(description=main.__doc__)
    parser.add_argument("--seeds", type=int, default=3, help="how many seeds of works at random")
    parser.add_argument("--each", type=int, default=20, help="free and blocked works of each seed")
    parser.add_argument("--every", type=int, default=1, help="ask of every n-th other turn only")
    chosen = parser.parse_args(arguments)
    whole = by_hand()
    print(f"by hand: {len(whole.differences)} differences", flush=True)
    for seed in range(1, chosen.seeds + 1):
        found = together(
            asked(answer.case, answer.attempt, f"random {answer.family}")
            for answer in random_answers(seed, chosen.each)
        )
        print(f"at random, seed {seed}: {len(found.differences)} differences", flush=True)
        whole = whole.plus(found)
    for file in DESIGNS:
        work = work_of(file)
        found = turns_confirmed(work, file.stem).plus(other_turns(work, file.stem, chosen.every))
        print(f"{file.stem}: {len(found.differences)} differences", flush=True)
        whole = whole.plus(found)
    for kind, count in sorted(whole.asked.items()):
        print(f"{count:6d}  {kind}")
    print(f"{len(whole.differences):6d}  differences")
    print("\n".join(whole.differences))
    return 1 if whole.differences else 0


if __name__ == "__main__":
    sys.exit(main())

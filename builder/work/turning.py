"""Turns about a line: which part turns, what is carried, what stands in the way, and what comes to
lie on what.

In: an assembly and a fold.  Out: the assembly a quarter turn later, or why it cannot turn.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from enum import Enum

from builder.work.assembly import Assembly, FoldKey, Pair, both_ways, reached
from builder.work.laying import Tucks
from builder.work.paths import crossings_at_rest, crossings_of_turn, glides
from builder.work.plates import FaceKey, Plate
from builder.work.regions import Along
from builder.work.space import ACROSS, Exact, Sense, SpaceLine, quarter_turn

#: Faces that are tucked in when they close, each with the face that lies over it then.
Under = Mapping[FaceKey, FaceKey]


class Obstacle(Enum):
    """Why a motion cannot be done."""

    LOCKED = "locked"
    CROSSES = "crosses"
    COVERED = "covered"
    GLIDES = "glides"
    FULL_TURN = "full turn"


@dataclass(frozen=True)
class Blocked:
    """A motion that cannot be done: what moves, and what stops it.

    ``depth`` is about how far the two would pass through one another, in units; 0 where that does
    not apply.
    """

    fold: FoldKey
    why: Obstacle
    moving: FaceKey
    by: FaceKey
    depth: float = 0.0


@dataclass(frozen=True)
class Quarter:
    """A quarter turn done: the assembly after it, what moved, about which line."""

    after: Assembly
    moved: frozenset[FaceKey]
    line: SpaceLine
    sense: Sense
    grazed: tuple[Blocked, ...] = ()


def turned(
    assembly: Assembly,
    fold: FoldKey,
    is_closing: bool,
    tolerance: float = 0.0,
    tucks: Tucks | None = None,
    under: Under | None = None,
) -> Quarter | Blocked:
    """Turn what hangs on a fold by a quarter towards closing, or back.

    ``tolerance`` is how far two faces may cross, in units, as a hand-cut edge may lie elsewhere.
    """
    crease, line = assembly.creases[fold], assembly.lines[fold]
    cut = assembly.folds_on(line)
    part = moving_part(assembly, fold)
    if part is None:
        return Blocked(fold, Obstacle.LOCKED, crease.hanging, crease.staying)
    moving, moves_hanging = part
    rest = crease.staying if moves_hanging else crease.hanging
    closing = crease.closing_sense(assembly.plates[rest].pose, moves_hanging)
    sense: Sense = closing if is_closing else (-1 if closing == 1 else 1)
    return _turned_part(
        assembly, fold, moving, rest, line, sense, cut, tolerance, tucks or {}, under or {}
    )


def moving_part(assembly: Assembly, fold: FoldKey) -> tuple[frozenset[FaceKey], bool] | None:
    """Find what turns on a fold, and whether that is the side that hangs on it; None where both
    sides stay connected when all folds on the line are cut.

    What hangs on the turning part alone, by another fold on the line, turns with it.
    """
    crease = assembly.creases[fold]
    cut = assembly.folds_on(assembly.lines[fold])
    moving = assembly.connected(crease.hanging, cut)
    if crease.staying in moving:
        return None
    # What the base holds stays, even where it holds it by another fold on the line.
    is_held = assembly.base in assembly.connected(crease.staying, {fold})
    moves_hanging = is_held and assembly.base not in moving
    if not moves_hanging:
        moving = assembly.connected(crease.staying, cut)
    # What is still connected to the base when the folds of the turning part are cut stays.
    beside = {
        each
        for each in cut
        if {assembly.creases[each].hanging, assembly.creases[each].staying} & moving
    }
    staying = assembly.connected(assembly.base, beside)
    carried = (
        assembly.connected(face, beside)
        for each in beside
        for face in (assembly.creases[each].hanging, assembly.creases[each].staying)
        if face not in staying
    )
    return moving.union(*carried), moves_hanging


def _turned_part(
    assembly: Assembly,
    fold: FoldKey,
    moving: frozenset[FaceKey],
    rest: FaceKey,
    line: SpaceLine,
    sense: Sense,
    cut: Collection[FoldKey],
    tolerance: float,
    tucks: Tucks,
    under: Under,
) -> Quarter | Blocked:
    """Turn a part, and what lies ahead of it and hangs on the same line."""
    while True:
        found = _stopped(assembly, fold, moving, line, sense, tolerance)
        hard = next((each for each in found if each.depth > tolerance or not each.depth), None)
        if hard is None:
            return _arrived(assembly, fold, moving, line, sense, cut, tuple(found), tucks, under)
        carried = _carried(assembly, hard.by, rest, cut)
        if not carried:
            return hard
        moving = moving | carried


def _carried(
    assembly: Assembly, face: FaceKey, rest: FaceKey, cut: Collection[FoldKey]
) -> frozenset[FaceKey]:
    """The part that a face belongs to, where it hangs on the line and is not what stays: neither
    the other side of the fold, ``rest``, nor the base."""
    part = assembly.connected(face, cut)
    beside = ((assembly.creases[f].hanging, assembly.creases[f].staying) for f in cut)
    hangs = any(face in part for pair in beside for face in pair)
    return frozenset() if {assembly.base, rest} & part or not hangs else part


def _stopped(
    assembly: Assembly,
    fold: FoldKey,
    moving: frozenset[FaceKey],
    line: SpaceLine,
    sense: Sense,
    tolerance: float,
) -> list[Blocked]:
    """What lies against the moving part where it sets out, and what it meets on its way."""
    covers = []
    for first, second in assembly.overlaps_with(moving):
        ways = _ways(assembly.plates[first], assembly.plates[second], line, sense)
        is_above = assembly.is_above(first, second)
        if is_above is not None and (1 if is_above else -1) in ways:
            covers.append((first, second))
    if covers:
        first, second = min(covers, key=lambda pair: _between(assembly, *pair))
        return [Blocked(fold, Obstacle.COVERED, first, second)]
    plates = assembly.plates
    own = [plate for key, plate in plates.items() if key in moving]
    still = [plate for key, plate in plates.items() if key not in moving]
    crossings = crossings_of_turn(own, still, line, sense)
    stops = [
        Blocked(fold, Obstacle.CROSSES, each.moving.key, each.still.key, each.depth)
        for each in crossings
    ]
    # What passes through something furthest meets it first, as a rule.
    return sorted(stops, key=lambda stop: -stop.depth)


def _between(assembly: Assembly, first: FaceKey, second: FaceKey) -> int:
    """How many faces lie between two that lie over one another."""
    way = assembly.is_above(first, second)
    return sum(
        assembly.is_above(first, key) is way and assembly.is_above(key, second) is way
        for key in assembly.plates
    )


def _ways(first: Plate, second: Plate, line: SpaceLine, sense: Sense) -> frozenset[int]:
    """Which way along the axis of its plane the first of two plates that lie over one another
    moves there: 1 and −1, or neither where it turns in its plane.

    What reaches over its own fold moves both ways, one on either side of it.
    """
    if first.axis == line.axis:
        return frozenset()
    onward, low, high = _common_reach(first, second, line, sense)
    return frozenset(way for way, is_there in ((onward, high > 0), (-onward, low < 0)) if is_there)


def _common_reach(
    first: Plate, second: Plate, line: SpaceLine, sense: Sense
) -> tuple[int, Exact, Exact]:
    """Which way the first of two plates that lie over one another moves on the far side of a line,
    and from where to where, seen from the line, what they share reaches."""
    axes = ACROSS[line.axis] if sense == 1 else tuple(reversed(ACROSS[line.axis]))
    along = next(k for k in axes if k != first.axis)
    start = line.at[ACROSS[line.axis].index(along)]
    own: Along = 0 if ACROSS[first.axis][0] == along else 1
    common = first.region.common_extent(second.region, own)
    assert common is not None
    low, high = common
    return (-1 if first.axis == axes[0] else 1), low - start, high - start


def _arrived(
    assembly: Assembly,
    fold: FoldKey,
    moving: frozenset[FaceKey],
    line: SpaceLine,
    sense: Sense,
    cut: Collection[FoldKey],
    grazed: tuple[Blocked, ...],
    tucks: Tucks,
    under: Under,
) -> Quarter | Blocked:
    motion = quarter_turn(line, sense)
    plates = {
        key: plate.moved(motion) if key in moving else plate
        for key, plate in assembly.plates.items()
    }
    angles = dict(assembly.angles)
    for each in (fold for fold in assembly.creases if fold in cut):
        crease = assembly.creases[each]
        moves_hanging = crease.hanging in moving
        if moves_hanging == (crease.staying in moving):
            continue
        rest = crease.staying if moves_hanging else crease.hanging
        closing = crease.closing_sense(assembly.plates[rest].pose, moves_hanging)
        angle = assembly.angle(each) + (90 if closing == sense else -90)
        if abs(angle) > 180:
            return Blocked(fold, Obstacle.FULL_TURN, crease.hanging, crease.staying)
        angles[each] = angle
    after = replace(assembly, plates=plates, angles={k: a for k, a in angles.items() if a})
    still = [plate for key, plate in assembly.plates.items() if key not in moving]
    own = [plate for key, plate in assembly.plates.items() if key in moving]
    for first, second in glides(own, still, (plates[plate.key] for plate in own)):
        if (first.key, second.key) not in tucks:
            return Blocked(fold, Obstacle.GLIDES, first.key, second.key)
    sides = _sides_after(assembly, after, moving, line, sense, tucks, under)
    return Quarter(replace(after, sides=sides), moving, line, sense, grazed)


def _sides_after(
    before: Assembly,
    after: Assembly,
    moving: frozenset[FaceKey],
    line: SpaceLine,
    sense: Sense,
    tucks: Tucks,
    under: Under,
) -> dict[Pair, Sense]:
    """What lies over what: nothing changes between faces that move together; where a moving face
    arrives it lies on the side that it comes from, or under what it is tucked under."""
    sides = {
        pair: side
        for pair, side in before.sides.items()
        if (pair[0] in moving) == (pair[1] in moving)
    }
    over = _tucked_under(after, moving, under)
    for first, second in after.overlaps_with(moving):
        is_above: bool | None = None
        if after.plates[first].axis == line.axis:
            is_above = before.is_above(first, second)
            if is_above is None and (first, second) in tucks:
                is_above = tucks[first, second] == after.plates[first].facing
        else:
            is_above = _main_way(after.plates[first], after.plates[second], line, sense) > 0
            if second in over:
                is_above = not is_above
        if is_above is not None:
            sides.update(both_ways(after.plates, first, second, is_above))
    return sides


def _tucked_under(
    assembly: Assembly, moving: frozenset[FaceKey], under: Under
) -> frozenset[FaceKey]:
    """What a moving part is tucked under in the end: faces with all that is glued to them."""

    def glued(face: FaceKey) -> Iterator[FaceKey]:
        for bond in assembly.bonds:
            if bond.kind == "glue" and bond.holds(face):
                other = bond.other(face)
                plate = assembly.plates[other]
                if other not in moving and plate.shares_plane(assembly.plates[face]):
                    yield other

    hosts = (over for face, over in under.items() if face in moving and over in assembly.plates)
    return reached(hosts, glued)


def _main_way(first: Plate, second: Plate, line: SpaceLine, sense: Sense) -> int:
    """The way in which a moving plate arrives where it lies over a still one: the second lies on
    that side of it."""
    onward, low, high = _common_reach(first, second, line, sense)
    return onward if high > -low else -onward


def standing_in(
    assembly: Assembly, fold: FoldKey, moved: Collection[FaceKey], tolerance: float
) -> Blocked | None:
    """What a part that has come to rest passes through there."""
    still = [plate for key, plate in assembly.plates.items() if key not in moved]
    crossings = crossings_at_rest((assembly.plates[key] for key in moved), still)
    deepest = max(crossings, key=lambda each: each.depth, default=None)
    if deepest is None or deepest.depth <= tolerance:
        return None
    moving, by = deepest.moving.key, deepest.still.key
    return Blocked(fold, Obstacle.CROSSES, moving, by, deepest.depth)

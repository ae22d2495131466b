"""Turns by quarters: about a fold, and of a part on the fastening that it turns on.

In: an assembly and a fold, or a part that turns and holds something shut.  Out: the assembly later,
with what comes to lie on what; or why it cannot turn.  A part on a fastening turns aside, to where
least comes to lie on it, and back until it laps over what it holds, lifted to lie on it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import Enum
from functools import cached_property

from gatherfold.resolve import ResolvedFastening
from gatherfold.work.adhesive import Demand
from gatherfold.work.assembly import Assembly, FoldKey, Pair
from gatherfold.work.parts import Parts
from gatherfold.work.paths import crossings_at_rest, crossings_of_turn, glides
from gatherfold.work.putting import Tucks
from gatherfold.work.regions import Along, FaceKey, Plate
from gatherfold.work.space import (
    ACROSS,
    AT_REST,
    Exact,
    Rigid,
    Sense,
    SpaceLine,
    along,
    quarter_turn,
    shifted_by,
)

#: Faces that are tucked in when they close, each with the face that lies over it then.
Under = Mapping[FaceKey, FaceKey]


@dataclass(frozen=True)
class Manner:
    """How motions are judged: how far two faces may cross, in units, as a hand-cut edge may lie
    elsewhere; what is brought together by hand and what is tucked under what, what has to be met,
    and when each piece came."""

    tolerance: float = 0.0
    tucks: Tucks = field(default_factory=dict)
    under: Under = field(default_factory=dict)
    demands: tuple[Demand, ...] = ()
    came: Mapping[str, int] = field(default_factory=dict)


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
    manner: Manner = Manner(),
) -> Quarter | Blocked:
    """Turn what hangs on a fold by a quarter towards closing, or back."""
    part = moving_part(assembly, fold)
    crease = assembly.creases[fold]
    if part is None:
        return Blocked(fold, Obstacle.LOCKED, *crease.faces)
    moving, moves_hanging = part
    rest = crease.staying if moves_hanging else crease.hanging
    closing = assembly.closing_sense(fold, moves_hanging)
    sense: Sense = closing if is_closing else (-1 if closing == 1 else 1)
    return _Attempt(assembly, fold, rest, assembly.lines[fold], sense, manner).made_by(moving)


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
    beside = {each for each in cut if not moving.isdisjoint(assembly.creases[each].faces)}
    staying = assembly.connected(assembly.base, beside)
    carried = (
        assembly.connected(face, beside)
        for each in beside
        for face in assembly.creases[each].faces
        if face not in staying
    )
    return moving.union(*carried), moves_hanging


@dataclass(frozen=True, eq=False)
class _Attempt:
    """A quarter turn about the line of a fold, of what does not hang on ``rest``."""

    assembly: Assembly
    fold: FoldKey
    rest: FaceKey
    line: SpaceLine
    sense: Sense
    manner: Manner

    @cached_property
    def cut(self) -> frozenset[FoldKey]:
        """All folds on the line."""
        return self.assembly.folds_on(self.line)

    def made_by(self, moving: frozenset[FaceKey]) -> Quarter | Blocked:
        """Turn a part, and what lies ahead of it and hangs on the same line."""
        while True:
            found = self._stops(moving)
            hard = next((e for e in found if e.depth > self.manner.tolerance or not e.depth), None)
            if hard is None:
                return self._arrived(moving, tuple(found))
            carried = self._carried(hard.by)
            if not carried:
                return hard
            moving = moving | carried

    def _carried(self, face: FaceKey) -> frozenset[FaceKey]:
        """The part that a face belongs to, where it hangs on the line and is not what stays:
        neither the other side of the fold nor the base."""
        part = self.assembly.connected(face, self.cut)
        hangs = any(not part.isdisjoint(self.assembly.creases[fold].faces) for fold in self.cut)
        is_at_rest = self.assembly.base in part or self.rest in part
        return part if hangs and not is_at_rest else frozenset()

    def _stops(self, moving: frozenset[FaceKey]) -> list[Blocked]:
        """What lies against the moving part where it sets out, and what it meets on its way."""
        assembly = self.assembly
        covers = [
            pair
            for pair in assembly.overlaps_with(moving)
            if (is_above := assembly.is_above(*pair)) is not None and self._sets_out(pair, is_above)
        ]
        if covers:
            pair = min(covers, key=lambda pair: _between(assembly, *pair))
            return [Blocked(self.fold, Obstacle.COVERED, *pair)]
        own, still = self._divided(moving)
        stops = [
            Blocked(self.fold, Obstacle.CROSSES, each.moving.key, each.still.key, each.depth)
            for each in crossings_of_turn(own, still, self.line, self.sense)
        ]
        # What passes through something furthest meets it first, as a rule.
        return sorted(stops, key=lambda stop: -stop.depth)

    def _divided(self, moving: frozenset[FaceKey]) -> tuple[list[Plate], list[Plate]]:
        """The plates that move and those that stay."""
        plates = self.assembly.plates
        own = [plate for key, plate in plates.items() if key in moving]
        return own, [plate for key, plate in plates.items() if key not in moving]

    def _sets_out(self, pair: Pair, is_up: bool) -> bool:
        """Whether some of what the first of two faces shares with the second moves up, or down.

        What reaches over its own fold moves both ways, one on either side of it; what turns in its
        plane neither.
        """
        first, second = (self.assembly.plates[key] for key in pair)
        if first.axis == self.line.axis:
            return False
        onward, low, high = self._shared(first, second)
        return high > 0 if is_up == (onward > 0) else low < 0

    def _shared(self, first: Plate, second: Plate) -> tuple[int, Exact, Exact]:
        """Which way the first of two plates that lie over one another moves on the far side of the
        line, and from where to where, seen from the line, what they share reaches."""
        axes = ACROSS[self.line.axis][:: self.sense]
        along = next(k for k in axes if k != first.axis)
        start = self.line.at[ACROSS[self.line.axis].index(along)]
        own: Along = 0 if ACROSS[first.axis][0] == along else 1
        common = first.region.common_extent(second.region, own)
        assert common is not None
        low, high = common
        return (-1 if first.axis == axes[0] else 1), low - start, high - start

    def _arrived(
        self, moving: frozenset[FaceKey], grazed: tuple[Blocked, ...]
    ) -> Quarter | Blocked:
        angles = dict(self.assembly.angles)
        for fold in (each for each in self.assembly.creases if each in self.cut):
            crease = self.assembly.creases[fold]
            moves_hanging = crease.hanging in moving
            if moves_hanging == (crease.staying in moving):
                continue
            is_closing = self.assembly.closing_sense(fold, moves_hanging) == self.sense
            angles[fold] = self.assembly.angle(fold) + (90 if is_closing else -90)
            if abs(angles[fold]) > 180:
                return Blocked(self.fold, Obstacle.FULL_TURN, *crease.faces)
        after = self._after(moving)
        own, still = self._divided(moving)
        for first, second in glides(own, still, (after.plates[plate.key] for plate in own)):
            if (first.key, second.key) not in self.manner.tucks:
                return Blocked(self.fold, Obstacle.GLIDES, first.key, second.key)
        after = replace(after, angles={fold: angle for fold, angle in angles.items() if angle})
        return Quarter(after, moving, self.line, self.sense, grazed)

    def _after(self, moving: frozenset[FaceKey]) -> Assembly:
        """The assembly with a part turned: where a face of it arrives it lies on the side that it
        comes from, or under what it is tucked under."""
        after = self.assembly.moved(moving, quarter_turn(self.line, self.sense))
        over = self._tucked_under(moving)

        def order(first: FaceKey, second: FaceKey) -> bool | None:
            own = after.plates[first]
            if own.axis != self.line.axis:
                # It lies on the far side of the line, or on the near one, whichever is more.
                onward, low, high = self._shared(own, after.plates[second])
                return ((onward > 0) == (high > -low)) != (second in over)
            is_above = self.assembly.is_above(first, second)
            if is_above is None and (first, second) in self.manner.tucks:
                return self.manner.tucks[first, second] == own.facing
            return is_above

        return after.layered(moving, order)

    def _tucked_under(self, moving: frozenset[FaceKey]) -> frozenset[FaceKey]:
        """What a moving part is tucked under in the end: faces with all that is glued to them."""
        hosts = [over for face, over in self.manner.under.items() if face in moving]
        return self.assembly.glued_flat(hosts, without=moving)


def _between(assembly: Assembly, first: FaceKey, second: FaceKey) -> int:
    """How many faces lie between two that lie over one another."""
    way = assembly.is_above(first, second)
    return sum(
        assembly.is_above(first, key) is way and assembly.is_above(key, second) is way
        for key in assembly.plates
    )


def standing_in(
    assembly: Assembly, fold: FoldKey, moved: Collection[FaceKey], tolerance: float
) -> Blocked | None:
    """What a part that has come to rest passes through there."""
    # In the order of the plates, so that of what is equally deep the same one is named each time.
    own = [plate for key, plate in assembly.plates.items() if key in moved]
    still = [plate for key, plate in assembly.plates.items() if key not in moved]
    crossings = crossings_at_rest(own, still)
    deepest = max(crossings, key=lambda each: each.depth, default=None)
    if deepest is None or deepest.depth <= tolerance:
        return None
    moving, by = deepest.moving.key, deepest.still.key
    return Blocked(fold, Obstacle.CROSSES, moving, by, deepest.depth)


@dataclass(frozen=True, eq=False)
class Swing:
    """A part turned on its fastening: aside, or over what it holds."""

    fastening: str
    is_aside: bool
    before: Assembly
    after: Assembly
    moved: frozenset[FaceKey]


@dataclass(frozen=True)
class Pivot:
    """A part that turns on a fastening: its own face, what it turns on, and all that turns."""

    fastening: ResolvedFastening
    face: FaceKey
    anchor: FaceKey
    moved: frozenset[FaceKey]

    @property
    def held(self) -> str:
        """The piece that it holds shut."""
        return self.fastening.source.holds or ""


def pivots_in(parts: Parts, assembly: Assembly) -> Iterator[Pivot]:
    """The parts of an assembly that turn on a fastening and hold one of its pieces."""
    for bond in assembly.bonds:
        if bond.kind != "pivot":
            continue
        fastening = parts.resolved.fastenings[bond.joins]
        if fastening.source.holds in assembly.pieces:
            moved = assembly.block_of(bond.first.piece, loose=[bond])
            if bond.second not in moved:
                yield Pivot(fastening, bond.first, bond.second, moved)


def swung_aside(parts: Parts, assembly: Assembly, pivot: Pivot, closed: Assembly) -> Swing:
    """Turn a part out of the way: where least of what is closed comes to lie over it."""
    own = assembly.plates[pivot.face]
    up = _up(assembly, pivot)
    above = [
        plate
        for plate in closed.plates.values()
        if plate.axis == own.axis and (plate.plane - own.plane) * up > 0
    ]

    def covered(motion: Rigid) -> int:
        moved = own.moved(motion)
        return sum(moved.region.overlaps(plate.region) for plate in above)

    motion = min(quarters(parts.scale, own, pivot.fastening), key=covered)
    return Swing(
        pivot.fastening.key, True, assembly, _moved(assembly, pivot, motion, up), pivot.moved
    )


def swung_over(parts: Parts, assembly: Assembly, pivot: Pivot) -> Swing | None:
    """Turn a part over what it holds, to lie on it; None where it does not reach it."""
    own, up = assembly.plates[pivot.face], _up(assembly, pivot)
    held = [
        plate
        for key, plate in assembly.plates.items()
        if key.piece == pivot.held and plate.axis == own.axis
    ]
    for motion in quarters(parts.scale, own, pivot.fastening):
        turned = own.moved(motion)
        under = [plate for plate in held if turned.region.overlaps(plate.region)]
        if under:
            top = max(under, key=lambda plate: plate.plane * up).plane
            lifted = shifted_by(along(own.axis, top - own.plane)).then(motion)
            after = _moved(assembly, pivot, lifted, up)
            return Swing(pivot.fastening.key, False, assembly, after, pivot.moved)
    return None


def swung_back(assembly: Assembly, swing: Swing) -> Assembly:
    """Put a part back where it was before it was turned, nothing else having moved since."""
    plates = {
        key: swing.before.plates[key] if key in swing.moved else plate
        for key, plate in assembly.plates.items()
    }
    sides = {pair: side for pair, side in assembly.sides.items() if not set(pair) & swing.moved}
    before = {pair: side for pair, side in swing.before.sides.items() if set(pair) & swing.moved}
    return replace(assembly, plates=plates, sides={**sides, **before})


def _up(assembly: Assembly, pivot: Pivot) -> Sense:
    """Towards which end of the axis the part lies on what it turns on."""
    is_above = assembly.is_above(pivot.anchor, pivot.face)
    if is_above is None:
        return assembly.plates[pivot.face].facing
    return 1 if is_above else -1


def quarters(scale: int, plate: Plate, fastening: ResolvedFastening) -> Sequence[Rigid]:
    """Give the turns of a face about its fastening: none, a quarter, a half, three quarters."""
    point = fastening.point
    assert point is not None
    place = plate.place_of(point, scale)
    first, second = ACROSS[plate.axis]
    quarter = quarter_turn(SpaceLine(plate.axis, (place[first], place[second])), plate.facing)
    half = quarter.then(quarter)
    return (AT_REST, quarter, half, half.then(quarter))


def _moved(assembly: Assembly, pivot: Pivot, motion: Rigid, up: Sense) -> Assembly:
    """The part moved: it lies over all that it comes to lie on."""
    after = assembly.moved(pivot.moved, motion)
    axis = after.plates[pivot.face].axis
    return after.layered(
        pivot.moved, lambda own, _: up < 0 if after.plates[own].axis == axis else None
    )

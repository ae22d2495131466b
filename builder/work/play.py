"""The steps of a design played once, as a maker does them.

In: a resolved design.  Out: its :class:`Work`: a moment after every operation and every motion.
What the design does not say is found: the order in which folds of one operation close, the layer
that something comes to lie on, and what it is glued to.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal, assert_never

from builder.choices import is_in_pocket
from builder.design import Step
from builder.geometry.pose import Pose
from builder.reading.references import matching_names
from builder.resolve.lying import lying_pose
from builder.resolve.resolved import ResolvedDesign
from builder.steps import Operation
from builder.work.adhesive import contact
from builder.work.assembly import Assembly, Bond, FoldKey
from builder.work.closing import (
    Closed,
    Demand,
    Manner,
    Turn,
    close,
    close_in_order,
    is_met,
    open_folds,
    turn_fully,
)
from builder.work.joins import (
    closing_demands,
    further_demand,
    host_side,
    placement_demands,
    section_folds,
    tucks_of,
    under_of,
)
from builder.work.laying import laid_on
from builder.work.moments import Moment, Motion, Placing, Problem, Tie, Trouble, Work
from builder.work.parts import Parts, parts_of
from builder.work.piercing import Pierced, is_pierced, pierce
from builder.work.pivots import Swing, pivots_in, swung_aside, swung_back, swung_over
from builder.work.plates import FaceKey
from builder.work.putting import Put, Stuck, Way, put_on, slide_in
from builder.work.space import Rigid, as_rigid
from builder.work.turning import Blocked

ALL = "all"


def play(resolved: ResolvedDesign) -> Work:
    """Play the steps of a design, then close what they leave open."""
    player = _Player(parts_of(resolved))
    for number, step in enumerate(resolved.design.steps, start=1):
        player.do_step(number, step)
    return player.finished()


@dataclass(frozen=True)
class _Moved:
    """A fold that was turned, with its angle before, or a part that was turned on its fastening;
    and whether it is at rest as it is now."""

    fold: FoldKey | None
    before: int
    stays: bool
    swing: Swing | None = None


class _Player:
    """The work as it stands, and what has been noted of it."""

    def __init__(self, parts: Parts) -> None:
        self._parts, self._resolved = parts, parts.resolved
        self._now: list[Assembly] = []
        self._moments: list[Moment] = []
        self._problems: list[Problem] = []
        self._came: dict[str, int] = {}
        self._turned: list[_Moved] = []
        self._at_rest: Assembly | None = None
        self._closing: list[Motion] = []
        self._tied: set[str] = set()
        self._ranks: dict[str, tuple[object, ...]] = {}
        self._set: set[str] = set()
        self._joined: set[tuple[FaceKey, FaceKey]] = set()
        self._pierced: dict[str, Pierced] = {}
        self._tucks, self._under = tucks_of(parts), under_of(parts)
        self._step = 0
        self._doing: Operation | Literal["finish"] = "cut"

    # ---- steps

    def do_step(self, number: int, step: Step) -> None:
        """Carry out the operations of a step, in the order in which it writes them."""
        self._step = number
        for operation in step.operations:
            self._doing = operation
            match operation:
                case "cut" | "score" | "fold" | "ink" | "dry_fit":
                    for key in self._pieces_named(step, operation):
                        self._take(key)
                case "divide":
                    pass
                case "attach" | "insert":
                    for key in self._pieces_named(step, operation):
                        self._place(key, is_slid=operation == "insert")
                case "close":
                    self._close(step.operations["close"])
                case "open":
                    self._open(step.operations["open"])
                case "fasten":
                    for key in self._fastenings_named(step):
                        self._fasten(key)
                case _:
                    assert_never(operation)

    def _pieces_named(self, step: Step, operation: Operation) -> tuple[str, ...]:
        """The pieces that an operation names; those of one pattern so that hosts come before what
        lies on them, then by size and place, never by name."""
        found: list[str] = []
        for pattern in step.operations[operation]:
            names = [n for n in matching_names(pattern, self._resolved.pieces) if n not in found]
            found += names if len(names) < 2 else sorted(names, key=self._rank)
        return tuple(found)

    def _rank(self, key: str) -> tuple[object, ...]:
        """Hosts before what lies on them, then large before small, by place on the host and that
        of the host on its own, and so on."""
        if key not in self._ranks:
            self._ranks[key] = self._ranked(key)
        return self._ranks[key]

    def _ranked(self, key: str) -> tuple[object, ...]:
        places: list[tuple[object, ...]] = []
        at = piece = self._resolved.pieces[key]
        while at.source.placement is not None and len(places) < len(self._resolved.pieces):
            host = self._resolved.pieces[at.source.placement.host]
            box, offsets = host.face(at.host_face).box, at.offsets
            own = (offsets.left, -offsets.bottom) if offsets is not None else (0, 0)
            side = host_side(at.source.placement.relation)
            places.append((*own, box.left, -box.bottom, -side, -host.width, -host.height))
            at = host
        return (len(places), -piece.width * piece.height, -piece.width, *places)

    def _fastenings_named(self, step: Step) -> tuple[str, ...]:
        """The fastenings that a step names, in its order; those of one pattern by their places."""
        found: list[str] = []
        for pattern in step.operations["fasten"]:
            names = matching_names(pattern, self._resolved.fastenings)
            new = [name for name in names if name not in found]
            found += new if len(new) < 2 else sorted(new, key=self._place_of_fastening)
        return tuple(found)

    def _place_of_fastening(self, key: str) -> tuple[object, ...]:
        """Something to order fastenings by: what goes through pieces by these and its point."""
        fastening = self._resolved.fastenings[key]
        point, through = fastening.point, fastening.source.through
        if point is None or not through:
            return (True, fastening.length, fastening.head)
        return (False, self._rank(through[0]), point.x, -point.y)

    # ---- what there is

    def _take(self, key: str) -> Assembly:
        """The assembly that a piece is in; the piece alone and flat, if it is in none yet."""
        for assembly in self._now:
            if key in assembly.pieces:
                return assembly
        loose = self._parts.pieces[key].loose()
        self._came.setdefault(key, self._step)
        self._now.append(loose)
        return loose

    def _put_in_place_of(self, old: Sequence[Assembly], new: Assembly) -> None:
        place = next(n for n, each in enumerate(self._now) if each is old[0])
        self._now = [new if n == place else each for n, each in enumerate(self._now)]
        self._now = [each for each in self._now if not any(each is o for o in old[1:])]

    def _note(
        self,
        assembly: Assembly,
        motion: Motion | None = None,
        fresh: tuple[str, ...] = (),
        bonds: Sequence[Bond] = (),
    ) -> None:
        others = tuple(each for each in self._now if each is not assembly)
        self._moments.append(
            Moment(self._step, self._doing, assembly, others, motion, fresh, tuple(bonds))
        )
        self._rest()

    def _rest(self) -> None:
        """Note that the work is at rest, if there is any and nothing of it only lies closed."""
        if self._now and all(each.stays for each in self._turned):
            self._at_rest, self._closing = self._main(), []

    def _problem(
        self,
        trouble: Trouble,
        part: object,
        other: object = "",
        stop: Blocked | Stuck | None = None,
    ) -> None:
        problem = Problem(trouble, self._step, str(part), str(other), stop)
        if problem not in self._problems:
            self._problems.append(problem)

    def _manner(self, demands: Sequence[Demand] = ()) -> Manner:
        return Manner(self._parts.tolerance, self._tucks, self._under, tuple(demands), self._came)

    # ---- placing

    def _place(self, key: str, is_slid: bool) -> None:
        part = self._parts.pieces[key]
        placement = part.piece.source.placement
        own = self._take(key)
        if placement is None:
            self._note(own, fresh=(key,))
            return
        base = self._take(placement.host)
        if base is own:
            return
        self._came[key] = self._step
        host = FaceKey(placement.host, part.piece.host_face)
        side = host_side(placement.relation)
        demands = tuple(placement_demands(self._parts, part))
        base, aside = self._turned_aside(base, host, side)
        motion = self._motion_of(key, own, base)
        put: Put | Stuck
        if is_slid:
            put = slide_in(base, own, motion, host, side, self._parts.tolerance, self._tucks)
            if isinstance(put, Stuck) and (folded := self._folded_up(own, key)) is not None:
                own = folded
                motion = self._motion_of(key, own, base)
                put = slide_in(base, own, motion, host, side, self._parts.tolerance, self._tucks)
        elif demands:
            put = Put(laid_on(base, own, motion, host, side, self._tucks), Way.LAID, (0, 0, 0))
        else:
            put = put_on(base, own, motion, host, side, self._parts.tolerance, self._tucks)
        if isinstance(put, Stuck):
            self._problem(Trouble.CANNOT_GO_IN, key, host, put)
            put = Put(laid_on(base, own, motion, host, side, self._tucks), Way.SLID, (0, 0, 0))
        bonds = tuple(self._glued(put.after, demands, laid=own.plates.keys()))
        if not bonds:
            bonds = (*bonds, Bond(part.by, host, "rest", key))
        after = put.after.with_bonds(bonds)
        self._put_in_place_of([self._take(placement.host), self._take(key)], after)
        placing = Placing(key, host, base, put, bool(demands))
        self._note(after, placing, (key,), bonds)
        self._join_further(key)
        self._turned_back(aside)

    def _motion_of(self, key: str, own: Assembly, base: Assembly) -> Rigid:
        """The motion that brings a piece, and what it is joined to, to its place on its host."""
        part = self._parts.pieces[key]
        placement = part.piece.source.placement
        assert placement is not None
        host = self._resolved.pieces[placement.host]
        lying: Pose = lying_pose(part.piece, host)
        at_host = base.plates[FaceKey(placement.host, part.piece.host_face)].pose
        wanted = at_host.then(as_rigid(lying, self._parts.scale))
        return wanted.then(own.plates[part.by].pose.undone())

    def _folded_up(self, own: Assembly, key: str) -> Assembly | None:
        """A piece that is closed before it is slid in; None where it does not fold."""
        folds = list(open_folds(own, own.creases))
        if not folds:
            return None
        done = close(own, folds, self._manner())
        for turn in done.turns:
            self._note(turn.after, turn)
        if done.stops:
            return None
        self._put_in_place_of([self._take(key)], done.after)
        return done.after

    def _glued(
        self, assembly: Assembly, demands: Iterable[Demand], laid: Collection[FaceKey] = ()
    ) -> Iterator[Bond]:
        """Bonds for all that adhesive meets; of what is ``laid`` down what meets nothing is
        noted."""
        for demand in demands:
            found = contact(assembly, demand.adhesive, own=laid)
            if laid and not found.pairs:
                self._problem(Trouble.GLUED_TO_NOTHING, demand.adhesive.face)
            for own, other in found.pairs:
                self._joined |= {(own, other), (other, own)}
                yield Bond(own, other, "glue", demand.joins, demand.adhesive)

    # ---- leaves in the way

    def _turned_aside(
        self, base: Assembly, host: FaceKey, side: int
    ) -> tuple[Assembly, list[_Moved]]:
        """The assembly with the leaves open that lie over the face that something goes on, and what
        was turned for it, in order."""
        undone: list[_Moved] = []
        while self._leaf_over(base, host, side) is not None and self._turned:
            last = self._turned[-1]
            if last.fold is None or last.fold not in base.creases:
                break
            back = turn_fully(base, last.fold, last.before, self._manner())
            if isinstance(back, Blocked):
                break
            undone.append(replace(last, before=base.angle(last.fold)))
            self._turned.pop()
            self._put_in_place_of([base], back.after)
            base = back.after
        return base, undone

    def _leaf_over(self, base: Assembly, host: FaceKey, side: int) -> FaceKey | None:
        """A face that lies over the host on that side and can be turned away from it."""
        plate = base.plates[host]
        is_up = side == plate.facing
        turnable = {each.fold for each in self._turned if each.fold is not None}
        for key in base.in_plane(plate.axis, plate.plane):
            is_over = base.is_above(host, key) is is_up
            if is_over and key not in base.connected(host, turnable):
                return key
        return None

    def _turned_back(self, undone: Sequence[_Moved]) -> None:
        for each in reversed(undone):
            assert each.fold is not None
            base = self._take(each.fold.piece)
            turn = turn_fully(base, each.fold, each.before, self._manner())
            if isinstance(turn, Blocked):
                self._problem(Trouble.CANNOT_TURN, each.fold, turn.by, turn)
                return
            self._turned.append(replace(each, before=base.angle(each.fold)))
            self._put_in_place_of([base], turn.after)
        self._rest()

    # ---- further joins

    def _join_further(self, placed: str | None) -> None:
        """Make the further joins that meet now; those of a piece just placed close for it the folds
        between the two."""
        for key, part in self._parts.pieces.items():
            for join in part.piece.joins:
                own, host = FaceKey(key, join.face), FaceKey(join.host, join.host_face)
                if (own, host) in self._joined:
                    continue
                assembly = next((a for a in self._now if own in a.plates), None)
                if assembly is None or host not in assembly.plates:
                    continue
                demand = further_demand(self._parts, part, join)
                if not is_met(assembly, demand) and placed in (key, join.host) and key != join.host:
                    assembly = self._folded_to_meet(assembly, own, host, demand)
                if is_met(assembly, demand):
                    self._make(assembly, [demand])

    def _folded_to_meet(
        self, assembly: Assembly, own: FaceKey, host: FaceKey, demand: Demand
    ) -> Assembly:
        """Close the folds of both pieces that lie between the two faces and what holds them."""
        folds = [
            fold
            for fold in assembly.creases
            if _carries(assembly, fold, own) or _carries(assembly, fold, host)
        ]
        if not self._closed_later().isdisjoint(folds):
            return assembly
        done = close(assembly, folds, self._manner([demand]))
        self._follow(assembly, done)
        return done.after

    def _closed_later(self) -> frozenset[FoldKey]:
        """The folds that this step or a later one closes by name."""
        steps = self._resolved.design.steps[max(self._step - 1, 0) :]
        return frozenset(
            fold
            for step in steps
            for name in step.operations.get("close", ())
            if name != ALL
            for fold in self._folds_named(name)
        )

    def _folds_named(self, name: str) -> Iterator[FoldKey]:
        section = name.partition(".")[2]
        for key in self._folding(name):
            part = self._parts.pieces[key]
            creases = section_folds(part, section) if section else part.creases
            yield from (crease.key for crease in creases)

    def _make(self, assembly: Assembly, demands: Sequence[Demand]) -> None:
        bonds = tuple(self._glued(assembly, demands))
        after = assembly.with_bonds(bonds)
        self._put_in_place_of([assembly], after)
        self._note(after, bonds=bonds)

    # ---- closing and opening

    def _close(self, names: Sequence[str]) -> None:
        if ALL in names:
            self._rest()
            assembly = self._main()
            self._follow(assembly, self._closed_all(assembly), stays=False)
            self._tie(self._main())
            self._join_further(None)
            return
        folds: list[FoldKey] = []
        demands: list[Demand] = []
        for name in names:
            for fold in self._folds_named(name):
                folds.append(fold)
                part = self._parts.pieces[fold.piece]
                demands += closing_demands(self._parts, part, fold.hanging)
                demands += self._joins_of(fold.face)
        for assembly in list(self._now):
            own = [fold for fold in folds if fold in assembly.creases]
            if own:
                self._close_some(assembly, own, demands)

    def _folding(self, name: str) -> tuple[str, ...]:
        """The pieces that a name of ``close`` or ``open`` stands for."""
        return tuple(matching_names(name.partition(".")[0], self._resolved.pieces))

    def _joins_of(self, face: FaceKey) -> Iterator[Demand]:
        part = self._parts.pieces[face.piece]
        for join in part.piece.joins:
            if join.face == face.face:
                yield further_demand(self._parts, part, join)

    def _close_some(
        self, assembly: Assembly, folds: Sequence[FoldKey], demands: Sequence[Demand]
    ) -> None:
        own = [demand for demand in demands if _is_due(assembly, demand)]
        self._note_glued_open(assembly, folds)
        groups = self._in_closing_order(folds)
        done = close_in_order(assembly, groups, self._manner(own))
        self._follow(assembly, done)
        assembly = self._take(folds[0].piece)
        for demand in done.unmet:
            missed = demand.targets[0] if demand.targets else ""
            self._problem(Trouble.JOIN_MISSES, demand.adhesive.face, missed)
        met = [demand for demand in own if demand not in done.unmet]
        if met:
            self._make(assembly, met)
        self._join_further(None)

    def _note_glued_open(self, assembly: Assembly, folds: Iterable[FoldKey]) -> None:
        """Note folds that should close, and that glue holds on both sides."""
        for fold in folds:
            crease = assembly.creases[fold]
            if assembly.angle(fold) < crease.closed and assembly.is_locked(fold):
                self._problem(Trouble.GLUED_OPEN, fold, crease.staying)

    def _in_closing_order(self, folds: Collection[FoldKey]) -> list[list[FoldKey]]:
        """Folds in the groups in which the design's ``closing`` names them; in one group where it
        does not name them all."""
        groups: list[list[FoldKey]] = []
        left = list(folds)
        for name in self._resolved.design.closing:
            key, _, section = name.partition(".")
            group = [f for f in left if f.piece == key and section in ("", f.hanging)]
            if group:
                groups.append(group)
                left = [fold for fold in left if fold not in group]
        return [list(folds)] if left else groups

    def _closed_all(self, assembly: Assembly) -> Closed:
        """Everything closed that still closes: in the design's order first, then the rest."""
        self._note_glued_open(assembly, assembly.creases)
        folds = list(open_folds(assembly, assembly.creases))
        groups: list[list[FoldKey]] = []
        left = folds
        for name in self._resolved.design.closing:
            key, _, section = name.partition(".")
            group = [f for f in left if f.piece == key and section in ("", f.hanging)]
            left = [fold for fold in left if fold not in group]
            if group:
                groups.append(group)
        if left:
            # What the design does not name closes before all else: it is inside of it.
            groups.insert(0, left)
        return close_in_order(assembly, groups, self._manner())

    def _follow(self, assembly: Assembly, done: Closed, stays: bool = True) -> None:
        """Do the turns that were found, one moment each; what ``stays`` is at rest then.

        A part that turns on a fastening is turned aside before what it holds moves, and over it
        when that has moved for the last time.
        """
        now, manner = assembly, self._manner()
        if done.stops:
            manner = replace(manner, tolerance=math.inf)
        swings = {
            pivot.fastening.key: [n for n, t in enumerate(done.turns) if _moves(t, pivot.held)]
            for pivot in pivots_in(self._parts, assembly)
        }
        for number, turn in enumerate(done.turns):
            for key in (key for key, numbers in swings.items() if number in numbers[:1]):
                now = self._swing(now, key, done.after, stays)
            if now is not turn.before:
                again = self._turned_again(now, turn, manner)
                if again is None:
                    break
                turn = again
            self._turned.append(_Moved(turn.fold, now.angle(turn.fold), stays))
            now = self._done(now, turn, turn.after, stays)
            for key in (key for key, numbers in swings.items() if number in numbers[-1:]):
                now = self._swing(now, key, None, stays)
        for stop in done.stops:
            self._problem(Trouble.CANNOT_TURN, stop.fold, stop.by, stop)

    def _turned_again(self, now: Assembly, turn: Turn, manner: Manner) -> Turn | None:
        """The same turn of an assembly in which a part was turned on its fastening since.

        What it would pass through is told, and turned through all the same, as in an order that
        the design gives; None where it cannot turn at all.
        """
        angle = turn.after.angle(turn.fold)
        again = turn_fully(now, turn.fold, angle, manner)
        if isinstance(again, Blocked):
            self._problem(Trouble.CANNOT_TURN, turn.fold, again.by, again)
            again = turn_fully(now, turn.fold, angle, replace(manner, tolerance=math.inf))
        return None if isinstance(again, Blocked) else again

    def _done(self, before: Assembly, motion: Motion, after: Assembly, stays: bool) -> Assembly:
        """Note a motion of one assembly."""
        self._put_in_place_of([before], after)
        if not stays:
            self._closing.append(motion)
        self._note(after, motion)
        return after

    def _swing(self, now: Assembly, key: str, closed: Assembly | None, stays: bool) -> Assembly:
        """Turn a part on its fastening: aside for what closes, or over what it holds."""
        pivot = next(p for p in pivots_in(self._parts, now) if p.fastening.key == key)
        swing = (
            swung_over(self._parts, now, pivot)
            if closed is None
            else swung_aside(self._parts, now, pivot, closed)
        )
        if swing is None:
            self._problem(Trouble.HOLDS_NOTHING, key, pivot.held)
            return now
        self._turned.append(_Moved(None, 0, stays, swing))
        return self._done(now, swing, swing.after, stays)

    def _tie(self, assembly: Assembly) -> None:
        """Tie the ribbons that are there, when all is closed."""
        for key in self._resolved.fastenings:
            if key in self._set and key not in self._tied and self._is_tie(key):
                self._tied.add(key)
                tie = Tie(key)
                self._closing.append(tie)
                self._note(assembly, tie)

    def _is_tie(self, key: str) -> bool:
        source = self._resolved.fastenings[key].source
        return not source.through and source.stock is not None

    def _open(self, names: Sequence[str]) -> None:
        """Undo the moves since the last rest, or those of what is named, the last first."""
        wanted = None
        if ALL not in names:
            wanted = {fold for name in names for fold in self._folds_named(name)}
        kept: list[_Moved] = []
        for each in reversed(self._turned):
            if each.stays if wanted is None else each.fold not in wanted:
                kept.append(each)
                continue
            if each.fold is None:
                self._swing_back(each)
                continue
            base = self._take(each.fold.piece)
            if base.is_locked(each.fold) or base.angle(each.fold) == each.before:
                continue
            turn = turn_fully(base, each.fold, each.before, self._manner())
            if isinstance(turn, Blocked):
                self._problem(Trouble.CANNOT_TURN, each.fold, turn.by, turn)
                kept.append(each)
                continue
            self._put_in_place_of([base], turn.after)
            self._note(turn.after, turn)
        self._turned = list(reversed(kept))
        self._rest()

    def _swing_back(self, moved: _Moved) -> None:
        """Turn a part on its fastening back to where it was."""
        assert moved.swing is not None
        base = self._take(next(iter(moved.swing.moved)).piece)
        after = swung_back(base, moved.swing)
        self._put_in_place_of([base], after)
        self._note(after, moved.swing)

    # ---- fastenings

    def _fasten(self, key: str) -> None:
        fastening = self._resolved.fastenings[key]
        through = fastening.source.through
        self._set.add(key)
        if fastening.source.round is not None and self._is_tie(key):
            self._tied.add(key)
            self._note(self._take(fastening.source.round), Tie(key))
        if fastening.point is None or not through or not is_pierced(fastening):
            return
        assembly = self._take(through[0])
        found = pierce(self._parts, assembly, fastening)
        self._pierced[key] = found
        for piece in (each for each in through if each not in found.marks):
            self._problem(Trouble.NO_HOLE, key, piece)
        if found.bonds:
            after = assembly.with_bonds(found.bonds)
            self._put_in_place_of([assembly], after)
            self._note(after, bonds=found.bonds)

    # ---- the end

    def _is_in_pocket(self, key: str) -> bool:
        placement = self._resolved.pieces[key].source.placement
        return placement is not None and is_in_pocket(placement.relation)

    def _place_all(self, keys: Sequence[str]) -> None:
        for key in keys:
            if self._resolved.pieces[key].source.placement is not None:
                self._place(key, is_slid=self._is_in_pocket(key))
            self._take(key)

    def _at_rest_with(self, keys: Sequence[str]) -> Assembly | None:
        """The work at rest with what no step places: that lies where it does with all closed."""
        at_rest = self._at_rest
        if at_rest is None or not at_rest.plates or at_rest is self._main():
            self._place_all(keys)
            return self._main() if at_rest is not None and at_rest.plates else None
        kept = (self._now, self._turned, self._closing)
        noted, wrong, joined = list(self._moments), list(self._problems), set(self._joined)
        loose = [each for each in self._now if at_rest.base not in each.plates]
        self._now, self._turned = [at_rest, *loose], []
        here = next(each for each in kept[0] if at_rest.base in each.plates)
        late = [key for key in keys if key not in here.pieces]
        self._place_all(late)
        found = self._take(at_rest.base.piece)
        self._now, self._turned, self._closing = kept
        self._moments, self._problems, self._joined, self._at_rest = noted, wrong, joined, at_rest
        return found

    def _main(self) -> Assembly:
        """The assembly of most pieces; of equals the one whose base is larger, or lies first."""
        if not self._now:
            return Assembly(FaceKey("", ""), {}, {})
        return min(self._now, key=lambda a: (-len(a.pieces), self._rank(a.base.piece)))

    def finished(self) -> Work:
        """The work when all steps are done: open as far as it opens, and closed."""
        self._step, self._doing = 0, "finish"
        for key, part in self._parts.pieces.items():
            for join in part.piece.joins:
                own, host = FaceKey(key, join.face), FaceKey(join.host, join.host_face)
                if (own, host) not in self._joined:
                    self._problem(Trouble.NEVER_JOINED, own, host)
        # What no step places yet is placed at the end, so that a design can grow.
        in_order = sorted(self._parts.pieces, key=self._rank)
        with_all = self._at_rest_with(in_order)
        self._place_all(in_order)
        last = self._main()
        done = self._closed_all(last)
        closing = (*self._closing, *done.turns)
        at_rest = last if with_all is None else with_all
        return Work(
            parts=self._parts,
            moments=tuple(self._moments),
            assemblies=tuple(self._now),
            opened=at_rest,
            closed=done.after,
            closing=closing,
            problems=(
                *self._problems,
                *(
                    Problem(Trouble.CANNOT_TURN, 0, str(stop.fold), str(stop.by), stop)
                    for stop in done.stops
                ),
            ),
            marks={key: found.marks for key, found in self._pierced.items()},
            pierced={key: found.faces for key, found in self._pierced.items()},
        )


def _moves(turn: Turn, piece: str) -> bool:
    return any(key.piece == piece for key in turn.moved)


def _is_due(assembly: Assembly, demand: Demand) -> bool:
    """Whether the face of a demand is in an assembly, with one of those that it has to meet."""
    if demand.adhesive.face not in assembly.plates:
        return False
    return not demand.targets or any(key in assembly.plates for key in demand.targets)


def _carries(assembly: Assembly, fold: FoldKey, face: FaceKey) -> bool:
    """Whether a face hangs on a fold of its own piece, directly or not."""
    if fold.piece != face.piece:
        return False
    hanging = {crease.hanging: crease for crease in assembly.creases.values()}
    at: FaceKey | None = face
    while at is not None and at in hanging:
        if hanging[at].key == fold:
            return True
        at = hanging[at].staying
    return False

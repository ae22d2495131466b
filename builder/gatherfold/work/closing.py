"""In which order folds close: found, or checked where the design gives it.

In: an assembly and the folds to close, with the adhesive that has to meet something then.  Out: the
motions in order, and what could not be closed.  Of folds that can close, the one whose part comes
to lie lowest goes first, then what came first, then by place and size: never by name.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import count

from gatherfold.work.adhesive import Demand, unmet_demands
from gatherfold.work.assembly import Assembly, FoldKey
from gatherfold.work.regions import FaceKey
from gatherfold.work.space import AT_REST, quarter_turn, size
from gatherfold.work.turning import Blocked, Manner, Quarter, moving_part, standing_in, turned

#: An order that is not found after so many turns has to be given.
MOST_TRIALS = 2000


@dataclass(frozen=True, eq=False)
class Turn:
    """One fold turned: the assembly before it and after each of its quarters."""

    fold: FoldKey
    is_closing: bool
    before: Assembly
    quarters: tuple[Quarter, ...]

    @property
    def after(self) -> Assembly:
        """The assembly when it is done."""
        return self.quarters[-1].after if self.quarters else self.before

    @property
    def moved(self) -> frozenset[FaceKey]:
        """Every face that it moves."""
        return frozenset(key for quarter in self.quarters for key in quarter.moved)

    def moves(self, piece: str) -> bool:
        """Whether it moves some of a piece."""
        return any(key.piece == piece for key in self.moved)


@dataclass(frozen=True, eq=False)
class Closed:
    """What closing came to: its turns, what stayed open and what stopped it, and demands unmet."""

    start: Assembly
    turns: tuple[Turn, ...]
    stops: tuple[Blocked, ...] = ()
    unmet: tuple[Demand, ...] = ()

    @property
    def after(self) -> Assembly:
        """The assembly when all is done."""
        return self.turns[-1].after if self.turns else self.start


def turn_fully(assembly: Assembly, fold: FoldKey, to_angle: int, manner: Manner) -> Turn | Blocked:
    """Turn one fold to an angle, quarter by quarter."""
    quarters: list[Quarter] = []
    now = assembly
    is_closing = to_angle > assembly.angle(fold)
    while now.angle(fold) != to_angle:
        quarter = turned(now, fold, is_closing, manner)
        if isinstance(quarter, Blocked):
            return quarter
        quarters.append(quarter)
        now = quarter.after
    turn = Turn(fold, is_closing, assembly, tuple(quarters))
    stop = standing_in(now, fold, turn.moved, manner.tolerance) if is_closing else None
    return turn if stop is None else stop


def close(assembly: Assembly, folds: Collection[FoldKey], manner: Manner) -> Closed:
    """Close folds in an order in which nothing is in the way and every demand is met."""
    best, least = Closed(assembly, ()), (math.inf, math.inf)
    for end in _ends(Closed(assembly, ()), folds, manner, count(), set()):
        rank = len(end.stops), len(end.unmet)
        if rank < least:
            best, least = end, rank
        if rank == (0, 0):
            break
    return best


def _ends(
    done: Closed,
    folds: Iterable[FoldKey],
    manner: Manner,
    trials: Iterator[int],
    dead: set[frozenset[object]],
) -> Iterator[Closed]:
    """What orders of closing come to, depth first: each set of closed folds is tried once for every
    way in which what has adhesive lies between the rest, as that decides what the adhesive meets;
    ``dead`` are those that were."""
    assembly = done.after
    left = tuple(open_folds(assembly, folds))
    glued = {demand.adhesive.face for demand in manner.demands}
    state = frozenset((*left, *(item for item in assembly.sides.items() if item[0][0] in glued)))
    if state in dead:
        return
    stops: list[Blocked] = []
    for fold in in_order_of_height(assembly, left, manner):
        if next(trials) >= MOST_TRIALS:
            break
        turn = turn_fully(assembly, fold, assembly.creases[fold].closed, manner)
        if isinstance(turn, Blocked):
            stops.append(turn)
        else:
            further = replace(done, turns=(*done.turns, turn))
            yield from _ends(further, left, manner, trials, dead)
    if len(stops) == len(left):
        unmet = unmet_demands(assembly, manner.demands)
        yield replace(done, stops=tuple(stops), unmet=unmet)
    dead.add(state)


def close_in_order(
    assembly: Assembly, groups: Iterable[Collection[FoldKey]], manner: Manner
) -> Closed:
    """Close group after group of folds in the order given.

    What would pass through something is told, and closed all the same before the next group: so
    what follows is judged by itself.
    """
    turns: list[Turn] = []
    stops: list[Blocked] = []
    unmet: tuple[Demand, ...] = ()
    now = assembly
    for group in groups:
        done = close(now, group, manner)
        turns += done.turns
        stops += done.stops
        if done.stops:
            through = replace(manner, tolerance=math.inf)
            done = close(done.after, [stop.fold for stop in done.stops], through)
            turns += done.turns
        unmet, now = done.unmet, done.after
    return Closed(assembly, tuple(turns), tuple(stops), unmet)


def open_folds(assembly: Assembly, folds: Iterable[FoldKey]) -> Iterator[FoldKey]:
    """Those of some folds that are not closed and still can turn."""
    for fold in folds:
        crease = assembly.creases.get(fold)
        is_open = crease is not None and assembly.angle(fold) < crease.closed
        if is_open and not assembly.is_locked(fold):
            yield fold


def in_order_of_height(
    assembly: Assembly, folds: Collection[FoldKey], manner: Manner
) -> list[FoldKey]:
    """Folds by how high their part lies when they are closed, then what is dry before what is glued
    and holds it, then by when they came, by place and by size."""
    return sorted(folds, key=lambda fold: _rank(assembly, fold, manner))


def _rank(assembly: Assembly, fold: FoldKey, manner: Manner) -> tuple[object, ...]:
    crease, line = assembly.creases[fold], assembly.lines[fold]
    part = moving_part(assembly, fold)
    moving, moves_hanging = part if part is not None else (frozenset(), True)
    sense = assembly.closing_sense(fold, moves_hanging)
    motion = AT_REST
    for _ in range((crease.closed - assembly.angle(fold)) // 90):
        motion = quarter_turn(line, sense).then(motion)
    base, own = assembly.plates[assembly.base], assembly.plates[crease.hanging]
    corners = (
        motion.then(plate.pose).apply((x, y, 0))
        for plate in (assembly.plates[key] for key in moving)
        for x, y in plate.own.bounds.ring
    )
    height = max((size(corner[base.axis] - base.plane) for corner in corners), default=0)
    # The middle of its face as the base has it: left before right, bottom before top.
    middle = own.own.bounds.centre
    place = base.pose.undone().then(own.pose).apply((middle.x, middle.y, 0))
    is_glued = any(demand.adhesive.face == crease.hanging for demand in manner.demands)
    came, length = manner.came.get(fold.piece, 0), crease.ends[1] - crease.ends[0]
    return (height, is_glued, came, *place, length, (line.axis, *line.at))

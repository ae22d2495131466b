"""Closing and opening as a step says, one moment for each motion.

In: the table, and the folds that a step names.  Out: the table with these closed or open, and what
their glue has met; a part that turns on a fastening is turned aside and back on the way.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace

from gatherfold.work.adhesive import Demand
from gatherfold.work.assembly import Assembly, FoldKey
from gatherfold.work.closing import Closed, Turn, close_in_order, open_folds, turn_fully
from gatherfold.work.moments import Motion, Moved, Table, Tie, Trouble
from gatherfold.work.parts import closing_demands
from gatherfold.work.turning import Blocked, Manner, pivots_in, swung_aside, swung_back, swung_over


def close_named(table: Table, folds: Sequence[FoldKey]) -> None:
    """Close some folds, in each assembly those that are in it, and glue what then meets."""
    demands: list[Demand] = []
    for fold in folds:
        demands += closing_demands(table.parts, table.parts.pieces[fold.piece], fold.hanging)
        demands += (demand for demand in table.further if demand.adhesive.face == fold.face)
    for assembly in list(table.now):
        own = [fold for fold in folds if fold in assembly.creases]
        if own:
            due = [demand for demand in demands if _is_due(assembly, demand)]
            _close_some(table, assembly, own, due)


def _is_due(assembly: Assembly, demand: Demand) -> bool:
    """Whether the face of a demand is in an assembly, with one of those that it has to meet."""
    if demand.adhesive.face not in assembly.plates:
        return False
    return not demand.targets or any(key in assembly.plates for key in demand.targets)


def _close_some(
    table: Table, assembly: Assembly, folds: Sequence[FoldKey], demands: Sequence[Demand]
) -> None:
    _note_glued_open(table, assembly, folds)
    groups, left = _in_groups(table, folds)
    done = close_in_order(assembly, [folds] if left else groups, table.manner(demands))
    follow(table, assembly, done)
    for demand in done.unmet:
        missed = demand.targets[0] if demand.targets else ""
        table.tell(Trouble.JOIN_MISSES, demand.adhesive.face, missed)
    met = [demand for demand in demands if demand not in done.unmet]
    if met:
        assembly = table.take(folds[0].piece)
        table.join(assembly, table.glued(assembly, met))
    _join_what_meets(table)


def _join_what_meets(table: Table) -> None:
    for _, demand in table.open_joins():
        table.join_if_met(demand)


def _note_glued_open(table: Table, assembly: Assembly, folds: Iterable[FoldKey]) -> None:
    """Note folds that should close, and that glue holds on both sides."""
    for fold in folds:
        crease = assembly.creases[fold]
        if assembly.angle(fold) < crease.closed and assembly.is_locked(fold):
            table.tell(Trouble.GLUED_OPEN, fold, crease.staying)


def _in_groups(
    table: Table, folds: Iterable[FoldKey]
) -> tuple[list[Sequence[FoldKey]], list[FoldKey]]:
    """Folds in the groups in which the design's ``closing`` names them, and those that it does not
    name."""
    groups: list[Sequence[FoldKey]] = []
    left = list(folds)
    for name in table.parts.resolved.design.closing:
        key, _, section = name.partition(".")
        group = [f for f in left if f.piece == key and section in ("", f.hanging)]
        left = [fold for fold in left if fold not in group]
        if group:
            groups.append(group)
    return groups, left


def closed_all(table: Table, assembly: Assembly) -> Closed:
    """Everything closed that still closes: in the design's order, what that does not name before
    all else, for it is inside of it."""
    _note_glued_open(table, assembly, assembly.creases)
    groups, left = _in_groups(table, open_folds(assembly, assembly.creases))
    return close_in_order(assembly, [left, *groups] if left else groups, table.manner())


def close_all(table: Table) -> None:
    """Close the work for now, and tie the ribbons that are there."""
    table.rest()
    assembly = table.main()
    follow(table, assembly, closed_all(table, assembly), stays=False)
    for key in table.parts.resolved.fastenings:
        if key in table.fastened - table.tied and table.is_tie(key):
            table.tied.add(key)
            tie = Tie(key)
            table.closing.append(tie)
            table.note(table.main(), tie)
    _join_what_meets(table)


def follow(table: Table, assembly: Assembly, done: Closed, stays: bool = True) -> None:
    """Do the turns that were found, one moment each; what ``stays`` is at rest then.

    A part that turns on a fastening is turned aside before what it holds moves, and over it
    when that has moved for the last time.
    """
    now, manner = assembly, table.manner()
    if done.stops:
        manner = replace(manner, tolerance=math.inf)
    swings = {
        pivot.fastening.key: [n for n, turn in enumerate(done.turns) if turn.moves(pivot.held)]
        for pivot in pivots_in(table.parts, assembly)
    }
    for number, turn in enumerate(done.turns):
        for key in (key for key, numbers in swings.items() if number in numbers[:1]):
            now = _swing(table, now, key, done.after, stays)
        if now is not turn.before:
            again = _turned_again(table, now, turn, manner)
            if again is None:
                break
            turn = again
        table.turned.append(Moved(turn.fold, now.angle(turn.fold), stays))
        now = _done(table, now, turn, turn.after, stays)
        for key in (key for key, numbers in swings.items() if number in numbers[-1:]):
            now = _swing(table, now, key, None, stays)
    for stop in done.stops:
        table.tell_stop(stop)


def _turned_again(table: Table, now: Assembly, turn: Turn, manner: Manner) -> Turn | None:
    """The same turn of an assembly in which a part was turned on its fastening since.

    What it would pass through is told, and turned through all the same, as in an order that
    the design gives; None where it cannot turn at all.
    """
    angle = turn.after.angle(turn.fold)
    again = turn_fully(now, turn.fold, angle, manner)
    if isinstance(again, Blocked):
        table.tell_stop(again)
        again = turn_fully(now, turn.fold, angle, replace(manner, tolerance=math.inf))
    return None if isinstance(again, Blocked) else again


def _done(table: Table, before: Assembly, motion: Motion, after: Assembly, stays: bool) -> Assembly:
    """Note a motion of one assembly."""
    table.put(after, before)
    if not stays:
        table.closing.append(motion)
    table.note(after, motion)
    return after


def _swing(table: Table, now: Assembly, key: str, closed: Assembly | None, stays: bool) -> Assembly:
    """Turn a part on its fastening: aside for what closes, or over what it holds."""
    pivot = next(p for p in pivots_in(table.parts, now) if p.fastening.key == key)
    swing = (
        swung_over(table.parts, now, pivot)
        if closed is None
        else swung_aside(table.parts, now, pivot, closed)
    )
    if swing is None:
        table.tell(Trouble.HOLDS_NOTHING, key, pivot.held)
        return now
    table.turned.append(Moved(None, 0, stays, swing))
    return _done(table, now, swing, swing.after, stays)


def undo(table: Table, folds: Collection[FoldKey] | None) -> None:
    """Undo the moves since the last rest, or those of some folds, the last first."""
    kept: list[Moved] = []
    for each in reversed(table.turned):
        is_wanted = not each.stays if folds is None else each.fold in folds
        if not is_wanted or not _undone(table, each):
            kept.append(each)
    table.turned = kept[::-1]
    table.rest()


def _undone(table: Table, moved: Moved) -> bool:
    """Undo a move; whether nothing stops that."""
    if moved.swing is not None:
        base = table.take(next(iter(moved.swing.moved)).piece)
        after = swung_back(base, moved.swing)
        table.put(after, base)
        table.note(after, moved.swing)
        return True
    assert moved.fold is not None
    base = table.take(moved.fold.piece)
    if base.is_locked(moved.fold) or base.angle(moved.fold) == moved.before:
        return True
    turn = turned_to(table, moved.fold, moved.before)
    if isinstance(turn, Blocked):
        table.tell_stop(turn)
        return False
    table.note(turn.after, turn)
    return True


def turned_to(table: Table, fold: FoldKey, angle: int) -> Turn | Blocked:
    """Turn a leaf of what lies on the table to an angle; nothing moves where that is blocked."""
    base = table.take(fold.piece)
    turn = turn_fully(base, fold, angle, table.manner())
    if isinstance(turn, Turn):
        table.put(turn.after, base)
    return turn

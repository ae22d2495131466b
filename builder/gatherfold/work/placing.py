"""Putting a piece where it belongs, as a step says.

In: the table and a piece.  Out: the table with the piece on its host, what its glue meets and the
further joins that it makes; leaves that cover the place are turned aside by their own folds.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import assert_never

from gatherfold.model import is_in_pocket
from gatherfold.work.adhesive import Demand, is_met
from gatherfold.work.assembly import Assembly, Bond, FoldKey
from gatherfold.work.closing import close, open_folds
from gatherfold.work.moments import Moved, Placing, Table, Trouble
from gatherfold.work.moving import follow, turned_to
from gatherfold.work.parts import host_side, placement_demands
from gatherfold.work.putting import Arrival, Put, Stuck, Way, laid_on, put_on, slide_in
from gatherfold.work.regions import FaceKey
from gatherfold.work.space import Sense
from gatherfold.work.turning import Blocked


def place_all(table: Table, keys: Sequence[str]) -> None:
    """Put pieces where the design has them, whatever steps say of them."""
    for key in keys:
        placement = table.parts.pieces[key].piece.source.placement
        if placement is not None:
            place(table, key, is_slid=is_in_pocket(placement.relation))
        table.take(key)


def place(table: Table, key: str, is_slid: bool) -> None:
    """Put a piece, with all that it is joined to, where the design has it."""
    part = table.parts.pieces[key]
    placement = part.piece.source.placement
    own = table.take(key)
    if placement is None:
        table.note(own, fresh=(key,))
        return
    base = table.take(placement.host)
    if base is own:
        return
    table.came[key] = table.step
    host, side = FaceKey(placement.host, part.piece.host_face), host_side(placement.relation)
    demands = tuple(placement_demands(table.parts, part))
    base, aside = _turned_aside(table, base, host, side)
    way = Way.SLID if is_slid else Way.LAID if demands else Way.LOWERED
    put = _put(table, key, base, host, side, way)
    laid = put.after.plates.keys() - base.plates.keys()
    bonds = table.glued(put.after, demands, laid) or (Bond(part.by, host, "rest", key),)
    after = put.after.with_bonds(bonds)
    table.put(after, base, table.take(key))
    table.note(after, Placing(key, host, base, put, bool(demands)), (key,), bonds)
    _join_placed(table, key)
    _turned_back(table, aside)


def _put(table: Table, key: str, base: Assembly, host: FaceKey, side: Sense, way: Way) -> Put:
    """How a piece comes to its place: slid in, laid down, or lowered or slid on.

    What cannot come there is told, and lies there all the same.
    """

    def arriving() -> Arrival:
        own = table.take(key)
        motion = table.parts.motion_to_host(key, {**base.plates, **own.plates})
        return Arrival(base, own, motion, host, side, table.tucks)

    arrival, tolerance = arriving(), table.parts.tolerance
    put: Put | Stuck
    match way:
        case Way.LAID:
            put = Put(laid_on(arrival), way, (0, 0, 0))
        case Way.LOWERED:
            put = put_on(arrival, tolerance)
        case Way.SLID:
            put = slide_in(arrival, tolerance)
            if isinstance(put, Stuck) and _is_folded_up(table, key):
                arrival = arriving()
                put = slide_in(arrival, tolerance)
        case _:
            assert_never(way)
    if isinstance(put, Stuck):
        table.tell(Trouble.CANNOT_GO_IN, key, host, put)
        put = Put(laid_on(arrival), Way.SLID, (0, 0, 0))
    return put


def _is_folded_up(table: Table, key: str) -> bool:
    """Close a piece before it is slid in; whether it folds, and nothing stops that."""
    own = table.take(key)
    done = close(own, list(open_folds(own, own.creases)), table.manner())
    for turn in done.turns:
        table.note(turn.after, turn)
    if done.stops or not done.turns:
        return False
    table.put(done.after, own)
    return True


# ---- leaves in the way


def _turned_aside(
    table: Table, base: Assembly, host: FaceKey, side: Sense
) -> tuple[Assembly, list[Moved]]:
    """The assembly with the leaves open that lie over the face that something goes on, and what
    was turned for it, in order."""
    undone: list[Moved] = []
    while _is_covered(table, base, host, side):
        last = next((each for each in reversed(table.turned) if _is_of(base, each)), None)
        if last is None or last.fold is None:
            break
        back = turned_to(table, last.fold, last.before)
        if isinstance(back, Blocked):
            break
        undone.append(replace(last, before=base.angle(last.fold)))
        table.turned = [each for each in table.turned if each is not last]
        base = back.after
    return base, undone


def _is_of(assembly: Assembly, moved: Moved) -> bool:
    """Whether what was turned is part of an assembly."""
    if moved.swing is not None:
        return not moved.swing.moved.isdisjoint(assembly.plates)
    return moved.fold in assembly.creases


def _is_covered(table: Table, base: Assembly, host: FaceKey, side: Sense) -> bool:
    """Whether a face lies over the host on that side and can be turned away from it."""
    plate = base.plates[host]
    turnable = {each.fold for each in table.turned if each.fold is not None}
    on_it = {k for k in base.in_plane(plate.axis, plate.plane) if base.side_of(host, k) == side}
    return bool(on_it and turnable) and not on_it <= base.connected(host, turnable)


def _turned_back(table: Table, undone: Sequence[Moved]) -> None:
    for each in reversed(undone):
        assert each.fold is not None
        turn = turned_to(table, each.fold, each.before)
        if isinstance(turn, Blocked):
            table.tell_stop(turn)
            return
        table.turned.append(replace(each, before=turn.before.angle(each.fold)))
    table.rest()


# ---- further joins


def _join_placed(table: Table, placed: str) -> None:
    """Make the further joins that meet now; those of a piece just placed close for it the folds
    between the two."""
    for assembly, demand in table.open_joins():
        pieces = {face.piece for face in demand.faces}
        if len(pieces) > 1 and placed in pieces and not is_met(assembly, demand):
            _fold_to_meet(table, assembly, demand)
        table.join_if_met(demand)


def _fold_to_meet(table: Table, assembly: Assembly, demand: Demand) -> None:
    """Close the folds of both pieces that lie between the two faces and what holds them."""
    folds = [
        fold
        for fold in assembly.creases
        if any(_carries(table, fold, face) for face in demand.faces)
    ]
    if table.closed_later.isdisjoint(folds):
        follow(table, assembly, close(assembly, folds, table.manner([demand])))


def _carries(table: Table, fold: FoldKey, face: FaceKey) -> bool:
    """Whether a face hangs on a fold of its own piece, directly or not."""
    loose = table.parts.pieces[fold.piece].loose()
    return fold.piece == face.piece and face in loose.connected(fold.face, {fold})

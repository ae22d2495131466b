"""The work as it lies open: what only shuts it taken off, and its leaves turned open.

In: the work, as it was when it was last at rest, and as it is closed.  Out: the
pieces that come off it, and the open assembly.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from builder.work.assembly import Assembly
from builder.work.closing import Turn
from builder.work.moments import Moment, Placing, Tie, Work
from builder.work.pivots import Swing
from builder.work.plates import FaceKey, extent
from builder.work.putting import Way, block_of


def wrapped_round(moments: Iterable[Moment], closed: Assembly) -> frozenset[str]:
    """The pieces that come off the closed work again because they were only laid there, and folded
    round it: a band with all that is glued to it, but no lid and nothing that is slid in."""
    loose: set[str] = set()
    found: set[str] = set()
    for moment in moments:
        match moment.motion:
            case Placing(piece=piece, is_glued=False):
                loose.add(piece)
            case Turn(fold=fold) if fold.piece in loose and fold.piece not in found:
                found |= _block(closed, fold.piece)
            case _:
                pass
    return frozenset(found)


def _block(closed: Assembly, piece: str) -> frozenset[str]:
    """A piece with all that is joined to it; nothing where that is the work itself."""
    block = block_of(closed, piece)
    return frozenset() if closed.base in block else frozenset(key.piece for key in block)


def goes_inside(placing: Placing) -> bool:
    """Whether something that is lowered goes into what is there, and not over it."""
    after, before = placing.put.after.plates, placing.before.plates
    own = extent(plate for key, plate in after.items() if key not in before)
    rest = extent(before.values())
    return all(
        first < low and high < last
        for (low, high), (first, last), along in zip(own, rest, placing.put.out, strict=True)
        if not along
    )


def lying_open(work: Work) -> Assembly:
    """Find the work as it lies open: as it was before what shuts it at last, folds that open again,
    lids, and what is wrapped round it."""
    moments, at_rest, closed = work.moments, work.opened, work.closed
    off = wrapped_round(moments, closed).union(
        *(
            _block(closed, motion.piece)
            for motion in (moment.motion for moment in moments)
            if isinstance(motion, Placing) and _is_lid(motion)
        )
    )
    number = next(
        (n for n in reversed(range(len(moments))) if _has(moments[n], at_rest)), len(moments) - 1
    )
    while number >= 0 and _only_shuts(moments[number], off, closed):
        number -= 1
    found = _with_base(moments[number], closed.base) if number >= 0 else at_rest
    found = at_rest if found is None else found
    # What is put on only when all is closed may be the base: it is not there while that is open.
    return found if set(closed.pieces) - off <= set(found.pieces) else _fullest(found, at_rest)


def _fullest(first: Assembly, second: Assembly) -> Assembly:
    return first if len(first.pieces) >= len(second.pieces) else second


def _is_lid(placing: Placing) -> bool:
    is_lowered = placing.put.way is Way.LOWERED and not placing.is_glued
    return is_lowered and not goes_inside(placing)


def _has(moment: Moment, assembly: Assembly) -> bool:
    return any(each is assembly for each in (moment.assembly, *moment.others))


def _with_base(moment: Moment, base: FaceKey) -> Assembly | None:
    """The assembly of a moment in which the base of the finished work is."""
    return next((a for a in (moment.assembly, *moment.others) if base in a.plates), None)


def _only_shuts(moment: Moment, off: frozenset[str], closed: Assembly) -> bool:
    """Whether a moment only closes what opens again, or makes or puts on what comes off."""
    match moment.motion:
        case Turn() as turn:
            is_open = turn.fold in closed.creases and not closed.is_locked(turn.fold)
            return turn.fold.piece in off or (turn.is_closing and is_open)
        case Placing() as placing:
            return placing.piece in off or placing.host.piece in off
        case Tie():
            return True
        case Swing():
            return False
        case None:
            ends = {end.piece for bond in moment.bonds for end in (bond.first, bond.second)}
            return bool(ends) and ends <= off


def without(assembly: Assembly, pieces: frozenset[str]) -> Assembly:
    """An assembly without some pieces."""
    return replace(
        assembly,
        plates={key: plate for key, plate in assembly.plates.items() if key.piece not in pieces},
        creases={k: crease for k, crease in assembly.creases.items() if k.piece not in pieces},
        angles={key: angle for key, angle in assembly.angles.items() if key.piece not in pieces},
        bonds=tuple(
            bond
            for bond in assembly.bonds
            if bond.first.piece not in pieces and bond.second.piece not in pieces
        ),
        sides={
            pair: side
            for pair, side in assembly.sides.items()
            if pair[0].piece not in pieces and pair[1].piece not in pieces
        },
    )

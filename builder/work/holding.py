"""Pieces that hold closed work shut: a seal glued over a closed fold, a band that goes round.

In: the work.  Out: each such piece with a fold of another that it keeps closed.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from builder.work.assembly import Assembly, FoldKey
from builder.work.moments import Work
from builder.work.turning import Blocked, turned


@dataclass(frozen=True)
class Hold:
    """A piece, and a fold of another piece that it holds closed."""

    piece: str
    fold: FoldKey


def holds(work: Work) -> tuple[Hold, ...]:
    """Find what holds the closed work shut, each piece once, in the order of the design."""
    found: dict[str, Hold] = {}
    for hold in (*_seals(work), *_loops(work)):
        found.setdefault(hold.piece, hold)
    return tuple(found[key] for key in work.parts.pieces if key in found)


def _seals(work: Work) -> Iterator[Hold]:
    """What was attached across a fold that was closed already, and so shut it."""
    for shut in work.shut:
        if shut.operation != "attach" or _is_loose(work.closed, shut.fold.piece):
            continue
        for moment in work.moments_of(shut.step):
            names = [bond.joins for bond in moment.bonds if bond.kind == "glue"]
            if names and names[0] != shut.fold.piece and moment.assembly.is_locked(shut.fold):
                yield Hold(names[0], shut.fold)
                break


def _loops(work: Work) -> Iterator[Hold]:
    """What is shut itself, only lies on the rest, and stops a fold of that from opening."""
    closed = work.closed
    rings = {piece for piece in _shut_pieces(work) if _is_loose(closed, piece)}
    for fold in closed.creases:
        if not rings:
            return
        if not closed.angle(fold) or fold.piece in rings or closed.is_locked(fold):
            continue
        stop = turned(closed, fold, False, work.parts.tolerance)
        if isinstance(stop, Blocked):
            met = _glued_with(closed, stop.by.piece) | _glued_with(closed, stop.moving.piece)
            yield from (Hold(piece, fold) for piece in sorted(rings & met))
            rings -= met


def _shut_pieces(work: Work) -> tuple[str, ...]:
    return tuple(dict.fromkeys(shut.fold.piece for shut in work.shut))


def _is_loose(assembly: Assembly, piece: str) -> bool:
    """Whether a piece is glued to nothing that the assembly rests on."""
    return assembly.base.piece not in _glued_with(assembly, piece)


def _glued_with(assembly: Assembly, piece: str) -> frozenset[str]:
    """A piece and all that is glued or fastened to it, directly or not."""
    found, waiting = {piece}, [piece]
    while waiting:
        at = waiting.pop()
        for bond in assembly.bonds:
            ends = {bond.first.piece, bond.second.piece}
            if bond.kind != "rest" and at in ends:
                waiting += ends - found
                found |= ends
    return frozenset(found)

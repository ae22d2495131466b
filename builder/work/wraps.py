"""What goes round the finished work: bands, lids and sleeves, put on without glue.

In: a work.  Out: each such piece with the pieces that it closes round.
"""

from __future__ import annotations

from collections.abc import Iterator

from builder.work.assembly import Assembly
from builder.work.moments import Placing, Work
from builder.work.plates import FaceKey


def wraps(work: Work) -> Iterator[tuple[str, frozenset[str]]]:
    """Pieces laid on without glue whose standing faces reach past what they lie on, when all is
    closed, and what that was joined to when they came."""
    for moment in work.moments:
        placing = moment.motion
        if not isinstance(placing, Placing) or placing.is_glued:
            continue
        if _reaches_round(work.closed, placing.piece, placing.host):
            yield placing.piece, frozenset(placing.before.pieces)


def _reaches_round(closed: Assembly, piece: str, host: FaceKey) -> bool:
    by = _lies_by(closed, piece, host)
    folds = [crease for fold, crease in closed.creases.items() if fold.piece == piece]
    if by is None or any(closed.angle(crease.key) != crease.closed for crease in folds):
        return False
    own, other = closed.plates[by], closed.plates[host]
    is_above = closed.is_above(by, host)
    if own.plane == other.plane and is_above is None:
        return False
    towards = other.plane > own.plane if own.plane != other.plane else is_above
    standing = [
        plate
        for key, plate in closed.plates.items()
        if key.piece == piece and plate.axis != own.axis
    ]
    ends = [plate.extent(own.axis)[1 if towards else 0] for plate in standing]
    return any((end > own.plane) if towards else (end < own.plane) for end in ends)


def _lies_by(closed: Assembly, piece: str, host: FaceKey) -> FaceKey | None:
    """The face of a piece by which it lies on its host."""
    bonds = (b for b in closed.bonds if b.kind == "rest" and b.joins == piece and b.second == host)
    bond = next(bonds, None)
    return None if bond is None else bond.first

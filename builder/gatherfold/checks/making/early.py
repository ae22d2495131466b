"""What is glued or tied before that is there which it is to hold.

In: the stages of a design.  Out: findings at the step that comes too early: a join that only comes
about when all is closed, a seal that is glued while what it is to hold lies elsewhere, and a ribbon
tied before what it goes round is complete.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Collection, Iterable, Iterator, Sequence
from itertools import islice

from gatherfold.checks.making.stages import (
    Stage,
    folds_named,
    relation_of,
    share_on,
)
from gatherfold.checks.report import section_in_words
from gatherfold.findings import Finding
from gatherfold.model import Trait
from gatherfold.resolve import ResolvedDesign, ResolvedPiece
from gatherfold.work import (
    Bond,
    FaceKey,
    Moment,
    Motion,
    Placing,
    Tie,
    Turn,
    Way,
    glued_side,
    work_of,
)

#: What is glued to hold two things has so much of its glue on either at least (no source).
_ON_HOST, _ON_OTHER = 1 / 3, 1 / 6
_HOLDING = Trait.SEALS_EDGE | Trait.GOES_ROUND


def check_early(resolved: ResolvedDesign, stages: Sequence[Stage]) -> Iterator[Finding]:
    """Joins, seals and ribbons, in the order of the steps."""
    later = deque(moment for stage in stages for moment in stage.moments)
    for stage in stages:
        if stage.operation == "close":
            yield from _joined_by_closing(resolved, stage)
            yield from _closed_apart(resolved, stage, later)
        for moment in stage.moments:
            later.popleft()
            yield from _done_early(resolved, stage, moment.motion, later)


def _done_early(
    resolved: ResolvedDesign, stage: Stage, motion: Motion | None, later: Iterable[Moment]
) -> Iterator[Finding]:
    match motion:
        case Placing(is_glued=True) as placing:
            yield from _sealed_early(resolved, stage, placing)
        case Tie(fastening):
            yield from _tied_early(resolved, stage, fastening, later)
        case _:
            pass


def _joined_by_closing(resolved: ResolvedDesign, stage: Stage) -> Iterator[Finding]:
    """Further joins that come about when all is closed, or those of a seal or a band when what it
    lies on closes."""
    parts = work_of(resolved).parts
    closing = {fold.piece for fold in folds_named(parts, stage.names)}
    code = "joined-by-closing-all" if stage.closes_all else "glued-before-closed"
    for key, bond in _glued(stage.moments).items():
        piece = resolved.pieces[key]
        if stage.closes_all or _is_stuck_on(piece, closing):
            first, second = (section_in_words(resolved, face) for face in bond.faces)
            yield stage.found(resolved, code, piece, own=first, other=second)


def _closed_apart(
    resolved: ResolvedDesign, stage: Stage, later: Iterable[Moment]
) -> Iterator[Finding]:
    """What stands on a foot, closed with the walls round its place, and glued there only later."""
    closing = {fold.piece for fold in folds_named(work_of(resolved).parts, stage.by_name)}
    feet = (key for key in resolved.pieces if key in closing and _has_foot(resolved.pieces[key]))
    apart = {key: walls for key in feet for walls in _walls_apart(resolved, stage, key, closing)}
    coming = [each.motion for each in later if isinstance(each.motion, Placing) and apart]
    for key in [placing.piece for placing in coming if placing.piece in apart][:1]:
        yield stage.found(resolved, "closed-before-placed", key=key, walls=apart[key])


def _has_foot(piece: ResolvedPiece) -> bool:
    """Whether a piece stands up from the one section that it is glued by, and from nothing else."""
    folds = [score for score in piece.scores if score.closed]
    return len(folds) == 1 and piece.glued == (piece.by,) and not piece.source.tabs


def _walls_apart(
    resolved: ResolvedDesign, stage: Stage, key: str, closing: Collection[str]
) -> Iterator[str]:
    """What carries a piece and closes with it, where both are not joined by then."""
    for host in resolved.hosts_of(key):
        if host in closing and not any({key, host} <= {*each.pieces} for each in stage.after):
            yield host


def _glued(moments: Sequence[Moment]) -> dict[str, Bond]:
    """The first bond that the glue of each piece makes."""
    found: dict[str, Bond] = {}
    for bond in (each for moment in moments for each in moment.bonds):
        if bond.kind == "glue":
            found.setdefault(bond.joins, bond)
    return found


def _is_stuck_on(piece: ResolvedPiece, closing: Collection[str]) -> bool:
    """Whether a piece holds others together, and is none of those that close."""
    return piece.source.has_any(_HOLDING) and piece.key not in closing


def _sealed_early(resolved: ResolvedDesign, stage: Stage, placing: Placing) -> Iterator[Finding]:
    """A piece over the edge of its host that meets something more when all is closed."""
    piece = resolved.pieces[placing.piece]
    if piece.reaches_beyond and not piece.source.has(Trait.WITHIN_HOST):
        host = section_in_words(resolved, placing.host)
        for face in islice(_met_when_closed(resolved, placing), 1):
            other = section_in_words(resolved, face)
            yield stage.found(
                resolved, "sealed-too-early", host=host, key=placing.piece, other=other
            )


def _met_when_closed(resolved: ResolvedDesign, placing: Placing) -> Iterator[FaceKey]:
    """The faces that come under the glue of a piece only in the closed work."""
    piece, closed = resolved.pieces[placing.piece], work_of(resolved).closed
    by, after = FaceKey(piece.key, piece.by), placing.put.after
    is_there = {by, placing.host} <= closed.plates.keys()
    if not is_there or share_on(after, by, placing.host) < _ON_HOST:
        return
    plate, side = closed.plates[by], glued_side(relation_of(piece))
    for face in closed.in_plane(plate.axis, plate.plane):
        # What is laid under it later is none of its business.
        is_new = face in after.plates and not share_on(after, by, face)
        if closed.side_of(by, face) == side and is_new and share_on(closed, by, face) > _ON_OTHER:
            yield face


def _tied_early(
    resolved: ResolvedDesign, stage: Stage, name: str, later: Iterable[Moment]
) -> Iterator[Finding]:
    """What comes to the work, or closes, after a ribbon has been tied round it."""
    fastening = resolved.fastenings[name]
    ring = fastening.source.round
    if ring is not None:
        coming = filter(None, (_comes_under(moment, ring) for moment in later))
        for piece in islice(coming, 1):
            told = {"ring": ring, "later": f"'{piece}'"}
            yield stage.found(resolved, "tied-too-early", fastening, **told)


def _comes_under(moment: Moment, ring: str) -> str:
    """The piece that a moment brings under the ribbon round another one; empty for none."""
    match moment.motion:
        case Placing() as placing if _is_put_within(placing, moment.assembly.pieces, ring):
            return placing.piece
        case Turn(is_closing=True) as turn if ring in turn.after.pieces:
            return turn.fold.piece
        case _:
            return ""


def _is_put_within(placing: Placing, joined: Collection[str], ring: str) -> bool:
    """Whether a piece brings what the ribbon goes round, or is lowered on it or slid into it."""
    laid = placing.put.after.plates.keys() - placing.before.plates.keys()
    brings_ring = any(face.piece == ring for face in laid)
    return brings_ring or (placing.put.way in (Way.LOWERED, Way.SLID) and ring in joined)

"""What is glued or tied before that is there which it is to hold.

In: the stages of a design.  Out: findings at the step that comes too early: a join that only comes
about when all is closed, a seal that is glued while what it is to hold lies elsewhere, and a ribbon
tied before what it goes round is complete.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from gatherfold.checks.making.stages import Stage, folds_of, share_on
from gatherfold.checks.report import finding_kind, section_in_words
from gatherfold.findings import Finding
from gatherfold.model import Relation, Trait
from gatherfold.resolve import ResolvedDesign, ResolvedPiece
from gatherfold.work import FaceKey, Moment, Parts, Placing, Tie, Turn, Way, glued_side, work_of

#: What is glued to hold two things has so much of its glue on either at least (no source).
_ON_HOST, _ON_OTHER = 1 / 3, 1 / 6
_HOLDING = (Trait.SEALS_EDGE, Trait.GOES_ROUND)


def check_early(resolved: ResolvedDesign, stages: Sequence[Stage]) -> Iterator[Finding]:
    """Joins, seals and ribbons, in the order of the steps."""
    for number, stage in enumerate(stages):
        if stage.operation == "close":
            yield from _joined_by_closing(resolved, stage)
        for place, moment in enumerate(stage.moments):
            later = [*stage.moments[place + 1 :], *_moments(stages[number + 1 :])]
            match moment.motion:
                case Placing() as placing if placing.is_glued:
                    yield from _sealed_early(resolved, stage, placing)
                case Tie(fastening):
                    yield from _tied_early(resolved, stage, fastening, later)
                case _:
                    pass


def _moments(stages: Sequence[Stage]) -> Iterator[Moment]:
    return (moment for stage in stages for moment in stage.moments)


def _joined_by_closing(resolved: ResolvedDesign, stage: Stage) -> Iterator[Finding]:
    """Further joins that come about when all is closed, or those of a seal or a band when what it
    lies on closes."""
    told: set[str] = set()
    closing = {fold.piece for name in stage.names for fold in folds_of(_parts(resolved), name)}
    for bond in (each for moment in stage.moments for each in moment.bonds):
        piece = resolved.pieces[bond.joins]
        is_early = any(piece.source.has(trait) for trait in _HOLDING) and piece.key not in closing
        if bond.kind == "glue" and bond.joins not in told and (stage.closes_all or is_early):
            told.add(bond.joins)
            kind = (
                finding_kind("joined-by-closing-all")
                if stage.closes_all
                else finding_kind("glued-before-closed")
            )
            yield kind.found(
                resolved,
                piece,
                where=stage.where,
                own=section_in_words(resolved, bond.first),
                other=section_in_words(resolved, bond.second),
            )


def _parts(resolved: ResolvedDesign) -> Parts:
    return work_of(resolved).parts


def _sealed_early(resolved: ResolvedDesign, stage: Stage, placing: Placing) -> Iterator[Finding]:
    """A piece over the edge of its host that meets something more when all is closed."""
    piece, work = resolved.pieces[placing.piece], work_of(resolved)
    if not piece.reaches_beyond or piece.source.has(Trait.WITHIN_HOST):
        return
    by, after, closed = FaceKey(piece.key, piece.by), placing.put.after, work.closed
    is_there = {by, placing.host} <= closed.plates.keys()
    if not is_there or share_on(after, by, placing.host) < _ON_HOST:
        return
    plate, side = closed.plates[by], glued_side(_relation(piece))
    for face in closed.in_plane(plate.axis, plate.plane):
        # What is laid under it later is none of its business.
        is_new = face in after.plates and not share_on(after, by, face)
        if closed.side_of(by, face) == side and is_new and share_on(closed, by, face) > _ON_OTHER:
            told = {"host": section_in_words(resolved, placing.host), "key": placing.piece}
            other = section_in_words(resolved, face)
            yield finding_kind("sealed-too-early").found(
                resolved, stage.step.position, where=stage.where, other=other, **told
            )
            return


def _relation(piece: ResolvedPiece) -> Relation:
    assert piece.source.placement is not None, "it has been placed"
    return piece.source.placement.relation


def _tied_early(
    resolved: ResolvedDesign, stage: Stage, fastening: str, later: Sequence[Moment]
) -> Iterator[Finding]:
    """What comes to the work, or closes, after a ribbon has been tied round it."""
    ring = resolved.fastenings[fastening].source.round
    for moment in later if ring is not None else ():
        assert ring is not None
        comes = _comes_under(moment, ring)
        if comes:
            yield finding_kind("tied-too-early").found(
                resolved,
                resolved.fastenings[fastening],
                where=stage.where,
                ring=ring,
                later=f"'{comes}'",
            )
            return


def _comes_under(moment: Moment, ring: str) -> str:
    """The piece that a moment brings under the ribbon round another one; empty for none."""
    match moment.motion:
        case Placing() as placing:
            laid = placing.put.after.plates.keys() - placing.before.plates.keys()
            brings_ring = any(face.piece == ring for face in laid)
            is_over = placing.put.way is Way.LOWERED and ring in moment.assembly.pieces
            goes_in = placing.put.way is Way.SLID and ring in moment.assembly.pieces
            return placing.piece if brings_ring or is_over or goes_in else ""
        case Turn() as turn if turn.is_closing and ring in turn.after.pieces:
            return turn.fold.piece
        case _:
            return ""

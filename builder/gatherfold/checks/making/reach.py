"""What is put where a hand no longer comes, or on something else than it belongs on.

In: the stages of a design.  Out: findings at the step that comes too late, or too early: a piece
put on a face that a closed section covers, or that lies inside of something closed on every side,
and a piece glued down where something else lies by then.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from gatherfold.checks.making.stages import Stage, angle_of, on_table, share_on
from gatherfold.checks.report import finding_kind, section_in_words
from gatherfold.findings import Finding
from gatherfold.geometry import Exact, SpaceAxis
from gatherfold.resolve import ResolvedDesign
from gatherfold.work import ACROSS, AXES, Assembly, FaceKey, Moment, Place, Placing, host_side

#: A piece with more of its glue on another one than this lies on that one (no source).
_MOST = 0.5


def check_reach(resolved: ResolvedDesign, stages: Sequence[Stage]) -> Iterator[Finding]:
    """Each piece that a step places, as all lay at that moment."""
    for stage in stages:
        table = stage.before
        for moment in stage.moments:
            placing = moment.motion
            if isinstance(placing, Placing):
                found = list(_shut_over(resolved, stage, table, placing))
                found = found or list(_shut_in(resolved, stage, placing))
                yield from found or _on_another(resolved, stage, moment, placing)
            table = on_table(moment)


def _shut_over(
    resolved: ResolvedDesign, stage: Stage, table: tuple[Assembly, ...], placing: Placing
) -> Iterator[Finding]:
    """A section that has to be turned aside, and that no step opens."""
    turned = [
        fold
        for fold in placing.before.creases
        if (angle_of(table, fold) or 0) > placing.before.angle(fold)
    ]
    if turned:
        yield finding_kind("closed-over-place").found(
            resolved,
            stage.step.position,
            where=stage.where,
            key=placing.piece,
            host=section_in_words(resolved, placing.host),
            cover=section_in_words(resolved, turned[-1].face),
            name=str(turned[-1]),
        )


def _shut_in(resolved: ResolvedDesign, stage: Stage, placing: Placing) -> Iterator[Finding]:
    """A place from which something lies ahead whichever way a hand would come."""
    before, own = placing.before, placing.put.after.plates
    by = FaceKey(placing.piece, resolved.pieces[placing.piece].by)
    placement = resolved.pieces[placing.piece].source.placement
    assert placement is not None
    bounds, plate = own[by].bounds, before.plates[placing.host]
    centre, (first, second) = bounds.centre, ACROSS[plate.axis]
    place: list[Exact] = [0, 0, 0]
    place[first], place[second] = centre.x, centre.y
    place[plate.axis] = own[by].plane + host_side(placement.relation) * plate.facing
    spot: Place = (place[0], place[1], place[2])
    met = [_ahead(before, spot, axis, way) for axis in AXES for way in (1, -1)]
    if all(met):
        others = {face.piece for faces in met for face in faces} - {placing.host.piece}
        around = next((key for key in before.pieces if key in others), placing.host.piece)
        yield finding_kind("out-of-reach").found(
            resolved,
            stage.step.position,
            where=stage.where,
            key=placing.piece,
            host=section_in_words(resolved, placing.host),
            around=around,
        )


def _ahead(assembly: Assembly, place: Place, axis: SpaceAxis, way: int) -> list[FaceKey]:
    """The faces that are met straight ahead of a place along an axis."""
    first, second = ACROSS[axis]
    return [
        key
        for key, plate in assembly.plates.items()
        if plate.axis == axis
        and (plate.plane - place[axis]) * way > 0
        and plate.region.holds((place[first], place[second]))
    ]


def _on_another(
    resolved: ResolvedDesign, stage: Stage, moment: Moment, placing: Placing
) -> Iterator[Finding]:
    """A piece whose glue meets another one than what it is glued on."""
    by, after = FaceKey(placing.piece, resolved.pieces[placing.piece].by), placing.put.after
    met = {bond.second for bond in moment.bonds if bond.kind == "glue" and bond.first == by}
    told = {
        "where": stage.where,
        "key": placing.piece,
        "host": section_in_words(resolved, placing.host),
    }
    for other in met - {placing.host}:
        if other.piece == placing.host.piece or other.face != resolved.pieces[other.piece].by:
            continue
        if _is_sibling(resolved, placing, other.piece):
            if (share := share_on(after, by, other)) > _MOST:
                told |= {"other": other.piece, "share": str(round(100 * share))}
                yield finding_kind("lies-on-another").found(resolved, stage.step.position, **told)
        elif placing.host not in met:
            yield finding_kind("host-covered").found(
                resolved, stage.step.position, **told, other=other.piece
            )
            return


def _is_sibling(resolved: ResolvedDesign, placing: Placing, other: str) -> bool:
    """Whether another piece lies on the same side of the same face."""
    own, two = resolved.pieces[placing.piece], resolved.pieces[other]
    first, second = own.source.placement, two.source.placement
    if first is None or second is None:
        return False
    sides = {host_side(each.relation) for each in (first, second)}
    return (second.host, two.host_face) == placing.host and len(sides) == 1

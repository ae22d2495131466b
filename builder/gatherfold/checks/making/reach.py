"""What is put where a hand no longer comes, or on something else than it belongs on.

In: the stages of a design.  Out: findings at the step that comes too late, or too early: a piece
put on a face that a closed section covers, or that lies inside of something closed on every side,
and a piece glued down where something else lies by then.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product

from gatherfold.checks.making.stages import (
    Stage,
    Table,
    angle_of,
    on_table,
    relation_of,
    share_on,
)
from gatherfold.checks.report import section_in_words
from gatherfold.findings import Finding
from gatherfold.geometry import SpaceAxis
from gatherfold.resolve import ResolvedDesign, ResolvedPiece
from gatherfold.work import ACROSS, AXES, Assembly, FaceKey, Moment, Place, Placing, host_side

#: A piece with more of its glue on another one than this lies on that one (no source).
_MOST = 0.5


@dataclass(frozen=True, eq=False)
class _Arrival:
    """A piece that a step puts in its place, and what lay there before as the steps left it."""

    resolved: ResolvedDesign
    stage: Stage
    table: Table
    moment: Moment
    placing: Placing

    @property
    def piece(self) -> ResolvedPiece:
        return self.resolved.pieces[self.placing.piece]

    @property
    def by(self) -> FaceKey:
        """The face that it lies by."""
        return FaceKey(self.piece.key, self.piece.by)

    @property
    def met(self) -> dict[FaceKey, None]:
        """The faces that its glue joins it to, in their order."""
        glued = (bond for bond in self.moment.bonds if bond.kind == "glue")
        return dict.fromkeys(bond.second for bond in glued if bond.first == self.by)

    def found(self, code: str, **told: str) -> Finding:
        """A finding that names the step, the piece and what it is put on."""
        host = section_in_words(self.resolved, self.placing.host)
        return self.stage.found(self.resolved, code, key=self.piece.key, host=host, **told)


def check_reach(resolved: ResolvedDesign, stages: Sequence[Stage]) -> Iterator[Finding]:
    """Each piece that a step places, as all lay at that moment: the first that is wrong of it."""
    for arrival in _arrivals(resolved, stages):
        rules = (_shut_over, _shut_in, _on_another)
        found = ([*rule(arrival)] for rule in rules)
        yield from next(filter(None, found), ())


def _arrivals(resolved: ResolvedDesign, stages: Sequence[Stage]) -> Iterator[_Arrival]:
    for stage in stages:
        tables = [stage.before, *map(on_table, stage.moments)]
        for table, moment in zip(tables, stage.moments, strict=False):
            if isinstance(moment.motion, Placing):
                yield _Arrival(resolved, stage, table, moment, moment.motion)


def _shut_over(arrival: _Arrival) -> Iterator[Finding]:
    """A section that has to be turned aside, and that no step opens."""
    before = arrival.placing.before
    turned = [f for f in before.creases if angle_of(arrival.table, f) > before.angle(f)]
    for fold in turned[-1:]:
        cover = section_in_words(arrival.resolved, fold.face)
        yield arrival.found("closed-over-place", cover=cover, name=str(fold))


def _shut_in(arrival: _Arrival) -> Iterator[Finding]:
    """A place from which something lies ahead whichever way a hand would come."""
    spot = _spot(arrival)
    ahead = [_ahead(arrival.placing.before, spot, *way) for way in product(AXES, (1, -1))]
    if all(ahead):
        own = arrival.placing.host.piece
        others = {face.piece for faces in ahead for face in faces} - {own}
        around = next((key for key in arrival.placing.before.pieces if key in others), own)
        yield arrival.found("out-of-reach", around=around)


def _spot(arrival: _Arrival) -> Place:
    """The middle of the place that a piece takes, a hair before what it lies on."""
    own = arrival.placing.put.after.plates[arrival.by]
    host = arrival.placing.before.plates[arrival.placing.host]
    level = own.plane + host_side(relation_of(arrival.piece)) * host.facing
    (first, second), centre = ACROSS[host.axis], own.bounds.centre
    place = {host.axis: level, first: centre.x, second: centre.y}
    return (place[0], place[1], place[2])


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


def _on_another(arrival: _Arrival) -> Iterator[Finding]:
    """A piece whose glue meets another one than what it is glued on."""
    met = arrival.met
    for other in (face for face in met if _is_laid_by(arrival, face)):
        if _is_sibling(arrival, other.piece):
            yield from _over_sibling(arrival, other)
        elif arrival.placing.host not in met:
            yield arrival.found("host-covered", other=other.piece)
            return


def _is_laid_by(arrival: _Arrival, face: FaceKey) -> bool:
    """Whether a face is the one by which another piece than the host lies there."""
    is_other = face.piece != arrival.placing.host.piece
    return is_other and face.face == arrival.resolved.pieces[face.piece].by


def _over_sibling(arrival: _Arrival, other: FaceKey) -> Iterator[Finding]:
    share = share_on(arrival.placing.put.after, arrival.by, other)
    if share > _MOST:
        told = {"other": other.piece, "share": str(round(100 * share))}
        yield arrival.found("lies-on-another", **told)


def _is_sibling(arrival: _Arrival, other: str) -> bool:
    """Whether another piece lies on the same side of the same face."""
    two = arrival.resolved.pieces[other]
    placement = two.source.placement
    if placement is None or (placement.host, two.host_face) != arrival.placing.host:
        return False
    return host_side(placement.relation) == host_side(relation_of(arrival.piece))

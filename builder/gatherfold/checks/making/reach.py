"""What is put where a hand no longer comes.

In: the stages of a design.  Out: findings at the step that comes too late: a piece put on a face
that a closed section covers, or that lies inside of something closed on every side, or against what
carries it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product, takewhile

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
from gatherfold.work import (
    ACROSS,
    AXES,
    Assembly,
    FaceKey,
    FoldKey,
    Moment,
    Place,
    Placing,
    host_side,
)

#: What lies over more of a place than this covers it (no source).
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

    def is_shut_by(self, face: FaceKey) -> bool:
        """Whether a face is of what carries or keeps its host, or of the host itself and folded
        over it for good."""
        host, before = self.placing.host, self.placing.before
        crease = before.creases.get(FoldKey(face.piece, face.face))
        is_own = crease is not None and crease.staying == host and before.is_locked(crease.key)
        return is_own or face.piece in self.resolved.hosts_of(host.piece)

    def found(self, code: str, **told: str) -> Finding:
        """A finding that names the step, the piece and what it is put on."""
        host = section_in_words(self.resolved, self.placing.host)
        return self.stage.found(self.resolved, code, key=self.piece.key, host=host, **told)


def check_reach(resolved: ResolvedDesign, stages: Sequence[Stage]) -> Iterator[Finding]:
    """Each piece that a step places, as all lay at that moment: the first that is wrong of it."""
    for arrival in _arrivals(resolved, stages):
        rules = (_shut_over, _shut_in, _covered)
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
    ways = (_ahead(arrival.placing.before, spot, *way) for way in product(AXES, (1, -1)))
    ahead = list(takewhile(bool, ways))
    if len(ahead) == 2 * len(AXES):
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


def _covered(arrival: _Arrival) -> Iterator[Finding]:
    """A place that lies against what carries the host, or under a pocket that the host is in: glue
    would have to go between the two."""
    placing, host = arrival.placing, arrival.placing.host
    before, after = placing.before, placing.put.after
    side, plate = host_side(relation_of(arrival.piece)), before.plates[host]
    for face in before.in_plane(plate.axis, plate.plane) if placing.is_glued else ():
        is_over = before.side_of(host, face) == side and arrival.is_shut_by(face)
        if is_over and share_on(after, arrival.by, face) > _MOST:
            yield arrival.found("host-covered", other=face.piece)
            return

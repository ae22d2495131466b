"""What is put where a hand no longer comes.

In: the stages of a design.  Out: findings at the step that comes too late: a piece put on a face
that a closed section covers, or that lies inside of something closed on every side, or against what
carries it; and a pocket that has glue in its lane, or none at all.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import product, takewhile

from gatherfold.checks.joins.folded import glue_among
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
    glue_areas,
    glued_down,
    host_side,
    in_own,
    shape_of,
    work_of,
)

#: What lies over more of a place than this covers it (no source).
_MOST = 0.5
#: What lies under so much of a pocket or a closed flap is not reached (no source).
_SOME = 0.15
_RIGHT_OVER = 180


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
    def carriers(self) -> tuple[str, ...]:
        """What it lies on, and what carries that."""
        host = self.placing.host.piece
        return (host, *self.resolved.hosts_of(host))

    def is_shut(self, fold: FoldKey) -> bool:
        """Whether a fold is closed right over, and may be opened."""
        before = self.placing.before
        return before.angle(fold) == _RIGHT_OVER and not before.is_locked(fold)

    def is_shut_by(self, face: FaceKey) -> bool:
        """Whether a face is of what carries or keeps its host, or of the host itself and folded
        over it for good."""
        host, before = self.placing.host, self.placing.before
        crease = before.creases.get(FoldKey(face.piece, face.face))
        is_own = crease is not None and crease.staying == host and before.is_locked(crease.key)
        return is_own or face.piece in self.resolved.hosts_of(host.piece)

    def is_kept_by(self, face: FaceKey) -> bool:
        """Whether a face is of the pocket that its host has been slid into."""
        host = self.resolved.pieces[self.placing.host.piece]
        return host.is_in_pocket and face.piece == host.host

    def is_ground(self, face: FaceKey) -> bool:
        """Whether a face is what it lies on, or glued on that."""
        host = self.placing.host
        return face == host or host.piece in self.resolved.hosts_of(face.piece)

    @property
    def slack(self) -> Fraction:
        """Half of what glue may reach into a lane, in units."""
        return self.resolved.tolerance * work_of(self.resolved).scale / 4

    def found(self, code: str, **told: str) -> Finding:
        """A finding that names the step, the piece and what it is put on."""
        host = section_in_words(self.resolved, self.placing.host)
        return self.stage.found(self.resolved, code, key=self.piece.key, host=host, **told)


def check_reach(resolved: ResolvedDesign, stages: Sequence[Stage]) -> Iterator[Finding]:
    """Each piece that a step places, as all lay at that moment: the first that is wrong of it."""
    for arrival in _arrivals(resolved, stages):
        rules = (_glued_lane, _unglued_pocket, _shut_over, _shut_in, _covered)
        found = ([*rule(arrival)] for rule in rules)
        yield from next(filter(None, found), ())


def _arrivals(resolved: ResolvedDesign, stages: Sequence[Stage]) -> Iterator[_Arrival]:
    for stage in stages:
        tables = [stage.before, *map(on_table, stage.moments)]
        for table, moment in zip(tables, stage.moments, strict=False):
            if isinstance(moment.motion, Placing):
                yield _Arrival(resolved, stage, table, moment, moment.motion)


def _glued_lane(arrival: _Arrival) -> Iterator[Finding]:
    """A section of a pocket that is glued to its back where something is slid in."""
    placing = arrival.placing
    host, before, after = placing.host, placing.before, placing.put.after
    if arrival.stage.operation != "insert":
        return
    flat = glued_down(before) | {host}
    own = [
        bond
        for bond in glue_among(before.bonds)
        if bond.first.piece == host.piece and bond.first not in flat
    ]
    place, slack = shape_of(after.plates[arrival.by]), float(arrival.slack)
    for area in glue_areas(before, own):
        within = in_own(before.plates[area.face], place).intersection(area.glue)
        for face in filter(arrival.is_ground, area.parts):
            if not within.intersection(area.parts[face]).buffer(-slack).is_empty:
                told = {"section": section_in_words(arrival.resolved, area.face)}
                told |= {"face": section_in_words(arrival.resolved, face), "name": area.face.face}
                yield arrival.found("glue-in-pocket", **told)
                return


def _unglued_pocket(arrival: _Arrival) -> Iterator[Finding]:
    """A pocket of sections that are closed, and of which no glue holds any."""
    if arrival.stage.operation == "insert":
        host, before = arrival.placing.host, arrival.placing.before
        own = [fold for fold in before.creases if fold.piece == host.piece]
        turned = [fold for fold in _turned_aside(arrival) if fold in own]
        if turned and not any(map(before.is_locked, own)):
            cover = section_in_words(arrival.resolved, turned[-1].face)
            yield arrival.found("pocket-unglued", cover=cover, piece=host.piece)


def _turned_aside(arrival: _Arrival) -> list[FoldKey]:
    """The folds that have to be turned aside, and that no step opens."""
    before = arrival.placing.before
    return [fold for fold in before.creases if angle_of(arrival.table, fold) > before.angle(fold)]


def _shut_over(arrival: _Arrival) -> Iterator[Finding]:
    """A section that has to be turned aside, or under which something has to be slid that no step
    slides in."""
    for fold in (_turned_aside(arrival) or [*_laid_under(arrival)])[-1:]:
        cover = section_in_words(arrival.resolved, fold.face)
        yield arrival.found("closed-over-place", cover=cover, name=str(fold))


def _laid_under(arrival: _Arrival) -> Iterator[FoldKey]:
    """The loose sections of what carries a piece, closed over most of the place where a step lays
    it; or the fold by which what carries a pocket is shut over what goes into that."""
    before, closed = arrival.placing.before, list(_shut_folds(arrival))
    if arrival.stage.operation == "attach" and FoldKey(*arrival.placing.host) not in closed:
        faces = [fold.face for fold in closed]
        over = _over(arrival, host_side(relation_of(arrival.piece)), faces)
        yield from (FoldKey(*face) for face in over)
    elif arrival.piece.is_in_pocket:
        own = [face for face in before.plates if face.piece in arrival.carriers[1:]]
        if _over(arrival, -host_side(relation_of(arrival.piece)), own):
            yield from closed


def _shut_folds(arrival: _Arrival) -> Iterator[FoldKey]:
    """The folds of what carries a piece that are closed right over, and not for good."""
    carriers = arrival.carriers
    own = (fold for fold in arrival.placing.before.creases if fold.piece in carriers)
    return filter(arrival.is_shut, own)


def _over(arrival: _Arrival, side: int, faces: Iterable[FaceKey]) -> list[FaceKey]:
    """Those of some faces that lie on a side of the host, where they cover most of the place."""
    before, after, host = arrival.placing.before, arrival.placing.put.after, arrival.placing.host
    over = [face for face in faces if before.side_of(host, face) == side]
    covered = sum(share_on(after, arrival.by, face) for face in over)
    return over if covered > _MOST else []


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
        is_pocket = arrival.is_kept_by(face)
        if is_over and share_on(after, arrival.by, face) > (_SOME if is_pocket else _MOST):
            code = "host-covered, slid in" if is_pocket else "host-covered"
            yield arrival.found(code, other=face.piece, inner=host.piece)
            return

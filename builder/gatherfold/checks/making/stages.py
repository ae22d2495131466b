"""What each operation of a step found on the table and what it did: the moments of the work by
operation.

In: a resolved design.  Out: its stages, in the order in which a maker comes to them, and what the
checks of the course of making ask of them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from gatherfold.checks.report import Told, finding_kind
from gatherfold.findings import Finding
from gatherfold.geometry import Sense, crosses
from gatherfold.model import Operation, Relation, Step, Trait
from gatherfold.reading import matching_names
from gatherfold.resolve import ResolvedDesign, ResolvedFastening, ResolvedPiece
from gatherfold.work import (
    ALL,
    Assembly,
    Crease,
    FaceKey,
    FoldKey,
    Moment,
    Parts,
    Plate,
    section_folds,
    shape_of,
    work_of,
)

#: All that lies there, each thing for itself.
Table = tuple[Assembly, ...]


@dataclass(frozen=True, eq=False)
class Stage:
    """An operation of a step: what it names, what lay on the table before it, and its moments."""

    number: int
    step: Step
    operation: Operation
    before: Table
    moments: tuple[Moment, ...]

    @property
    def names(self) -> tuple[str, ...]:
        """What the step writes after the operation."""
        return self.step.operations[self.operation]

    @property
    def by_name(self) -> tuple[str, ...]:
        """What it names, without the word for all there is."""
        return tuple(name for name in self.names if name != ALL)

    @property
    def closes_all(self) -> bool:
        """Whether it closes or opens all there is."""
        return ALL in self.names

    @property
    def where(self) -> str:
        """The step in words."""
        return step_in_words(self.number, self.step)

    @property
    def after(self) -> Table:
        """What lies on the table when it is done."""
        return on_table(self.moments[-1]) if self.moments else self.before

    def found(
        self,
        resolved: ResolvedDesign,
        code: str,
        at: ResolvedPiece | ResolvedFastening | None = None,
        /,
        **told: Told,
    ) -> Finding:
        """A finding that names the step; at the step itself, where it is at no part."""
        place = self.step.position if at is None else at
        return finding_kind(code).found(resolved, place, where=self.where, **told)


def step_in_words(number: int, step: Step) -> str:
    """Name a step by its number and title."""
    return f"step {number} ({step.title})"


def numbered_step(resolved: ResolvedDesign, number: int) -> str:
    """Name the step of a number, as :func:`step_in_words`."""
    return step_in_words(number, resolved.design.steps[number - 1])


def on_table(moment: Moment) -> Table:
    """Everything that lies there at a moment."""
    return (moment.assembly, *moment.others)


def stages_of(resolved: ResolvedDesign) -> tuple[Stage, ...]:
    """Every operation of every step, in order."""
    moments = iter(work_of(resolved).moments)
    waiting = next(moments, None)
    before: Table = ()
    found: list[Stage] = []
    for number, step in enumerate(resolved.design.steps, start=1):
        for operation in step.operations:
            own: list[Moment] = []
            while waiting and (waiting.step, waiting.operation) == (number, operation):
                own.append(waiting)
                waiting = next(moments, None)
            stage = Stage(number, step, operation, before, tuple(own))
            found.append(stage)
            before = stage.after
    return tuple(found)


def holding(table: Table, *folds: FoldKey) -> Assembly | None:
    """What has all of some folds, of what lies there."""
    return next((each for each in table if each.creases.keys() >= {*folds}), None)


def angle_of(table: Table, fold: FoldKey) -> int:
    """The angle of a fold; 0 where its piece is in nothing that lies there."""
    assembly = holding(table, fold)
    return 0 if assembly is None else assembly.angle(fold)


def closed_by_name(resolved: ResolvedDesign, stages: Sequence[Stage]) -> dict[FoldKey, Stage]:
    """The folds that steps close by name, each with the first time."""
    parts, found = work_of(resolved).parts, dict[FoldKey, Stage]()
    for stage in stages:
        for fold in folds_named(parts, stage.by_name) if stage.operation == "close" else ():
            found.setdefault(fold, stage)
    return found


def folds_named(parts: Parts, names: Iterable[str]) -> Iterator[FoldKey]:
    """The folds that some names stand for, name after name."""
    return (fold for name in names for fold in folds_of(parts, name))


def folds_of(parts: Parts, name: str) -> Iterator[FoldKey]:
    """The folds that a name stands for."""
    return (crease.key for crease in creases_of(parts, name))


def creases_of(parts: Parts, name: str) -> Iterator[Crease]:
    """What a name under ``close``, ``open`` or ``closing`` stands for, tabs left out."""
    pattern, _, section = name.partition(".")
    for key in matching_names(pattern, parts.pieces):
        part = parts.pieces[key]
        tabs = {tab.name for tab in part.piece.source.tabs}
        creases = section_folds(part, section) if section else part.creases
        yield from (crease for crease in creases if crease.hanging.face not in tabs)


def relation_of(piece: ResolvedPiece) -> Relation:
    """How a piece that has been placed lies on what it lies on."""
    assert piece.source.placement is not None, "it has been placed"
    return piece.source.placement.relation


def without_seals(resolved: ResolvedDesign, closed: Assembly) -> Assembly:
    """The closed work as it is when its seals are broken."""
    seals = {key for key, piece in resolved.pieces.items() if piece.source.has(Trait.SEALS_EDGE)}
    return replace(closed, bonds=tuple(b for b in closed.bonds if b.first.piece not in seals))


class Direction(NamedTuple):
    """A direction in space: along an axis, towards its positive end or the other."""

    axis: int
    towards: int


def towards_side(plate: Plate, side: Sense) -> Direction:
    """Where a side of a face looks to (1: its front)."""
    return Direction(plate.axis, plate.facing * side)


def lies_that_way(assembly: Assembly, face: FaceKey, other: FaceKey, way: Direction) -> bool:
    """Whether another face lies over one, in its plane or away from it, in a direction."""
    own, two = assembly.plates[face], assembly.plates[other]
    if own.axis != way.axis or two.axis != way.axis:
        return False
    if own.plane == two.plane:
        is_above = assembly.is_above(face, other)
        return is_above is not None and is_above == (way.towards > 0)
    if (two.plane > own.plane) != (way.towards > 0):
        return False
    return own.region.overlaps(two.region)


def share_on(assembly: Assembly, face: FaceKey, other: FaceKey) -> float:
    """How much of a face lies over another one of its plane, from 0 to 1."""
    own, two = assembly.plates[face], assembly.plates[other]
    if not own.shares_plane(two) or not crosses(own.bounds, two.bounds):
        return 0.0
    shape = shape_of(own)
    return float(shape.intersection(shape_of(two)).area / shape.area)

"""A piece glued over a score keeps what it lies on from folding there, or tears."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from builder.checks.report import found
from builder.findings import Finding, Severity
from builder.lengths import up_to_grid
from builder.resolve.resolved import ResolvedDesign
from builder.work import Assembly, FaceKey, FoldKey, work_of
from builder.work.assembly import Adhesive
from builder.work.plates import Plate
from builder.work.regions import Region
from builder.work.space import ACROSS, Exact, SpaceLine


def check_across_folds(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Adhesive that meets both sides of a fold that still lies flat when it is laid down."""
    work = work_of(resolved)
    reported: set[tuple[str, FoldKey]] = set()
    for moment in work.moments:
        met: dict[Adhesive, set[FaceKey]] = {}
        for bond in moment.bonds:
            if bond.adhesive is not None:
                met.setdefault(bond.adhesive, set()).add(bond.second)
        for adhesive, faces in met.items():
            for fold in _held_flat(moment.assembly, faces):
                by = adhesive.face.piece
                if (by, fold) not in reported:
                    reported.add((by, fold))
                    reach = _reach(moment.assembly, adhesive, fold)
                    yield _finding(resolved, by, moment.assembly, fold, reach / work.scale)


def _held_flat(assembly: Assembly, faces: set[FaceKey]) -> Iterator[FoldKey]:
    """The folds that are to close and of which both sides are among some faces."""
    for fold, crease in assembly.creases.items():
        if {crease.staying, crease.hanging} <= faces and crease.closed and not assembly.angle(fold):
            yield fold


def _reach(assembly: Assembly, adhesive: Adhesive, fold: FoldKey) -> Fraction:
    """How far adhesive reaches beyond a fold, on the side where it reaches less far."""
    crease, line = assembly.creases[fold], assembly.lines[fold]
    plate = assembly.plates[adhesive.face]
    sides = (assembly.plates[key] for key in (crease.staying, crease.hanging))
    return Fraction(min(_beyond(plate, adhesive, side, line) for side in sides))


def _beyond(plate: Plate, adhesive: Adhesive, side: Plate, line: SpaceLine) -> Exact:
    across = next(axis for axis in ACROSS[side.axis] if axis != line.axis)
    place = line.at[ACROSS[line.axis].index(across)]
    index = ACROSS[side.axis].index(across)
    far: Exact = 0
    for region in adhesive.spread:
        spread = Region(tuple(plate.ring(ring) for ring in region.rings)).bounds
        if spread.crosses(side.bounds):
            shared = spread.common(side.bounds)
            far = max(far, place - shared[index], shared[index + 2] - place)
    return far


def _finding(
    resolved: ResolvedDesign, by: str, assembly: Assembly, fold: FoldKey, reach: Fraction
) -> Finding:
    units, crease = resolved.edition.units, assembly.creases[fold]
    wanted = up_to_grid(reach, resolved.edition.grid)
    score = next(
        score
        for score in resolved.pieces[fold.piece].scores
        if set(score.sides) == {crease.staying.face, crease.hanging.face}
    )
    first, second = (name.replace("_", " ") for name in score.sides)
    return found(
        resolved,
        Severity.ERROR,
        "glued-across-fold",
        resolved.pieces[by].source.position,
        f"'{by}' is glued across the fold of '{fold.piece}' between its {first} and its "
        f"{second}, {units.text(reach)} beyond it",
        f"End it at the fold, {units.text(wanted)} shorter, or give it a fold of its own there.",
        reach=reach,
        wanted=wanted,
    )

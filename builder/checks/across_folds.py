"""A piece glued over a score keeps what it lies on from folding there, or tears."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction

from builder.checks.report import FindingKind
from builder.findings import Finding
from builder.lengths import up_to_grid
from builder.resolve.resolved import ResolvedDesign
from builder.work import Assembly, Bond, FoldKey, work_of
from builder.work.regions import Region
from builder.work.space import ACROSS, Exact

_GLUED_ACROSS = FindingKind(
    "glued-across-fold",
    "'{key}' is glued across the fold of '{host}' between its {first} and its {second}, {reach} "
    "beyond it",
    "End it at the fold, {wanted} shorter, or give it a fold of its own there.",
)


def check_across_folds(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Folds that glue holds for good before they have come to their angle."""
    work = work_of(resolved)
    held: set[FoldKey] = set()
    for moment in work.moments:
        glue = [bond for bond in moment.bonds if bond.adhesive is not None]
        if not glue:
            continue
        for fold, crease in moment.assembly.creases.items():
            is_open = moment.assembly.angle(fold) != crease.closed
            if is_open and fold not in held and moment.assembly.is_locked(fold):
                held.add(fold)
                reach, by = _reach(moment.assembly, glue, fold)
                if reach:
                    length = Fraction(reach) / work.scale
                    yield _finding(resolved, by, moment.assembly, fold, length)


def _reach(assembly: Assembly, glue: Iterable[Bond], fold: FoldKey) -> tuple[Exact, str]:
    """How far glue reaches beyond a fold, on the side where it reaches less far, and of which
    piece that is."""
    line, crease = assembly.lines[fold], assembly.creases[fold]
    side = assembly.plates[crease.staying]
    across = next(axis for axis in ACROSS[side.axis] if axis != line.axis)
    place, index = line.at[ACROSS[line.axis].index(across)], ACROSS[side.axis].index(across)
    found: list[tuple[Exact, str]] = []
    for bond in glue:
        assert bond.adhesive is not None
        plate = assembly.plates[bond.adhesive.face]
        if not plate.shares_plane(side):
            continue
        for region in bond.adhesive.spread:
            bounds = Region(tuple(plate.ring(ring) for ring in region.rings)).bounds
            beyond = min(place - bounds[index], bounds[index + 2] - place)
            found.append((max(beyond, 0), bond.joins))
    return max(found, default=(0, next(iter(glue)).joins), key=lambda each: each[0])


def _finding(
    resolved: ResolvedDesign, by: str, assembly: Assembly, fold: FoldKey, reach: Fraction
) -> Finding:
    crease = assembly.creases[fold]
    sides = {crease.staying.face, crease.hanging.face}
    scores = resolved.pieces[fold.piece].scores
    named = next(score.sides for score in scores if set(score.sides) == sides)
    return _GLUED_ACROSS.found(
        resolved,
        resolved.pieces[by],
        host=fold.piece,
        first=named[0].replace("_", " "),
        second=named[1].replace("_", " "),
        reach=reach,
        wanted=up_to_grid(reach, resolved.edition.grid),
    )

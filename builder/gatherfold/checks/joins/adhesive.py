"""Adhesive against its place: tape on the tabs, laps and seams that it has to join.

In: the bonds of each moment.  Out: joins narrower than the tape, seams whose tape lies on the wrong
face or on nothing, and sections that are glued along one side only.
"""

from collections.abc import Iterator, Mapping
from fractions import Fraction

from gatherfold.checks.report import finding_kind, in_words, section_in_words
from gatherfold.findings import Finding
from gatherfold.geometry import EdgeName, is_upright, opposite
from gatherfold.lengths import INCH, nearest_on_grid
from gatherfold.model import ADHESIVE_KINDS, is_tape
from gatherfold.resolve import ResolvedDesign, ResolvedPiece, Score
from gatherfold.work import (
    Adhesive,
    Assembly,
    FaceKey,
    GlueArea,
    Moment,
    contact,
    glue_areas,
    tape_width,
    work_of,
)

#: Tape may lie so much of its width beyond a join: slanting ends and hand-cut edges.
_FITS = 0.9
#: Tape may lie bare or on the wrong face for this far (common practice, no source).
_BARE = INCH / 8


def check_adhesive(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Every join of a folded piece, and every seam."""
    for piece in resolved.pieces.values():
        yield from _one_sided(resolved, piece)
    seen: set[tuple[FaceKey, int]] = set()
    told: set[tuple[str, str]] = set()
    for moment in work_of(resolved).moments:
        bonds = [
            bond
            for bond in moment.bonds
            if bond.kind == "glue" and len(resolved.pieces[bond.first.piece].faces) > 1
        ]
        for area in glue_areas(moment.assembly, bonds):
            side = area.face, area.adhesive.side
            if side not in seen:
                seen.add(side)
                for finding in _area(resolved, moment, area):
                    # Four tabs of one piece are one mistake.
                    if (what := (finding.code, area.face.piece)) not in told:
                        told.add(what)
                        yield finding


def _area(resolved: ResolvedDesign, moment: Moment, area: GlueArea) -> Iterator[Finding]:
    piece = resolved.pieces[area.face.piece]
    edges = [seam.edge for seam in piece.seams if seam.section == area.face.face]
    if edges and moment.operation == "close":
        fold = _fold_of(piece, area.face.face)
        # Along its far edge a section is glued to whatever lies there.
        if fold is not None and all(is_upright(edge) != fold.is_vertical for edge in edges):
            yield from _astray(resolved, moment.assembly, piece, area)
    else:
        yield from _narrow(resolved, area)


def _narrow(resolved: ResolvedDesign, area: GlueArea) -> Iterator[Finding]:
    """A join that the tape is wider than; where there is other glue, no tape need go there."""
    kinds = [supply.kind for supply in resolved.design.supplies.values()]
    joining = [kind for kind in kinds if kind in ADHESIVE_KINDS]
    if not joining or not all(map(is_tape, joining)):
        return
    tape, scale, grid = tape_width(resolved), work_of(resolved).scale, resolved.edition.grid
    if area.glue.is_empty or not area.glue.buffer(-_FITS * float(tape * scale) / 2).is_empty:
        return
    left, low, right, high = area.glue.bounds
    width = nearest_on_grid(Fraction(min(right - left, high - low)) / scale, grid)
    told = {"width": min(width, tape), "tape": tape}
    piece = resolved.pieces[area.face.piece]
    face, other = section_in_words(resolved, area.face), section_in_words(resolved, area.joined[0])
    yield finding_kind("join-narrower-than-tape").found(
        resolved, piece, face=face, other=other, **told
    )


def _astray(
    resolved: ResolvedDesign, assembly: Assembly, piece: ResolvedPiece, area: GlueArea
) -> Iterator[Finding]:
    """Tape of a seam that meets flaps in part, and beside them what these fold over, or nothing."""
    met = _lengths_met(resolved, assembly, area.adhesive)
    flaps = {key for key in met if _has_folded_over(piece, assembly, key)}
    others = {key: length for key, length in met.items() if key not in flaps}
    if not flaps or sum(met[key] for key in flaps) < sum(others.values()):
        return
    told = {"face": f"the {in_words(area.face.face)}"}
    grid = resolved.edition.grid
    for key, length in others.items():
        if length > _BARE + 2 * resolved.tolerance:
            wrong, right = (
                section_in_words(resolved, key),
                section_in_words(resolved, next(iter(flaps))),
            )
            length = nearest_on_grid(length, grid)
            yield finding_kind("seam-astray").found(
                resolved, piece, wrong=wrong, right=right, length=length, **told
            )
            return
    bare = sum((seam.length for seam in piece.seams if seam.section == area.face.face), Fraction(0))
    bare -= sum(met.values(), Fraction(0))
    if bare > 2 * (_BARE + 2 * resolved.tolerance):
        yield finding_kind("seam-astray, bare tape").found(
            resolved, piece, length=nearest_on_grid(bare, grid), **told
        )


def _lengths_met(
    resolved: ResolvedDesign, assembly: Assembly, adhesive: Adhesive
) -> Mapping[FaceKey, Fraction]:
    """How much of the tape of a seam lies against each face, in mm."""
    width = tape_width(resolved) * work_of(resolved).scale ** 2
    found: dict[FaceKey, Fraction] = {}
    for (_, other), units in contact(assembly, adhesive).items():
        found[other] = found.get(other, Fraction(0)) + Fraction(units) / width
    return found


def _has_folded_over(piece: ResolvedPiece, assembly: Assembly, face: FaceKey) -> bool:
    """Whether a face is a section of the piece itself that was folded in right over."""
    return face.piece == piece.key and any(
        crease.hanging == face and assembly.angle(fold) == 180
        for fold, crease in assembly.creases.items()
    )


def _fold_of(piece: ResolvedPiece, section: str) -> Score | None:
    """The fold that a section hangs on."""
    return next((fold for _, hanging, fold in piece.folds_outward() if hanging == section), None)


def _one_sided(resolved: ResolvedDesign, piece: ResolvedPiece) -> Iterator[Finding]:
    """A section that is glued along one of its sides and neither along the other nor far from its
    fold."""
    for section in {seam.section for seam in piece.seams}:
        edges = [seam.edge for seam in piece.seams if seam.section == section]
        fold = _fold_of(piece, section)
        if fold is None or len(edges) != 1 or fold.closed != 180:
            continue
        edge: EdgeName = edges[0]
        if is_upright(edge) != fold.is_vertical:
            told = {"face": in_words(section), "edge": edge, "other": opposite(edge)}
            yield finding_kind("one-sided-seam").found(resolved, piece, **told)

"""Adhesive against its place: tape on the tabs, laps and seams that it has to join.

In: the bonds of each moment.  Out: joins narrower than the tape, seams whose tape lies on the wrong
face or on nothing, and sections that are glued along one side only.
"""

from collections.abc import Iterable, Iterator, Mapping
from fractions import Fraction
from itertools import islice

from shapely.geometry.base import BaseGeometry

from gatherfold.checks.joins.folded import glue_among, right_over
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
    told: dict[tuple[str, str], Finding] = {}
    for moment, area in _areas(resolved):
        for finding in _area(resolved, moment, area):
            # Four tabs of one piece are one mistake.
            told.setdefault((finding.code, area.face.piece), finding)
    yield from told.values()


def _areas(resolved: ResolvedDesign) -> Iterable[tuple[Moment, GlueArea]]:
    """The glue of folded pieces, each side of a face as it was when that met something first."""
    folded = {key for key, piece in resolved.pieces.items() if len(piece.faces) > 1}
    found: dict[tuple[FaceKey, int], tuple[Moment, GlueArea]] = {}
    for moment in work_of(resolved).moments:
        bonds = [bond for bond in glue_among(moment.bonds) if bond.first.piece in folded]
        for area in glue_areas(moment.assembly, bonds):
            found.setdefault((area.face, area.adhesive.side), (moment, area))
    return found.values()


def _area(resolved: ResolvedDesign, moment: Moment, area: GlueArea) -> Iterator[Finding]:
    """A section that is closed along its seams, or any other join."""
    piece, section = resolved.pieces[area.face.piece], area.face.face
    if moment.operation != "close" or not _seamed_edges(piece, section):
        yield from _narrow(resolved, area)
    elif _side_seams(piece, section):
        # Along its far edge a section is glued to whatever lies there.
        yield from islice(_astray(resolved, moment.assembly, piece, area), 1)


# ---- joins


def _narrow(resolved: ResolvedDesign, area: GlueArea) -> Iterator[Finding]:
    """A join that the tape is wider than; where there is other glue, no tape need go there."""
    tape, scale = tape_width(resolved), work_of(resolved).scale
    if _has_only_tape(resolved) and _is_narrower(area.glue, _FITS * float(tape * scale)):
        left, low, right, high = area.glue.bounds
        width = Fraction(min(right - left, high - low)) / scale
        told = {"width": min(nearest_on_grid(width, resolved.edition.grid), tape), "tape": tape}
        face, other = (section_in_words(resolved, key) for key in (area.face, area.joined[0]))
        yield finding_kind("join-narrower-than-tape").found(
            resolved, resolved.pieces[area.face.piece], face=face, other=other, **told
        )


def _has_only_tape(resolved: ResolvedDesign) -> bool:
    """Whether tape is all that a design joins with."""
    kinds = {supply.kind for supply in resolved.design.supplies.values()}
    joining = kinds.intersection(ADHESIVE_KINDS)
    return bool(joining) and all(map(is_tape, joining))


def _is_narrower(shape: BaseGeometry, width: float) -> bool:
    return not shape.is_empty and shape.buffer(-width / 2).is_empty


# ---- seams


def _astray(
    resolved: ResolvedDesign, assembly: Assembly, piece: ResolvedPiece, area: GlueArea
) -> Iterator[Finding]:
    """Tape of a seam that meets flaps in part, and beside them what these fold over, or nothing."""
    met = _lengths_met(resolved, assembly, area.adhesive)
    flaps = [key for key in met if _has_folded_over(piece, assembly, key)]
    others = {key: length for key, length in met.items() if key not in flaps}
    if flaps:
        right = section_in_words(resolved, flaps[0])
        yield from _on_wrong_face(resolved, area.face, others, right)
        yield from _bare(resolved, area.face, sum(met.values(), Fraction(0)))


def _on_wrong_face(
    resolved: ResolvedDesign, section: FaceKey, others: Mapping[FaceKey, Fraction], right: str
) -> Iterator[Finding]:
    """Tape that lies against what is no flap for too far."""
    for key, length in others.items():
        if length > _BARE + 2 * resolved.tolerance:
            yield finding_kind("seam-astray").found(
                resolved,
                resolved.pieces[section.piece],
                wrong=section_in_words(resolved, key),
                right=right,
                length=nearest_on_grid(length, resolved.edition.grid),
                face=f"the {in_words(section.face)}",
            )


def _bare(resolved: ResolvedDesign, section: FaceKey, met: Fraction) -> Iterator[Finding]:
    """Tape that lies against nothing, at both ends of the seams together."""
    piece, grid = resolved.pieces[section.piece], resolved.edition.grid
    seams = (seam.length for seam in piece.seams if seam.section == section.face)
    bare = sum(seams, Fraction(0)) - met
    if bare > 2 * (_BARE + 2 * resolved.tolerance):
        face, length = f"the {in_words(section.face)}", nearest_on_grid(bare, grid)
        yield finding_kind("seam-astray, bare tape").found(
            resolved, piece, face=face, length=length
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
    return any(crease.hanging == face for crease in right_over(assembly, piece.key))


def _one_sided(resolved: ResolvedDesign, piece: ResolvedPiece) -> Iterator[Finding]:
    """A section that is glued along one of its sides and neither along the other nor far from its
    fold."""
    for section in dict.fromkeys(seam.section for seam in piece.seams):
        match _side_seams(piece, section):
            case [edge] if any(fold.closed == 180 for fold in _folds_of(piece, section)):
                told = {"face": in_words(section), "edge": edge, "other": opposite(edge)}
                yield finding_kind("one-sided-seam").found(resolved, piece, **told)


def _side_seams(piece: ResolvedPiece, section: str) -> list[EdgeName]:
    """The edges of the seams of a section, where all of them run away from the fold that it hangs
    on; none where one runs along its far edge."""
    edges = _seamed_edges(piece, section)
    folds = _folds_of(piece, section)
    along = [is_upright(edge) == fold.is_vertical for fold in folds for edge in edges]
    return edges if folds and not any(along) else []


def _seamed_edges(piece: ResolvedPiece, section: str) -> list[EdgeName]:
    return [seam.edge for seam in piece.seams if seam.section == section]


def _folds_of(piece: ResolvedPiece, section: str) -> list[Score]:
    """The fold that a section hangs on, if there is one."""
    return [fold for _, hanging, fold in piece.folds_outward() if hanging == section]

"""What a step closes for good has to be held: corners of walls, flaps under flaps, linings.

In: the closed work.  Out: two walls that stand beside one another and are not joined, a flap folded
over the one whose glue was to hold it, and a section that lies loose on what it moves with.
"""

from collections.abc import Iterator

from gatherfold.checks.joins.freed import is_glued_over
from gatherfold.checks.report import finding_kind, in_words
from gatherfold.findings import Finding
from gatherfold.geometry import is_vertical
from gatherfold.resolve import ResolvedDesign, ResolvedPiece
from gatherfold.work import (
    Assembly,
    Crease,
    FaceKey,
    Look,
    Work,
    closing_demands,
    is_nearer,
    region_shape,
    shape_of,
    work_of,
)

#: What more than this share of a seam lies under was to be glued by it (common practice).
_MOST = 0.5


def check_held(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Every piece with folds, in the work when all is closed."""
    work = work_of(resolved)
    for piece in resolved.pieces.values():
        if len(piece.faces) > 1:
            assembly = _closed_with(work, piece.key)
            if assembly is not None:
                yield from _open_corners(resolved, assembly, piece)
                yield from _over_seams(resolved, work, assembly, piece)
                yield from _untucked(resolved, assembly, piece)
                yield from _margins(resolved, work, assembly, piece)
            yield from _loose_sections(resolved, work, piece)


def _closed_with(work: Work, piece: str) -> Assembly | None:
    """The assembly that a piece is in at the end, closed where that is the main one."""
    every = (work.closed, *work.assemblies)
    return next((assembly for assembly in every if piece in assembly.pieces), None)


# ---- corners


def _open_corners(
    resolved: ResolvedDesign, assembly: Assembly, piece: ResolvedPiece
) -> Iterator[Finding]:
    """Walls that stand on one face and meet at a corner of it, with no glue between them."""
    standing = [
        crease
        for fold, crease in assembly.creases.items()
        if fold.piece == piece.key and crease.closed == 90 == assembly.angle(fold)
    ]
    upright = [crease for crease in standing if is_vertical(crease.axis)]
    level = [crease for crease in standing if not is_vertical(crease.axis)]
    for first in upright:
        for second in level:
            if _meet(first, second) and not _are_joined(assembly, first, second):
                names = {
                    "first": in_words(first.hanging.face),
                    "second": in_words(second.hanging.face),
                }
                yield finding_kind("open-corner").found(resolved, piece, **names)


def _meet(first: Crease, second: Crease) -> bool:
    """Whether two folds of one face end at one corner of it."""
    is_one = first.staying == second.staying
    return is_one and second.at in first.ends and first.at in second.ends


def _are_joined(assembly: Assembly, first: Crease, second: Crease) -> bool:
    """Whether glue holds one wall to the other, or something else to both."""
    walls = [_hanging_on(assembly, crease) for crease in (first, second)]
    met: list[set[str]] = [set(), set()]
    for bond in assembly.bonds:
        for face in bond.faces:
            for number, wall in enumerate(walls):
                if face in wall:
                    other = bond.other(face)
                    if other in walls[1 - number]:
                        return True
                    met[number].add(other.piece)
    return bool((met[0] & met[1]) - {first.hanging.piece})


def _hanging_on(assembly: Assembly, crease: Crease) -> frozenset[FaceKey]:
    """A section and all sections of its piece that hang on it."""
    found = {crease.hanging}
    for fold in assembly.creases.values():
        if fold.staying in found:
            found.add(fold.hanging)
    return frozenset(found)


# ---- flaps


def _over_seams(
    resolved: ResolvedDesign, work: Work, assembly: Assembly, piece: ResolvedPiece
) -> Iterator[Finding]:
    """A section that closes dry, over another one of the piece whose seams lie under it."""
    folded = {
        fold.hanging: crease
        for fold, crease in assembly.creases.items()
        if fold.piece == piece.key and assembly.angle(fold) == 180
    }
    dry = [folded[name] for name in piece.source.dry_sections if name in folded]
    for section in dict.fromkeys(seam.section for seam in piece.seams):
        if section not in folded:
            continue
        seamed = folded[section]
        for flap in dry:
            if not assembly.is_locked(flap.key) and _covers_seam(work, assembly, seamed, flap):
                names = {
                    "flap": in_words(flap.hanging.face),
                    "seamed": in_words(seamed.hanging.face),
                }
                yield finding_kind("flap-not-held").found(resolved, piece, **names)


def _covers_seam(work: Work, assembly: Assembly, seamed: Crease, flap: Crease) -> bool:
    """Whether a flap lies outside of a glued one, over most of one of its seams."""
    over, under = flap.hanging, seamed.hanging
    plates = assembly.plates
    way = _outward(assembly, seamed)
    if way is None or not plates[over].shares_plane(plates[under]):
        return False
    if not is_nearer(assembly, under, over, way):
        return False
    part = work.parts.pieces[under.piece]
    shape = shape_of(plates[over])
    for demand in closing_demands(work.parts, part, under.face):
        for region in demand.adhesive.spread:
            seam = region_shape(plates[under].in_space(region))
            if seam.intersection(shape).area > _MOST * seam.area:
                return True
    return False


def _outward(assembly: Assembly, crease: Crease) -> Look | None:
    """The way from what a section is folded over to the section."""
    plates = assembly.plates
    axis = plates[crease.hanging].axis
    if plates[crease.staying].axis != axis:
        return None
    up = Look(axis, 1)
    return up if is_nearer(assembly, crease.staying, crease.hanging, up) else Look(axis, -1)


def _untucked(
    resolved: ResolvedDesign, assembly: Assembly, piece: ResolvedPiece
) -> Iterator[Finding]:
    """Where flaps hold one another by a tuck, each has to lie under another, or be glued."""
    if not any(tuck.host == piece.key for tuck in piece.source.tucks):
        return
    folded = [
        crease
        for fold, crease in assembly.creases.items()
        if fold.piece == piece.key and assembly.angle(fold) == 180
    ]
    for crease in folded:
        look = _outward(assembly, crease)
        if look is None or assembly.is_locked(crease.key) or len(folded) < 3:
            continue
        others = [each.hanging for each in folded if each is not crease]
        if not any(is_nearer(assembly, crease.hanging, other, look) for other in others):
            yield finding_kind("flap-not-held, not tucked").found(
                resolved, piece, flap=in_words(crease.hanging.face)
            )


def _margins(
    resolved: ResolvedDesign, work: Work, assembly: Assembly, piece: ResolvedPiece
) -> Iterator[Finding]:
    """Two sections across from one another: one that a step turns in and glues all over, the other
    one that none does."""
    plain = {*piece.source.dry_sections, *(seam.section for seam in piece.seams)}
    creases = [c for f, c in assembly.creases.items() if f.piece == piece.key and c.closed == 180]
    glued = {crease.key for crease in creases if is_glued_over(work, crease.key)}
    for crease in creases:
        if crease.key in glued or crease.hanging.face in plain or assembly.is_locked(crease.key):
            continue
        for other in creases:
            is_across = (other.staying, other.axis) == (crease.staying, crease.axis)
            if is_across and other.key in glued and other.hanging.face not in plain:
                names = {
                    "section": in_words(crease.hanging.face),
                    "other": in_words(other.hanging.face),
                }
                yield finding_kind("never-turned-in").found(
                    resolved, piece, name=str(crease.key), **names
                )


# ---- linings


def _loose_sections(
    resolved: ResolvedDesign, work: Work, piece: ResolvedPiece
) -> Iterator[Finding]:
    """A section beside a glued one, whose fold lies on a fold of what it lies on, and which lies on
    what turns there, unglued."""
    opened = work.opened
    if not piece.glued or piece.key not in opened.pieces:
        return
    bound = {face for a in (opened, work.closed) for bond in a.bonds for face in bond.faces}
    for fold, crease in opened.creases.items():
        if fold.piece != piece.key or opened.angle(fold) or crease.hanging in bound:
            continue
        if crease.staying.face not in piece.glued:
            continue
        under = _folds_with(opened, crease)
        if under is not None:
            told = {"section": in_words(crease.hanging.face), "section_key": fold.hanging}
            told |= {
                "face": in_words(under.face),
                "host": under.piece,
                "by": ", ".join(piece.glued),
            }
            yield finding_kind("loose-section").found(resolved, piece, **told)


def _folds_with(opened: Assembly, crease: Crease) -> FaceKey | None:
    """What a section lies wholly on and turns with: another piece's section, hanging on a fold on
    the same line."""
    own = opened.plates[crease.hanging]
    for fold in opened.folds_on(opened.lines[crease.key]):
        other = opened.creases[fold]
        if fold.piece == crease.hanging.piece:
            continue
        for face in other.faces:
            under = opened.plates[face]
            if own.lies_over(under):
                whole = shape_of(own)
                if whole.difference(shape_of(under).buffer(1)).area < (1 - _MOST) * whole.area:
                    return face
    return None

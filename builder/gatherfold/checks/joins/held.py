"""What a step closes for good has to be held: corners of walls, flaps under flaps, linings.

In: the closed work.  Out: two walls that stand beside one another and are not joined, a flap folded
over the one whose glue was to hold it, and a section that lies loose on what it moves with.
"""

from collections.abc import Iterable, Iterator
from itertools import islice, product

from shapely.geometry.base import BaseGeometry

from gatherfold.checks.joins.folded import glue_among, outward, right_over, turned
from gatherfold.checks.report import finding_kind, in_words, quoted, with_all_on
from gatherfold.findings import Finding
from gatherfold.geometry import Sense, ends_across, is_vertical, opposite
from gatherfold.lengths import INCH
from gatherfold.model import Fold, Trait, other_fold
from gatherfold.resolve import ResolvedDesign, ResolvedPiece
from gatherfold.work import (
    Assembly,
    Crease,
    FaceKey,
    Plate,
    Work,
    closing_demands,
    is_nearer,
    region_shape,
    shape_of,
    size,
    work_of,
)

#: A hinge that folds nearer to an edge than this is meant to fold at it (no source).
_AT_EDGE = INCH / 4
#: What more than this share of a seam lies under was to be glued by it (common practice).
_MOST = 0.5
#: So many hinges lie alike, of which one folds otherwise.
_ROW = 3


def check_held(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Every piece with folds, in the work when all is closed."""
    work = work_of(resolved)
    for piece in resolved.pieces.values():
        if len(piece.faces) > 1:
            yield from _in_closed(resolved, work, piece)
            yield from _loose_sections(resolved, work, piece)
            yield from _lying_flat(resolved, work.closed, piece)
            yield from _on_both_sides(resolved, work.opened, piece)
            yield from _set_in(resolved, piece)
            yield from _shorter_than_covers(resolved, piece)
    yield from _hinges_unlike(resolved)


def _in_closed(resolved: ResolvedDesign, work: Work, piece: ResolvedPiece) -> Iterator[Finding]:
    """A piece in the assembly that it is in at the end, closed where that is the main one."""
    for assembly in (work.closed, *work.assemblies):
        if piece.key in assembly.pieces:
            yield from _open_corners(resolved, assembly, piece)
            yield from _over_seams(resolved, work, assembly, piece)
            yield from _untucked(resolved, assembly, piece)
            return


# ---- corners


def _open_corners(
    resolved: ResolvedDesign, assembly: Assembly, piece: ResolvedPiece
) -> Iterator[Finding]:
    """Walls that stand on one face and meet at a corner of it, with no glue between them."""
    for first, second in _corners(assembly, piece):
        if not _are_joined(assembly, first, second):
            names = {"first": _words(first.hanging), "second": _words(second.hanging)}
            yield finding_kind("open-corner").found(resolved, piece, **names)


def _corners(assembly: Assembly, piece: ResolvedPiece) -> Iterator[tuple[Crease, Crease]]:
    """Every two walls that meet at a corner of a face: one on an upright fold, one on a level."""
    standing = [crease for crease in turned(assembly, 90, piece.key) if crease.closed == 90]
    for first, second in product(standing, repeat=2):
        if is_vertical(first.axis) and not is_vertical(second.axis) and _meet(first, second):
            yield first, second


def _meet(first: Crease, second: Crease) -> bool:
    """Whether two folds of one face end at one corner of it."""
    is_one = first.staying == second.staying
    return is_one and second.at in first.ends and first.at in second.ends


def _are_joined(assembly: Assembly, first: Crease, second: Crease) -> bool:
    """Whether glue holds one wall to the other, or something else to both."""
    one, two = (_hanging_on(assembly, crease) for crease in (first, second))
    on_one, on_two = _held_to(assembly, one), _held_to(assembly, two)
    between = {face.piece for face in on_one} & {face.piece for face in on_two}
    return not on_one.isdisjoint(two) or bool(between - {first.hanging.piece})


def _held_to(assembly: Assembly, wall: frozenset[FaceKey]) -> frozenset[FaceKey]:
    """What a wall is held to in any way."""
    return frozenset(
        bond.other(face) for bond in assembly.bonds for face in bond.faces if face in wall
    )


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
    folded = {crease.hanging.face: crease for crease in right_over(assembly, piece.key)}
    seamed = (folded[name] for name in _seamed(piece) if name in folded)
    dry = (folded[name] for name in piece.source.dry_sections if name in folded)
    for under, flap in product(seamed, dry):
        if not assembly.is_locked(flap.key) and _covers_seam(work, assembly, under, flap):
            names = {"flap": _words(flap.hanging), "seamed": _words(under.hanging)}
            yield finding_kind("flap-not-held").found(resolved, piece, **names)


def _seamed(piece: ResolvedPiece) -> dict[str, None]:
    """The sections that have seams, in order."""
    return dict.fromkeys(seam.section for seam in piece.seams)


def _covers_seam(work: Work, assembly: Assembly, seamed: Crease, flap: Crease) -> bool:
    """Whether a flap lies outside of a glued one, over most of one of its seams."""
    over, under = assembly.plates[flap.hanging], assembly.plates[seamed.hanging]
    way = outward(assembly, seamed.staying, seamed.hanging)
    if way is None or not over.shares_plane(under):
        return False
    shape = shape_of(over)
    return is_nearer(assembly, under.key, over.key, way) and any(
        seam.intersection(shape).area > _MOST * seam.area for seam in _seams(work, under)
    )


def _seams(work: Work, plate: Plate) -> Iterator[BaseGeometry]:
    """Where the glue of a section's seams lies."""
    part = work.parts.pieces[plate.key.piece]
    for demand in closing_demands(work.parts, part, plate.key.face):
        for region in demand.adhesive.spread:
            yield region_shape(plate.in_space(region))


def _untucked(
    resolved: ResolvedDesign, assembly: Assembly, piece: ResolvedPiece
) -> Iterator[Finding]:
    """Where flaps hold one another by a tuck, each has to lie under another, or be glued."""
    folded = list(right_over(assembly, piece.key))
    holds_tuck = any(tuck.host == piece.key for tuck in piece.source.tucks)
    if holds_tuck and len(folded) >= 3:
        for crease in folded:
            if not assembly.is_locked(crease.key) and _is_outermost(assembly, crease, folded):
                yield finding_kind("flap-not-held, not tucked").found(
                    resolved, piece, flap=_words(crease.hanging)
                )


def _is_outermost(assembly: Assembly, crease: Crease, folded: Iterable[Crease]) -> bool:
    """Whether nothing else that is folded lies over a flap."""
    look, own = outward(assembly, crease.staying, crease.hanging), crease.hanging
    others = (each.hanging for each in folded if each is not crease)
    return look is not None and not any(is_nearer(assembly, own, each, look) for each in others)


# ---- linings


def _loose_sections(
    resolved: ResolvedDesign, work: Work, piece: ResolvedPiece
) -> Iterator[Finding]:
    """A section beside a glued one, whose fold lies on a fold of what it lies on, and which lies on
    what turns there, unglued."""
    for crease in _beside_glued(work, piece):
        under = next(_turning_with(work.opened, crease), None)
        if under is not None:
            told = {"section": _words(crease.hanging), "section_key": crease.hanging.face}
            told |= {"face": _words(under), "host": under.piece, "by": ", ".join(piece.glued)}
            yield finding_kind("loose-section").found(resolved, piece, **told)


def _beside_glued(work: Work, piece: ResolvedPiece) -> Iterator[Crease]:
    """The folds that lie flat, with a glued section on one side and a free one on the other."""
    bonds = (*work.opened.bonds, *work.closed.bonds)
    bound = {face for bond in bonds for face in bond.faces}
    for crease in turned(work.opened, 0, piece.key):
        if crease.staying.face in piece.glued and crease.hanging not in bound:
            yield crease


def _turning_with(opened: Assembly, crease: Crease) -> Iterator[FaceKey]:
    """What a section lies wholly on and turns with: other pieces' sections, beside a fold on the
    same line."""
    own = opened.plates[crease.hanging]
    for fold in opened.folds_on(opened.lines[crease.key]):
        if fold.piece != own.key.piece:
            faces = opened.creases[fold].faces
            yield from (face for face in faces if _lies_wholly_on(own, opened.plates[face]))


def _lies_wholly_on(own: Plate, under: Plate) -> bool:
    whole = shape_of(own)
    return own.lies_over(under) and bool(
        whole.difference(shape_of(under).buffer(1)).area < (1 - _MOST) * whole.area
    )


# ---- dividers and spines


def _lying_flat(
    resolved: ResolvedDesign, closed: Assembly, piece: ResolvedPiece
) -> Iterator[Finding]:
    """A section that lies flat over the foot that it is glued by, within walls."""
    boxes = (key for key in resolved.hosts_of(piece.key) if len([*turned(closed, 90, key)]) >= 3)
    for box in islice(boxes, 1):
        for crease in right_over(closed, piece.key):
            if crease.staying.face in piece.glued and crease.hanging.face not in piece.glued:
                told = {"section": _words(crease.hanging), "foot": _words(crease.staying)}
                yield finding_kind("lies-flat").found(resolved, piece, box=box, **told)


def _on_both_sides(
    resolved: ResolvedDesign, opened: Assembly, piece: ResolvedPiece
) -> Iterator[Finding]:
    """A spine with a cover on its front at one end, and one on its back at the other."""
    covers: dict[Sense, tuple[FaceKey, FaceKey]] = {}
    for bond in glue_among(opened.bonds) if piece.source.has(Trait.JOINS) else ():
        for own in (face for face in bond.faces if face.piece == piece.key):
            other, side = bond.other(own), opened.side_of(own, bond.other(own))
            is_cover = resolved.pieces[other.piece].source.has(Trait.COVERS)
            if is_cover and side is not None:
                covers.setdefault(side, (own, other))
    if len(covers) == 2:
        (tab, cover), (end, other) = covers[1], covers[-1]
        told = {"tab": _words(tab), "cover": cover.piece, "end": _words(end), "other": other.piece}
        if tab != end and opened.plates[tab].shares_plane(opened.plates[end]):
            yield finding_kind("covers-on-both-sides").found(resolved, piece, **told)


def _set_in(resolved: ResolvedDesign, piece: ResolvedPiece) -> Iterator[Finding]:
    """A hinge, glued by its end section, that folds a little within the edge of a cover, or lies
    the wrong way round: flush with the edge, and its fold far inside."""
    placement, offsets = piece.source.placement, piece.offsets
    folds = [score for score in piece.scores if piece.by in score.sides]
    if placement is None or offsets is None or placement.turned or len(folds) != 1:
        return
    edge = ends_across(folds[0].axis)[folds[0].sides.index(piece.by) == 0]
    is_cover = resolved.pieces[placement.host].source.has(Trait.COVERS)
    if not is_cover or not piece.source.has(Trait.JOINS):
        return
    told = {"host": placement.host, "edge": edge}
    if 2 * resolved.tolerance < offsets.at(edge) < _AT_EDGE:
        yield finding_kind("hinge-set-in").found(resolved, piece, **told, inside=offsets.at(edge))
    outer = opposite(edge)
    if size(offsets.at(outer)) <= resolved.tolerance and offsets.at(edge) >= _AT_EDGE:
        told |= {"edge": outer, "by": in_words(piece.by)}
        tab = piece.face(piece.by).box.across(edge)
        yield finding_kind("hinge-turned-round").found(
            resolved, piece, with_all_on(resolved, piece.key), **told, tab=tab
        )


# ---- hinges beside one another and beside their covers


def _shorter_than_covers(resolved: ResolvedDesign, piece: ResolvedPiece) -> Iterator[Finding]:
    """A spine between two covers of one height, and lower than these."""
    is_joint = piece.source.has(Trait.JOINS)
    covers = [resolved.pieces[key] for key in _joined_by(resolved, piece)] if is_joint else []
    axes = {is_vertical(score.axis) for score in piece.scores}
    if len(covers) != 2 or len(axes) != 1:
        return
    lengths = {each.height if True in axes else each.width for each in covers}
    own = piece.height if True in axes else piece.width
    if all(each.source.has(Trait.COVERS) for each in covers) and len(lengths) == 1:
        (whole,) = lengths
        if whole - own >= 2 * _AT_EDGE:
            first, second = (cover.key for cover in covers)
            yield finding_kind("shorter-than-covers").found(
                resolved, piece, first=first, second=second, own=own, whole=whole
            )


def _joined_by(resolved: ResolvedDesign, piece: ResolvedPiece) -> Iterator[str]:
    """What a hinge lies on, and what lies on it by another section."""
    if piece.host:
        yield piece.host
        for key, each in resolved.pieces.items():
            is_on = each.source.has(Trait.COVERS) and each.host_face != piece.by
            if is_on and each.host == piece.key:
                yield key


def _hinges_unlike(resolved: ResolvedDesign) -> Iterator[Finding]:
    """The one hinge that folds to the other side than all those that lie as it does."""
    rows: dict[tuple[object, ...], dict[str, Fold]] = {}
    for key, piece in resolved.pieces.items():
        placement, senses = piece.source.placement, {score.fold for score in piece.scores}
        if placement is not None and piece.source.has(Trait.JOINS) and len(senses) == 1:
            row = rows.setdefault((piece.source.kind, placement.relation, piece.by), {})
            row[key] = senses.pop()
    for row in rows.values():
        for sense in ("valley", "mountain"):
            odd = [key for key, each in row.items() if each == sense]
            if len(odd) == 1 and len(row) >= _ROW:
                others = quoted(key for key in row if key not in odd)
                told = {"sense": sense, "others": others, "other": other_fold(row[odd[0]])}
                yield finding_kind("folds-other-way, unlike").found(
                    resolved, resolved.pieces[odd[0]], with_all_on(resolved, odd[0]), **told
                )


def _words(face: FaceKey) -> str:
    return in_words(face.face)

"""What never shows, and prints that stand upright only where nobody looks.

In: a resolved design.  Out: findings about the piece.  A mat, a label or a photo mat whose face is
glued against something is hidden for good.  The back of the work is looked at when it is turned
over as a page is, a wall of a box as it stands.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace
from functools import cache

from gatherfold.checks.joins.folded import glue_among
from gatherfold.checks.making.stages import relation_of, without_seals
from gatherfold.checks.printing import looked_at
from gatherfold.checks.report import finding_kind, in_words, quoted
from gatherfold.findings import Finding
from gatherfold.geometry import Sense
from gatherfold.model import Trait, has_direction, is_valley
from gatherfold.plans import print_of
from gatherfold.resolve import ResolvedDesign, ResolvedPiece
from gatherfold.work import (
    Assembly,
    FaceKey,
    glued_side,
    host_side,
    is_seen,
    laying_down,
    look_at,
    visible_parts,
    work_of,
)

_UPRIGHT = 2
#: Half a turn, in degrees.
_HALF = 180
#: Where the upper edge of an upright print points to, lying and on a wall, and who looks at it.
_UP = {False: (0, 1, 0), True: (0, 0, 1)}
_LOOKED_AT = {False: "the closed piece is turned over", True: "one looks at that wall"}
#: What stands round its base with so many walls is a box.
_WALLS = 3


def check_unseen(resolved: ResolvedDesign) -> Iterator[Finding]:
    """What is meant to be looked at, and is not, or not as it is meant."""
    yield from _never_seen(resolved, without_seals(resolved, work_of(resolved).closed))
    yield from _turned_away(resolved)
    yield from _inside_cards(resolved)


def _never_seen(resolved: ResolvedDesign, closed: Assembly) -> Iterator[Finding]:
    """A piece whose face is covered all over by what cannot be taken or folded away."""
    turning = {fold for fold in closed.creases if closed.angle(fold) and not closed.is_locked(fold)}
    loose = [bond for bond in closed.bonds if bond.kind != "glue"]

    @cache
    def held_with(face: FaceKey) -> frozenset[FaceKey]:
        """The faces that stay as they lie to one, whatever is opened or taken off."""
        return closed.connected(face, turning, loose)

    for piece, host in _shown(resolved, closed):
        lying = _lying_over(resolved, closed, piece)
        covers = [face for face in lying if face in held_with(host)]
        if _is_by_its_print(resolved, piece):
            yield finding_kind("print-glued-down").found(resolved, piece, host=host.piece)
        if covers and not _shows_beside(closed, piece, covers):
            over = quoted(face.piece for face in covers)
            yield finding_kind("never-seen").found(
                resolved, piece, kind=piece.source.kind, over=over, host=host.piece
            )


def _shown(resolved: ResolvedDesign, closed: Assembly) -> Iterator[tuple[ResolvedPiece, FaceKey]]:
    """What is glued there to be looked at, each with the face that it lies on; not a leaf, which is
    carried by a tab."""
    for piece in resolved.pieces.values():
        placement, source = piece.source.placement, piece.source
        is_there = FaceKey(piece.key, piece.by) in closed.plates and bool(piece.glued)
        if placement is not None and is_there and source.has(Trait.SHOWS):
            is_leaf = resolved.pieces[placement.host].source.has(Trait.JOINS)
            if not (is_leaf and source.has(Trait.COVERS)):
                yield piece, FaceKey(placement.host, piece.host_face)


def _is_by_its_print(resolved: ResolvedDesign, piece: ResolvedPiece) -> bool:
    """Whether a mat is glued by the side that it is cut from, of paper whose sides differ, and no
    window shows that."""
    host = resolved.pieces[resolved.hosts_of(piece.key)[0]]
    is_turned = piece.source.has(Trait.FRAMES) and glued_side(relation_of(piece)) > 0
    return is_turned and piece.stock.source.two_sided and not host.windows


def _outer(piece: ResolvedPiece) -> Sense:
    """The side of a piece that is not glued."""
    return 1 if glued_side(relation_of(piece)) < 0 else -1


def _lying_over(
    resolved: ResolvedDesign, closed: Assembly, piece: ResolvedPiece
) -> Iterator[FaceKey]:
    """The faces that lie over a piece and are not meant to."""
    by, outer = FaceKey(piece.key, piece.by), _outer(piece)
    plate = closed.plates[by]
    for face in closed.in_plane(plate.axis, plate.plane):
        if closed.side_of(by, face) == outer and not _is_meant(resolved, closed, piece, face):
            yield face


def _shows_beside(closed: Assembly, piece: ResolvedPiece, covers: Sequence[FaceKey]) -> bool:
    """Whether anything of a piece is seen beside what lies over it."""
    by = FaceKey(piece.key, piece.by)
    alone = replace(closed, plates={key: closed.plates[key] for key in (by, *covers)})
    return is_seen(visible_parts(alone, look_at(closed, by, _outer(piece)), [by])[by])


def _is_meant(
    resolved: ResolvedDesign, closed: Assembly, piece: ResolvedPiece, face: FaceKey
) -> bool:
    """Whether a piece is to be covered: by itself and what lies on it, or, without a print that has
    a direction and without a photograph, by what its host is glued on, as a lining over turn-ins.
    """
    _, *carriers = resolved.hosts_of(piece.key)
    if face.piece not in carriers:
        return piece.key in (face.piece, *resolved.hosts_of(face.piece))
    is_plain = not has_direction(print_of(piece))
    is_lining = is_plain and not piece.source.has(Trait.CARRIES_PHOTOGRAPH)
    return is_lining and not _is_forgotten(closed, piece, face)


def _is_forgotten(closed: Assembly, piece: ResolvedPiece, ground: FaceKey) -> bool:
    """Whether a mat lies between its host, on which nothing else is glued, and what that is glued
    on itself."""
    assert piece.source.placement is not None
    host = FaceKey(piece.source.placement.host, piece.host_face)
    bonds = (bond for bond in glue_among(closed.bonds) if host in bond.faces)
    glued = {bond.other(host) for bond in bonds}
    return piece.source.has(Trait.FRAMES) and glued == {ground, FaceKey(piece.key, piece.by)}


def _turned_away(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Prints that never look up: those on the back, and on the walls of a box."""
    left = {key for key, piece in resolved.pieces.items() if has_direction(print_of(piece))}
    left -= looked_at(resolved, left)
    if not left:
        return
    work = work_of(resolved)
    closed = work.closed.all_moved(laying_down(work.closed))
    turned = _sideways(closed, {FaceKey(key, resolved.pieces[key].by) for key in left})
    for key in turned:
        if is_seen(visible_parts(closed, look_at(closed, key, 1), [key])[key]):
            yield finding_kind("sideways-elsewhere").found(
                resolved, resolved.pieces[key.piece], state=_LOOKED_AT[_is_wall(closed, key)]
            )


def _sideways(closed: Assembly, faces: Collection[FaceKey]) -> Iterator[FaceKey]:
    """Those faces that do not stand upright; what stands, and is no wall of a box, may."""
    is_box = _is_box(closed)
    for key in (each for each in closed.plates if each in faces):
        is_wall = _is_wall(closed, key)
        is_upright = closed.plates[key].pose.direction((0, 1, 0)) == _UP[is_wall]
        if not is_upright and (is_box or not is_wall):
            yield key


def _inside_cards(resolved: ResolvedDesign) -> Iterator[Finding]:
    """An upright print on the inside of a folded card that is taken out, turned over there."""
    for piece in resolved.pieces.values():
        placement = piece.source.placement
        if placement is not None and placement.turned and has_direction(print_of(piece)):
            card = resolved.pieces[placement.host]
            is_loose = card.source.has(Trait.TAKEN_OUT) and not card.glued
            senses = {is_valley(score.fold) for score in card.scores}
            if is_loose and senses == {host_side(placement.relation) > 0}:
                state = f"'{card.key}' is open"
                yield finding_kind("sideways-elsewhere").found(resolved, piece, state=state)
            elif is_loose and placement.turned == _HALF and len(card.scores) == 1:
                yield from _on_other_half(resolved, piece, card)


def _on_other_half(
    resolved: ResolvedDesign, piece: ResolvedPiece, card: ResolvedPiece
) -> Iterator[Finding]:
    """A print turned round outside on the half of a card that does not fold over, where the other
    one, its cover, is bare."""
    (score,) = card.scores
    others = [*score.sides]
    if score.is_vertical or piece.host_face != card.by or card.by not in others:
        return
    others.remove(card.by)
    cover, outside = others[0], relation_of(piece)
    on_cover = (
        each
        for each in resolved.pieces.values()
        if each.host_face == cover and each.host == card.key
    )
    if not any(relation_of(each) == outside for each in on_cover):
        told = {"half": in_words(card.by), "cover": in_words(cover), "card": card.key}
        yield finding_kind("sideways-elsewhere, bare cover").found(resolved, piece, **told)


def _is_wall(closed: Assembly, face: FaceKey) -> bool:
    return closed.plates[face].axis != _UPRIGHT


def _is_box(closed: Assembly) -> bool:
    """Whether walls stand up round the base, which lies flat, on three sides at least."""
    base = closed.plates[closed.base]
    walls = [
        crease
        for crease in closed.creases.values()
        if crease.staying == closed.base
        and closed.plates[crease.hanging].axis != base.axis
        and closed.plates[crease.hanging].extent(base.axis)[1] > base.plane
    ]
    return base.axis == _UPRIGHT and len(walls) >= _WALLS

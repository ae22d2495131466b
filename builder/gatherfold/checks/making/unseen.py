"""What never shows, and prints that stand upright only where nobody looks.

In: a resolved design.  Out: findings about the piece.  A mat, a label or a photo mat whose face is
glued against something is hidden for good.  The back of the work is looked at when it is turned
over as a page is, a wall of a box as it stands.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from gatherfold.checks.making.stages import without_seals
from gatherfold.checks.printing import looked_at
from gatherfold.checks.report import finding_kind
from gatherfold.findings import Finding
from gatherfold.geometry import Sense
from gatherfold.model import Trait, has_direction
from gatherfold.plans import print_of
from gatherfold.resolve import ResolvedDesign, ResolvedPiece
from gatherfold.work import (
    Assembly,
    FaceKey,
    glued_side,
    is_seen,
    laying_down,
    look_at,
    visible_parts,
    work_of,
)

_SHOWN = Trait.FRAMES | Trait.CARRIES_PHOTOGRAPH | Trait.SEALS_EDGE
_UPRIGHT = 2
#: What stands round its base with so many walls is a box.
_WALLS = 3


def check_unseen(resolved: ResolvedDesign) -> Iterator[Finding]:
    """What is meant to be looked at, and is not, or not as it is meant."""
    work = work_of(resolved)
    closed = without_seals(resolved, work.closed)
    groups: dict[FaceKey, frozenset[FaceKey]] = {}
    for piece in resolved.pieces.values():
        by = FaceKey(piece.key, piece.by)
        is_shown = any(piece.source.has(trait) for trait in _SHOWN)
        if is_shown and piece.source.placement is not None and by in closed.plates:
            yield from _never_seen(resolved, closed, piece, groups)
    yield from _turned_away(resolved)


def _never_seen(
    resolved: ResolvedDesign,
    closed: Assembly,
    piece: ResolvedPiece,
    groups: dict[FaceKey, frozenset[FaceKey]],
) -> Iterator[Finding]:
    """A piece whose face is covered all over by what cannot be taken or folded away."""
    by = FaceKey(piece.key, piece.by)
    placement, plate = piece.source.placement, closed.plates[by]
    assert placement is not None
    away: Sense = 1 if glued_side(placement.relation) < 0 else -1
    over = [
        face
        for face in closed.in_plane(plate.axis, plate.plane)
        if closed.side_of(by, face) == away and not _is_meant(resolved, piece, face)
    ]
    if not over:
        return
    host = FaceKey(placement.host, piece.host_face)
    if host not in groups:
        group = _held_together(closed, host)
        groups.update(dict.fromkeys(group, group))
    covers = [face for face in over if face in groups[host]]
    plates = {key: closed.plates[key] for key in (by, *covers)}
    shown = visible_parts(replace(closed, plates=plates), look_at(closed, by, away), [by])
    if covers and not is_seen(shown[by]):
        told = " and ".join(f"'{key}'" for key in dict.fromkeys(face.piece for face in covers))
        yield finding_kind("never-seen").found(
            resolved, piece, kind=piece.source.kind, over=told, host=placement.host
        )


def _is_meant(resolved: ResolvedDesign, piece: ResolvedPiece, face: FaceKey) -> bool:
    """Whether a piece is to be covered: by what lies on it, or, without a print that has a
    direction and without a photograph, by what its host is glued on, as a lining over turn-ins."""
    _, *carriers = resolved.hosts_of(piece.key)
    is_plain = not has_direction(print_of(piece))
    if face.piece in carriers:
        return is_plain and not piece.source.has(Trait.CARRIES_PHOTOGRAPH)
    return piece.key in resolved.hosts_of(face.piece)


def _held_together(unsealed: Assembly, face: FaceKey) -> frozenset[FaceKey]:
    """The faces that stay as they lie to one another, whatever is opened or taken off."""
    turning = {f for f in unsealed.creases if unsealed.angle(f) and not unsealed.is_locked(f)}
    loose = [bond for bond in unsealed.bonds if bond.kind != "glue"]
    return unsealed.connected(face, turning, loose)


def _turned_away(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Prints that never look up: those on the back, and on the walls of a box."""
    left = {key for key, piece in resolved.pieces.items() if has_direction(print_of(piece))}
    left -= looked_at(resolved, left)
    if not left:
        return
    work = work_of(resolved)
    closed = work.closed.all_moved(laying_down(work.closed))
    is_box = _is_box(closed)
    for key, plate in closed.plates.items():
        if key.piece not in left or key.face != resolved.pieces[key.piece].by:
            continue
        up, is_wall = plate.pose.direction((0, 1, 0)), plate.axis != _UPRIGHT
        wanted = (0, 0, 1) if is_wall else (0, 1, 0)
        if up == wanted or (is_wall and not is_box):
            continue
        if is_seen(visible_parts(closed, look_at(closed, key, 1), [key])[key]):
            state = "one looks at that wall" if is_wall else "the closed piece is turned over"
            yield finding_kind("sideways-elsewhere").found(
                resolved, resolved.pieces[key.piece], state=state
            )


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

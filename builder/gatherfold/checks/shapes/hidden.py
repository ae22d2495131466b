"""What is there to be seen, and is covered for good by what is glued over it.

In: the work at rest and closed.  Out: findings.  What only lies over it, or folds or slides away,
covers nothing for good.
"""

from __future__ import annotations

from collections.abc import Iterator

from shapely import unary_union

from gatherfold.checks.report import finding_kind
from gatherfold.checks.shapes.laid import in_mm, is_broad
from gatherfold.findings import Finding
from gatherfold.geometry import Sense
from gatherfold.model import Trait
from gatherfold.resolve import ResolvedDesign, ResolvedPiece
from gatherfold.work import Assembly, FaceKey, glued_side, host_side, shape_of, work_of

#: A strip narrower than this, in mm, is not seen (common practice, no source).
_SEEN = 1


def check_hidden(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Every piece that is there to be seen, and is glued where it lies."""
    work = work_of(resolved)
    for piece in resolved.pieces.values():
        face = FaceKey(piece.key, piece.by)
        states = [each for each in (work.opened, work.closed) if face in each.plates]
        if not states or not _is_to_be_seen(resolved, piece):
            continue
        covers = [_covers(resolved, state, piece) for state in states]
        if all(covers) and not _is_told(resolved, piece, covers[0]):
            listed = " and ".join(f"'{name}'" for name in covers[0])
            cover = "covers" if len(covers[0]) == 1 else "cover"
            yield finding_kind("hidden-for-good").found(resolved, piece, listed=listed, cover=cover)


def _is_told(resolved: ResolvedDesign, piece: ResolvedPiece, covers: tuple[str, ...]) -> bool:
    """Whether it is its like on the same face that covers it: that two of them overlap is told."""
    first, placement = resolved.pieces[covers[0]], piece.source.placement
    other = first.source.placement
    if placement is None or other is None or first.source.kind != piece.source.kind:
        return False
    return (placement.host, piece.host_face) == (other.host, first.host_face)


def _is_to_be_seen(resolved: ResolvedDesign, piece: ResolvedPiece) -> bool:
    """Whether a piece shows where it is glued.

    A panel is covered on purpose; a mat on that side of its host by which this is glued down lines
    it, or keeps it from warping.
    """
    placement, source = piece.source.placement, piece.source
    if placement is None or not piece.glued or not source.has(Trait.SHOWS):
        return False
    beneath = resolved.pieces[placement.host].source.placement
    is_under = beneath is not None and glued_side(beneath.relation) == host_side(placement.relation)
    is_root = resolved.pieces[placement.host].source.has(Trait.JOINS) and source.has(Trait.COVERS)
    return not is_root and not (is_under and (source.has(Trait.FRAMES) or source.has(Trait.COVERS)))


def _covers(resolved: ResolvedDesign, state: Assembly, piece: ResolvedPiece) -> tuple[str, ...]:
    """What is glued over all of a piece on the side that looks away from its host, but for what is
    laid on it to be seen; nothing where some of it shows."""
    placement, scale = piece.source.placement, work_of(resolved).scale
    assert placement is not None
    away: Sense = 1 if glued_side(placement.relation) < 0 else -1
    face = FaceKey(piece.key, piece.by)
    plate = state.plates[face]
    over = [
        key
        for key in state.in_plane(plate.axis, plate.plane)
        if state.side_of(face, key) == away and piece.key not in resolved.hosts_of(key.piece)
    ]
    if not over:
        return ()
    block = state.glued_flat([face])
    shapes = [shape_of(state.plates[key]) for key in over if key in block]
    is_seen = is_broad(in_mm(shape_of(plate).difference(unary_union(shapes)), scale), _SEEN)
    names = dict.fromkeys(key.piece for key in over if key in block)
    return () if is_seen else tuple(names)

"""Like things that are made alike but for one: a section that stays bare, a reveal of its own.

In: a resolved design.  Out: findings, where at least three of a kind agree and one does not.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from fractions import Fraction

from gatherfold.checks.report import finding_kind
from gatherfold.findings import Finding
from gatherfold.geometry import EDGES
from gatherfold.model import Trait
from gatherfold.resolve import ResolvedDesign, ResolvedPiece

#: So many have to agree.
_ALIKE = 3


def check_siblings(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Mats on the sections of one piece, and like pieces on like faces."""
    on_sections: dict[tuple[object, ...], list[ResolvedPiece]] = {}
    on_like: dict[tuple[object, ...], list[ResolvedPiece]] = {}
    for piece in resolved.pieces.values():
        placement, source = piece.source.placement, piece.source
        if placement is None or piece.offsets is None or not source.has(Trait.FRAMES):
            continue
        host = resolved.pieces[placement.host]
        what = (source.kind, piece.stock.key, source.side, placement.relation)
        on_sections.setdefault((host.key, *what), []).append(piece)
        size = _size(host, piece.host_face)
        on_like.setdefault((host.source.kind, size, *what), []).append(piece)
    for mats in on_sections.values():
        yield from _bare(resolved, mats)
    for mats in on_like.values():
        yield from _unlike(resolved, mats)


def _bare(resolved: ResolvedDesign, mats: list[ResolvedPiece]) -> Iterator[Finding]:
    placement = mats[0].source.placement
    assert placement is not None
    host, relation = resolved.pieces[placement.host], placement.relation
    taken = {
        other.host_face
        for other in resolved.pieces.values()
        if other.source.placement is not None
        and (other.source.placement.host, other.source.placement.relation) == (host.key, relation)
    }
    named = {join.face for join in host.joins} | {tab.name for tab in host.source.tabs}
    bare = [face.name for face in host.faces if face.name not in taken | named]
    matted = {mat.host_face for mat in mats}
    sizes = {_size(host, name) for name in matted}
    is_row = not (host.source.across and host.source.up)
    alike = bare if is_row else [name for name in bare if _size(host, name) in sizes]
    if len(alike) == 1 and len(matted) >= _ALIKE:
        yield finding_kind("bare-section, bare").found(
            resolved, host, section=alike[0], mat=mats[0].key
        )


def _unlike(resolved: ResolvedDesign, mats: list[ResolvedPiece]) -> Iterator[Finding]:
    ways = {mat.key: _distances(mat) for mat in mats}
    (usual, count), *others = Counter(ways.values()).most_common()
    if count < _ALIKE or len(mats) != count + 1 or not others:
        return
    odd = next(mat for mat in mats if ways[mat.key] != usual)
    other = next(mat for mat in mats if ways[mat.key] == usual)
    placement = odd.source.placement
    host = placement.host if placement is not None else ""
    yield finding_kind("unlike-its-like").found(
        resolved, odd, host=host, count=count, other=other.key
    )


def _size(piece: ResolvedPiece, face: str) -> frozenset[Fraction]:
    """Width and height of a face, whichever way round."""
    box = piece.face(face).box
    return frozenset((box.width, box.height))


def _distances(mat: ResolvedPiece) -> tuple[object, ...]:
    """The four distances, whichever way round."""
    assert mat.offsets is not None
    return tuple(sorted(mat.offsets.at(edge) for edge in EDGES))

"""Like things that are made alike but for one, which has a reveal of its own.

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
    """Like pieces on like faces."""
    on_like: dict[tuple[object, ...], list[ResolvedPiece]] = {}
    for piece in resolved.pieces.values():
        placement, source = piece.source.placement, piece.source
        if placement is None or piece.offsets is None or not source.has(Trait.FRAMES):
            continue
        host = resolved.pieces[placement.host]
        what = (source.kind, piece.stock.key, source.side, placement.relation)
        size = _size(host, piece.host_face)
        on_like.setdefault((host.source.kind, size, *what), []).append(piece)
    for mats in on_like.values():
        yield from _unlike(resolved, mats)


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

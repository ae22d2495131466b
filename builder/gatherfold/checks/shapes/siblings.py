"""Like things that are made alike but for one, which has a reveal of its own, or lies on the tabs
that carry its host; and a row that stands evenly, but not in the middle.

In: a resolved design.  Out: findings.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise

from gatherfold.checks.joins.roles import stands_on
from gatherfold.checks.report import finding_kind, quoted
from gatherfold.findings import Finding
from gatherfold.geometry import EDGES, ends_across
from gatherfold.model import Trait
from gatherfold.resolve import ResolvedDesign, ResolvedPiece
from gatherfold.work import glued_side, host_side

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
    yield from _on_tabs(resolved)
    yield from _uneven_rows(resolved)


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


# ---- on the tabs that carry a leaf, and clear of them


def _on_tabs(resolved: ResolvedDesign) -> Iterator[Finding]:
    """A mat on the side of its leaf that is glued to tabs, where one like it lies on the other."""
    sides: dict[tuple[object, ...], dict[bool, ResolvedPiece]] = {}
    for piece in resolved.pieces.values():
        own, source = piece.source.placement, piece.source
        leaf = resolved.pieces[own.host] if own is not None else piece
        under = leaf.source.placement
        if own is None or under is None or not source.has(Trait.SIDE_BY_SIDE) or not leaf.glued:
            continue
        if resolved.pieces[under.host].source.has(Trait.JOINS):
            make = (source.kind, piece.stock.key, source.side, piece.laid_size)
            is_on_tab = host_side(own.relation) == glued_side(under.relation)
            sides.setdefault(make, {}).setdefault(is_on_tab, piece)
    for found in sides.values():
        if len(found) == 2:
            placement = found[True].source.placement
            assert placement is not None
            told = {"leaf": placement.host, "other": found[False].key}
            yield finding_kind("mat-on-tabs").found(resolved, found[True], **told)


# ---- rows


def _uneven_rows(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Walls that stand evenly on their feet, and whose first and last rooms share evenly what two
    more of that width would take."""
    rows: dict[tuple[object, ...], list[ResolvedPiece]] = {}
    for piece in resolved.pieces.values():
        placement = piece.source.placement
        if placement is not None and piece.offsets is not None and stands_on(piece) is not None:
            make = (piece.source.kind, placement.host, piece.by, piece.width, piece.height)
            rows.setdefault(make, []).append(piece)
    for row in rows.values():
        if len(row) >= _ALIKE:
            yield from _uneven(resolved, row)


def _uneven(resolved: ResolvedDesign, row: Sequence[ResolvedPiece]) -> Iterator[Finding]:
    fold = stands_on(row[0])
    assert fold is not None
    near, far = ends_across(fold.axis)
    is_beyond = fold.sides.index(row[0].by) == 0
    foot = row[0].face(row[0].by).box.across(near)
    before, after = (foot, Fraction(0)) if is_beyond else (Fraction(0), foot)
    ground = resolved.pieces[row[0].source.placement.host] if row[0].source.placement else row[0]
    margins = [ground.offsets.at(edge) if ground.offsets else Fraction(0) for edge in (near, far)]
    offsets = [piece.offsets for piece in row if piece.offsets is not None]
    starts = sorted(each.at(near) + before + margins[0] for each in offsets)
    last = min(each.at(far) for each in offsets) + after + margins[1]
    (step, *others) = {two - one for one, two in pairwise(starts)}
    is_shared = abs(starts[0] + last - 2 * step) <= resolved.tolerance
    if not others and is_shared and abs(starts[0] - step) > resolved.tolerance:
        told = {"first": starts[0], "last": last, "step": step, "near": near, "far": far}
        yield finding_kind("row-off-middle").found(
            resolved, row[0], row=quoted(piece.key for piece in row), **told
        )


def _size(piece: ResolvedPiece, face: str) -> frozenset[Fraction]:
    """Width and height of a face, whichever way round."""
    box = piece.face(face).box
    return frozenset((box.width, box.height))


def _distances(mat: ResolvedPiece) -> tuple[object, ...]:
    """The four distances, whichever way round."""
    assert mat.offsets is not None
    return tuple(sorted(mat.offsets.at(edge) for edge in EDGES))

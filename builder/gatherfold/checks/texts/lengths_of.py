"""Every length that a text may say of a piece or of a fastening.

In: a resolved piece or fastening.  Out: exact lengths in mm.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from fractions import Fraction
from functools import lru_cache
from itertools import chain, combinations, permutations

from gatherfold.geometry import EDGES, Box, Point
from gatherfold.resolve import (
    ResolvedDesign,
    ResolvedFastening,
    ResolvedPiece,
    run_length,
)


def lengths_of(resolved: ResolvedDesign, names: Collection[str]) -> frozenset[Fraction]:
    """The lengths of some pieces and fastenings, by their names; signs are left out."""
    return frozenset().union(*(_lengths_of(resolved, name) for name in names))


@lru_cache(maxsize=512)
def _lengths_of(resolved: ResolvedDesign, name: str) -> frozenset[Fraction]:
    return frozenset(map(abs, _lengths(resolved, name)))


def lengths_between(resolved: ResolvedDesign, names: Collection[str]) -> frozenset[Fraction]:
    """What every two of some pieces measure together or apart."""
    pieces = [resolved.pieces[name] for name in names if name in resolved.pieces]
    between = (_between(first, second) for first, second in combinations(pieces, 2))
    return frozenset(map(abs, chain.from_iterable(between)))


def box_on_host(resolved: ResolvedDesign, piece: ResolvedPiece) -> Box:
    """Where a piece lies in the plane of its host, which it is placed on."""
    assert piece.source.placement is not None and piece.offsets is not None
    box, offsets = (
        resolved.pieces[piece.source.placement.host].face(piece.host_face).box,
        piece.offsets,
    )
    return Box(
        box.left + offsets.left,
        box.bottom + offsets.bottom,
        box.right - offsets.right,
        box.top - offsets.top,
    )


def lengths_apart(
    resolved: ResolvedDesign, pieces: Sequence[ResolvedPiece], with_gaps: bool
) -> frozenset[Fraction]:
    """How far every two of some pieces on one host lie apart, edge from like edge, and the gap
    between them."""
    boxes = [box_on_host(resolved, piece) for piece in pieces]
    found = set()
    for one, other in permutations(boxes, 2):
        found |= {abs(getattr(one, edge) - getattr(other, edge)) for edge in EDGES}
        if with_gaps:
            found |= {one.left - other.right, one.bottom - other.top}
    return frozenset(found)


def lengths_from_edges(resolved: ResolvedDesign, piece: ResolvedPiece) -> frozenset[Fraction]:
    """How far a piece lies from the edges of the face that it lies on, and of the whole host."""
    if piece.source.placement is None or piece.offsets is None:
        return frozenset()
    host, box = resolved.pieces[piece.source.placement.host], box_on_host(resolved, piece)
    from_whole = (box.left, box.bottom, host.width - box.right, host.height - box.top)
    return frozenset(map(abs, (*map(piece.offsets.at, EDGES), *from_whole)))


def _lengths(resolved: ResolvedDesign, name: str) -> Iterable[Fraction]:
    """The lengths of a piece, a fastening, a supply or a stock."""
    if name in resolved.pieces:
        return _of_piece(resolved.pieces[name])
    if name in resolved.fastenings:
        return _of_fastening(resolved, resolved.fastenings[name])
    if name in resolved.stocks:
        return (resolved.stocks[name].ribbon_width,)
    return resolved.supply_sizes.get(name, ())


def _of_piece(piece: ResolvedPiece) -> Iterator[Fraction]:
    yield from (piece.width, piece.height, piece.raised)
    for box in (*(face.box for face in piece.faces), *piece.glue.keep_off):
        yield from (box.width, box.height)
    for pair in piece.corner_sizes.values():
        yield from (pair.width, pair.height)
    yield from () if piece.offsets is None else map(piece.offsets.at, EDGES)
    yield from _lines_and_holes(piece)


def _lines_and_holes(piece: ResolvedPiece) -> Iterator[Fraction]:
    """What seams, scores, holes and corners measure, and their distances from the edges."""
    for seam in piece.seams:
        yield from (seam.dry, seam.length, *map(run_length, seam.runs))
    for score in piece.scores:
        whole = piece.width if score.is_vertical else piece.height
        yield from (score.at, whole - score.at)
    for hole in piece.holes:
        yield from (hole.diameter, hole.diameter / 2)
    for point in (*(hole.centre for hole in piece.holes), *piece.outline.corners):
        yield from _from_edges(piece, point)


def _from_edges(piece: ResolvedPiece, point: Point) -> tuple[Fraction, ...]:
    """How far a point lies from the edges of its piece."""
    return (point.x, piece.width - point.x, point.y, piece.height - point.y)


def _between(first: ResolvedPiece, second: ResolvedPiece) -> Iterator[Fraction]:
    """What two pieces measure together, and from one to the other where both lie on one face."""
    yield from (first.width + second.width, first.height + second.height)
    if first.offsets is None or second.offsets is None or _lies_on(first) != _lies_on(second):
        return
    for edge in EDGES:
        shift = first.offsets.at(edge) - second.offsets.at(edge)
        yield from (shift, *(abs(shift) - e for p in (first, second) for e in p.laid_size))


def _lies_on(piece: ResolvedPiece) -> tuple[str, str | None] | None:
    """The piece and the face that a piece lies on."""
    placement = piece.source.placement
    return None if placement is None else (placement.host, placement.host_face)


def _of_fastening(resolved: ResolvedDesign, fastening: ResolvedFastening) -> Iterator[Fraction]:
    """Its own lengths, and where it meets its pieces, from their edges."""
    head, long, allowance = fastening.head, fastening.length, fastening.allowance
    yield from (head, fastening.leg, long, allowance, long + allowance)
    yield from (head / 2, long / 2, allowance / 2)
    for key, point in fastening.marks.items():
        yield from _from_edges(resolved.pieces[key], point)

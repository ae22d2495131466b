"""Every length that a text may say of a piece or of a fastening.

In: a resolved piece or fastening.  Out: exact lengths in mm.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from fractions import Fraction
from itertools import combinations

from gatherfold.geometry import EDGES
from gatherfold.resolve.resolved import ResolvedDesign, ResolvedPiece, run_length


def lengths_of(resolved: ResolvedDesign, names: Collection[str]) -> frozenset[Fraction]:
    """The lengths of some pieces and fastenings, by their names; signs are left out."""
    found: set[Fraction] = set()
    for name in names:
        if name in resolved.pieces:
            found |= {abs(length) for length in _of_piece(resolved.pieces[name])}
        elif name in resolved.fastenings:
            fastening = resolved.fastenings[name]
            long, allowance = fastening.length, fastening.allowance
            found |= {fastening.head, fastening.leg, long, allowance, long + allowance}
            found |= {allowance / 2, fastening.head / 2, long / 2}
            found |= set(_distances(resolved, name))
        elif name in resolved.supply_sizes:
            found |= {*resolved.supply_sizes[name]}
        elif name in resolved.stocks:
            found.add(resolved.stocks[name].ribbon_width)
    return frozenset(found)


def lengths_between(resolved: ResolvedDesign, names: Collection[str]) -> frozenset[Fraction]:
    """What every two of some pieces measure together or apart."""
    found: set[Fraction] = set()
    pieces = [resolved.pieces[name] for name in names if name in resolved.pieces]
    for first, second in combinations(pieces, 2):
        found |= {abs(length) for length in _between(first, second)}
    return frozenset(found)


def _of_piece(piece: ResolvedPiece) -> Iterator[Fraction]:
    yield from (piece.width, piece.height, piece.raised)
    for face in piece.faces:
        yield from (face.box.width, face.box.height)
    if piece.offsets is not None:
        yield from (piece.offsets.at(edge) for edge in EDGES)
    for pair in piece.corner_sizes.values():
        yield from (pair.width, pair.height)
    for seam in piece.seams:
        yield from (seam.dry, seam.length, *map(run_length, seam.runs))
    for score in piece.scores:
        whole = piece.width if score.is_vertical else piece.height
        yield from (score.at, whole - score.at)
    for hole in piece.holes:
        yield from (hole.diameter, hole.diameter / 2)
        yield from (hole.centre.x, piece.width - hole.centre.x)
        yield from (hole.centre.y, piece.height - hole.centre.y)
    for box in piece.glue.keep_off:
        yield from (box.width, box.height)
    for corner in piece.outline.corners:
        yield from (corner.x, piece.width - corner.x, corner.y, piece.height - corner.y)


def _between(first: ResolvedPiece, second: ResolvedPiece) -> Iterator[Fraction]:
    """What two pieces measure together, and from one to the other where both lie on one face."""
    yield from (first.width + second.width, first.height + second.height)
    places = [piece.source.placement for piece in (first, second)]
    hosts = {(None if p is None else (p.host, p.host_face)) for p in places}
    if len(hosts) == 1 and first.offsets is not None and second.offsets is not None:
        for edge in EDGES:
            shift = first.offsets.at(edge) - second.offsets.at(edge)
            yield from (shift, *(abs(shift) - e for p in (first, second) for e in p.laid_size))


def _distances(resolved: ResolvedDesign, name: str) -> Iterator[Fraction]:
    """Where a fastening meets its pieces, from their edges."""
    fastening = resolved.fastenings[name]
    for key, point in fastening.marks.items():
        piece = resolved.pieces[key]
        yield from (point.x, piece.width - point.x, point.y, piece.height - point.y)

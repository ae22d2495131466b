"""Ribbons that tie the closed work: when they are tied, and how they look.

In: the work and an assembly of it that is closed.  Out: for a picture the ribbons from their brads
off the nearer edge and the bow between them.  The bow is a sign for tying, not measured; the
ribbon's width is true.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from builder.drawings.axonometric import Projection
from builder.drawings.plane import bounding
from builder.drawings.raised_view import RaisedFace, Ring, Strip
from builder.drawings.round_ribbons import Fills, round_ribbons
from builder.drawings.styles import Line
from builder.resolve.resolved import ResolvedFastening
from builder.work import Assembly, FaceKey, Work
from builder.work.space import as_pose

#: Of the bow, in widths of the ribbon: a loop's length and half its width, how far a tail reaches
#: out and along, and how far the knot stands off the edge.
_LOOP, _LOOP_HALF, _TAIL_OUT, _TAIL_ALONG, _KNOT_OUT = 4.5, 1.5, 4.5, 2.4, 0.6
#: How far a loop leans outwards, as a share of its length, and how wide its opening is.
_LEAN, _OPENING = 0.3, 0.45
_KNOT_HALF = 0.6
_STEPS = 12
_SHARES = (0.1, 0.3, 0.5, 0.7, 0.9)
#: The axis that what lies flat looks along.
_UPWARD = 2


def ends_of(work: Work, tie: str) -> tuple[ResolvedFastening, ...]:
    """The fastenings that hold the ends of a ribbon, where two or more do."""
    holders = tuple(
        fastening
        for fastening in work.parts.resolved.fastenings.values()
        if fastening.source.holds == tie
        and fastening.point is not None
        and work.pierced.get(fastening.key)
    )
    return holders if len(holders) > 1 else ()


def ribbons_of(
    work: Work,
    tie: str,
    assembly: Assembly,
    faces: Sequence[RaisedFace],
    projection: Projection,
    fills: Fills,
) -> tuple[Strip, ...]:
    """A ribbon tied round the work, or by its ends, among the faces of a picture."""
    if work.parts.resolved.fastenings[tie].source.round is not None:
        return round_ribbons(work, tie, assembly, faces, projection, fills)
    return tied_ribbons(work, tie, assembly, faces, projection, fills)


@dataclass(frozen=True)
class _End:
    """Where one end is held: its place, the layer it lies on and that layer's outside (1 for up),
    and the edge it runs off: across ``axis``, to the side of ``sign``, at ``edge``."""

    layer: FaceKey
    place: tuple[float, float, float]
    outside: int
    axis: int
    sign: int
    edge: float


def tied_ribbons(
    work: Work,
    tie: str,
    assembly: Assembly,
    faces: Sequence[RaisedFace],
    projection: Projection,
    fills: Fills,
) -> tuple[Strip, ...]:
    """The ribbons of a tie among the faces of a picture, and the bow where all run off one side."""
    resolved = work.parts.resolved
    ends = list(_ends(work, tie, assembly))
    stock = resolved.stocks[resolved.fastenings[tie].source.stock or ""]
    width, fill = float(stock.ribbon_width), fills[stock.key, "front"]

    def strip(after: int, *rings: Ring) -> Strip:
        return Strip(after, rings, fill, Line.FAINT)

    found = []
    for end in ends:
        own = [index for index, face in enumerate(faces) if face.key == end.layer]
        if own:
            after = own[-1] + 1 if end.outside > 0 else own[0]
            found.append(strip(after, _flat(end, width, projection)))
    if len({(end.axis, end.sign) for end in ends}) == 1:
        is_near = ends[0].sign * projection.viewer[ends[0].axis] > 0
        after = len(faces) if is_near else 0
        found += [strip(after, *rings) for rings in _bow(ends, width, projection)]
    return tuple(found)


def _ends(work: Work, tie: str, assembly: Assembly) -> Iterator[_End]:
    """Where the ends are held, of those whose layer lies flat in an assembly."""
    for fastening in ends_of(work, tie):
        first, *others = work.pierced[fastening.key]
        plate = assembly.plates.get(first)
        if plate is None or plate.axis != _UPWARD or fastening.point is None:
            continue
        pose = as_pose(plate.pose, work.scale)
        x, y, z = pose.apply(fastening.point.x, fastening.point.y)
        low, high = ([plate.extent(k)[end] / work.scale for k in (0, 1)] for end in (0, 1))
        is_covered = any(assembly.is_above(first, other) for other in others)
        sides = (
            (k, sign, float(at)) for sign, ats in ((-1, low), (1, high)) for k, at in enumerate(ats)
        )
        axis, sign, edge = min(sides, key=lambda side: abs((x, y)[side[0]] - Fraction(side[2])))
        place = float(x), float(y), float(z)
        yield _End(first, place, -1 if is_covered else 1, axis, sign, edge)


def _flat(end: _End, width: float, projection: Projection) -> Ring:
    """The ribbon on its layer, from a little behind the brad to the edge."""
    start, across = end.place[end.axis] - end.sign * width, end.place[1 - end.axis]
    half = width / 2
    corners = [(start, -half), (end.edge, -half), (end.edge, half), (start, half)]
    return tuple(projection(_in_space(end, u, across + v, end.place[2])) for u, v in corners)


def _in_space(end: _End, outwards: float, across: float, z: float) -> tuple[float, float, float]:
    return (outwards, across, z) if end.axis == 0 else (across, outwards, z)


def _bow(ends: Sequence[_End], width: float, projection: Projection) -> Iterator[tuple[Ring, ...]]:
    """From the edges to a knot half way between the ends, its tails, two loops and the knot."""
    first = ends[0]
    sign = first.sign
    edge = max((end.edge for end in ends), key=lambda e: sign * e)
    across = sum(end.place[1 - end.axis] for end in ends) / len(ends)
    z = sum(end.place[2] for end in ends) / len(ends)

    def at(out: float, along: float, up: float = z) -> tuple[float, float]:
        return projection(_in_space(first, edge + sign * width * out, across + width * along, up))

    for end in ends:
        aside = (end.place[1 - end.axis] - across) / width
        sides = (aside - 0.5, aside + 0.5)
        rim = tuple(
            projection(_in_space(end, end.edge, across + width * v, end.place[2])) for v in sides
        )
        yield ((*rim, at(_KNOT_OUT, 0.5), at(_KNOT_OUT, -0.5)),)
    for way in (-1, 1):
        tip = _KNOT_OUT + _TAIL_OUT
        yield (
            (
                at(_KNOT_OUT, -0.4),
                at(_KNOT_OUT, 0.4),
                at(tip, way * _TAIL_ALONG + 0.5),
                at(tip - 0.6, way * _TAIL_ALONG),
                at(tip, way * _TAIL_ALONG - 0.5),
            ),
        )
    for way in (-1, 1):
        yield tuple(
            tuple(
                at(_KNOT_OUT + _LEAN * length * share + size * _LOOP_HALF * bulge, way * along)
                for share, bulge, along, length in _loop(size)
            )
            for size in (1.0, _OPENING)
        )
    half = _KNOT_HALF
    knot = ((-half, -half), (half, -half), (half, half), (-half, half))
    yield (tuple(at(_KNOT_OUT + u, v) for u, v in knot),)


def _loop(size: float) -> Iterator[tuple[float, float, float, float]]:
    """Round a loop and back: the share of the way out, how far it bulges, and its length."""
    start = 0.0 if size == 1.0 else 0.35 * _LOOP
    length = _LOOP if size == 1.0 else 0.5 * _LOOP
    for step in range(2 * _STEPS):
        share = step / _STEPS if step <= _STEPS else 2 - step / _STEPS
        bulge = math.sin(math.pi * share**1.4) * (1 if step < _STEPS else -1)
        along = start + share * length
        yield along / _LOOP, bulge, along, _LOOP


def parted(
    faces: Sequence[RaisedFace], pieces: Collection[str]
) -> tuple[tuple[RaisedFace, ...], tuple[RaisedFace, ...]]:
    """The faces, and apart from them those of ``pieces`` that nothing else lies before: what goes
    round the work when a ribbon is tied already."""
    over = {
        index
        for index, face in enumerate(faces)
        if face.piece.key in pieces
        and not any(
            other.holds(place)
            for other in faces[index + 1 :]
            if other.piece.key not in pieces
            for place in _places(face)
        )
    }
    return (
        tuple(face for index, face in enumerate(faces) if index not in over),
        tuple(face for index, face in enumerate(faces) if index in over),
    )


def _places(face: RaisedFace) -> Iterator[tuple[float, float]]:
    """Places all over a face."""
    box = bounding(face.rings[0])
    for u in _SHARES:
        for v in _SHARES:
            place = box.left + u * box.width, box.bottom + v * box.height
            if face.holds(place):
                yield place

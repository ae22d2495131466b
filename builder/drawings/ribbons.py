"""Ribbons that tie the closed work: when they are tied, and how they look.

In: a resolved design and the placed faces of its closed body.  Out: the ribbon ties that brads
hold, and for a picture the ribbons from their brads off the nearer edge and the bow between them.
The bow is a sign for tying, not measured; the ribbon's width is true.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

from builder.drawings.axonometric import Projection
from builder.drawings.pivots import is_on
from builder.drawings.plane import bounding
from builder.drawings.raised_view import RaisedFace, Ring, Strip
from builder.drawings.stock_tints import drawing_tints
from builder.drawings.styles import Line
from builder.geometry.outline import Box
from builder.resolve.placement import FaceKey
from builder.resolve.resolved import PlacedFace, ResolvedDesign, ResolvedFastening
from builder.resolve.turns import Turn

#: Of the bow, in widths of the ribbon: a loop's length and half its width, how far a tail reaches
#: out and along, and how far the knot stands off the edge.
_LOOP, _LOOP_HALF, _TAIL_OUT, _TAIL_ALONG, _KNOT_OUT = 4.5, 1.5, 4.5, 2.4, 0.6
#: How far a loop leans outwards, as a share of its length, and how wide its opening is.
_LEAN, _OPENING = 0.3, 0.45
_KNOT_HALF = 0.6
_STEPS = 12
_SHARES = (0.1, 0.3, 0.5, 0.7, 0.9)


def ties(resolved: ResolvedDesign) -> dict[str, tuple[ResolvedFastening, ...]]:
    """The ribbon ties with two ends or more, each with the fastenings that hold them."""
    found: dict[str, list[ResolvedFastening]] = {}
    for fastening in resolved.fastenings.values():
        held = resolved.fastenings.get(fastening.source.holds or "")
        if held is not None and fastening.point is not None and fastening.source.through:
            found.setdefault(held.key, []).append(fastening)
    return {key: tuple(holders) for key, holders in found.items() if len(holders) > 1}


def tied_after(resolved: ResolvedDesign, sequence: Sequence[Turn]) -> dict[str, int]:
    """For each tie the number of the movement (from 1) after which nothing that it holds moves
    any more; without those that no movement brings together."""
    found = {}
    for key, holders in ties(resolved).items():
        held = {fastening.source.through[0] for fastening in holders}
        numbers = [
            number
            for number, turn in enumerate(sequence, start=1)
            if any(piece in held for piece, _ in turn.moved)
        ]
        if numbers:
            found[key] = numbers[-1]
    return found


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
    resolved: ResolvedDesign,
    tie: str,
    placed_faces: Sequence[PlacedFace],
    faces: Sequence[RaisedFace],
    projection: Projection,
) -> tuple[Strip, ...]:
    """The ribbons of a tie among the faces of a picture, and the bow where all run off one side."""
    ends = list(_ends(resolved, tie, placed_faces))
    source = resolved.fastenings[tie].source
    stock = resolved.stocks[source.stock or ""]
    width, fill = float(stock.ribbon_width), drawing_tints(resolved).fills[stock.key, "front"]

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


def _ends(resolved: ResolvedDesign, tie: str, placed_faces: Sequence[PlacedFace]) -> Iterator[_End]:
    for fastening in ties(resolved)[tie]:
        first, *others = fastening.source.through
        own = next(
            (
                face
                for face in placed_faces
                if face.piece == first and face.pose.normal[2] and is_on(resolved, fastening, face)
            ),
            None,
        )
        if own is None or fastening.point is None:
            continue
        x, y, z = own.pose.apply(fastening.point.x, fastening.point.y)
        box = resolved.slab(own).seen
        below = [face.order for face in placed_faces if face.piece in others]
        outside = 1 if not below or own.order > max(below) else -1
        axis, sign, edge = _nearer_edge(box, float(x), float(y))
        place = float(x), float(y), float(z)
        yield _End((own.piece, own.face), place, outside, axis, sign, edge)


def _nearer_edge(box: Box, x: float, y: float) -> tuple[int, int, float]:
    edges = (
        (0, -1, float(box.left)),
        (0, 1, float(box.right)),
        (1, -1, float(box.bottom)),
        (1, 1, float(box.top)),
    )
    return min(edges, key=lambda edge: abs((x, y)[edge[0]] - edge[2]))


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

"""What is put on the work whole: lids that go down on a box, bands that are slid round it, and
what is slid into a pocket of sections that are closed for good.

In: a resolved design.  Out: which pieces they are; where they are before they are on, and the way
they go.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import replace
from fractions import Fraction

from builder.drawings.axonometric import Projection
from builder.drawings.plane import Place
from builder.geometry.areas import Slab, travel
from builder.geometry.edges import EdgeName, edge_towards, outward
from builder.geometry.outline import Box
from builder.geometry.pose import Vector, shifted
from builder.resolve.closed_for_good import mouth, slid_in
from builder.resolve.placement import folds_outward
from builder.resolve.resolved import PlacedFace, ResolvedDesign, ResolvedPiece
from builder.resolve.turns import Turn, closing_entries

#: So many walls that stand up round a base make a box.
_FEWEST_WALLS = 3
#: How far a piece is taken off, as a share of what brings it just clear.
_CLEAR = Fraction(5, 4)
#: How far beside it its arrows stand, as a share of its size.
_BESIDE = 1 / 16
_ZERO = Fraction(0)


def is_box(resolved: ResolvedDesign, piece: ResolvedPiece) -> bool:
    """Whether at least three walls stand up round the face that it lies by."""
    if (piece.key, "") not in closing_entries(resolved):
        return False
    walls = [s for staying, _, s in folds_outward(piece) if staying == piece.by and s.closed == 90]
    return len(walls) >= _FEWEST_WALLS


def goes_round(piece: ResolvedPiece) -> bool:
    """Whether a piece is put round the closed work and comes off again whole, as a band does."""
    return piece.source.present == "closed" and not piece.glue.edges and bool(piece.scores)


def lids(resolved: ResolvedDesign) -> tuple[str, ...]:
    """Boxes that are there only when the work is closed, and stand on another one unglued."""
    return tuple(
        key
        for key, piece in resolved.pieces.items()
        if goes_round(piece)
        and (placement := piece.source.placement) is not None
        and piece.raised > 0
        and is_box(resolved, piece)
        and is_box(resolved, resolved.pieces[placement.host])
    )


def slid_on(resolved: ResolvedDesign, turn: Turn) -> str:
    """The piece that a movement of the closing slides round the work; "" if it folds parts."""
    keys = {key for key, _ in turn.entries}
    (first, *others) = keys
    return first if not others and goes_round(resolved.pieces[first]) else ""


def way_off(
    resolved: ResolvedDesign, faces: Sequence[PlacedFace], key: str, pieces: Collection[str]
) -> Vector:
    """How far ``pieces``, which hang on ``key``, come off closed work: upwards if it is a lid,
    out of its pocket if it is slid into one, else along its folds, to the nearer side."""
    own = [resolved.slab(face) for face in faces if face.piece in pieces]
    rest = [resolved.slab(face) for face in faces if face.piece not in pieces]
    if key in slid_in(resolved):
        return _out_of_pocket(resolved, faces, key, own)
    low, high = ([end[k] for k in range(3)] for end in (_lowest(own), _highest(own)))
    first, last = _lowest(rest), _highest(rest)
    if key in lids(resolved):
        reach = max(last[2] - low[2], (high[2] - low[2]) / 2)
        return _ZERO, _ZERO, _CLEAR * reach
    base = next(f for f in faces if (f.piece, f.face) == (key, resolved.pieces[key].by))
    column = 1 if resolved.pieces[key].scores[0].is_vertical else 0
    axis = next(k for k in range(3) if base.pose.rotation[k][column])
    ahead, back = last[axis] - low[axis], high[axis] - first[axis]
    far = _CLEAR * (ahead if ahead < back else -back)
    x, y, z = (far if k == axis else _ZERO for k in range(3))
    return x, y, z


def _out_of_pocket(
    resolved: ResolvedDesign, faces: Sequence[PlacedFace], key: str, own: Sequence[Slab]
) -> Vector:
    """The way out over the pocket's mouth, until all of what is in it is past that."""
    piece = resolved.pieces[key]
    placement = piece.source.placement
    assert placement is not None
    ground = next(f for f in faces if (f.piece, f.face) == (placement.host, piece.host_face))
    edge = in_space(ground, mouth(resolved, key) or "top")
    (left, bottom, _), (right, top, _) = _lowest(own), _highest(own)
    way = travel(Box(left, bottom, right, top), edge, resolved.slab(ground).seen)
    x, y = outward(edge)
    return x * way, y * way, _ZERO


def in_space(face: PlacedFace, edge: EdgeName) -> EdgeName:
    """The side of work that lies flat on which an edge of a face is."""
    x, y = outward(edge)
    (a, b, _), (c, d, _), _ = face.pose.rotation
    return edge_towards(a * x + b * y, c * x + d * y)


def _lowest(slabs: Sequence[Slab]) -> Vector:
    x, y, z = (min(slab.low[k] for slab in slabs) for k in range(3))
    return x, y, z


def _highest(slabs: Sequence[Slab]) -> Vector:
    x, y, z = (max(slab.high[k] for slab in slabs) for k in range(3))
    return x, y, z


def taken_off(
    faces: Sequence[PlacedFace], pieces: Collection[str], way: Vector
) -> tuple[PlacedFace, ...]:
    """The work with some pieces moved off it."""
    off = shifted(*way)
    return tuple(
        replace(face, pose=off.then(face.pose)) if face.piece in pieces else face for face in faces
    )


def straight_ways(
    resolved: ResolvedDesign,
    faces: Sequence[PlacedFace],
    pieces: Collection[str],
    way: Vector,
    projection: Projection,
) -> list[tuple[Place, Place]]:
    """Two straight ways on the plane of projection, on either side of what is put on; ``faces``
    are those of the work with it on, ``way`` is how it came off."""
    slabs = [resolved.slab(face) for face in faces if face.piece in pieces]
    ends = [(float(a), float(b)) for a, b in zip(_lowest(slabs), _highest(slabs), strict=True)]
    beside = _BESIDE * max(high - low for low, high in ends)
    sides = [
        ((low + high) / 2,) if along else (low - beside, high + beside)
        for (low, high), along in zip(ends, way, strict=True)
    ]
    off = projection(float(step) for step in way)
    length = math.hypot(*off)
    corners = [projection((x, y, z)) for x in sides[0] for y in sides[1] for z in sides[2]]
    corners.sort(key=lambda corner: (corner[0] * off[1] - corner[1] * off[0]) / length)
    return [((x + off[0], y + off[1]), (x, y)) for x, y in (corners[0], corners[-1])]

"""The ways that arrows show, and where it was that moved: what folds, is put on or turns.

In: where faces are before and after a movement.  Out: for each fold the ways in space that its
arrow may take, from where the far edge of what moves lay to where it comes to lie, and the one
along which it is freest: out of sight or over the work it would seem to show something else; and
the outlines of faces in space where they were.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping, Sequence
from fractions import Fraction
from itertools import groupby, pairwise

import numpy as np

from gatherfold.drawings.kernel.axonometric import Projection
from gatherfold.drawings.kernel.plane import Place, clipped_ring
from gatherfold.drawings.motion.movements import Move, move_is_to_and_fro
from gatherfold.drawings.views.features import outline_ring, rect_of
from gatherfold.drawings.views.sight import Sight
from gatherfold.geometry import Box, Pose, Slab, Vector, is_vertical
from gatherfold.model.choices import is_valley
from gatherfold.resolve.resolved import ResolvedDesign, ResolvedPiece
from gatherfold.work import FaceKey, PlacedFace, Work
from gatherfold.work.assembly import Crease

Faces = Mapping[FaceKey, PlacedFace]
Point = tuple[float, float, float]
Way = list[Point]
Ring = tuple[Place, ...]

#: Where along the far edge an arrow may start, as shares of its length: in its middle, beyond
#: either end of it, or between.
_STARTS = tuple(Fraction(step, 100) for step in (50, -4, 104, 25, 75))
#: What it costs an arrow to be out of sight at one of its places, or to lie there over what moved
#: or over something else.
_OUT_OF_SIGHT, _OVER_MOVED, _OVER_OTHER = 3, 3, 1
#: How far beside what is put on its arrows stand, as a share of its size.
_BESIDE = 1 / 16
_ARC_STEPS, _SWING_STEPS = 16, 24
#: The axis that what lies flat looks along.
_UPWARD = 2
#: White between the ends of an arc and the part, as a share of its reach; what may be cut off the
#: arc for it at either end.
_CLEAR, _MOST_TRIMMED = 0.08, 0.2
#: What moves less than this, in mm, lies on the fold.
_STILL = 0.01


def former_outlines(resolved: ResolvedDesign, face: PlacedFace, after: Pose) -> Iterator[Way]:
    """The outline of a face where it was, without what of it did not move."""
    was, now = _outline(resolved, face, face.pose), _outline(resolved, face, after)
    is_still = [math.dist(*places) < _STILL for places in zip(was, now, strict=True)]
    # From a place that lies still, so that a line is not divided where the ring begins.
    first = is_still.index(True) if any(is_still) else 0
    ring = [*range(first, len(was)), *range(first + 1)]
    for lies, run in groupby(pairwise(ring), lambda ends: is_still[ends[0]] and is_still[ends[1]]):
        if not lies:
            (start, end), *others = run
            yield [was[start], was[end], *(was[last] for _, last in others)]


def outline_in_space(resolved: ResolvedDesign, face: PlacedFace) -> Way:
    """The whole outline of a face, from a corner back to it."""
    ring = _outline(resolved, face, face.pose)
    return [*ring, ring[0]]


def _outline(resolved: ResolvedDesign, face: PlacedFace, pose: Pose) -> Way:
    piece = resolved.pieces[face.piece]
    rows = [(*row[:2], float(at)) for row, at in zip(pose.rotation, pose.shift, strict=True)]
    return [
        _floats([a * x + b * y + c for a, b, c in rows])
        for x, y in clipped_ring(outline_ring(piece.outline), rect_of(piece.face(face.face).box))
    ]


def fold_ways(
    resolved: ResolvedDesign, move: Move, was: Faces, now: Faces, scale: int
) -> list[list[Way]]:
    """For each line that something folds on, in order, the ways from places along the far edge of
    what lies in one plane with the fold: arcs, or straight ones of a strip that is pushed
    together."""
    moved = {key for key in was if key in now and was[key].pose != now[key].pose}
    is_pushed = move_is_to_and_fro(move)
    ways: dict[object, list[Way]] = {}
    for turn in move.turns:
        crease = turn.before.creases[turn.fold]
        beside = [key for key in (crease.hanging, crease.staying) if key in moved]
        if len(beside) != 1:
            continue
        (moving,) = beside
        # What opens goes back as it would close.
        is_back = not turn.is_closing and not is_pushed
        first, last = (now, was) if is_back else (was, now)
        ends = _ends(crease, first[moving].pose, scale)
        line = tuple((k, a) for k, (a, b) in enumerate(zip(*ends, strict=True)) if a == b)
        if line in ways:
            continue
        own = moved & turn.moved if moving in turn.moved else moved
        face, places = _far_edge(resolved, first, moving, ends, own)
        poses = first[face].pose, last[face].pose
        if is_pushed:
            found = [[_floats(pose.apply(*place)) for pose in poses] for place in places]
        else:
            found = _arcs(crease, first[moving].pose, ends, poses, places)
        if found:
            ways[line] = [way[::-1] for way in found] if is_back else found
    return list(ways.values())


def _ends(crease: Crease, pose: Pose, scale: int) -> tuple[Vector, Vector]:
    """Both ends of a fold in space, in mm."""
    at = Fraction(crease.at) / scale
    first, last = (Fraction(end) / scale for end in crease.ends)
    if is_vertical(crease.axis):
        return pose.apply(at, first), pose.apply(at, last)
    return pose.apply(first, at), pose.apply(last, at)


def clearest(ways: Sequence[Way], sight: Sight, moved: Collection[FaceKey]) -> Ring:
    """What is seen on paper of the way along which least is out of sight or lies over the work,
    the first of equals; ``sight`` shows the work after the motion."""
    best, least = ways[0], math.inf
    for way in ways:
        cost = _cost(way, sight, moved)
        if cost < least:
            best, least = way, cost
        if not least:
            break
    return max(sight.seen_runs(best), key=_length, default=tuple(map(sight.projection, best)))


def _cost(way: Way, sight: Sight, moved: Collection[FaceKey]) -> int:
    """What it costs to take a way; that it ends on something is what it is for."""
    found = 0
    for place in way[1:]:
        if sight.is_hidden(place):
            found += _OUT_OF_SIGHT
        elif place is not way[-1] and sight.is_over(place):
            found += _OVER_MOVED if sight.is_over(place, moved) else _OVER_OTHER
    return found


def _length(run: Ring) -> float:
    return sum(math.dist(a, b) for a, b in pairwise(run))


def _arcs(
    crease: Crease,
    pose: Pose,
    ends: tuple[Vector, Vector],
    poses: tuple[Pose, Pose],
    places: Sequence[tuple[Fraction, Fraction]],
) -> list[Way]:
    """The ways of places on what folds on a crease, beside which it has a pose."""
    before, after = poses
    degrees = 180 if _has_turned_over(before, after) else 90
    if degrees == 180 and _axis(after) != _UPWARD:
        # Beside a wall that it is folded down against is the outside of the work.
        places = [p for p, share in zip(places, _STARTS, strict=True) if 0 < share < 1]
    inward = _floats(pose.normal)
    towards = inward if is_valley(crease.sense) else _floats([-along for along in inward])
    along = _floats([b - a for a, b in zip(*ends, strict=True)])
    ways = ((_floats(before.apply(*place)), _floats(after.apply(*place))) for place in places)
    return [swing(start, end, along, degrees, towards) for start, end in ways if start != end]


def swing(start: Point, end: Point, along: Point, degrees: int, towards: Point) -> list[Point]:
    """The way of a point of a part that folds, from ``start`` to ``end``.

    It is an arc of ``degrees`` about an axis parallel to ``along`` that sets out to the side of
    ``towards``.  For a fold of several creases it is the arc that joins both ends, not the exact
    way.
    """
    first, chord = np.array(start), np.subtract(end, start)
    lift = 0.5 / math.tan(math.radians(degrees) / 2) if degrees < 180 else 0.0
    way = np.array(along) / np.linalg.norm(along)
    turns = []
    for axis in (way, -way):
        centre = first + chord / 2 + lift * np.cross(axis, chord)
        turns.append((centre, first - centre, np.cross(axis, first - centre)))
    # A quarter turn the other way round sets out at a right angle, which is not quite 0.
    centre, radius, across = max(turns, key=lambda turn: float(np.dot(turn[2], towards)))
    angles = np.radians(degrees) * np.arange(_SWING_STEPS + 1) / _SWING_STEPS
    places = centre + np.outer(np.cos(angles), radius) + np.outer(np.sin(angles), across)
    return [(x, y, z) for x, y, z in places.tolist()]


def _far_edge(
    resolved: ResolvedDesign,
    was: Faces,
    moving: FaceKey,
    ends: tuple[Vector, Vector],
    moved: Collection[FaceKey],
) -> tuple[FaceKey, tuple[tuple[Fraction, Fraction], ...]]:
    """Of what lies in one plane with a fold, the edge farthest from that, the longest of several,
    with the places on it where an arrow may start."""
    axis = _axis(was[moving].pose)
    level = sorted(key for key in moved if _axis(was[key].pose) == axis)
    edges = [(key, edge) for key in level for edge in _edges(resolved.pieces[key.piece], key.face)]
    return max(
        edges,
        key=lambda found: (
            round(_from_line(was[found[0]].pose.apply(*found[1][0]), ends), 3),
            math.dist(found[1][1], found[1][2]),
        ),
    )


def _has_turned_over(before: Pose, after: Pose) -> bool:
    return sum(a * b for a, b in zip(before.normal, after.normal, strict=True)) < 0


def _axis(pose: Pose) -> int:
    """The axis that a face stands across."""
    return next(axis for axis, along in enumerate(pose.normal) if along)


def _edges(piece: ResolvedPiece, face: str) -> list[tuple[tuple[Fraction, Fraction], ...]]:
    """Of each edge of a face the places where an arrow may start, the middle first."""
    box: Box = piece.face(face).box
    xs = tuple(box.left + share * box.width for share in _STARTS)
    ys = tuple(box.bottom + share * box.height for share in _STARTS)
    upright = [tuple((x, y) for y in ys) for x in (box.left, box.right)]
    return [*upright, *(tuple((x, y) for x in xs) for y in (box.bottom, box.top))]


def _from_line(place: Vector, ends: tuple[Vector, Vector]) -> float:
    """The distance of a place from the line through both ends."""
    along = [float(b - a) for a, b in zip(*ends, strict=True)]
    away = [float(p - a) for p, a in zip(place, ends[0], strict=True)]
    share = sum(a * b for a, b in zip(along, away, strict=True)) / sum(a * a for a in along)
    return math.hypot(*(b - share * a for a, b in zip(along, away, strict=True)))


def _floats(place: Sequence[Fraction | float]) -> Point:
    return float(place[0]), float(place[1]), float(place[2])


def straight_ways(slabs: Sequence[Slab], out: Vector, projection: Projection) -> tuple[Ring, ...]:
    """The straight ways on the plane of projection of what is put on: ``slabs`` are where it lies
    then, ``out`` is how it came off.

    What is lowered has one on either side of it, what is slid one from the middle of its rear edge.
    """
    ends = [
        (float(min(s.low[k] for s in slabs)), float(max(s.high[k] for s in slabs)))
        for k in range(3)
    ]
    if not out[2]:
        rear = [
            (high if along > 0 else low) if along else (low + high) / 2
            for (low, high), along in zip(ends, out, strict=True)
        ]
        rear[2] = ends[2][1]
        begin = (at + float(along) for at, along in zip(rear, out, strict=True))
        return ((projection(begin), projection(rear)),)
    beside = _BESIDE * max(high - low for low, high in ends)
    sides = [
        ((low + high) / 2,) if along else (low - beside, high + beside)
        for (low, high), along in zip(ends, out, strict=True)
    ]
    off = projection(float(step) for step in out)
    length = math.hypot(*off)
    corners = [projection((x, y, z)) for x in sides[0] for y in sides[1] for z in sides[2]]
    corners.sort(key=lambda corner: (corner[0] * off[1] - corner[1] * off[0]) / length)
    return tuple(((x + off[0], y + off[1]), (x, y)) for x, y in (corners[0], corners[-1]))


def swing_ways(
    work: Work, move: Move, was: Faces, now: Faces
) -> Iterator[tuple[Way, tuple[Point, ...]]]:
    """Of a part that turned on a fastening the way of its far end, from beside where it was to
    beside where it is, and its corners in both places."""
    if (swung := move.swing) is not None:
        key = work.pierced[swung.fastening][0]
        before, after = was[key].pose, now[key].pose
        point = work.parts.resolved.fastenings[swung.fastening].point
        if before.rotation == after.rotation or point is None:
            return
        box = work.parts.resolved.pieces[key.piece].face(key.face).box
        pin = point.x, point.y
        corners = tuple(
            _floats(pose.apply(x, y))
            for pose in (before, after)
            for x in (box.left, box.right)
            for y in (box.bottom, box.top)
        )
        yield _arc(pin, box, before, after), corners


def _arc(pin: tuple[Fraction, Fraction], box: Box, before: Pose, after: Pose) -> Way:
    """The way of the edge farthest from a fastening, kept clear of the part itself at both ends."""
    middles = [(box.left, pin[1]), (box.right, pin[1]), (pin[0], box.bottom), (pin[0], box.top)]
    end = max(middles, key=lambda place: math.dist(place, pin))
    x, y, _ = _floats(before.apply(*pin))
    starts = [_floats(pose.apply(*end)) for pose in (before, after)]
    first, last = (math.atan2(p[1] - y, p[0] - x) for p in starts)
    reach = math.dist(starts[0][:2], (x, y))
    sweep = (last - first) % math.tau
    if sweep > math.pi + 0.01:
        sweep -= math.tau
    low, high = starts[0][2], starts[1][2]
    beside = (float(min(box.width, box.height)) / 2 + _CLEAR * reach) / reach
    trimmed = min(beside / abs(sweep), _MOST_TRIMMED)
    shares = [trimmed + (1 - 2 * trimmed) * step / _ARC_STEPS for step in range(_ARC_STEPS + 1)]
    return [
        (
            x + reach * math.cos(first + sweep * share),
            y + reach * math.sin(first + sweep * share),
            low + (high - low) * share,
        )
        for share in shares
    ]

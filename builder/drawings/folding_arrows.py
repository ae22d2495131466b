"""Where an arrow shows a fold: from where the far edge of what moves lay to where it comes to lie.

In: faces before and after a motion, and its fold angles.  Out: for each fold the ways in space that
its arrow may take, and the one along which it is freest: out of sight or over the work it would
seem to show something else.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from fractions import Fraction
from itertools import pairwise

from builder.drawings.plane import Place
from builder.drawings.sight import Sight
from builder.geometry.outline import Box
from builder.geometry.pose import Pose, Vector
from builder.geometry.swings import Point, swing
from builder.resolve.placement import FaceKey, folds_outward, tree_of
from builder.resolve.resolved import PlacedFace, ResolvedDesign, ResolvedPiece, Score
from builder.resolve.turns import Angles, fold_ends, fold_line, moved_faces

Poses = Mapping[FaceKey, Pose]
Way = list[Point]
Ring = tuple[Place, ...]

#: Where along the far edge an arrow may start, as shares of its length: in its middle, beyond
#: either end of it, or between.
_STARTS = tuple(Fraction(step, 100) for step in (50, -4, 104, 25, 75))
#: What it costs an arrow to be out of sight at one of its places, or to lie there over what moved
#: or over something else.
_OUT_OF_SIGHT, _OVER_MOVED, _OVER_OTHER = 3, 3, 1


def poses_of(faces: Sequence[PlacedFace]) -> dict[FaceKey, Pose]:
    return {(face.piece, face.face): face.pose for face in faces}


def arrow_ways(
    resolved: ResolvedDesign, before: Poses, after: Poses, motion: Angles
) -> list[list[Way]]:
    """For each line that something folds on, in the order of the motion, the ways from places along
    the far edge of what lies in one plane with the fold."""
    tree = tree_of(resolved)
    ways: dict[object, list[Way]] = {}
    for key, hanging in motion:
        piece = resolved.pieces[key]
        staying, score = next((s, f) for s, h, f in folds_outward(piece) if h == hanging)
        moved = set(moved_faces(tree, piece, hanging)) & set(before)
        if (key, hanging) not in moved or before[key, staying] != after[key, staying]:
            continue
        line = fold_line(score, before[key, hanging])
        if line not in ways:
            found = _ways(resolved, before, after, (key, hanging), score, moved)
            if found:
                ways[line] = found
    return list(ways.values())


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


def _ways(
    resolved: ResolvedDesign,
    before: Poses,
    after: Poses,
    hanging: FaceKey,
    score: Score,
    moved: set[FaceKey],
) -> list[Way]:
    ends = fold_ends(score, before[hanging])
    axis = _axis(before[hanging])
    level = sorted(face for face in moved if _axis(before[face]) == axis)
    farthest = max(
        ((_from_line(before[face].apply(*edge[0]), ends), face, edge)
         for face in level for edge in _edges(resolved.pieces[face[0]], face[1])),
        key=lambda found: found[0],
    )  # fmt: skip
    _, face, places = farthest
    degrees = 180 if _has_turned_over(before[face], after[face]) else 90
    sign = 1 if score.is_valley else -1
    x, y, z = before[hanging].normal
    along = _floats(tuple(b - a for a, b in zip(*ends, strict=True)))
    found = []
    for place in places:
        start, end = _floats(before[face].apply(*place)), _floats(after[face].apply(*place))
        if start != end:
            found.append(swing(start, end, along, degrees, (sign * x, sign * y, sign * z)))
    return found


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


def _floats(place: Sequence[Fraction]) -> Point:
    return float(place[0]), float(place[1]), float(place[2])

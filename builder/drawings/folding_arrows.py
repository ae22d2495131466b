"""Where an arrow shows a fold: from where the far edge of what moves lay to where it comes to lie.

In: faces before and after a motion, and its fold angles.  Out: the way of each arrow in space.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from fractions import Fraction

from builder.geometry.outline import Box
from builder.geometry.pose import Pose, Vector
from builder.geometry.swings import Point, swing
from builder.resolve.placement import FaceKey, folds_outward, piece_tree
from builder.resolve.resolved import PlacedFace, ResolvedDesign, ResolvedPiece, Score
from builder.resolve.turns import Angles, fold_ends, fold_line, moved_faces

Poses = Mapping[FaceKey, Pose]


def poses_of(faces: Sequence[PlacedFace]) -> dict[FaceKey, Pose]:
    return {(face.piece, face.face): face.pose for face in faces}


def arrow_ways(
    resolved: ResolvedDesign, before: Poses, after: Poses, motion: Angles
) -> list[list[Point]]:
    """One way for each line that something folds on, in the order of the motion."""
    tree = piece_tree(resolved.pieces)
    ways: dict[object, list[Point]] = {}
    for key, hanging in motion:
        piece = resolved.pieces[key]
        staying, score = next((s, f) for s, h, f in folds_outward(piece) if h == hanging)
        moved = set(moved_faces(tree, piece, hanging)) & set(before)
        if (key, hanging) not in moved or before[key, staying] != after[key, staying]:
            continue
        line = fold_line(score, before[key, hanging])
        if line not in ways:
            way = _way(resolved, before, after, (key, hanging), score, moved)
            if way is not None:
                ways[line] = way
    return list(ways.values())


def _way(
    resolved: ResolvedDesign,
    before: Poses,
    after: Poses,
    hanging: FaceKey,
    score: Score,
    moved: set[FaceKey],
) -> list[Point] | None:
    ends = fold_ends(score, before[hanging])
    farthest = max(
        ((_from_line(before[face].apply(*place), ends), face, place)
         for face in sorted(moved) for place in _edge_middles(resolved.pieces[face[0]], face[1])),
        key=lambda found: found[0],
    )  # fmt: skip
    _, face, place = farthest
    start, end = _floats(before[face].apply(*place)), _floats(after[face].apply(*place))
    degrees = 180 if _has_turned_over(before[face], after[face]) else 90
    if start == end:
        return None
    sign = 1 if score.fold == "valley" else -1
    x, y, z = before[hanging].normal
    along = _floats(tuple(b - a for a, b in zip(*ends, strict=True)))
    return swing(start, end, along, degrees, (sign * x, sign * y, sign * z))


def _has_turned_over(before: Pose, after: Pose) -> bool:
    return sum(a * b for a, b in zip(before.normal, after.normal, strict=True)) < 0


def _edge_middles(piece: ResolvedPiece, face: str) -> list[tuple[Fraction, Fraction]]:
    box: Box = piece.face(face).box
    x, y = box.centre.x, box.centre.y
    return [(box.left, y), (box.right, y), (x, box.bottom), (x, box.top)]


def _from_line(place: Vector, ends: tuple[Vector, Vector]) -> float:
    """The distance of a place from the line through both ends."""
    along = [float(b - a) for a, b in zip(*ends, strict=True)]
    away = [float(p - a) for p, a in zip(place, ends[0], strict=True)]
    share = sum(a * b for a, b in zip(along, away, strict=True)) / sum(a * a for a in along)
    return math.hypot(*(b - share * a for a, b in zip(along, away, strict=True)))


def _floats(place: Sequence[Fraction]) -> Point:
    return float(place[0]), float(place[1]), float(place[2])

"""Where an arrow shows a fold: from where the far edge of what moves lay to where it comes to lie.

In: faces before and after a motion, and its fold angles.  Out: for each fold the ways in space that
its arrow may take, and the one that covers least of what it explains.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from fractions import Fraction

from builder.drawings.plane import Place, ring_holds
from builder.geometry.outline import Box
from builder.geometry.pose import Pose, Vector
from builder.geometry.swings import Point, swing
from builder.resolve.placement import FaceKey, folds_outward, tree_of
from builder.resolve.resolved import PlacedFace, ResolvedDesign, ResolvedPiece, Score
from builder.resolve.turns import Angles, fold_ends, fold_line, moved_faces

Poses = Mapping[FaceKey, Pose]
Way = list[Point]
Ring = tuple[Place, ...]

#: Beside the middle of the far edge an arrow may start so far beyond either end of it, as a share
#: of its length.
_BEYOND = Fraction(1, 25)


def poses_of(faces: Sequence[PlacedFace]) -> dict[FaceKey, Pose]:
    return {(face.piece, face.face): face.pose for face in faces}


def arrow_ways(
    resolved: ResolvedDesign, before: Poses, after: Poses, motion: Angles
) -> list[list[Way]]:
    """For each line that something folds on, in the order of the motion, the ways from the middle
    of the far edge and from beyond its ends."""
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


def clearest(ways: Sequence[Ring], covered: Sequence[Ring]) -> Ring:
    """The way on paper that lies least over what it explains, the first of equals."""

    def hidden(way: Ring) -> int:
        return sum(any(ring_holds(ring, place) for ring in covered) for place in way[1:-1])

    return min(ways, key=hidden)


def _ways(
    resolved: ResolvedDesign,
    before: Poses,
    after: Poses,
    hanging: FaceKey,
    score: Score,
    moved: set[FaceKey],
) -> list[Way]:
    ends = fold_ends(score, before[hanging])
    farthest = max(
        ((_from_line(before[face].apply(*edge[0]), ends), face, edge)
         for face in sorted(moved) for edge in _edges(resolved.pieces[face[0]], face[1])),
        key=lambda found: found[0],
    )  # fmt: skip
    _, face, places = farthest
    degrees = 180 if _has_turned_over(before[face], after[face]) else 90
    sign = 1 if score.fold == "valley" else -1
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


def _edges(piece: ResolvedPiece, face: str) -> list[tuple[tuple[Fraction, Fraction], ...]]:
    """Of each edge of a face its middle, and the places beyond both ends."""
    box: Box = piece.face(face).box
    across, upward = _BEYOND * box.width, _BEYOND * box.height
    xs = box.centre.x, box.left - across, box.right + across
    ys = box.centre.y, box.bottom - upward, box.top + upward
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

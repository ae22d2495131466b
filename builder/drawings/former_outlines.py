"""Where what moved was before: the outlines of faces in space, but for the folds they moved about.

In: placed faces before a movement and where they are after it.  Out: lines in space, in mm.
"""

from __future__ import annotations

from collections.abc import Sequence

from builder.drawings.axonometric import Point
from builder.drawings.features import outline_ring, rect_of
from builder.drawings.plane import Place, clipped_ring
from builder.geometry.pose import Pose
from builder.resolve.resolved import ResolvedDesign
from builder.work import PlacedFace

#: What moves less than this, in mm, lies on the fold.
_STILL = 0.01


def outline_in_space(resolved: ResolvedDesign, face: PlacedFace) -> tuple[Point, ...]:
    """The whole outline of a face, from a corner back to it."""
    ring = _ring(resolved, face)
    return tuple(_in_space((*ring, ring[0]), face.pose))


def _ring(resolved: ResolvedDesign, face: PlacedFace) -> tuple[Place, ...]:
    piece = resolved.pieces[face.piece]
    return tuple(clipped_ring(outline_ring(piece.outline), rect_of(piece.face(face.face).box)))


def former_outline(
    resolved: ResolvedDesign, before: PlacedFace, after: Pose
) -> tuple[tuple[Point, ...], ...]:
    """The outline of a face where it was, without what of it did not move."""
    ring = _ring(resolved, before)
    was, now = _in_space(ring, before.pose), _in_space(ring, after)
    is_still = [
        all(abs(a - b) < _STILL for a, b in zip(*places, strict=True))
        for places in zip(was, now, strict=True)
    ]
    count = len(was)
    lines: list[list[Point]] = []
    # From a place that lies still, so that a line is not divided where the ring begins.
    first = next((n for n in range(count) if is_still[n]), 0)
    for step in range(count):
        start, end = (first + step) % count, (first + step + 1) % count
        if is_still[start] and is_still[end]:
            continue
        if lines and lines[-1][-1] == was[start]:
            lines[-1].append(was[end])
        else:
            lines.append([was[start], was[end]])
    return tuple(tuple(line) for line in lines)


def _in_space(ring: Sequence[Place], pose: Pose) -> list[Point]:
    rows = [
        (float(row[0]), float(row[1]), float(shift))
        for row, shift in zip(pose.rotation, pose.shift, strict=True)
    ]

    def placed(x: float, y: float) -> Point:
        a, b, c = (row[0] * x + row[1] * y + row[2] for row in rows)
        return a, b, c

    return [placed(x, y) for x, y in ring]

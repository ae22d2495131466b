"""Parts that turn on a brad and hold something: as they are laid, turned aside, turned over it.

In: a resolved design and placed faces of its body.  Out: the faces with such a part in another
pose, and the way that it turns.  It is turned by quarters: aside, to where it lies over least, and
back until it laps over what it holds.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from builder.geometry.areas import crosses, placed
from builder.geometry.outline import Box
from builder.geometry.pose import Pose, shifted, turned
from builder.geometry.swings import Point
from builder.resolve.resolved import PlacedFace, ResolvedDesign, ResolvedFastening
from builder.resolve.turns import Turn, turns

#: Quarter turns in the order in which they are tried.
_QUARTERS = (0, 90, 180, 270)
_ARC_STEPS = 16
#: White between the ends of an arc and the part, as a share of its reach; what may be cut off the
#: arc for it at either end.
_CLEAR, _MOST_TRIMMED = 0.08, 0.2


def holding_pivots(resolved: ResolvedDesign) -> tuple[ResolvedFastening, ...]:
    """The fastenings on which a part turns that holds a piece of the work."""
    return tuple(
        fastening
        for fastening in resolved.fastenings.values()
        if fastening.source.pivot
        and fastening.point is not None
        and fastening.source.through
        and fastening.source.holds in resolved.pieces
    )


def part_of(pivot: ResolvedFastening) -> str:
    return pivot.source.through[0]


def held_by(pivot: ResolvedFastening) -> str:
    return pivot.source.holds or ""


def is_held_in(pivot: ResolvedFastening, turn: Turn) -> bool:
    """Whether what the part holds moves in this turn."""
    return any(piece == held_by(pivot) for piece, _ in turn.moved)


def turned_over(
    resolved: ResolvedDesign, faces: Sequence[PlacedFace], pivot: ResolvedFastening
) -> tuple[PlacedFace, ...]:
    """The part over what it holds, just in front of that and of all that folded in with it."""
    own = _own_face(resolved, faces, pivot)
    held = [f for f in faces if f.piece == held_by(pivot) and f.pose.normal[2] != 0]
    if own is None or not held:
        return tuple(faces)
    over = [resolved.slab(face) for face in held]
    poses = (_turned_by(pivot, own.pose, quarter) for quarter in _QUARTERS)
    box = _box(resolved, own)

    def laps(pose: Pose) -> bool:
        return any(crosses(placed(pose, box).seen, slab.seen) for slab in over)

    pose = next(filter(laps, poses), own.pose)
    # It rests on what it holds.
    up = max(slab.plane for slab in over) - own.pose.shift[2]
    lifted = shifted(up * 0, up * 0, up).then(pose)
    return _in_front(resolved, faces, pivot, lifted)


def turned_aside(
    resolved: ResolvedDesign,
    faces: Sequence[PlacedFace],
    pivot: ResolvedFastening,
    closed: Sequence[PlacedFace],
) -> tuple[PlacedFace, ...]:
    """The part out of the way: where least of what is folded in comes to lie on it; ``closed``
    are the faces with what it holds folded in."""
    own = _own_face(resolved, faces, pivot)
    if own is None:
        return tuple(faces)
    plane = own.pose.shift[2]
    above = [slab for f in closed if (slab := resolved.slab(f)).axis == 2 and slab.plane > plane]
    box = _box(resolved, own)

    def covered(pose: Pose) -> int:
        return sum(crosses(placed(pose, box).seen, slab.seen) for slab in above)

    pose = min((_turned_by(pivot, own.pose, q) for q in _QUARTERS), key=covered)
    return tuple(replace(f, pose=pose) if f.piece == part_of(pivot) else f for f in faces)


def _in_front(
    resolved: ResolvedDesign, faces: Sequence[PlacedFace], pivot: ResolvedFastening, pose: Pose
) -> tuple[PlacedFace, ...]:
    part, carried = part_of(pivot), {(f.piece, f.face) for f in faces if f.piece == held_by(pivot)}
    for turn in turns(resolved):
        if carried & turn.moved:
            carried |= turn.moved
            break
    foremost = max(f.order for f in faces if (f.piece, f.face) in carried and f.pose.normal[2] != 0)
    below = [f for f in faces if f.piece != part and f.order <= foremost]
    above = [f for f in faces if f.piece != part and f.order > foremost]
    own = [replace(f, pose=pose) for f in faces if f.piece == part]
    ordered = [*_sorted(below), *own, *_sorted(above)]
    return tuple(replace(f, order=order) for order, f in enumerate(ordered))


def _sorted(faces: Iterable[PlacedFace]) -> list[PlacedFace]:
    return sorted(faces, key=lambda face: face.order)


def _own_face(
    resolved: ResolvedDesign, faces: Sequence[PlacedFace], pivot: ResolvedFastening
) -> PlacedFace | None:
    own = (f for f in faces if f.piece == part_of(pivot) and is_on(resolved, pivot, f))
    return next(own, None)


def is_on(resolved: ResolvedDesign, fastening: ResolvedFastening, face: PlacedFace) -> bool:
    """Whether the fastening's own point lies on this face of the first piece it goes through."""
    assert fastening.point is not None
    return _box(resolved, face).contains(fastening.point)


def _turned_by(pivot: ResolvedFastening, pose: Pose, degrees: int) -> Pose:
    assert pivot.point is not None
    x, y = pivot.point.x, pivot.point.y
    return pose.then(shifted(x, y).then(turned(degrees)).then(shifted(-x, -y)))


def _box(resolved: ResolvedDesign, face: PlacedFace) -> Box:
    return resolved.pieces[face.piece].face(face.face).box


@dataclass(frozen=True)
class PivotTurn:
    """How a part turned on its brad: the way of its far end in space, from beside where it was to
    beside where it is, and the corners of the part in both places."""

    way: list[Point]
    corners: tuple[Point, ...]


def pivot_turns(
    resolved: ResolvedDesign, before: Sequence[PlacedFace], after: Sequence[PlacedFace]
) -> list[PivotTurn]:
    """The turn of each part that turned on its brad."""
    found = []
    for pivot in holding_pivots(resolved):
        was, now = (_own_face(resolved, faces, pivot) for faces in (before, after))
        if was is not None and now is not None and was.pose.rotation != now.pose.rotation:
            box = _box(resolved, was)
            xs, ys = (float(box.left), float(box.right)), (float(box.bottom), float(box.top))
            poses = was.pose, now.pose
            corners = tuple(_applied(pose, (x, y)) for pose in poses for x in xs for y in ys)
            found.append(PivotTurn(_arc(pivot, box, *poses), corners))
    return found


def _far_end(pivot: ResolvedFastening, box: Box) -> tuple[float, float]:
    """The middle of the edge that is farthest from the brad, in the part's own coordinates."""
    assert pivot.point is not None
    x, y = float(pivot.point.x), float(pivot.point.y)
    ends = [
        (float(box.left), y),
        (float(box.right), y),
        (x, float(box.bottom)),
        (x, float(box.top)),
    ]
    return max(ends, key=lambda end: math.dist(end, (x, y)))


def _arc(pivot: ResolvedFastening, box: Box, before: Pose, after: Pose) -> list[Point]:
    """The way of the far end, kept clear of the part itself at both ends."""
    assert pivot.point is not None
    end = _far_end(pivot, box)
    centre = before.apply(pivot.point.x, pivot.point.y)
    x, y = float(centre[0]), float(centre[1])
    starts = [_applied(pose, end) for pose in (before, after)]
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


def _applied(pose: Pose, place: tuple[float, float]) -> Point:
    rows = zip(pose.rotation, pose.shift, strict=True)
    x, y, z = (row[0] * place[0] + row[1] * place[1] + float(shift) for row, shift in rows)
    return x, y, z

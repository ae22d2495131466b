"""What shows of brads and eyelets in pictures of the work: heads on one side, spread legs on the
other.

In: the faces of a picture from the farthest to the nearest.  Out: the ends that nothing covers, in
model mm, and their ink.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

from builder.drawings.canvas import Canvas
from builder.drawings.fastening_setting import Setting, setting_of
from builder.drawings.plane import Mapping, Place, ring_holds
from builder.drawings.raised_view import RaisedFace
from builder.drawings.styles import Fill, Line
from builder.resolve.resolved import ResolvedFastening
from builder.work import Assembly, Work
from builder.work.space import as_pose

#: The least radius of a head and the least length of a leg on paper, in mm.
_LEAST_HEAD, _LEAST_LEG = 0.8, 1.8
#: The width of a leg to that of the head.
_LEG_WIDTH = 0.3
#: The axis that what lies flat looks along.
_UPWARD = 2
_CIRCLE = tuple(math.tau * step / 20 for step in range(20))


@dataclass(frozen=True)
class FasteningEnd:
    """The ``head`` of a fastening, its spread ``legs``, or an ``eyelet``, which is a ring on both
    sides; ``radius`` is that of the head, ``hole`` that of the hole, ``leg`` the length of one."""

    kind: str
    place: Place
    radius: float
    hole: float
    leg: float


def has_ends(fastening: ResolvedFastening) -> bool:
    """Whether it goes through pieces at a known place, and shows on both sides of them."""
    source = fastening.source
    return fastening.point is not None and bool(source.through) and source.kind != "magnet pair"


def end_of(setting: Setting, place: Place, is_head_seen: bool) -> FasteningEnd:
    """The end of a fastening that lies at a place, in model mm, towards the viewer."""
    fastening = setting.fastening
    kind = "head" if is_head_seen else "legs"
    if fastening.source.kind == "eyelet":
        kind = "eyelet"
    radius, hole = float(fastening.head) / 2, float(setting.hole) / 2
    return FasteningEnd(kind, place, radius, hole, float(fastening.leg))


def visible_ends(
    work: Work, assembly: Assembly, faces: Sequence[RaisedFace]
) -> Iterator[FasteningEnd]:
    """The ends towards the viewer that lie on top where they are, of an assembly that is seen from
    above."""
    for key, fastening in work.parts.resolved.fastenings.items():
        pierced = work.pierced.get(key)
        if not has_ends(fastening) or not pierced or fastening.point is None:
            continue
        plate = assembly.plates.get(pierced[0])
        if plate is None or plate.axis != _UPWARD:
            continue
        x, y, _ = as_pose(plate.pose, work.scale).apply(fastening.point.x, fastening.point.y)
        place = float(x), float(y)
        if _is_on_top(faces, place, fastening.source.through):
            setting = setting_of(work.parts.resolved, key)
            yield end_of(setting, place, (plate.facing > 0) == setting.shows_front)


def _is_on_top(faces: Sequence[RaisedFace], place: Place, through: Collection[str]) -> bool:
    """Whether the nearest face at a place is of a piece that the fastening goes through; other
    pieces show it through their openings."""
    for face in reversed(faces):
        if face.piece.key in through and ring_holds(face.rings[0], place):
            return True
        if face.holds(place):
            return False
    return False


def draw_end(canvas: Canvas, end: FasteningEnd, mapping: Mapping) -> None:
    """Grey with a light for a head, so that it does not look like a hole; two legs for the far
    end; a ring for an eyelet."""
    centre = mapping(*end.place)
    radius = max(end.radius * mapping.scale, _LEAST_HEAD)
    if end.kind == "legs":
        half, length = _LEG_WIDTH * radius, max(end.leg * mapping.scale, _LEAST_LEG)
        parts = [[_leg(centre, side * length, half)] for side in (-1, 1)]
    elif end.kind == "eyelet":
        inner = min(end.hole * mapping.scale, 0.6 * radius)
        parts = [[disc(centre, radius), disc(centre, inner)]]
    else:
        parts = [[disc(centre, radius)]]
    for rings in parts:
        canvas.area(rings, Fill.SHADOW_6)
        for ring in rings:
            canvas.outline(ring, Line.FAINT, end.kind, is_obstacle=False)
    if end.kind == "head":
        x, y = centre
        canvas.area([disc((x - 0.3 * radius, y + 0.3 * radius), 0.3 * radius)], Fill.PAPER)


def disc(centre: Place, radius: float) -> tuple[Place, ...]:
    """A circle as a ring."""
    x, y = centre
    return tuple((x + radius * math.cos(a), y + radius * math.sin(a)) for a in _CIRCLE)


def _leg(start: Place, reach: float, half: float) -> tuple[Place, ...]:
    """A leg bent to one side, narrower at its end."""
    x, y = start
    tip = 0.4 * half
    return (x, y - half), (x + reach, y - tip), (x + reach, y + tip), (x, y + half)

"""What shows of brads and eyelets in pictures of the work: heads on one side, spread legs on the
other.

In: the faces of a picture from the farthest to the nearest.  Out: the ends that nothing covers, in
model mm, and their ink.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import assert_never

from builder.drawings.canvas import Canvas
from builder.drawings.fastening_setting import Setting, setting_of
from builder.drawings.plane import Mapping, Place
from builder.drawings.styles import Fill, Line
from builder.fastenings import EndShape
from builder.resolve.resolved import ResolvedDesign, ResolvedFastening
from builder.work import Assembly
from builder.work.space import ACROSS
from builder.work.visible import Look, from_far_to_near

#: The least radius of a head and the least length of a leg on paper, in mm.
_LEAST_HEAD, _LEAST_LEG = 0.8, 1.8
#: The width of a leg to that of the head.
_LEG_WIDTH = 0.3
_CIRCLE = tuple(math.tau * step / 20 for step in range(20))


@dataclass(frozen=True)
class FasteningEnd:
    """What of a fastening shows on one side; ``radius`` is that of the head, ``hole`` that of the
    hole, ``leg`` the length of a leg."""

    shape: EndShape
    place: Place
    radius: float
    hole: float
    leg: float


def has_ends(fastening: ResolvedFastening) -> bool:
    """Whether it goes through pieces at a known place, and shows on both sides of them."""
    source = fastening.source
    is_placed = fastening.point is not None and bool(source.through)
    return is_placed and source.fastener.ends is not None


def end_of(setting: Setting, place: Place, is_head_seen: bool) -> FasteningEnd:
    """The end of a fastening that lies at a place, in model mm, towards the viewer."""
    fastening = setting.fastening
    ends = fastening.source.fastener.ends
    assert ends is not None
    shape = ends[0] if is_head_seen else ends[1]
    radius, hole = float(fastening.head) / 2, float(setting.hole) / 2
    return FasteningEnd(shape, place, radius, hole, float(fastening.leg))


def ends_seen(
    resolved: ResolvedDesign, assembly: Assembly, scale: int, look: Look
) -> Iterator[FasteningEnd]:
    """The ends towards the viewer of an assembly that nothing covers, where they lie across the
    look, in mm."""
    first, second = ACROSS[look.axis]
    ordered = from_far_to_near(assembly, look)
    for key, fastening in resolved.fastenings.items():
        if not has_ends(fastening):
            continue
        point, setting = fastening.point, setting_of(resolved, key)
        own = setting.faces[0]
        if point is None or own not in ordered:
            continue
        plate = assembly.plates[own]
        place = plate.pose.apply((point.x * scale, point.y * scale, 0))
        spot = place[first], place[second]
        over = [each for each in ordered if assembly.plates[each].region.holds(spot)]
        if over and over[-1].piece in fastening.source.through:
            is_front_seen = plate.facing == look.towards
            at = float(spot[0]) / scale, float(spot[1]) / scale
            yield end_of(setting, at, is_front_seen == setting.shows_front)


def draw_end(canvas: Canvas, end: FasteningEnd, mapping: Mapping) -> None:
    """Grey with a light for a head, so that it does not look like a hole; two legs for the far
    end; a ring for an eyelet."""
    centre = mapping(*end.place)
    radius = max(end.radius * mapping.scale, _LEAST_HEAD)
    x, y = centre
    light: tuple[Place, ...] | None = None
    match end.shape:
        case EndShape.LEGS:
            half, length = _LEG_WIDTH * radius, max(end.leg * mapping.scale, _LEAST_LEG)
            parts = [[_leg(centre, side * length, half)] for side in (-1, 1)]
        case EndShape.RING:
            inner = min(end.hole * mapping.scale, 0.6 * radius)
            parts = [[disc(centre, radius), disc(centre, inner)]]
        case EndShape.HEAD:
            parts = [[disc(centre, radius)]]
            light = disc((x - 0.3 * radius, y + 0.3 * radius), 0.3 * radius)
        case _:
            assert_never(end.shape)
    for rings in parts:
        canvas.area(rings, Fill.SHADOW_6)
        for ring in rings:
            canvas.outline(ring, Line.FAINT, end.shape.value, is_obstacle=False)
    if light is not None:
        canvas.area([light], Fill.PAPER)


def disc(centre: Place, radius: float) -> tuple[Place, ...]:
    """A circle as a ring."""
    x, y = centre
    return tuple((x + radius * math.cos(a), y + radius * math.sin(a)) for a in _CIRCLE)


def _leg(start: Place, reach: float, half: float) -> tuple[Place, ...]:
    """A leg bent to one side, narrower at its end."""
    x, y = start
    tip = 0.4 * half
    return (x, y - half), (x + reach, y - tip), (x + reach, y + tip), (x, y + half)

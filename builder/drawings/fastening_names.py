"""The names of the layers that a fastening goes through, and the size of its hole, on its place.

In: a setting and where the work lies on paper.  Out: lettering on the canvas, with leaders.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from builder.drawings.canvas import Canvas
from builder.drawings.fastening_setting import Setting, layer_name
from builder.drawings.labels import NOTE_PT, inner_label, note
from builder.drawings.lettering import level_text, text_rect
from builder.drawings.plane import Mapping, Place, Rect, distance_to_segment, ring_holds
from builder.drawings.scene import Text
from builder.lengths import UnitSystem


@dataclass(frozen=True)
class Plan:
    """Where the work lies on paper: ``window`` is the part that is shown."""

    mapping: Mapping
    window: Rect
    piece: Rect
    centre: Place
    swing: tuple[Place, ...]


def name_layers(canvas: Canvas, plan: Plan, setting: Setting, units: UnitSystem) -> None:
    """Every layer's name where it is seen, and the size of the hole."""
    box = plan.piece.common(plan.window) or plan.piece
    if setting.hole:
        rim = float(setting.hole) / 2 * plan.mapping.scale
        _name_hole(canvas, plan.centre, rim, f"Ø {units.number(setting.hole)}", box)
    names = [layer_name(setting.top), setting.top.code]
    if not inner_label(canvas, box, names[:1], NOTE_PT, bold=True):
        targets = _seen(plan, setting, 0)
        note(canvas, targets or [plan.centre], names[0], bold=True)
    for index, laid in enumerate(setting.layers[1:], start=1):
        targets = _seen(plan, setting, index)
        if targets:
            note(canvas, targets, layer_name(laid.piece))


def _name_hole(canvas: Canvas, centre: Place, rim: float, text: str, box: Rect) -> None:
    """The hole's diameter beside it, joined to its rim, best within ``box``."""
    best: tuple[float, Text, Place, Place] | None = None
    for distance in (4.5, 6.0, 8.0, 10.5):
        for degrees in (45, 135, 315, 225, 30, 150, 330, 210, 60, 120, 300, 240):
            dx, dy = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
            x, y = centre[0] + dx * (rim + distance), centre[1] + dy * (rim + distance)
            away = 0.5 if dx > 0 else -0.5
            label = level_text(text, x + away, y, NOTE_PT, "start" if dx > 0 else "end")
            tip = centre[0] + dx * rim, centre[1] + dy * rim
            words, lines = canvas.leader_faults((x, y), tip)
            cost = distance + 30.0 * words + 10.0 * lines
            if not canvas.is_free(text_rect(label)):
                cost += 1000.0
            if not box.contains(text_rect(label)):
                cost += 8.0
            if best is None or cost < best[0]:
                best = cost, label, (x, y), tip
    assert best is not None
    _, label, start, tip = best
    canvas.text(label)
    canvas.leader(start, tip)


#: Places looked at along each side of the window: narrow margins have to be met in their middle.
_PLACES_ACROSS = 28


def _seen(plan: Plan, setting: Setting, index: int) -> list[Place]:
    """Places where a layer shows, those deepest inside it first."""
    covers = [plan.mapping.ring(laid.rings[0]) for laid in setting.layers[:index]]
    own = plan.mapping.ring(setting.layers[index].rings[0])
    box = plan.window
    steps = [(step + 0.5) / _PLACES_ACROSS for step in range(_PLACES_ACROSS)]
    places = [(box.left + u * box.width, box.bottom + v * box.height) for u in steps for v in steps]
    found = [
        place
        for place in places
        if ring_holds(own, place) and not any(ring_holds(cover, place) for cover in covers)
    ]
    rings = (own, box.ring, *covers)
    edges = [pair for ring in rings for pair in pairwise((*ring, ring[0]))]

    def depth(place: Place) -> float:
        return min(distance_to_segment(place, a, b) for a, b in edges)

    return sorted(found, key=lambda place: -min(depth(place), 3.0))[:6]

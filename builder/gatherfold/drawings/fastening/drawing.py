"""How a brad, eyelet or magnet pair is set: where its centre lies, and a section of the stack.

In: a resolved design, a fastening with a point, the room on paper.  Out: a scene.  On the left
the top layer as it is seen from the side it is pierced from, the layers below in grey, the centre
dimensioned from two edges of the top layer; on the right a section, not to scale.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import chain
from typing import Literal

from shapely import box, unary_union
from shapely.geometry.base import BaseGeometry

from gatherfold.drawings.dimensions.dimensions import arrowhead, cross
from gatherfold.drawings.dimensions.placing import dimension_between
from gatherfold.drawings.fastening.ends import RibbonEnd, draw_ribbon_end, ribbon_end
from gatherfold.drawings.fastening.section import StackSection, draw_section
from gatherfold.drawings.fastening.setting import (
    Setting,
    fastening_words,
    hole_sentences,
    setting_of,
    side_words,
)
from gatherfold.drawings.kernel.break_lines import break_off
from gatherfold.drawings.kernel.canvas import Canvas
from gatherfold.drawings.kernel.plane import (
    Place,
    Rect,
    ToPaper,
    around,
    bounding,
    clipped_rings,
    clipped_run,
    fitted,
)
from gatherfold.drawings.kernel.scene import Scene, Text
from gatherfold.drawings.kernel.styles import Fill, Line
from gatherfold.drawings.kernel.wording import named, unit_word
from gatherfold.drawings.kernel.wrapping import draw_caption, sentence_lines
from gatherfold.drawings.labels.labels import NOTE_PT, inside, label, write_labels
from gatherfold.drawings.labels.placings import LabelLook, Mark
from gatherfold.drawings.views.cropping import focused, widened
from gatherfold.drawings.views.seen_pieces import SeenPiece, places_within
from gatherfold.drawings.views.sight import covered_runs
from gatherfold.geometry import EDGES_BY_AXIS, outward
from gatherfold.resolve import ResolvedDesign, size_text

#: The place stands beside the section, or above it in a column too narrow for both.
_LEAST_BESIDE, _LEFT_SHARE = 100.0, 0.52
_GUTTER = 5.0
_LINE_PITCH = 3.8
_CAPTION = 6.0
_DIMENSION_ROOM, _NOTE_ROOM = 11.0, 6.0
_LEAST_ROUND = 9.0
#: The work goes on where it reaches so much further than the layers, in mm.
_BEYOND = 1.0
_CROSS_BEYOND = 1.6
_SMALL_HOLE = 1.0
_ARROW = 1.25
_WIDEST_SWING, _SWING = 42.0, math.radians(24)
#: Where round the rim of a hole the leader of its size may end.
_RIM = tuple(math.radians(degrees) for degrees in range(30, 360, 30))


def fastening_scene(
    resolved: ResolvedDesign, fastening_key: str, max_width: float, max_height: float
) -> Scene:
    """How to set one fastening, drawn within ``max_width`` x ``max_height`` mm."""
    setting = setting_of(resolved, fastening_key)
    canvas = Canvas(max_width, max_height)
    is_wide = max_width >= _LEAST_BESIDE
    left_width = max_width * _LEFT_SHARE if is_wide else max_width
    lines = [
        line
        for sentence in hole_sentences(setting)
        for line in sentence_lines(sentence, max_width, NOTE_PT)
    ]
    height = max_height - _LINE_PITCH * len(lines)
    plan = Canvas(left_width, height)
    ribbon = ribbon_end(setting)
    _draw_place(plan, _plan_of(plan.frame, setting, ribbon))
    section = _section_of(setting, ribbon)
    side = Canvas(max_width - left_width - _GUTTER if is_wide else max_width, height)
    draw_section(side, section, _CAPTION)
    canvas.include(plan, 0.0, 0.0 if is_wide else side.extent.top - plan.extent.bottom + _GUTTER)
    canvas.include(side, left_width + _GUTTER if is_wide else 0.0)
    base = canvas.extent.bottom
    for number, line in enumerate(lines, start=1):
        canvas.text(Text(line, 0.0, base - _LINE_PITCH * number, NOTE_PT, "start"))
    told = fastening_words(setting)
    if any(section.sides):
        head, far = section.sides
        told += " " + setting.wording.phrase("draw_section_sides", head=head, far=far)
    return canvas.scene(f"fastening-{fastening_key}", setting.fastening.source.title, told)


def _section_of(setting: Setting, ribbon: RibbonEnd | None) -> StackSection:
    """What the section beside the place shows."""
    fastening, words = setting.fastening, setting.wording
    sizes = {
        "size": size_text(fastening.head, setting.resolved),
        "length": size_text(fastening.leg, setting.resolved) if fastening.leg else "",
    }
    head, end = (words.phrase(name, **sizes) for name in fastening.source.fastener.words.section)
    doubled_at: Literal["left", "right"] | None = None
    if ribbon is not None and ribbon.is_folded:
        # Where it lies behind the hole in the picture beside it.
        doubled_at = "left" if (ribbon.way[0] >= 0) == setting.from_front else "right"
    return StackSection(
        shape=fastening.source.fastener.section,
        head=head,
        end=end,
        held=setting.held.source.title if setting.held else "",
        layers=tuple(named(laid.piece) for laid in setting.layers),
        sides=side_words(setting) or ("", ""),
        note=words.phrase("draw_section_note"),
        doubled_at=doubled_at,
    )


@dataclass(frozen=True)
class _Plan:
    """Where the work lies on paper: ``window`` is the part that is shown, ``swing`` the way of the
    far end of the top layer, if it turns."""

    setting: Setting
    ribbon: RibbonEnd | None
    mapping: ToPaper
    window: Rect
    swing: tuple[Place, ...]

    @property
    def piece(self) -> Rect:
        """The rectangle round the top layer."""
        return self.mapping.rect(self.setting.layers[0].extent)

    @property
    def centre(self) -> Place:
        return self.mapping(*self.setting.place)

    @property
    def rim(self) -> float:
        """The radius of the hole."""
        return float(self.setting.hole) / 2 * self.mapping.scale

    def shown(self, index: int) -> BaseGeometry:
        """What shows of a layer."""
        layers = self.setting.layers[index::-1]
        own, *covers = [self.mapping.shape(laid.outline) for laid in layers]
        return own.intersection(box(*self.window)).difference(unary_union(covers))


def _draw_place(canvas: Canvas, plan: _Plan) -> None:
    setting = plan.setting
    top, *below = setting.layers
    for laid in reversed(below):
        _draw_layer(canvas, plan, laid, Fill.EXISTING, Line.EXISTING)
    _draw_layer(canvas, plan, top, Fill.PAPER, Line.VISIBLE)
    draw_ribbon_end(canvas, plan.ribbon, plan.mapping)
    for index, laid in enumerate(below, start=1):
        # The edges of each layer where those above it hide them: how far it reaches under them.
        hidden = covered_runs(laid.rings[0], [each.outline for each in setting.layers[:index]])
        runs = [run for part in hidden for run in clipped_run(plan.mapping.ring(part), plan.window)]
        canvas.strokes(runs, Line.HIDDEN, laid.piece.key)
    break_off(canvas, plan.window, [plan.mapping.shape(top.outline)])
    # A cross through the centre, longer than the hole.
    cross(canvas, plan.centre, plan.rim + _CROSS_BEYOND)
    _draw_swing(canvas, plan)
    # The first edge is level on paper where the layer lies turned by a quarter.
    is_turned = top.pose.rotation[0][0] == 0
    numbers = [setting.units.number(distance) for distance in setting.distances]
    for number, is_level in zip(numbers, (not is_turned, is_turned), strict=True):
        _dimension(canvas, plan, number, is_level)
    draw_caption(canvas, _caption_words(plan))
    write_labels(canvas, [*_names(canvas, plan)])


def _plan_of(frame: Rect, setting: Setting, ribbon: RibbonEnd | None) -> _Plan:
    extent, (x, y), (_, corner) = setting.layers[0].extent, setting.place, setting.corner
    swing = _swing(extent, (x, y)) if setting.fastening.source.pivot else ()
    room = Rect(
        frame.left + _DIMENSION_ROOM,
        frame.bottom + _CAPTION + (_NOTE_ROOM if corner > y else _DIMENSION_ROOM),
        frame.right - _DIMENSION_ROOM,
        frame.top - (_DIMENSION_ROOM if corner > y else _NOTE_ROOM),
    )
    # The centre, the edges it is measured from and how far it turns.
    around_centre = Rect(x, y, x, y).grown(_LEAST_ROUND)
    needed = around([bounding([setting.corner, *swing]), around_centre])
    most = around([*(laid.extent for laid in setting.layers), needed])
    if swing:
        needed = around([extent, needed])
    else:
        most = around([needed, _broken(most, setting.work)])
    shown = widened(focused(needed, most), most, room)
    mapping = fitted(shown, room, 1.0, mirrored=not setting.from_front)
    window = mapping.rect(shown).grown(0.01)
    return _Plan(setting, ribbon, mapping, window, mapping.ring(swing))


def _broken(layers: Rect, work: Rect) -> Rect:
    """The layers short of the edges beyond which the work goes on: an edge of theirs would look
    like one of the work."""
    ends = []
    for edge in EDGES_BY_AXIS:
        at, away = layers.edge(edge), sum(outward(edge))
        goes_on = away * (work.edge(edge) - at) > _BEYOND
        ends.append(at - away * _LEAST_ROUND if goes_on else at)
    left, right, bottom, top = ends
    return Rect(left, bottom, right, top)


def _swing(extent: Rect, centre: Place) -> tuple[Place, ...]:
    """An arc round the centre across the far end of the piece that turns on it."""
    x, y = centre
    ends = [
        (extent.right - x, 0.0),
        (x - extent.left, math.pi),
        (extent.top - y, math.pi / 2),
        (y - extent.bottom, -math.pi / 2),
    ]
    far, middle = max(ends, key=lambda end: end[0])
    radius = min(0.78 * far, _WIDEST_SWING)
    angles = [middle + _SWING * step / 10 for step in range(-10, 11)]
    return tuple((x + radius * math.cos(a), y + radius * math.sin(a)) for a in angles)


def _draw_layer(canvas: Canvas, plan: _Plan, laid: SeenPiece, fill: Fill, line: Line) -> None:
    """The part of one layer inside the window; edges cut off by the window are not drawn."""
    rings = [plan.mapping.ring(ring) for ring in laid.rings]
    outer, *holes = (clipped_rings(ring, plan.window) for ring in rings)
    if not outer:
        return
    is_top = line is Line.VISIBLE
    canvas.area(outer if is_top else [*outer, *chain(*holes)], fill)
    small = 2 * _SMALL_HOLE
    for ring in rings if is_top else rings[:1]:
        # A heavy line would fill a hole that comes out small.
        finer = Line.FAINT if is_top and bounding(ring).width < small else line
        canvas.strokes(clipped_run((*ring, ring[0]), plan.window), finer, laid.piece.key)


def _draw_swing(canvas: Canvas, plan: _Plan) -> None:
    """The arc with an arrowhead at both ends."""
    if not plan.swing:
        return
    canvas.strokes([plan.swing], Line.DIMENSION, "pivot")
    for tip, inner in (plan.swing[:2], plan.swing[-1:-3:-1]):
        dx, dy = tip[0] - inner[0], tip[1] - inner[1]
        length = math.hypot(dx, dy)
        arrowhead(canvas, tip, dx / length, dy / length, _ARROW)


def _dimension(canvas: Canvas, plan: _Plan, text: str, is_level: bool) -> None:
    """One distance of the centre from an edge, beyond the edge that the other is measured from."""
    corner, centre = plan.mapping(*plan.setting.corner), plan.centre
    start = (corner[0], centre[1]) if is_level else (centre[0], corner[1])
    edge = corner[is_level]
    out = -1.0 if edge <= centre[is_level] else 1.0
    levels = edge + out * _NEAREST, edge + out * _FARTHEST
    dimension_between(canvas, start, centre, text, levels, plan.piece)


#: How far outside the edge a dimension line may stand.
_NEAREST, _FARTHEST = 4.0, 10.0


def _caption_words(plan: _Plan) -> list[str]:
    """The unit, the side seen, and what signs mean."""
    setting = plan.setting
    facts = {
        "draw_from_front" if setting.from_front else "draw_from_behind": True,
        "draw_turns_centre": bool(plan.swing),
        "draw_diameter": bool(setting.hole),
        "draw_true_size": plan.mapping.scale == 1.0,
    }
    words = [setting.wording.phrase(name) for name, is_so in facts.items() if is_so]
    return [unit_word(setting.units), *words]


def _names(canvas: Canvas, plan: _Plan) -> Iterator[Mark]:
    """The end of the ribbon, the size of the hole, and every layer's name where it is seen."""
    setting, ribbon, plain = plan.setting, plan.ribbon, LabelLook(NOTE_PT)
    if ribbon is not None:
        # Best behind the hole.
        outs = (-0.75 * ribbon.behind, -0.4 * ribbon.behind, 0.5 * ribbon.reach)
        asides = (0.0, 0.3 * ribbon.width, -0.3 * ribbon.width)
        places = [plan.mapping(*ribbon.at(out, aside)) for out in outs for aside in asides]
        yield label(canvas, places, [ribbon.title], LabelLook(NOTE_PT, boxed=True))
    if setting.hole:
        (x, y), rim = plan.centre, plan.rim
        places = [(x + rim * math.cos(a), y + rim * math.sin(a)) for a in _RIM]
        yield label(canvas, places, [f"Ø {setting.units.number(setting.hole)}"], plain)
    for index, laid in enumerate(setting.layers):
        inner, name = places_within(plan.shown(index)), named(laid.piece)
        if index == 0:
            room, look = plan.piece.common(plan.window) or plan.piece, LabelLook(NOTE_PT, bold=True)
            within = inside(room, [name], look)
            yield label(canvas, inner or [plan.centre], [name], look, within)
        elif inner:
            yield label(canvas, inner, [name], plain)

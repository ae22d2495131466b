"""What shows of fastenings in pictures of the work: heads on one side, spread legs on the other,
and the end of a ribbon under a head.

In: the faces of a picture from the farthest to the nearest, or a setting.  Out: the ends that
nothing covers, in model mm, and their ink; the ribbon as a strip over the top layer, off its nearer
edge.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from operator import itemgetter
from typing import assert_never

from gatherfold.drawings.fastening.setting import Setting, setting_of
from gatherfold.drawings.kernel.break_lines import wave
from gatherfold.drawings.kernel.canvas import Canvas
from gatherfold.drawings.kernel.plane import Place, ToPaper, circle_ring
from gatherfold.drawings.kernel.styles import Fill, Line
from gatherfold.geometry import EDGES_BY_AXIS, is_upright, outward
from gatherfold.model import Bought, EndShape
from gatherfold.resolve import ResolvedDesign
from gatherfold.work import ACROSS, Assembly, FaceKey, Look, nearer_at

#: The least radius of a head and the least length of a leg on paper, in mm.
_LEAST_HEAD, _LEAST_LEG = 0.8, 1.8
#: The width of a leg to that of the head.
_LEG_WIDTH = 0.3
#: How far a ribbon is drawn beyond the edge that it runs off, in mm on paper.
_BEYOND = 5.0
#: Chords of a circle.
ROUND = 20


@dataclass(frozen=True)
class FasteningEnd:
    """What of a fastening shows on one side; ``radius`` is that of the head, ``hole`` that of the
    hole, ``leg`` the length of a leg."""

    shape: EndShape
    place: Place
    radius: float
    hole: float
    leg: float


@dataclass(frozen=True)
class EndTowards:
    """The end of a fastening towards the viewer, whether it is the head, the face that it lies on,
    and the pieces that lie over it there."""

    setting: Setting
    end: FasteningEnd
    is_head: bool
    face: FaceKey
    over: frozenset[str]


def ends_towards(
    resolved: ResolvedDesign, assembly: Assembly, scale: int, look: Look
) -> Iterator[EndTowards]:
    """The ends in an assembly, their places in mm, where what is pierced lies across the look."""
    first, second = ACROSS[look.axis]
    for key, fastening in resolved.fastenings.items():
        ends = fastening.source.fastener.ends
        if fastening.point is None or not fastening.source.through or ends is None:
            continue
        setting = setting_of(resolved, key)
        faces, plates = setting.faces, assembly.plates
        if not plates.keys() >= {*faces} or plates[faces[0]].axis != look.axis:
            continue
        centre, plate = setting.centre, plates[faces[0]]
        place = plate.pose.apply((centre.x * scale, centre.y * scale, 0))
        is_head = (plate.facing == look.towards) == setting.shows_front
        face = faces[0] if is_head else faces[-1]
        over = nearer_at(assembly, look, face, (place[first], place[second]))
        end = FasteningEnd(
            ends[0] if is_head else ends[1],
            (float(place[first]) / scale, float(place[second]) / scale),
            float(fastening.head) / 2,
            float(setting.hole) / 2,
            float(fastening.leg),
        )
        others = frozenset(key.piece for key in over) - set(fastening.source.through)
        yield EndTowards(setting, end, is_head, face, others)


def draw_end(canvas: Canvas, end: FasteningEnd, mapping: ToPaper) -> None:
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
            parts = [[circle_ring(centre, radius, ROUND), circle_ring(centre, inner, ROUND)]]
        case EndShape.HEAD:
            parts = [[circle_ring(centre, radius, ROUND)]]
            light = circle_ring((x - 0.3 * radius, y + 0.3 * radius), 0.3 * radius, ROUND)
        case _:
            assert_never(end.shape)
    for rings in parts:
        canvas.area(rings, Fill.SHADOW_6)
        for ring in rings:
            canvas.outline(ring, Line.FAINT, end.shape.value, is_obstacle=False)
    if light is not None:
        canvas.area([light], Fill.PAPER)


def _leg(start: Place, reach: float, half: float) -> tuple[Place, ...]:
    """A leg bent to one side, narrower at its end."""
    x, y = start
    tip = 0.4 * half
    return (x, y - half), (x + reach, y - tip), (x + reach, y + tip), (x, y + half)


@dataclass(frozen=True)
class RibbonEnd:
    """A ribbon's width, how far its end lies behind the hole at ``centre``, whether it is folded
    there, the way it runs, how far it is to the edge, in mm, its name and what is said of this end.
    """

    width: float
    behind: float
    name: str
    title: str
    centre: Place
    way: tuple[int, int]
    reach: float
    is_folded: bool

    def at(self, out: float, aside: float = 0.0) -> Place:
        """A place so far along it from the hole, and so far beside its middle."""
        (x, y), (dx, dy) = self.centre, self.way
        return x + out * dx - aside * dy, y + out * dy + aside * dx

    def strip(self, start: float, end: float) -> tuple[Place, ...]:
        """Its outline from one distance from the hole to another."""
        half = self.width / 2
        corners = ((start, -half), (start, half), (end, half), (end, -half))
        return tuple(self.at(out, aside) for out, aside in corners)

    def end(self, mapping: ToPaper) -> float:
        """How far from the hole it is cut off in a picture."""
        return self.reach + _BEYOND / mapping.scale


def ribbon_end(setting: Setting) -> RibbonEnd | None:
    """The ribbon that a fastening holds; half of what is turned under lies behind the hole."""
    held = setting.held
    if held is None or held.source.stock is None:
        return None
    if held.source.fastener.bought is not Bought.OFF_A_ROLL:
        return None
    width = float(setting.resolved.stocks[held.source.stock].ribbon_width)
    extent, centre = setting.layers[0].extent, setting.place
    # The way to the nearer edge of the top layer, and how far it is.
    outwards = (
        (outward(e), abs(extent.edge(e) - centre[not is_upright(e)])) for e in EDGES_BY_AXIS
    )
    way, reach = min(outwards, key=itemgetter(1))
    return RibbonEnd(
        width=width,
        behind=max(float(held.allowance) / 2, width / 2),
        name=held.source.title,
        title=setting.wording.phrase("draw_ribbon_end", title=held.source.title),
        centre=centre,
        way=way,
        reach=reach,
        is_folded=held.allowance > 0,
    )


def draw_ribbon_end(
    canvas: Canvas, ribbon: RibbonEnd | None, mapping: ToPaper, start: float | None = None
) -> None:
    """The ribbon from behind the hole, or from where it shows, to beyond the nearer edge, where a
    wave cuts it off."""
    if ribbon is None:
        return
    ring = mapping.ring(ribbon.strip(-ribbon.behind if start is None else start,
                                     ribbon.end(mapping)))  # fmt: skip
    canvas.area([ring], Fill.TINT_4)
    canvas.strokes([(ring[3], ring[0], ring[1], ring[2])], Line.FAINT, "ribbon")
    canvas.strokes([wave(ring[2], ring[3])], Line.DIMENSION, "break")

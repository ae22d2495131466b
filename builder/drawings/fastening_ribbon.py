"""The end of a ribbon under the head of a brad: which way it runs, how far its fold lies behind.

In: a setting, the mapping to paper.  Out: a strip over the top layer, off its nearer edge.
"""

from __future__ import annotations

from dataclasses import dataclass

from builder.drawings.break_lines import wave
from builder.drawings.canvas import Canvas
from builder.drawings.fastening_setting import Setting
from builder.drawings.labels import NOTE_PT, note
from builder.drawings.plane import Mapping, Place
from builder.drawings.seen_pieces import SeenPiece
from builder.drawings.styles import Fill, Line
from builder.drawings.wording import words_of
from builder.fastenings import Bought
from builder.resolve.resolved import ResolvedDesign

#: How far it is drawn beyond the edge that it runs off, in mm on paper.
_BEYOND = 5.0


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

    def end(self, mapping: Mapping) -> float:
        """How far from the hole it is cut off in a picture."""
        return self.reach + _BEYOND / mapping.scale


def ribbon_end(resolved: ResolvedDesign, setting: Setting) -> RibbonEnd | None:
    """The ribbon that a fastening holds; half of what is turned under lies behind the hole."""
    held = resolved.fastenings.get(setting.fastening.source.holds or "")
    if held is None or held.source.stock is None:
        return None
    if held.source.fastener.bought is not Bought.OFF_A_ROLL:
        return None
    width = float(resolved.stocks[held.source.stock].ribbon_width)
    title = words_of(resolved).phrase("draw_ribbon_end", title=held.source.title)
    top = setting.layers[0]
    centre = setting.place
    dx, dy, reach = _outwards(top, centre)
    behind = max(float(held.allowance) / 2, width / 2)
    return RibbonEnd(
        width, behind, held.source.title, title, centre, (dx, dy), reach, held.allowance > 0
    )


def draw_ribbon_end(
    canvas: Canvas, ribbon: RibbonEnd | None, mapping: Mapping, start: float | None = None
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


def name_ribbon_end(canvas: Canvas, ribbon: RibbonEnd | None, mapping: Mapping) -> None:
    """What it is, with a leader to where it lies, best behind the hole."""
    if ribbon is not None:
        outs = (-0.75 * ribbon.behind, -0.4 * ribbon.behind, 0.5 * ribbon.reach)
        asides = (0.0, 0.3 * ribbon.width, -0.3 * ribbon.width)
        places = [mapping(*ribbon.at(out, aside)) for out in outs for aside in asides]
        note(canvas, places, ribbon.title, size_pt=NOTE_PT, boxed=True)


def _outwards(top: SeenPiece, centre: Place) -> tuple[int, int, float]:
    """The way to the nearer edge of the top layer, and how far it is."""
    box, (x, y) = top.extent, centre
    ways = (
        (-1, 0, x - box.left),
        (1, 0, box.right - x),
        (0, -1, y - box.bottom),
        (0, 1, box.top - y),
    )
    return min(ways, key=lambda way: way[2])

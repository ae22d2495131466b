"""What is written on crowded paper, the places that it can have, and where two of them would touch.

In: what a mark covers at each place, and the leader to what it speaks of.  Out: placings in order
of their cost, and the faults between two of them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from gatherfold.drawings.kernel.canvas import CLEARANCE, DOT, ENDS_APART, LEADERS_APART, Canvas
from gatherfold.drawings.kernel.lettering import (
    capital_height,
    inked_rect,
    text_width,
)
from gatherfold.drawings.kernel.plane import (
    Place,
    Rect,
    around,
    circle_ring,
    segment_meets,
    segments_apart,
)
from gatherfold.drawings.kernel.scene import Text
from gatherfold.drawings.kernel.styles import BLACK, Fill, Line

#: What a fault costs, in mm of leader: far more than any way round it; and what it costs to stand
#: where a label would be taken for that of something else.
FAULT, MISLEADING = 1000.0, 300.0
#: What it costs a label that stands by itself to have others beside it, and how near that is.
CROWDED, NEAR = 12.0, 2.2
#: Leaders keep so far from the lettering, and from the circles, that they pass.
_OFF_WORDS, _OFF_CIRCLES = 0.8, 0.6
#: The radius of the circle round a number, and white kept round it.
BADGE = 1.9
_CIRCLES_APART = 0.2
#: And so far from the dots that others end in, and from one another.
_OFF_DOTS = LEADERS_APART + 0.05

#: From where a leader starts to where it ends.
Leader = tuple[Place, Place]


@dataclass(frozen=True)
class LabelLook:
    """How a label is written; one that is circled stands in a circle on white."""

    size_pt: float
    bold: bool = False
    boxed: bool = False
    colour: str = BLACK
    circled: bool = False

    def at(self, text: str, x: float, y: float, rotation: int = 0) -> Text:
        """The text with its capitals centred on a place."""
        drop = capital_height(self.size_pt) / 2
        dx, dy = (0.0, -drop) if rotation == 0 else (drop, 0.0)
        place = text, x + dx, y + dy
        return Text(*place, self.size_pt, "middle", rotation, self.bold, self.boxed, self.colour)


@dataclass(frozen=True)
class Block:
    """Lines of lettering about the origin, what they take, and the room that they need in a box."""

    texts: tuple[Text, ...]
    ground: Rect
    width: float
    height: float


def block(
    lines: Sequence[tuple[str, LabelLook]],
    rotation: int = 0,
    pitch: float = 0.0,
    white: tuple[float, float] = (0.0, 0.0),
) -> Block:
    """Lines a ``pitch`` apart, level or upright, with some white at their ends and beside them."""
    texts = []
    for number, (line, look) in enumerate(lines):
        up = pitch * ((len(lines) - 1) / 2 - number)
        x, y = (0.0, up) if rotation == 0 else (-up, 0.0)
        texts.append(look.at(line, x, y, rotation))
    along = max(text_width(line, look.size_pt, look.bold) for line, look in lines) + 2 * white[0]
    across = capital_height(lines[0][1].size_pt) + pitch * (len(lines) - 1) + 2 * white[1]
    width, height = (along, across) if rotation == 0 else (across, along)
    ground = around(map(inked_rect, texts))
    if lines[0][1].circled:
        ground = Rect(-BADGE, -BADGE, BADGE, BADGE)
    return Block(tuple(texts), ground, width, height)


@dataclass(frozen=True, eq=False)
class MarkPlace:
    """One way to write a mark: what its lettering covers, the leader to what it speaks of, and how
    much worse it is than the mark's best place, in mm of leader.

    The ``texts`` are written moved by ``at``.  ``is_sound`` says that it is known to touch nothing
    that is fixed; ``is_free`` that it stands by itself and so keeps away from other lettering.
    """

    ground: Rect
    cost: float
    texts: tuple[Text, ...] = ()
    leader: Leader | None = None
    at: Place = (0.0, 0.0)
    is_circle: bool = False
    is_sound: bool = False
    is_free: bool = False

    @property
    def clearance(self) -> float:
        return _CIRCLES_APART if self.is_circle else CLEARANCE

    @cached_property
    def clear(self) -> Rect:
        """Where no other lettering stands."""
        return self.ground.grown(self.clearance)

    @cached_property
    def off_leaders(self) -> Rect:
        """Where no other leader runs."""
        return self.ground.grown(_OFF_CIRCLES if self.is_circle else _OFF_WORDS)

    @cached_property
    def off_ends(self) -> Rect:
        """Where no other leader ends."""
        return self.off_leaders if self.is_circle else self.ground.grown(ENDS_APART)

    @cached_property
    def reach(self) -> Rect:
        """All that another mark could touch lies in here."""
        left, bottom, right, top = self.ground
        for x, y in self.leader or ():
            left, bottom, right, top = min(left, x), min(bottom, y), max(right, x), max(top, y)
        return Rect(left - NEAR, bottom - NEAR, right + NEAR, top + NEAR)

    def write(self, canvas: Canvas) -> None:
        """The lettering and the leader."""
        if self.is_circle:
            ring = circle_ring(self.ground.centre, BADGE, 24)
            canvas.keep_free(self.ground)
            canvas.area([ring], Fill.BADGE)
            canvas.outline(ring, Line.DIMENSION, f"cut {self.texts[0].text}")
        for text in self.texts:
            canvas.text(replace(text, x=text.x + self.at[0], y=text.y + self.at[1]))
        if self.leader is not None:
            pointed_leader(canvas, *self.leader)


class Mark:
    """What is to be written, and its places in order of their cost, worked out when asked for."""

    def __init__(self, name: str, places: Iterable[MarkPlace]) -> None:
        self.name = name
        self._known: list[MarkPlace] = []
        self._rest = iter(places)

    @property
    def best(self) -> MarkPlace:
        """The best place it could have."""
        return next(iter(self))

    def __iter__(self) -> Iterator[MarkPlace]:
        index = 0
        while True:
            if index == len(self._known):
                found = next(self._rest, None)
                if found is None:
                    return
                self._known.append(found)
            yield self._known[index]
            index += 1


def faults_between(one: MarkPlace, other: MarkPlace) -> int:
    """In how many ways two marks would touch, or seem to belong together."""
    roomy, narrow = (one, other) if one.clearance > other.clearance else (other, one)
    count = int(roomy.clear.meets(narrow.ground))
    for leader, words in ((one.leader, other), (other.leader, one)):
        if leader is not None:
            count += segment_meets(*leader, words.off_leaders) or words.off_ends.holds(leader[1])
    if one.leader is not None and other.leader is not None:
        count += segments_apart(*one.leader, *other.leader) < _OFF_DOTS
    return count


def crowding(one: MarkPlace, other: MarkPlace) -> float:
    """What it costs that a label that should stand by itself has another beside it."""
    if (one.is_free or other.is_free) and one.ground.grown(NEAR).meets(other.ground):
        return CROWDED
    return 0.0


def pointed_leader(canvas: Canvas, start: Place, target: Place) -> None:
    """A leader that ends in a dot."""
    canvas.leader(start, target)
    canvas.area([circle_ring(target, DOT, 10)], Fill.INK)

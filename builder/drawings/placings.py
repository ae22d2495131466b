"""The places that a mark can have on crowded paper, and where two of them would touch.

In: what a mark covers at each place, and the leader to what it speaks of.  Out: placings in order
of their cost, and the faults between two of them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property

from builder.drawings.canvas import CLEARANCE, ENDS_APART, LEADERS_APART
from builder.drawings.plane import Place, Rect, segment_meets, segments_apart
from builder.drawings.scene import Text

#: What it costs a label that stands by itself to have others beside it, and how near that is.
_BESIDE, _NEAR = 12.0, 2.2
#: Leaders keep so far from the lettering, and from the circles, that they pass.
_OFF_WORDS, _OFF_CIRCLES = 0.8, 0.6
#: White kept round a circle.
_CIRCLES_APART = 0.2
#: And so far from the dots that others end in, and from one another.
_OFF_DOTS = LEADERS_APART + 0.05


@dataclass(frozen=True, eq=False)
class Placing:
    """One way to write a mark: what its lettering covers, the leader to what it speaks of, and how
    much worse it is than the mark's best place, in mm of leader.

    ``is_sound`` says that it is known to touch nothing that is fixed; ``is_free`` that it stands
    by itself and so keeps away from other lettering.
    """

    ground: Rect
    cost: float
    texts: tuple[Text, ...] = ()
    leader: tuple[Place, Place] | None = None
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
        return Rect(left - _NEAR, bottom - _NEAR, right + _NEAR, top + _NEAR)


class Mark:
    """What is to be written, and its places in order of their cost, worked out when asked for."""

    def __init__(self, name: str, places: Iterable[Placing]) -> None:
        self.name = name
        self._known: list[Placing] = []
        self._rest = iter(places)

    @property
    def best(self) -> Placing:
        """The best place it could have."""
        return next(iter(self))

    def __iter__(self) -> Iterator[Placing]:
        index = 0
        while True:
            if index == len(self._known):
                found = next(self._rest, None)
                if found is None:
                    return
                self._known.append(found)
            yield self._known[index]
            index += 1


def faults_between(one: Placing, other: Placing) -> int:
    """In how many ways two marks would touch, or seem to belong together."""
    roomy, narrow = (one, other) if one.clearance > other.clearance else (other, one)
    count = int(roomy.clear.meets(narrow.ground))
    for leader, words in ((one.leader, other), (other.leader, one)):
        if leader is not None:
            count += segment_meets(*leader, words.off_leaders) or words.off_ends.holds(leader[1])
    if one.leader is not None and other.leader is not None:
        count += segments_apart(*one.leader, *other.leader) < _OFF_DOTS
    return count


def crowding(one: Placing, other: Placing) -> float:
    """What it costs that a label that should stand by itself has another beside it."""
    if (one.is_free or other.is_free) and one.ground.grown(_NEAR).meets(other.ground):
        return _BESIDE
    return 0.0

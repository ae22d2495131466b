"""In which order the cuts of a divided sheet are made, so that the guide moves least.

In: the cuts as steps, each after the step that makes its part and with the ways its guide can
be set. Out: the steps in order, each with the way it is made.

A move of the guide is followed by every cut that can then be made: cutting more never makes
what is left harder. So a plan is a list of settings, found breadth first over the sets of steps
done, one level a move; sets that a larger one on the same level contains are dropped. It is the
least number of moves wherever no level outgrows ``MOST_SETS``, which takes dozens of cuts.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from builder.geometry.edges import Axis, EdgeName

MOST_SETS = 64


@dataclass(frozen=True)
class Way:
    """One way of making a cut: the setting, the edge against the guide, and what lies there."""

    setting: int
    edge: EdgeName
    of_kept: bool


@dataclass(frozen=True)
class Step:
    """A cut: the number of the step that makes its part (-1: the whole sheet), and its ways.

    Steps are numbered so that ``after`` is always the smaller number.
    """

    after: int
    axis: Axis
    ways: tuple[Way, ...]


def moves(settings: Sequence[int]) -> int:
    """How often the guide is set: once at the start and at every change."""
    return sum(1 for i, s in enumerate(settings) if i == 0 or s != settings[i - 1])


def in_order(steps: Sequence[Step]) -> list[tuple[int, Way]]:
    """Every step once, in an order that moves the guide least, and the way it is made."""
    table = _Table(steps)
    settings = _fewest_settings(table)
    order: list[tuple[int, Way]] = []
    done = 0
    for number, setting in enumerate(settings):
        after = table.made(done, setting, of_kept=True)
        # A waste part against the guide only where waiting for a kept one would cost a move.
        if table.all_made(after, settings[number + 1 :]) != table.all:
            after = table.made(done, setting)
        axis = steps[order[-1][0]].axis if order else None
        for step in _turned_seldom(table.steps_in(after & ~done), steps, axis):
            ways = [way for way in steps[step].ways if way.setting == setting]
            order.append((step, ways[0]))
        done = after
    return order


class _Table:
    """The steps by setting, and sets of steps as bits."""

    def __init__(self, steps: Sequence[Step]) -> None:
        self.steps = steps
        self.all = (1 << len(steps)) - 1
        # One more bit stands for the whole sheet, which is there from the start.
        self.needs = [1 << (len(steps) if s.after < 0 else s.after) for s in steps]
        self.there = 1 << len(steps)
        self.at: dict[int, list[int]] = {}
        self.at_kept: dict[int, list[int]] = {}
        self.bits: dict[int, int] = {}
        self.only: dict[int, int] = {}
        for number, step in enumerate(steps):
            settings = dict.fromkeys(way.setting for way in step.ways)
            kept = {way.setting for way in step.ways if way.of_kept}
            for setting in settings:
                self.at.setdefault(setting, []).append(number)
                self.bits[setting] = self.bits.get(setting, 0) | 1 << number
                if setting in kept:
                    self.at_kept.setdefault(setting, []).append(number)
                if len(settings) == 1:
                    self.only[setting] = self.only.get(setting, 0) | 1 << number

    def made(self, done: int, setting: int, of_kept: bool = False) -> int:
        """The steps done when all that can be are made at a setting."""
        found = done | self.there
        for number in (self.at_kept if of_kept else self.at).get(setting, ()):
            if found & self.needs[number]:
                found |= 1 << number
        return found & self.all

    def all_made(self, done: int, settings: Iterable[int]) -> int:
        """The steps done after a list of settings."""
        for setting in settings:
            done = self.made(done, setting)
        return done

    def reached(self, done: int) -> list[tuple[int, int]]:
        """(steps done, setting) after every move worth making.

        A setting that some step left must have, and that no step will need again once all that
        can be are made at it, may as well come first: then it is the only move.
        """
        found: list[tuple[int, int]] = []
        for setting, bits in self.bits.items():
            after = self.made(done, setting)
            if after == done:
                continue
            if not bits & ~after and self.only.get(setting, 0) & ~done:
                return [(after, setting)]
            found.append((after, setting))
        return found

    def outlook(self, done: int) -> tuple[int, int]:
        """How far from the end a set is: settings that must still come, steps left."""
        settings = sum(1 for bits in self.only.values() if bits & ~done)
        return settings, (self.all & ~done).bit_count()

    def steps_in(self, bits: int) -> list[int]:
        """The numbers of the steps in a set."""
        return [number for number in range(len(self.steps)) if bits >> number & 1]


def _fewest_settings(table: _Table) -> list[int]:
    """The settings, one a move, after which every step is done."""
    # A chain of (setting, earlier chain) for each set of steps reached.
    level: dict[int, tuple[int, object] | None] = {0: None}
    while table.all not in level:
        following: dict[int, tuple[int, object] | None] = {}
        for done, chain in level.items():
            for after, setting in table.reached(done):
                following.setdefault(after, (setting, chain))
        level = {done: following[done] for done in _largest(following, table)}
    settings: list[int] = []
    link: object = level[table.all]
    while isinstance(link, tuple):
        setting, link = link
        settings.append(setting)
    return settings[::-1]


def _largest(sets: Iterable[int], table: _Table) -> list[int]:
    """The sets that no other contains, those of the best outlook if they are too many."""
    kept: list[int] = []
    for done in sorted(sets, key=lambda done: (-done.bit_count(), done)):
        if not any(done & other == done for other in kept):
            kept.append(done)
    if len(kept) > MOST_SETS:
        kept = sorted(kept, key=table.outlook)[:MOST_SETS]
    return kept


def _turned_seldom(numbers: list[int], steps: Sequence[Step], axis: Axis | None) -> list[int]:
    """The steps of one setting, each after the one making its part, those of an axis together."""
    order: list[int] = []
    left = list(numbers)
    while left:
        ready = [number for number in left if steps[number].after not in left]
        same = [number for number in ready if steps[number].axis == axis]
        chosen = (same or ready)[0]
        axis = steps[chosen].axis
        left.remove(chosen)
        order.append(chosen)
    return order

"""From pieces lying on a sheet to the numbered cuts that free them, in the order they are made.

In: a sheet and placed pieces that edge-to-edge cuts can separate (whole numbers). Out: the cuts in
an order that moves the guide least, which part becomes which piece, and the offcuts.

Any allowed cut that crosses no piece keeps the rest separable (a part of a separable layout
is separable), so the division only chooses between good cuts: fewest cuts, then fewest
different settings, then the largest offcut.

A move of the guide is followed by every cut that can then be made: cutting more never makes
what is left harder. So a plan is a list of settings, found breadth first over the sets of steps
done, one level a move; sets that a larger one on the same level contains are dropped. It is the
least number of moves wherever no level outgrows ``MOST_SETS``, which takes dozens of cuts.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from gatherfold.geometry import Axis, EdgeName, ends_across, is_vertical
from gatherfold.sheets.model import Cut, Length, Offcut, Placed, Sheet, SheetPlan, Trimmer
from gatherfold.sheets.pins import Region, clear_lines, halves

# How many pieces may be looked at before the first good cut is taken without comparing.
MOST_LOOKS = 12_000
# How many sets of steps a level may have.
MOST_SETS = 64


class GuideWay(NamedTuple):
    """One way of making a cut: the setting, the edge against the guide, and what lies there."""

    setting: Length
    edge: EdgeName
    of_kept: bool


@dataclass(frozen=True)
class CutStep:
    """A cut: the number of the step that makes its part (-1: the whole sheet), and its ways.

    Steps are numbered so that ``after`` is always the smaller number.
    """

    after: int
    axis: Axis
    ways: tuple[GuideWay, ...]


def moves(settings: Sequence[Length]) -> int:
    """How often the guide is set: once at the start and at every change."""
    return sum(1 for i, s in enumerate(settings) if i == 0 or s != settings[i - 1])


def in_order(steps: Sequence[CutStep]) -> list[tuple[int, GuideWay]]:
    """Every step once, in an order that moves the guide least, and the way it is made."""
    table = _Table(steps)
    settings = _fewest_settings(table)
    order: list[tuple[int, GuideWay]] = []
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

    def __init__(self, steps: Sequence[CutStep]) -> None:
        self.steps = steps
        self.all = (1 << len(steps)) - 1
        # One more bit stands for the whole sheet, which is there from the start.
        self.needs = [1 << (len(steps) if s.after < 0 else s.after) for s in steps]
        self.there = 1 << len(steps)
        self.at: dict[Length, list[int]] = {}
        self.at_kept: dict[Length, list[int]] = {}
        self.bits: dict[Length, int] = {}
        self.only: dict[Length, int] = {}
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

    def made(self, done: int, setting: Length, of_kept: bool = False) -> int:
        """The steps done when all that can be are made at a setting."""
        found = done | self.there
        for number in (self.at_kept if of_kept else self.at).get(setting, ()):
            if found & self.needs[number]:
                found |= 1 << number
        return found & self.all

    def all_made(self, done: int, settings: Iterable[Length]) -> int:
        """The steps done after a list of settings."""
        for setting in settings:
            done = self.made(done, setting)
        return done

    def reached(self, done: int) -> list[tuple[int, Length]]:
        """(steps done, setting) after every move worth making.

        A setting that some step left must have, and that no step will need again once all that
        can be are made at it, may as well come first: then it is the only move.
        """
        found: list[tuple[int, Length]] = []
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


def _fewest_settings(table: _Table) -> list[Length]:
    """The settings, one a move, after which every step is done."""
    # A chain of (setting, earlier chain) for each set of steps reached.
    level: dict[int, tuple[Length, object] | None] = {0: None}
    while table.all not in level:
        following: dict[int, tuple[Length, object] | None] = {}
        for done, chain in level.items():
            for after, setting in table.reached(done):
                following.setdefault(after, (setting, chain))
        level = {done: following[done] for done in _largest(following, table)}
    settings: list[Length] = []
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


def _turned_seldom(numbers: list[int], steps: Sequence[CutStep], axis: Axis | None) -> list[int]:
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


class NotSeparable(Exception):
    """The pieces cannot be cut apart by allowed cuts across the whole part."""


@dataclass(frozen=True, eq=False, slots=True)
class Division:
    """A part of the sheet: a piece, an offcut, or two parts and the ways of cutting them apart.

    ``offcut`` is the area of its largest offcut.
    """

    area: Region
    piece: str | None
    holds: bool
    cuts: int = 0
    settings: frozenset[Length] = frozenset()
    offcut: Length = 0
    axis: Axis | None = None
    ways: tuple[GuideWay, ...] = ()
    parts: "tuple[Division, ...]" = ()


def sheet_plan(sheet: Sheet, placed: Sequence[Placed], trimmer: Trimmer) -> SheetPlan:
    """The whole plan of one sheet."""
    whole = (0, 0, sheet.width, sheet.height)
    return _sequence(sheet, placed, _Divider(trimmer).divide(whole, tuple(placed)))


class _Divider:
    def __init__(self, trimmer: Trimmer) -> None:
        self.trimmer = trimmer
        self.table: dict[Region, Division] = {}
        self.looks = MOST_LOOKS

    def divide(self, area: Region, placed: tuple[Placed, ...]) -> Division:
        """The best division found of an area that holds the given pieces."""
        known = self.table.get(area)
        if known is None:
            known = self.table[area] = self._divide(area, placed)
        return known

    def _divide(self, area: Region, placed: tuple[Placed, ...]) -> Division:
        if not placed:
            return Division(area, None, False, offcut=area[2] * area[3])
        spots = [(p.x, p.y, p.width, p.height) for p in placed]
        if spots == [area]:
            return Division(area, placed[0].key, True)
        best: Division | None = None
        # Smaller is better: cuts, settings, then the largest offcut.
        least: tuple[Length, ...] = ()
        for axis, at in self._candidates(area, spots):
            low, high = self._parted(area, placed, axis, at)
            ways = _guide_ways(axis, low, high, self.trimmer)
            cuts, settings = (
                low.cuts + high.cuts + 1,
                {ways[0].setting, *low.settings, *high.settings},
            )
            offcut = max(low.offcut, high.offcut)
            rank = (cuts, len(settings), -offcut)
            if best is None or rank < least:
                least, parts = rank, (low, high)
                used = frozenset(settings)
                best = Division(area, None, True, cuts, used, offcut, axis, ways, parts)
            self.looks -= len(placed)
            if self.looks < 0 or (best.cuts < len(placed) and len(best.settings) == 1):
                break
        if best is None:
            raise NotSeparable(f"no cut across {area} frees {[p.key for p in placed]}")
        return best

    def _candidates(self, area: Region, spots: Sequence[Region]) -> list[tuple[Axis, Length]]:
        """The widest remainder first: it matters only when no more may be compared."""
        x, y, width, height = area
        middle = {"horizontal": 2 * y + height, "vertical": 2 * x + width}
        return sorted(
            clear_lines(area, spots, self.trimmer.longest_cut),
            key=lambda cut: (abs(2 * cut[1] - middle[cut[0]]), is_vertical(cut[0])),
        )

    def _parted(
        self, area: Region, placed: Sequence[Placed], axis: Axis, at: Length
    ) -> tuple[Division, Division]:
        """What lies before a cut, and behind it."""
        below, above = halves(area, axis, at)
        if is_vertical(axis):
            first = tuple([p for p in placed if p.x < at])
            second = tuple([p for p in placed if p.x >= at])
        else:
            first = tuple([p for p in placed if p.y < at])
            second = tuple([p for p in placed if p.y >= at])
        return self.divide(below, first), self.divide(above, second)


def _guide_ways(
    axis: Axis, low: Division, high: Division, trimmer: Trimmer
) -> tuple[GuideWay, ...]:
    """How the guide can be set for a cut: a part that is kept lies against it first of all.

    Only a waste part that the trimmer holds may lie there. Where one way is a whole number of
    the guide's steps, a way that is not cannot be set by its marks and is left out.
    """
    across = 2 if is_vertical(axis) else 3
    near, far = ends_across(axis)
    sides = (
        [(low, near), (high, far)] if low.holds or not high.holds else [(high, far), (low, near)]
    )
    ways = [
        GuideWay(part.area[across], edge, part.holds)
        for part, edge in sides
        if part.holds or part.area[across] >= trimmer.narrowest_strip
    ]
    step = trimmer.guide_step
    marked = [way for way in ways if step and way.setting % step == 0]
    return tuple(marked or ways)


def _sequence(sheet: Sheet, placed: Sequence[Placed], root: Division) -> SheetPlan:
    """The cuts in order, the part that each division comes to be, and what is left over."""
    divisions: list[Division] = []
    steps: list[CutStep] = []
    waiting = [(root, -1)]
    while waiting:
        division, after = waiting.pop()
        if division.axis is not None:
            steps.append(CutStep(after, division.axis, division.ways))
            waiting += [(part, len(divisions)) for part in reversed(division.parts)]
            divisions.append(division)
    numbers = {root: 0}
    cuts: list[Cut] = []
    for number, (step, way) in enumerate(in_order(steps), 1):
        division, new = divisions[step], (2 * number - 1, 2 * number)
        numbers.update(zip(division.parts, new, strict=True))
        part_cut = numbers[division]
        cuts.append(Cut(number, part_cut, steps[step].axis, way.setting, way.edge, new))
    leaves = [(name, part) for part, name in numbers.items() if part.axis is None]
    return SheetPlan(
        sheet,
        tuple(placed),
        tuple(cuts),
        {name: part.piece for name, part in leaves if part.piece is not None},
        tuple(Offcut(name, *part.area) for name, part in leaves if part.piece is None),
        moves([cut.setting for cut in cuts]),
    )

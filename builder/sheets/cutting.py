"""From pieces lying on a sheet to the numbered cuts that free them.

In: a sheet and placed pieces that edge-to-edge cuts can separate (whole numbers). Out: the
cuts in an order that moves the guide seldom, which part becomes which piece, and the offcuts.

Any allowed cut that crosses no piece keeps the rest separable (a part of a separable layout
is separable), so the division only chooses between good cuts: fewest cuts, then fewest
different settings, then the largest offcut.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from builder.sheets.model import Axis, Cut, Edge, Offcut, Placed, Sheet, SheetPlan, Trimmer

Area = tuple[int, int, int, int]
# How many pieces may be looked at before the first good cut is taken without comparing.
MOST_LOOKS = 12_000


class NotSeparable(Exception):
    """The pieces cannot be cut apart by allowed cuts across the whole part."""


@dataclass(frozen=True, eq=False)
class Division:
    """A part of the sheet, and how it is divided further (unless a piece or an offcut)."""

    area: Area
    piece: str | None
    cuts: int
    settings: frozenset[int]
    offcut: int
    axis: Axis | None = None
    at: int = 0
    low: "Division | None" = None
    high: "Division | None" = None

    @property
    def rank(self) -> tuple[int, int, int]:
        """Smaller is better."""
        return self.cuts, len(self.settings), -self.offcut

    @property
    def holds(self) -> bool:
        """Whether a piece is in this part."""
        return self.piece is not None or self.axis is not None


def sheet_plan(sheet: Sheet, placed: Sequence[Placed], trimmer: Trimmer) -> SheetPlan:
    """The whole plan of one sheet."""
    whole = (0, 0, int(sheet.width), int(sheet.height))
    division = _Divider(trimmer).divide(whole, tuple(placed))
    return _sequence(sheet, placed, division, int(trimmer.narrowest_strip))


class _Divider:
    def __init__(self, trimmer: Trimmer) -> None:
        longest = trimmer.longest_cut
        self.longest = None if longest is None else int(longest)
        self.table: dict[Area, Division] = {}
        self.looks = MOST_LOOKS

    def divide(self, area: Area, placed: tuple[Placed, ...]) -> Division:
        """The best division found of an area that holds the given pieces."""
        known = self.table.get(area)
        if known is None:
            known = self.table[area] = self._divide(area, placed)
        return known

    def _divide(self, area: Area, placed: tuple[Placed, ...]) -> Division:
        if not placed:
            return Division(area, None, 0, frozenset(), area[2] * area[3])
        if len(placed) == 1:
            only = placed[0]
            if (only.x, only.y, only.width, only.height) == area:
                return Division(area, only.key, 0, frozenset(), 0)
        best: Division | None = None
        for axis, at in self._candidates(area, placed):
            division = self._cut(area, placed, axis, at)
            if best is None or division.rank < best.rank:
                best = division
            self.looks -= len(placed)
            if self.looks < 0 or (best.cuts < len(placed) and len(best.settings) == 1):
                break
        if best is None:
            raise NotSeparable(f"no cut across {area} frees {[p.key for p in placed]}")
        return best

    def _candidates(self, area: Area, placed: Sequence[Placed]) -> list[tuple[Axis, int]]:
        x, y, width, height = area
        found: list[tuple[Axis, int]] = []
        if self.longest is None or width <= self.longest:
            spans = [(int(p.y), int(p.y + p.height)) for p in placed]
            found += [("horizontal", at) for at in _free_lines(spans, y, y + height)]
        if self.longest is None or height <= self.longest:
            spans = [(int(p.x), int(p.x + p.width)) for p in placed]
            found += [("vertical", at) for at in _free_lines(spans, x, x + width)]
        # The widest remainder first: it matters only when no more may be compared.
        middle = {"horizontal": 2 * y + height, "vertical": 2 * x + width}
        return sorted(found, key=lambda cut: abs(2 * cut[1] - middle[cut[0]]))

    def _cut(self, area: Area, placed: Sequence[Placed], axis: Axis, at: int) -> Division:
        x, y, width, height = area
        if axis == "vertical":
            low_area, high_area = (x, y, at - x, height), (at, y, x + width - at, height)
            low_placed = tuple(p for p in placed if p.x < at)
            high_placed = tuple(p for p in placed if p.x >= at)
        else:
            low_area, high_area = (x, y, width, at - y), (x, at, width, y + height - at)
            low_placed = tuple(p for p in placed if p.y < at)
            high_placed = tuple(p for p in placed if p.y >= at)
        low = self.divide(low_area, low_placed)
        high = self.divide(high_area, high_placed)
        across = 2 if axis == "vertical" else 3
        setting = low_area[across] if low.holds else high_area[across]
        return Division(
            area,
            None,
            low.cuts + high.cuts + 1,
            low.settings | high.settings | {setting},
            max(low.offcut, high.offcut),
            axis,
            at,
            low,
            high,
        )


def _free_lines(spans: Sequence[tuple[int, int]], start: int, end: int) -> list[int]:
    """The edges of spans, strictly between start and end, that lie inside no span."""
    lines: list[int] = []
    reach = start
    for low, high in sorted(spans):
        if low >= reach:
            lines += [reach, low] if low > reach else [low]
        reach = max(reach, high)
    lines.append(reach)
    return sorted({line for line in lines if start < line < end})


@dataclass(frozen=True, eq=False)
class _Step:
    """A division to be cut, and the settings from which it can be."""

    division: Division
    options: tuple[tuple[int, Edge], ...]


def _step(division: Division, narrowest: int) -> _Step:
    low, high = division.low, division.high
    assert low is not None and high is not None
    across = 2 if division.axis == "vertical" else 3
    edges: tuple[Edge, Edge] = (
        ("left", "right") if division.axis == "vertical" else ("bottom", "top")
    )
    options: list[tuple[int, Edge]] = []
    # The kept part against the guide first: its size is then what the guide says.
    for part, edge in sorted(zip((low, high), edges, strict=True), key=lambda o: not o[0].holds):
        if part.holds or part.area[across] >= narrowest:
            options.append((part.area[across], edge))
    return _Step(division, tuple(options))


def _ordered(root: Division, narrowest: int, finish_first: bool) -> list[tuple[_Step, int, Edge]]:
    """The steps in an order that takes all cuts of a setting before moving the guide."""
    done: list[tuple[_Step, int, Edge]] = []
    ready = [_step(root, narrowest)] if root.axis is not None else []
    waiting = _settings_below(root, narrowest)
    while ready:
        choices = {setting for step in ready for setting, _ in step.options}
        runs = {setting: _run(ready, setting, narrowest) for setting in choices}

        def worth(
            setting: int, runs: dict[int, list[tuple[_Step, int, Edge]]] = runs
        ) -> tuple[bool, int, int]:
            taken = len(runs[setting])
            complete = taken == waiting.get(setting, 0)
            return (complete and finish_first, taken, setting)

        chosen = max(choices, key=worth)
        for step, setting, edge in runs[chosen]:
            done.append((step, setting, edge))
            if step in ready:
                ready.remove(step)
            for option, _ in step.options:
                waiting[option] -= 1
        taken_divisions = {id(step.division) for step, _, _ in done}
        for step, _, _ in runs[chosen]:
            for part in (step.division.low, step.division.high):
                if part is not None and part.axis is not None and id(part) not in taken_divisions:
                    ready.append(_step(part, narrowest))
    return done


def _run(ready: Sequence[_Step], setting: int, narrowest: int) -> list[tuple[_Step, int, Edge]]:
    """Every cut that can be made in a row at one setting, those of one axis together."""
    taken: list[tuple[_Step, int, Edge]] = []
    open_steps = list(ready)
    axis = None
    while True:
        able = [s for s in open_steps if any(o[0] == setting for o in s.options)]
        if not able:
            return taken
        same = [s for s in able if s.division.axis == axis]
        step = (same or able)[0]
        axis = step.division.axis
        open_steps.remove(step)
        edge = next(e for o, e in step.options if o == setting)
        taken.append((step, setting, edge))
        for part in (step.division.low, step.division.high):
            if part is not None and part.axis is not None:
                open_steps.append(_step(part, narrowest))


def _settings_below(root: Division, narrowest: int) -> dict[int, int]:
    counts: dict[int, int] = {}
    stack = [root]
    while stack:
        division = stack.pop()
        if division.axis is None:
            continue
        for setting, _ in _step(division, narrowest).options:
            counts[setting] = counts.get(setting, 0) + 1
        stack += [part for part in (division.low, division.high) if part is not None]
    return counts


def moves(settings: Sequence[int]) -> int:
    """How often the guide is set: once at the start and at every change."""
    return sum(1 for i, s in enumerate(settings) if i == 0 or s != settings[i - 1])


def _sequence(sheet: Sheet, placed: Sequence[Placed], root: Division, narrowest: int) -> SheetPlan:
    orders = [_ordered(root, narrowest, first) for first in (True, False)]
    steps = min(orders, key=lambda order: moves([setting for _, setting, _ in order]))
    parts: dict[int, int] = {id(root): 0}
    cuts: list[Cut] = []
    leaves: list[tuple[int, Division]] = [(0, root)] if root.axis is None else []
    for number, (step, setting, edge) in enumerate(steps, 1):
        division = step.division
        low, high = division.low, division.high
        assert division.axis is not None and low is not None and high is not None
        new = (2 * number - 1, 2 * number)
        kept: list[int] = []
        for part, name in zip((low, high), new, strict=True):
            parts[id(part)] = name
            if part.holds:
                kept.append(name)
            if part.axis is None:
                leaves.append((name, part))
        cuts.append(
            Cut(number, parts[id(division)], division.axis, setting, edge, tuple(kept), new)
        )
    return SheetPlan(
        sheet,
        tuple(placed),
        tuple(cuts),
        {name: part.piece for name, part in leaves if part.piece is not None},
        tuple(Offcut(name, *part.area) for name, part in leaves if part.piece is None),
        moves([setting for _, setting, _ in steps]),
    )

"""Boxes nested on pages: several small things on one page, none touching.

In: the sizes each thing may take (as it is, or turned) and the room of a page.  Out: for each
page where everything lies, all exact.  Each thing goes into the free rectangle it fills best; of
a few fixed orders the one with the fewest pages wins, then the one that turns the fewest things,
so the same input gives the same pages.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

Size = tuple[Fraction, Fraction]


@dataclass(frozen=True)
class Nested:
    """One thing on a page: ``index`` in the input, which of its ``sizes`` it takes and its upper
    left corner, measured to the right and down from the page's own."""

    index: int
    turn: int
    left: Fraction
    down: Fraction


@dataclass(frozen=True)
class _Free:
    """A rectangle with nothing on it; ``down`` and ``low`` are its upper and lower edge."""

    left: Fraction
    down: Fraction
    right: Fraction
    low: Fraction

    def holds(self, other: _Free) -> bool:
        return (
            self.left <= other.left
            and self.down <= other.down
            and other.right <= self.right
            and other.low <= self.low
        )

    def without(self, taken: _Free) -> list[_Free]:
        """The largest free rectangles that are left round what is taken."""
        if (
            taken.left >= self.right
            or taken.right <= self.left
            or taken.down >= self.low
            or taken.low <= self.down
        ):
            return [self]
        rest = []
        if taken.left > self.left:
            rest.append(_Free(self.left, self.down, taken.left, self.low))
        if taken.right < self.right:
            rest.append(_Free(taken.right, self.down, self.right, self.low))
        if taken.down > self.down:
            rest.append(_Free(self.left, self.down, self.right, taken.down))
        if taken.low < self.low:
            rest.append(_Free(self.left, taken.low, self.right, self.low))
        return rest


@dataclass
class _Page:
    free: list[_Free]
    things: list[Nested] = field(default_factory=list)


_Score = tuple[Fraction, ...]
_Rule = Callable[[_Free, Size], _Score]


def _tightest(free: _Free, size: Size) -> _Score:
    spare = sorted((free.right - free.left - size[0], free.low - free.down - size[1]))
    return (*spare, free.down, free.left)


def _highest(free: _Free, size: Size) -> _Score:
    return free.down + size[1], free.left


_RULES: tuple[_Rule, ...] = (_highest, _tightest)


def nest(
    sizes: Sequence[Sequence[Size]], width: Fraction, height: Fraction, gap: Fraction
) -> tuple[tuple[Nested, ...], ...]:
    """Pages of things at least ``gap`` apart; every thing has to fit a page in one size."""
    orders: tuple[Callable[[int], Fraction], ...] = (
        lambda i: -sizes[i][0][1],
        lambda i: -sizes[i][0][0] * sizes[i][0][1],
        lambda i: -sizes[i][0][0],
        lambda i: -max(sizes[i][0]),
    )
    # A gap on the right of and below everything, and as much more room on the page.
    spaced = [[(wide + gap, high + gap) for wide, high in ways] for ways in sizes]
    room = _Free(Fraction(0), Fraction(0), width + gap, height + gap)
    best: tuple[tuple[int, int], list[_Page]] | None = None
    for order in orders:
        ranked = sorted(range(len(sizes)), key=order)
        for rule in _RULES:
            for may_turn in (False, True):
                pages = _filled(ranked, spaced, room, rule, may_turn)
                turns = sum(thing.turn > 0 for page in pages for thing in page.things)
                if best is None or (len(pages), turns) < best[0]:
                    best = (len(pages), turns), pages
    return tuple(tuple(page.things) for page in best[1]) if best else ()


def _filled(
    ranked: Sequence[int],
    sizes: Sequence[Sequence[Size]],
    room: _Free,
    rule: _Rule,
    may_turn: bool,
) -> list[_Page]:
    """Everything on pages in one order; without ``may_turn`` a thing turns only where it would
    not go on a page otherwise."""
    pages: list[_Page] = []
    for index in ranked:
        ways = list(enumerate(sizes[index]))
        groups = [ways] if may_turn else [[way] for way in ways]
        if any(_put(page, index, group, rule) for group in groups for page in pages):
            continue
        page = _Page([room])
        if not any(_put(page, index, group, rule) for group in groups):
            raise ValueError(f"thing {index} is larger than a page")
        pages.append(page)
    return pages


def _put(page: _Page, index: int, ways: Sequence[tuple[int, Size]], rule: _Rule) -> bool:
    """Into the free rectangle that the rule likes best, if there is one."""
    fits = [
        (rule(free, size), turn, place)
        for turn, size in ways
        for place, free in enumerate(page.free)
        if size[0] <= free.right - free.left and size[1] <= free.low - free.down
    ]
    if not fits:
        return False
    _, turn, place = min(fits)
    free, (wide, high) = page.free[place], dict(ways)[turn]
    page.things.append(Nested(index, turn, free.left, free.down))
    taken = _Free(free.left, free.down, free.left + wide, free.down + high)
    rest = list(dict.fromkeys(part for old in page.free for part in old.without(taken)))
    page.free = [a for a in rest if not any(b != a and b.holds(a) for b in rest)]
    return True

"""Boxes nested on pages: several small things on one page, none touching.

In: the sizes each thing may take (as it is, or turned) and the room of a page.  Out: for each
page where everything lies, all exact.  Each thing goes into the free rectangle it fills best; of
a few fixed orders the one with the fewest pages wins, then the one that turns the fewest things,
so the same input gives the same pages.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction

from builder.geometry.areas import crosses, holds
from builder.geometry.outline import Box

Size = tuple[Fraction, Fraction]


@dataclass(frozen=True)
class Nested:
    """One thing on a page: ``index`` in the input, which of its ``sizes`` it takes and its upper
    left corner, measured to the right and down from the page's own."""

    index: int
    turn: int
    left: Fraction
    down: Fraction


# Boxes here are measured down from the page's own upper edge: the ``top`` of each is its lower
# edge.


def _without(free: Box, taken: Box) -> list[Box]:
    """The largest free rectangles that are left round what is taken."""
    if not crosses(free, taken):
        return [free]
    rest = [
        replace(free, right=taken.left),
        replace(free, left=taken.right),
        replace(free, top=taken.bottom),
        replace(free, bottom=taken.top),
    ]
    return [part for part in rest if part.width > 0 and part.height > 0]


@dataclass
class _Page:
    free: list[Box]
    things: list[Nested] = field(default_factory=list)


_Score = tuple[Fraction, ...]
_Rule = Callable[[Box, Size], _Score]


def _tightest(free: Box, size: Size) -> _Score:
    spare = sorted((free.width - size[0], free.height - size[1]))
    return (*spare, free.bottom, free.left)


def _highest(free: Box, size: Size) -> _Score:
    return free.bottom + size[1], free.left


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
    room = Box(Fraction(0), Fraction(0), width + gap, height + gap)
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
    room: Box,
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
        if size[0] <= free.width and size[1] <= free.height
    ]
    if not fits:
        return False
    _, turn, place = min(fits)
    free, (wide, high) = page.free[place], dict(ways)[turn]
    page.things.append(Nested(index, turn, free.left, free.bottom))
    taken = replace(free, right=free.left + wide, top=free.bottom + high)
    rest = list(dict.fromkeys(part for old in page.free for part in _without(old, taken)))
    page.free = [a for a in rest if not any(b != a and holds(b, a) for b in rest)]
    return True

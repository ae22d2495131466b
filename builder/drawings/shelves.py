"""Boxes nested on pages in shelves: several small things on one page, none touching.

In: the sizes each thing may take (as it is, or turned) and the room of a page.  Out: for each
page where everything lies, all exact.  Of a few fixed orders the one with the fewest pages wins,
the first of them if it makes no difference, so the same input gives the same pages.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

Size = tuple[Fraction, Fraction]


@dataclass(frozen=True)
class Nested:
    """One thing on a page: ``index`` in the input, which of its ``sizes`` it takes (0 upright,
    1 turned) and its upper left corner, measured to the right and down from the page's own."""

    index: int
    turn: int
    left: Fraction
    down: Fraction


@dataclass
class _Shelf:
    down: Fraction
    height: Fraction
    used: Fraction = Fraction(0)


@dataclass
class _Page:
    shelves: list[_Shelf] = field(default_factory=list)
    things: list[Nested] = field(default_factory=list)


def nest(
    sizes: Sequence[Sequence[Size]], width: Fraction, height: Fraction, gap: Fraction
) -> tuple[tuple[Nested, ...], ...]:
    """Pages of things at least ``gap`` apart; every thing fits a page in one of its sizes."""
    orders: tuple[Callable[[int], Fraction], ...] = (
        lambda i: -sizes[i][0][1],
        lambda i: -sizes[i][0][0] * sizes[i][0][1],
        lambda i: -sizes[i][0][0],
        lambda i: -max(sizes[i][0]),
    )
    best: list[_Page] | None = None
    for prefers_turn in (False, True):
        for order in orders:
            ranked = sorted(range(len(sizes)), key=order)
            pages = _filled(ranked, sizes, width, height, gap, prefers_turn)
            if best is None or len(pages) < len(best):
                best = pages
    return tuple(tuple(page.things) for page in best or [])


def _filled(
    ranked: Sequence[int],
    sizes: Sequence[Sequence[Size]],
    width: Fraction,
    height: Fraction,
    gap: Fraction,
    prefers_turn: bool,
) -> list[_Page]:
    pages: list[_Page] = []
    for index in ranked:
        ways = list(enumerate(sizes[index]))
        if prefers_turn:
            ways.sort(key=lambda way: way[1][1])
        if not any(_put(page, index, ways, width, height, gap) for page in pages):
            page = _Page()
            if not _put(page, index, ways, width, height, gap):
                raise ValueError(f"thing {index} is larger than a page")
            pages.append(page)
    return pages


def _put(
    page: _Page,
    index: int,
    ways: Sequence[tuple[int, Size]],
    width: Fraction,
    height: Fraction,
    gap: Fraction,
) -> bool:
    """On the first shelf with room, or on a new one below the last."""
    for turn, (wide, high) in ways:
        for shelf in _shelves(page, high, height, gap):
            left = shelf.used + gap if shelf.used else Fraction(0)
            if high <= shelf.height and left + wide <= width:
                page.things.append(Nested(index, turn, left, shelf.down))
                shelf.used = left + wide
                if shelf not in page.shelves:
                    page.shelves.append(shelf)
                return True
    return False


def _shelves(page: _Page, high: Fraction, height: Fraction, gap: Fraction) -> Iterator[_Shelf]:
    yield from page.shelves
    last = page.shelves[-1] if page.shelves else None
    down = last.down + last.height + gap if last else Fraction(0)
    if down + high <= height:
        yield _Shelf(down, high)

"""Whether all pieces come out of one sheet, settled by joining parts with little waste.

In: items, the sheet's usable size, the work allowed. Out: a tree of cuts, the proof that there
is none, or nothing when the work ran out.

Parts grow from single pieces, two joined side by side or one above the other at a time (Wang,
Operations Research 31, 1983). A part that wastes more than the whole sheet can spare is never
kept, so that the tighter the sheet, the shorter the search. Equal pieces are counted, in one
field of bits for each kind of piece, with a guard bit that shows when too many are used.
"""

import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from builder.sheets.guillotine import Node, divide, empty, gaps_of, insert
from builder.sheets.packing import Item

CLOCK_EVERY = 256


@dataclass(frozen=True, eq=False)
class Part:
    """A rectangle built of pieces: how many of each kind, its size, what it wastes.

    It is a single piece of a kind, or ``low`` and ``high`` side by side (vertical) or stacked.
    """

    counts: int
    width: int
    height: int
    waste: int
    kind: int = -1
    vertical: bool = False
    low: "Part | None" = None
    high: "Part | None" = None


@dataclass(frozen=True)
class Answer:
    """A tree that gives all items, or None; ``settled`` says whether the search was complete."""

    tree: Node | None
    settled: bool
    work: int = 0


class _Kinds:
    """Equal items counted in bit fields."""

    def __init__(self, items: Sequence[Item]) -> None:
        members: dict[Item, list[int]] = {}
        for index, item in enumerate(items):
            members.setdefault(item, []).append(index)
        self.kinds = list(members)
        self.members = list(members.values())
        self.ones: list[int] = []
        self.offset = self.guard = self.all = shift = 0
        for held in self.members:
            bits = (2 * len(held)).bit_length() + 1
            self.ones.append(1 << shift)
            self.offset |= ((1 << (bits - 1)) - 1 - len(held)) << shift
            self.guard |= 1 << (shift + bits - 1)
            self.all |= len(held) << shift
            shift += bits


def one_sheet(items: Sequence[Item], width: int, height: int, work: int, deadline: float) -> Answer:
    """Try to cut all items from one sheet."""
    spare = width * height - sum(item.area for item in items)
    if spare < 0 or not items:
        return Answer(empty(width, height) if not items else None, True)
    kinds = _Kinds(items)
    parts = _Parts(width, height, spare)
    for t, kind in enumerate(kinds.kinds):
        for w, h in kind.sizes:
            parts.add(Part(kinds.ones[t], w, h, 0, t))
    number = used = 0
    while number < len(parts.all):
        part = parts.all[number]
        if part.counts == kinds.all:
            return Answer(_tree(part, kinds, width, height), True, used)
        for other in parts.all[: number + 1]:
            if not (part.counts + other.counts + kinds.offset) & kinds.guard:
                for joined in _joined(part, other, spare):
                    parts.add(joined)
        number += 1
        used += number
        if used > work or (number % CLOCK_EVERY == 0 and time.monotonic() > deadline):
            return Answer(None, False, used)
    return Answer(None, True, used)


class _Parts:
    """The parts found: none larger than the sheet, none that another of its pieces fits in."""

    def __init__(self, width: int, height: int, spare: int) -> None:
        self.width, self.height, self.spare = width, height, spare
        self.all: list[Part] = []
        self.sizes: dict[int, list[tuple[int, int]]] = {}

    def add(self, part: Part) -> None:
        """Keep a part unless it is of no use."""
        w, h = part.width, part.height
        if w > self.width or h > self.height:
            return
        known = self.sizes.setdefault(part.counts, [])
        if any(p <= w and q <= h for p, q in known):
            return
        known.append((w, h))
        self.all.append(part)


def _joined(one: Part, other: Part, spare: int) -> Iterator[Part]:
    """Both ways of joining two parts that do not waste too much."""
    counts, waste = one.counts + other.counts, one.waste + other.waste
    higher = one.height - other.height
    lost = waste + (higher * other.width if higher > 0 else -higher * one.width)
    if lost <= spare:
        height = one.height if higher > 0 else other.height
        yield Part(counts, one.width + other.width, height, lost, -1, True, one, other)
    wider = one.width - other.width
    lost = waste + (wider * other.height if wider > 0 else -wider * one.height)
    if lost <= spare:
        width = one.width if wider > 0 else other.width
        yield Part(counts, width, one.height + other.height, lost, -1, False, one, other)


def _tree(part: Part, kinds: _Kinds, width: int, height: int) -> Node:
    root = empty(width, height)
    left = [list(held) for held in kinds.members]
    waiting = [(root, part)]
    while waiting:
        node, built = waiting.pop()
        if built.low is None or built.high is None:
            leaf = (built.width, built.height, left[built.kind].pop())
            insert(gaps_of(node, 0)[0], leaf, node.vertical)
            continue
        at = built.low.width if built.vertical else built.low.height
        low, high = divide(node, built.vertical, at)
        waiting += [(low, built.low), (high, built.high)]
    return root

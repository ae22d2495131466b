"""How thick a pile of flat layers is at its thickest place.

In: upright boxes with a thickness each (mm, exact).  Out: the largest sum over one place.
A line sweeps over the boxes from left to right; the totals along it are kept in a tree of the
stretches between the boxes' lower and upper edges, so the cost is n·log n in the layers.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby

from builder.geometry.outline import Box, Point

_ZERO = Fraction(0)


@dataclass(frozen=True)
class Layer:
    """One sheet of material covering a box."""

    name: str
    box: Box
    thickness: Fraction


@dataclass(frozen=True)
class Pile:
    """The thickest place: a point within it, the total there and the layers' names in order."""

    place: Point
    thickness: Fraction
    names: tuple[str, ...]


def thickest(layers: Sequence[Layer]) -> Pile | None:
    """The thickest place of the layers; None when there are none."""
    if not layers:
        return None
    xs = sorted({x for layer in layers for x in (layer.box.left, layer.box.right)})
    ys = sorted({y for layer in layers for y in (layer.box.bottom, layer.box.top)})
    column_of = {x: index for index, x in enumerate(xs)}
    row_of = {y: index for index, y in enumerate(ys)}
    line = _Line(len(ys) - 1)
    best, place = _ZERO, Point(xs[0], ys[0])
    for x, changes in groupby(_changes(layers), key=lambda change: change[0]):
        for _, is_end, layer in changes:
            added = -layer.thickness if is_end else layer.thickness
            line.add(row_of[layer.box.bottom], row_of[layer.box.top], added)
        if line.highest > best:
            row = line.row_of_highest()
            after = xs[column_of[x] + 1]
            best, place = line.highest, Point((x + after) / 2, (ys[row] + ys[row + 1]) / 2)
    return Pile(place, best, tuple(layer.name for layer in layers if _covers(layer.box, place)))


def _changes(layers: Sequence[Layer]) -> list[tuple[Fraction, bool, Layer]]:
    """Where layers begin and end along x, in order."""
    begins = [(layer.box.left, False, layer) for layer in layers]
    ends = [(layer.box.right, True, layer) for layer in layers]
    return sorted([*begins, *ends], key=lambda change: change[0])


def _covers(box: Box, place: Point) -> bool:
    return box.left < place.x < box.right and box.bottom < place.y < box.top


class _Line:
    """Totals of rows 0 … n − 1; adds to a run of rows and knows the highest, each in log n.

    A binary tree in a list: node 1 is the root, node k has the halves 2k and 2k + 1.  ``_added``
    is what the node's whole run received, ``_most`` the highest total within it.
    """

    def __init__(self, rows: int) -> None:
        self._rows = 1
        while self._rows < rows:
            self._rows *= 2
        self._added = [_ZERO] * (2 * self._rows)
        self._most = [_ZERO] * (2 * self._rows)

    @property
    def highest(self) -> Fraction:
        return self._most[1]

    def add(self, first: int, end: int, amount: Fraction) -> None:
        """Add to the rows from ``first`` up to, and without, ``end``."""
        low, high = first + self._rows, end + self._rows
        touched = (low, high - 1)
        while low < high:
            if low % 2:
                self._add_to_node(low, amount)
                low += 1
            if high % 2:
                high -= 1
                self._add_to_node(high, amount)
            low, high = low // 2, high // 2
        for node in touched:
            while node > 1:
                node //= 2
                halves = max(self._most[2 * node], self._most[2 * node + 1])
                self._most[node] = halves + self._added[node]

    def _add_to_node(self, node: int, amount: Fraction) -> None:
        self._added[node] += amount
        self._most[node] += amount

    def row_of_highest(self) -> int:
        node = 1
        while node < self._rows:
            node = 2 * node if self._most[2 * node] >= self._most[2 * node + 1] else 2 * node + 1
        return node - self._rows

"""How thick a pile of flat layers is at its thickest place.

In: upright boxes with a thickness each (mm, exact).  Out: the largest sum over one place.
The plane is divided by the boxes' own edges, so the answer is exact; cost grows with the square
of the number of layers.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

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
    totals = _totals(layers, xs, ys)
    best = max(
        ((column, row) for column in range(len(xs) - 1) for row in range(len(ys) - 1)),
        key=lambda cell: totals[cell[0]][cell[1]],
    )
    column, row = best
    place = Point((xs[column] + xs[column + 1]) / 2, (ys[row] + ys[row + 1]) / 2)
    names = tuple(layer.name for layer in layers if _covers(layer.box, place))
    return Pile(place, totals[column][row], names)


def _covers(box: Box, place: Point) -> bool:
    return box.left < place.x < box.right and box.bottom < place.y < box.top


def _totals(
    layers: Sequence[Layer], xs: Sequence[Fraction], ys: Sequence[Fraction]
) -> list[list[Fraction]]:
    """The sum of thicknesses in each cell: corners of every box marked, then summed both ways."""
    column_of = {x: index for index, x in enumerate(xs)}
    row_of = {y: index for index, y in enumerate(ys)}
    totals = [[_ZERO] * len(ys) for _ in xs]
    for layer in layers:
        left, right = column_of[layer.box.left], column_of[layer.box.right]
        bottom, top = row_of[layer.box.bottom], row_of[layer.box.top]
        totals[left][bottom] += layer.thickness
        totals[right][top] += layer.thickness
        totals[left][top] -= layer.thickness
        totals[right][bottom] -= layer.thickness
    for column, cells in enumerate(totals):
        for row in range(1, len(ys)):
            cells[row] += cells[row - 1]
        if column:
            before = totals[column - 1]
            for row in range(len(ys)):
                cells[row] += before[row]
    return totals

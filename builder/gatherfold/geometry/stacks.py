"""How thick a pile of flat layers is at its thickest place.

In: upright boxes with a thickness each (mm, exact).  Out: the largest sum over one place.
The edges of all boxes divide the plane into columns and rows; each layer is added to the cells that
it covers.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from gatherfold.geometry.outline import Box, Point


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
    """The thickest place of the layers, of several the one on the left, then the lowest; None when
    there are none."""
    if not layers:
        return None
    xs = sorted({x for layer in layers for x in (layer.box.left, layer.box.right)})
    ys = sorted({y for layer in layers for y in (layer.box.bottom, layer.box.top)})
    column_of = {x: index for index, x in enumerate(xs)}
    row_of = {y: index for index, y in enumerate(ys)}
    # Whole numbers over a common denominator are exact too, and quick to add.
    scale = math.lcm(*(layer.thickness.denominator for layer in layers))
    totals = np.zeros((len(xs) - 1, len(ys) - 1), dtype=object)
    for layer in layers:
        columns = slice(column_of[layer.box.left], column_of[layer.box.right])
        totals[columns, row_of[layer.box.bottom] : row_of[layer.box.top]] += int(
            layer.thickness * scale
        )
    column, row = np.unravel_index(np.argmax(totals), totals.shape)
    place = Point((xs[column] + xs[column + 1]) / 2, (ys[row] + ys[row + 1]) / 2)
    names = tuple(layer.name for layer in layers if _covers(layer.box, place))
    return Pile(place, Fraction(totals[column, row], scale), names)


def _covers(box: Box, place: Point) -> bool:
    return box.left < place.x < box.right and box.bottom < place.y < box.top

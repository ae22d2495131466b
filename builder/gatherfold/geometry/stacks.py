"""How thick a pile of flat layers is at its thickest place.

In: upright boxes with a thickness each (mm, exact).  Out: the largest sum over one place.
The edges of all boxes divide the plane into columns and rows; each layer is added to the cells that
it covers.
"""

import math
from collections.abc import Collection
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from gatherfold.geometry.outline import Box


@dataclass(frozen=True)
class Layer:
    """One sheet of material covering a box."""

    box: Box
    thickness: Fraction


def thickest(layers: Collection[Layer]) -> Fraction:
    """Find how thick the layers are at their thickest place."""
    if not layers:
        return Fraction(0)
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
    return Fraction(totals.max(), scale)

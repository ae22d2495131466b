"""Which flat rectangles in space lie before which, seen from one direction.

In: rectangles at right angles to the axes (mm, exact) that do not pass through one another, and
the direction towards the viewer.  Out: the rectangles, divided where they must be, from the
farthest to the nearest: what comes later hides what comes before.  Space is divided by the plane
of one rectangle after another (binary space partition); a plane is chosen that cuts the fewest.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from builder.geometry.areas import Slab
from builder.geometry.pose import Vector


@dataclass(frozen=True)
class Part:
    """A rectangle, or a part of it.  ``index`` is that of the rectangle; of coincident ones a
    larger ``order`` lies towards the positive axis."""

    index: int
    slab: Slab
    order: int


def from_far_to_near(parts: Sequence[Part], viewer: tuple[float, float, float]) -> list[Part]:
    """The parts in the order to paint them in; ``viewer`` points from the work to the viewer."""
    if len(parts) < 2:
        return list(parts)
    axis, plane = _dividing_plane(parts)
    before: list[Part] = []
    behind: list[Part] = []
    level: list[Part] = []
    for part in parts:
        if part.slab.axis == axis and part.slab.plane == plane:
            level.append(part)
            continue
        for piece in _divided(part, axis, plane):
            is_above = piece.slab.low[axis] >= plane
            (before if is_above == (viewer[axis] > 0) else behind).append(piece)
    level.sort(key=lambda part: part.order, reverse=viewer[axis] < 0)
    return [*from_far_to_near(behind, viewer), *level, *from_far_to_near(before, viewer)]


def _dividing_plane(parts: Sequence[Part]) -> tuple[int, Fraction]:
    """The plane of one of the parts that cuts the fewest others."""
    planes = dict.fromkeys((part.slab.axis, part.slab.plane) for part in parts)
    best, fewest = next(iter(planes)), len(parts) + 1
    for axis, plane in planes:
        cut = sum(1 for p in parts if p.slab.low[axis] < plane < p.slab.high[axis])
        if cut < fewest:
            best, fewest = (axis, plane), cut
        if cut == 0:
            break
    return best


def _divided(part: Part, axis: int, plane: Fraction) -> list[Part]:
    """The part itself, or its two parts on either side of the plane."""
    slab = part.slab
    if not slab.low[axis] < plane < slab.high[axis]:
        return [part]
    lower = replace(slab, high=_with(slab.high, axis, plane))
    upper = replace(slab, low=_with(slab.low, axis, plane))
    return [replace(part, slab=lower), replace(part, slab=upper)]


def _with(corner: Vector, axis: int, value: Fraction) -> Vector:
    x, y, z = (value if k == axis else corner[k] for k in range(3))
    return x, y, z

"""Putting one assembly on another: laid on top of what is there, or into a gap between layers.

In: two assemblies and where one goes.  Out: one assembly with what then lies over what.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from builder.work.assembly import Assembly, Pair, both_ways
from builder.work.plates import FaceKey
from builder.work.space import Rigid, Sense

#: Whether the second of two faces lies above the first; None where that is not known.
Order = Callable[[FaceKey, FaceKey], bool | None]


def merged(base: Assembly, addition: Assembly, motion: Rigid, order: Order) -> Assembly:
    """Both as one: ``addition`` is moved to its place, and ``order`` says of each new face and each
    face of the base that it lies over whether the latter is above it."""
    placed = addition.all_moved(motion)
    joined = replace(
        base,
        plates={**base.plates, **placed.plates},
        creases={**base.creases, **placed.creases},
        angles={**base.angles, **placed.angles},
        bonds=(*base.bonds, *placed.bonds),
        sides={**base.sides, **placed.sides},
    )
    sides: dict[Pair, Sense] = dict(joined.sides)
    for new, old in joined.overlaps_with(frozenset(placed.plates)):
        is_above = order(new, old)
        if is_above is not None:
            sides.update(both_ways(joined.plates, new, old, is_above))
    return replace(joined, sides=sides)


def laid_on(
    base: Assembly, addition: Assembly, motion: Rigid, host: FaceKey, side: Sense
) -> Assembly:
    """Lay the whole stack of one assembly on that of another, on one side of a host (1: its
    front)."""
    plate = base.plates[host]
    is_from_above = side == plate.facing

    def order(new: FaceKey, old: FaceKey) -> bool | None:
        return not is_from_above if base.plates[old].axis == plate.axis else None

    return merged(base, addition, motion, order)


def slid_between(
    base: Assembly, addition: Assembly, motion: Rigid, below: Mapping[FaceKey, bool]
) -> Assembly:
    """Put one assembly between the layers of another; ``below`` says of the layers in its way
    whether they lie below it."""

    def order(_: FaceKey, old: FaceKey) -> bool | None:
        return not below[old] if old in below else None

    return merged(base, addition, motion, order)

"""Putting one assembly on another: laid on top of what is there, or into a gap between layers.

In: two assemblies and where one goes.  Out: one assembly with what then lies over what.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from builder.work.assembly import Assembly, Order, Pair
from builder.work.plates import FaceKey
from builder.work.space import Rigid, Sense

#: Faces that further joins bring together: on which side of the first the second lies.
Tucks = Mapping[Pair, Sense]


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
    return joined.layered(frozenset(placed.plates), order)


def laid_on(
    base: Assembly,
    addition: Assembly,
    motion: Rigid,
    host: FaceKey,
    side: Sense,
    tucks: Tucks,
) -> Assembly:
    """Lay the whole stack of one assembly on that of another, on one side of a host (1: its front).

    Of faces that stand and come to lie against one another, a further join says which side of each
    it is, or else what they stand on: each lies on the side of what it hangs on.
    """
    plate = base.plates[host]
    is_from_above = side == plate.facing
    placed = addition.all_moved(motion)

    def order(new: FaceKey, old: FaceKey) -> bool | None:
        if base.plates[old].axis == plate.axis:
            return not is_from_above
        return side_by_side(base, placed, old, new, tucks)

    return merged(base, addition, motion, order)


def slid_between(
    base: Assembly, addition: Assembly, motion: Rigid, below: Mapping[FaceKey, bool], tucks: Tucks
) -> Assembly:
    """Put one assembly between the layers of another; ``below`` says of the layers in its way
    whether they lie below it."""

    placed = addition.all_moved(motion)

    def order(new: FaceKey, old: FaceKey) -> bool | None:
        if old in below:
            return not below[old]
        return side_by_side(base, placed, old, new, tucks)

    return merged(base, addition, motion, order)


def side_by_side(
    base: Assembly, placed: Assembly, old: FaceKey, new: FaceKey, tucks: Tucks
) -> bool | None:
    """Whether an old face lies above a new one that stands against it; None where nothing tells."""
    if (new, old) in tucks:
        return tucks[new, old] == placed.plates[new].facing
    of_new, of_old = lean(placed, new), lean(base, old)
    return None if of_new == of_old else of_old > of_new


def lean(assembly: Assembly, face: FaceKey) -> int:
    """On which side of its plane lies what a face hangs on: 1 towards the positive end of its axis,
    0 where that is on both sides, or on none.

    A face without a fold out of its plane leans as what it is glued to in that plane.
    """
    own = _lean_of_folds(assembly, face)
    if own or any(face in crease.faces for crease in assembly.creases.values()):
        return own
    plate = assembly.plates[face]
    seen = [face]
    for at in seen:
        for bond in assembly.bonds:
            other = bond.other(at)
            if at not in bond.faces or bond.kind != "glue" or other in seen:
                continue
            if not assembly.plates[other].shares_plane(plate):
                continue
            found = _lean_of_folds(assembly, other)
            if found:
                return found
            seen.append(other)
    return 0


def _lean_of_folds(assembly: Assembly, face: FaceKey) -> int:
    plate = assembly.plates[face]
    sides = set()
    for crease in assembly.creases.values():
        if face in crease.faces:
            other = crease.staying if crease.hanging == face else crease.hanging
            low, high = assembly.plates[other].extent(plate.axis)
            if high > plate.plane:
                sides.add(1)
            if low < plate.plane:
                sides.add(-1)
    return next(iter(sides)) if len(sides) == 1 else 0

"""The faces of one plane as rectangles that can be painted one after the other.

In: an assembly and a plane.  Out: the rectangles round its faces from its negative to its positive
side.  Where layers go round, as those of four interleaved flaps, a face is divided: at any one
place there is an order.
"""

from __future__ import annotations

from collections.abc import Sequence

from builder.work.assembly import Assembly
from builder.work.plates import FaceKey
from builder.work.regions import Bounds
from builder.work.space import Exact, SpaceAxis

Sheet = tuple[FaceKey, Bounds]


def layers_of(assembly: Assembly, axis: SpaceAxis, plane: Exact) -> list[Sheet]:
    """Each face of a plane with the rectangle round it, or with the parts of that."""
    left = [(key, assembly.plates[key].bounds) for key in assembly.in_plane(axis, plane)]
    ordered: list[Sheet] = []
    while left:
        free = next((each for each in left if not _lies_under(assembly, left, each)), None)
        if free is None and (divided := _divided(assembly, left)) is not None:
            left = divided
            continue
        # Slanted faces in a round, whose rectangles cover one another: one has to come first.
        free = free or left[0]
        left.remove(free)
        ordered.append(free)
    return ordered


def _lies_under(assembly: Assembly, sheets: Sequence[Sheet], sheet: Sheet) -> Sheet | None:
    """A sheet that this one lies over, if there is one."""
    key, box = sheet
    return next(
        (
            (other, part)
            for other, part in sheets
            if assembly.is_above(other, key) and part.crosses(box)
        ),
        None,
    )


def _divided(assembly: Assembly, sheets: Sequence[Sheet]) -> list[Sheet] | None:
    """The sheets with one of a round divided where it lies over another; None where none can be."""
    for number, sheet in enumerate(sheets):
        under = _lies_under(assembly, sheets, sheet)
        assert under is not None, "what lies over nothing is painted first"
        key, box = sheet
        parts = [(key, part) for part in _parts(box, under[1])]
        if len(parts) > 1:
            return [*sheets[:number], *parts, *sheets[number + 1 :]]
    return None


def _parts(box: Bounds, other: Bounds) -> list[Bounds]:
    """What of a rectangle lies over another, and what lies on each side of that."""
    met = box.common(other)
    found = [
        Bounds(box.low0, box.low1, met.low0, box.high1),
        Bounds(met.high0, box.low1, box.high0, box.high1),
        Bounds(met.low0, box.low1, met.high0, met.low1),
        Bounds(met.low0, met.high1, met.high0, box.high1),
        met,
    ]
    return [part for part in found if part.low0 < part.high0 and part.low1 < part.high1]

"""What keeps a piece from being drawn out of an assembly, by what stands and lies there."""

from __future__ import annotations

from gatherfold.work.assembly import Assembly
from gatherfold.work.putting import is_glued_across, walls_met
from gatherfold.work.regions import FaceKey, bounds_of, rectangle_region
from gatherfold.work.space import ACROSS, AXES, Place, along


def way_out(
    assembly: Assembly, piece: str, face: FaceKey, own: tuple[int, int, int], tolerance: float
) -> FaceKey | None:
    """What keeps a piece from being drawn out to any distance in a direction of a face's own axes;
    None where nothing does."""
    block = assembly.block_of(piece)
    direction = assembly.plates[face].pose.direction(own)
    axis = next(k for k in AXES if direction[k])
    ends = [end for plate in assembly.plates.values() for end in plate.extent(axis)]
    out = along(axis, direction[axis] * (max(ends) - min(ends) + 1))
    wall = next(walls_met(assembly, block, out, tolerance), None)
    return wall or _held_by(assembly, block, axis, out)


def _held_by(
    assembly: Assembly, block: frozenset[FaceKey], axis: int, out: Place
) -> FaceKey | None:
    """What lies on a block on the side that it moves to, or is glued round it across its way."""
    for first, second in assembly.overlaps_with(block):
        is_above = assembly.is_above(first, second)
        if assembly.plates[first].axis == axis and is_above is (out[axis] > 0):
            return second
    for key, plate in assembly.plates.items():
        if key not in block or plate.axis == axis:
            continue
        x, y = (out[k] for k in ACROSS[plate.axis])
        corners = plate.bounds.ring
        lane = rectangle_region(bounds_of((*corners, *((a + x, b + y) for a, b in corners))))
        layers = [
            other
            for other in assembly.in_plane(plate.axis, plate.plane)
            if other not in block and assembly.plates[other].region.overlaps(lane)
        ]
        over = [other for other in layers if assembly.is_above(key, other) is True]
        under = [other for other in layers if assembly.is_above(key, other) is False]
        if is_glued_across(assembly, under, over, lane):
            return over[0]
    return None

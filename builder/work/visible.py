"""What shows of an assembly to somebody who looks straight at it along an axis.

In: an assembly and the direction towards the viewer.  Out: the part of each face that shows, in
units, in floats: here the exact model ends.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from shapely import Polygon, difference, unary_union
from shapely.geometry.base import BaseGeometry

from builder.work.assembly import Assembly
from builder.work.plates import FaceKey, Plate
from builder.work.regions import Region
from builder.work.space import Sense, SpaceAxis

#: What shows of a face but is narrower or smaller than this, in units, is only rounding.
_NOTHING = 1e-2
#: Corners of shapes that are laid over one another are rounded to so much of a unit.
_GRID = 1e-3


@dataclass(frozen=True)
class Look:
    """A direction of looking: towards the viewer along an axis, its positive end or the other."""

    axis: SpaceAxis
    towards: Sense


def look_at(assembly: Assembly, face: FaceKey, side: Sense) -> Look:
    """Look straight at a side of a face (1: its front)."""
    plate = assembly.plates[face]
    return Look(plate.axis, 1 if side == plate.facing else -1)


def visible_parts(assembly: Assembly, look: Look) -> Mapping[FaceKey, BaseGeometry]:
    """The part of each face that shows, of those that do not stand on edge, the farthest first.

    Coordinates are those of the two axes across the look, as regions have them.
    """
    ordered = from_far_to_near(assembly, look)
    shapes = {key: shape_of(assembly.plates[key]) for key in ordered}
    found: dict[FaceKey, BaseGeometry] = {}
    for index, key in enumerate(ordered):
        own, plate = shapes[key], assembly.plates[key]
        covers = [
            shapes[other]
            for other in ordered[index + 1 :]
            if assembly.plates[other].bounds.crosses(plate.bounds)
            and _is_nearer(assembly, key, other, look)
        ]
        # In one plane what comes earlier may lie over what comes later, where layers go round.
        covers += [
            shapes[other]
            for other in ordered[:index]
            if assembly.plates[other].shares_plane(plate) and _is_nearer(assembly, key, other, look)
        ]
        found[key] = (
            difference(own, unary_union(covers, grid_size=_GRID), grid_size=_GRID)
            if covers
            else own
        )
    return found


def is_seen(part: BaseGeometry) -> bool:
    """Whether some of a face shows, and not only rounding."""
    return not part.buffer(-_NOTHING).is_empty


def from_far_to_near(assembly: Assembly, look: Look) -> list[FaceKey]:
    """The faces that do not stand on edge, by plane and within one in an order of layers."""
    flat = [key for key, plate in assembly.plates.items() if plate.axis == look.axis]
    planes = sorted({assembly.plates[key].plane for key in flat})
    if look.towards < 0:
        planes.reverse()
    ordered: list[FaceKey] = []
    for plane in planes:
        ordered += _layered(assembly, [k for k in flat if assembly.plates[k].plane == plane], look)
    return ordered


def _layered(assembly: Assembly, faces: list[FaceKey], look: Look) -> list[FaceKey]:
    """Faces of one plane so that what lies over another comes after it, as far as they have such an
    order: of four interleaved flaps one has to come first."""
    under = {
        key: {other for other in faces if other != key and _is_nearer(assembly, other, key, look)}
        for key in faces
    }
    left, ordered = list(faces), []
    while left:
        free = next((key for key in left if not under[key]), left[0])
        left.remove(free)
        ordered.append(free)
        for lower in under.values():
            lower.discard(free)
    return ordered


def _is_nearer(assembly: Assembly, first: FaceKey, second: FaceKey, look: Look) -> bool:
    """Whether the second of two faces lies nearer to the viewer, over the first."""
    a, b = assembly.plates[first], assembly.plates[second]
    if a.plane != b.plane:
        return (b.plane > a.plane) == (look.towards > 0)
    is_above = assembly.is_above(first, second)
    return is_above is not None and is_above == (look.towards > 0)


def shape_of(plate: Plate) -> BaseGeometry:
    """The region of a plate as a shape of floats."""
    return region_shape(plate.region)


def region_shape(region: Region) -> BaseGeometry:
    """A region as a shape of floats."""
    outer, *inner = ([(float(x), float(y)) for x, y in ring] for ring in region.rings)
    shape: BaseGeometry = Polygon(outer)
    for ring in inner:
        shape = shape.difference(Polygon(ring))
    return shape

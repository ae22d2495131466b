"""What shows of an assembly to somebody who looks straight at it along an axis.

In: an assembly and the direction towards the viewer.  Out: the part of each face that shows, in
units, in floats: here the exact model ends.
"""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from heapq import heappop, heappush

from shapely import Polygon, difference, unary_union
from shapely.geometry.base import BaseGeometry

from gatherfold.geometry import crosses, holds
from gatherfold.work.assembly import Assembly
from gatherfold.work.regions import FaceKey, Plate, Region
from gatherfold.work.space import Exact, Sense, SpaceAxis, Spot

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


def visible_parts(
    assembly: Assembly, look: Look, of: Container[FaceKey] | None = None
) -> Mapping[FaceKey, BaseGeometry]:
    """The part of each face that shows, of those that do not stand on edge, the farthest first.

    Coordinates are those of the two axes across the look, as regions have them.  ``of`` are the
    faces that are asked for; all, where it is not given.
    """
    ordered = from_far_to_near(assembly, look)
    return {
        key: _visible(assembly, key, ordered, look) for key in ordered if of is None or key in of
    }


def _visible(
    assembly: Assembly, key: FaceKey, ordered: Sequence[FaceKey], look: Look
) -> BaseGeometry:
    """What shows of a face; in one plane anything may lie over it, where layers go round."""
    plate, index = assembly.plates[key], ordered.index(key)
    covers = [
        other
        for number, each in enumerate(ordered)
        if number != index
        and (number > index or assembly.plates[each].shares_plane(plate))
        and crosses((other := assembly.plates[each]).bounds, plate.bounds)
        and is_nearer(assembly, key, each, look)
    ]
    if any(_covers_all(cover, plate) for cover in covers):
        return Polygon()
    return _left(plate, *covers)


@lru_cache(maxsize=4096)
def _left(plate: Plate, *covers: Plate) -> BaseGeometry:
    """What some faces leave of another; they stay together from one step to the next."""
    own = shape_of(plate)
    if not covers:
        return own
    over = unary_union([shape_of(cover) for cover in covers], grid_size=_GRID)
    return difference(own, over, grid_size=_GRID)


def _covers_all(cover: Plate, plate: Plate) -> bool:
    """Whether a plain rectangle lies over all of a face."""
    return cover.region.is_upright_rectangle and holds(cover.bounds, plate.bounds)


def is_seen(part: BaseGeometry) -> bool:
    """Whether some of a face shows, and not only rounding."""
    # What is wide for its outline needs no closer look.
    return part.area > 4 * _NOTHING * part.length or not part.buffer(-_NOTHING).is_empty


@lru_cache(maxsize=64)
def from_far_to_near(assembly: Assembly, look: Look) -> tuple[FaceKey, ...]:
    """The faces that do not stand on edge, by plane and within one in an order of layers."""
    planes = sorted(plane for axis, plane in assembly.planes if axis == look.axis)
    if look.towards < 0:
        planes.reverse()
    return tuple(key for plane in planes for key in _layered(assembly, look, plane))


def _layered(assembly: Assembly, look: Look, plane: Exact) -> Iterable[FaceKey]:
    """Faces of one plane so that what lies over another comes after it, as far as they have such an
    order: of four interleaved flaps one has to come first."""
    faces = assembly.in_plane(look.axis, plane)
    rank = {key: number for number, key in enumerate(faces)}
    under = {key: {*assembly.lying_over(key, look.towards < 0)} & rank.keys() for key in faces}
    free = [rank[key] for key in faces if not under[key]]
    ordered: dict[FaceKey, None] = {}
    while len(ordered) < len(faces):
        key = faces[heappop(free)] if free else next(k for k in faces if k not in ordered)
        ordered[key] = None
        for upper in assembly.lying_over(key, look.towards > 0):
            if upper in under and key in under[upper]:
                under[upper].discard(key)
                if not under[upper] and upper not in ordered:
                    heappush(free, rank[upper])
    return ordered


def nearer_at(assembly: Assembly, look: Look, face: FaceKey, spot: Spot) -> tuple[FaceKey, ...]:
    """The faces that lie over another at a place of it, for the viewer."""
    axis = look.axis
    return tuple(
        key
        for key, plate in assembly.plates.items()
        if plate.axis == axis and key != face and plate.region.holds(spot)
        and is_nearer(assembly, face, key, look)
    )  # fmt: skip


def is_nearer(assembly: Assembly, first: FaceKey, second: FaceKey, look: Look) -> bool:
    """Whether the second of two faces lies nearer to the viewer, over the first."""
    a, b = assembly.plates[first], assembly.plates[second]
    if a.plane != b.plane:
        return (b.plane > a.plane) == (look.towards > 0)
    is_above = assembly.is_above(first, second)
    return is_above is not None and is_above == (look.towards > 0)


@lru_cache(maxsize=4096)
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

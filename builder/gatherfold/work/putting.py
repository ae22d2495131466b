"""Putting one assembly on another: on top of what is there, or into a gap between layers.

In: an assembly, another one, and where that goes.  Out: both as one, with what then lies over what,
and the way it went: laid or lowered, slid on, or slid into a gap; or what stops it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import Enum
from functools import cached_property

from gatherfold.geometry import around, crosses, is_vertical
from gatherfold.work.adhesive import contact, glued_down
from gatherfold.work.assembly import Assembly, Bond, FoldKey, Pair, reached
from gatherfold.work.paths import Crossing, crossings_of_slide
from gatherfold.work.regions import (
    Bounds,
    FaceKey,
    Plate,
    Region,
    Ring,
    bounds_of,
    rectangle_region,
)
from gatherfold.work.space import ACROSS, Exact, Place, Rigid, Sense, SpaceAxis, along

#: Faces that further joins bring together: on which side of the first the second lies.
Tucks = Mapping[Pair, Sense]


@dataclass(frozen=True, eq=False)
class Arrival:
    """Something brought by a motion to a side of a host in another assembly (1: its front)."""

    base: Assembly
    addition: Assembly
    motion: Rigid
    host: FaceKey
    side: Sense
    tucks: Tucks

    @cached_property
    def moving(self) -> list[Plate]:
        """The plates of what is brought, in their place."""
        return [plate.moved(self.motion) for plate in self.addition.plates.values()]

    @property
    def plate(self) -> Plate:
        """The plate of the host."""
        return self.base.plates[self.host]

    def crossings(self, out: Place, tolerance: float) -> Iterator[Crossing]:
        """What it would pass through on a straight way."""
        return _crossings(self.moving, list(self.base.plates.values()), out, tolerance)


def laid_on(arrival: Arrival) -> Assembly:
    """Lay the whole stack of one assembly on that of another.

    Of faces that stand and come to lie against one another, a further join says which side of each
    it is, or else what they stand on: each lies on the side of what it hangs on.
    """
    base, plate = arrival.base, arrival.plate
    flat = (key for key, other in base.plates.items() if other.axis == plate.axis)
    below = dict.fromkeys(flat, arrival.side == plate.facing)
    return slid_between(base, arrival.addition, arrival.motion, below, arrival.tucks)


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

    joined = replace(
        base,
        plates={**base.plates, **placed.plates},
        creases={**base.creases, **placed.creases},
        angles={**base.angles, **placed.angles},
        bonds=(*base.bonds, *placed.bonds),
        sides={**base.sides, **placed.sides},
    )
    return joined.layered(frozenset(placed.plates), order)


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
    if own or any(isinstance(link, FoldKey) for _, link in assembly.links[face]):
        return own
    leans = {_lean_of_folds(assembly, each) for each in assembly.glued_flat([face])} - {0}
    return leans.pop() if len(leans) == 1 else 0


def _lean_of_folds(assembly: Assembly, face: FaceKey) -> int:
    plate = assembly.plates[face]
    sides = set()
    for other, link in assembly.links[face]:
        if isinstance(link, FoldKey):
            low, high = assembly.plates[other].extent(plate.axis)
            if high > plate.plane:
                sides.add(1)
            if low < plate.plane:
                sides.add(-1)
    return next(iter(sides)) if len(sides) == 1 else 0


class Way(Enum):
    """How something comes to its place."""

    LAID = "laid"
    LOWERED = "lowered"
    SLID = "slid"


@dataclass(frozen=True, eq=False)
class Put:
    """Something in its place: both as one, how it came and from where (the way back out of it)."""

    after: Assembly
    way: Way
    out: Place


@dataclass(frozen=True)
class Stuck:
    """Something that cannot come to its place, and what is in the way; None: glue all round."""

    by: FaceKey | None


def put_on(arrival: Arrival, tolerance: float) -> Put | Stuck:
    """Lay something on a side of a host, lower it over it, or slide it on: the first way that is
    free."""
    moving, plate = arrival.moving, arrival.plate
    up = arrival.side * plate.facing
    reach = _reach(moving, arrival.base.plates.values(), plate.axis, up)
    away = along(plate.axis, up * (reach + 1))
    first = next(arrival.crossings(away, tolerance), None)
    if first is None:
        is_flat = all(each.axis == plate.axis for each in moving)
        way = Way.LAID if is_flat else Way.LOWERED
        return Put(laid_on(arrival), way, away)
    for out in _ways_out(plate, moving):
        if not any(arrival.crossings(out, tolerance)):
            return Put(laid_on(arrival), Way.SLID, out)
    return Stuck(first.still.key)


def slide_in(arrival: Arrival, tolerance: float) -> Put | Stuck:
    """Slide something into the first gap on a side of its host that is free of glue all the way."""
    base, plate = arrival.base, arrival.plate
    is_up = arrival.side == plate.facing
    block = _block(arrival.moving, plate)
    stop: FaceKey | None = None
    for out in _ways_out(plate, arrival.moving):
        first = next(arrival.crossings(out, tolerance), None)
        if first is not None:
            stop = first.still.key
            continue
        lane = _lane(block, plate.axis, out)
        for near, far in _gaps(base, arrival.host, is_up, lane):
            if is_glued_across(base, near, far, lane):
                continue
            below = dict.fromkeys(near, is_up) | dict.fromkeys(far, not is_up)
            after = slid_between(base, arrival.addition, arrival.motion, below, arrival.tucks)
            return Put(after, Way.SLID, out)
    return Stuck(stop)


def _crossings(
    moving: Sequence[Plate], still: Sequence[Plate], out: Place, tolerance: float
) -> Iterator[Crossing]:
    crossings = crossings_of_slide(moving, still, out)
    return (each for each in crossings if each.depth > tolerance)


def _reach(moving: Sequence[Plate], still: Collection[Plate], axis: SpaceAxis, way: int) -> Exact:
    """How far something goes along an axis until it reaches over what stays by nothing."""
    ends = [plate.extent(axis)[0 if way > 0 else 1] * way for plate in moving]
    others = [plate.extent(axis)[1 if way > 0 else 0] * way for plate in still]
    return max(max(others) - min(ends), 0) if others else 0


def _ways_out(plate: Plate, moving: Sequence[Plate]) -> Iterator[Place]:
    """The four ways in the plane of a host, over its own top, left, right and bottom edge, each so
    far that what moves is clear of the host."""
    for own in ((0, 1, 0), (-1, 0, 0), (1, 0, 0), (0, -1, 0)):
        direction = plate.pose.direction(own)
        axis = next(k for k in (0, 1, 2) if direction[k])
        way = direction[axis]
        reach = _reach(moving, [plate], axis, way)
        if reach > 0:
            yield along(axis, way * reach)


def _block(moving: Sequence[Plate], plate: Plate) -> Bounds:
    """What the moving plates in the plane of the host cover, as one block."""
    own = [each.bounds for each in moving if each.shares_plane(plate)]
    boxes = own or [each.bounds for each in moving if each.axis == plate.axis]
    return around(boxes or [plate.bounds])


def _lane(block: Bounds, axis: SpaceAxis, out: Place) -> Region:
    """What a block sweeps on its way out, in its plane."""
    x, y = (out[k] for k in ACROSS[axis])
    moved = ((first + x, second + y) for first, second in block.ring)
    return rectangle_region(bounds_of((*block.ring, *moved)))


def _gaps(
    base: Assembly, host: FaceKey, is_up: bool, lane: Region
) -> Iterator[tuple[frozenset[FaceKey], frozenset[FaceKey]]]:
    """The gaps between the layers over a host, nearest first: what lies on its side of each, and
    what lies beyond.

    What lies beside the host and on what is beyond it is slid over.  Behind all layers there is a
    gap where nothing lies over the host but what is glued down all over, a lining say, or where
    something closes the room behind it.
    """
    plate = base.plates[host]
    layers = [
        key
        for key in base.in_plane(plate.axis, plate.plane)
        if key == host or base.plates[key].region.overlaps(lane)
    ]
    far, before = (base.beyond([host], way).intersection(layers) for way in (is_up, not is_up))
    far, before = far - {host}, before - {host}
    is_open = far <= glued_down(base)
    aside = set(layers) - {host} - far - before

    def held(at: FaceKey) -> Iterator[FaceKey]:
        """The layers beside the host that are joined, on the way, to what lies beyond."""
        near = aside.intersection(other for other, _ in base.links[at])
        return (key for key in near if is_glued_across(base, {key}, {at}, lane))

    while True:
        beyond = reached(far, held)
        yield beyond.symmetric_difference(layers), beyond
        nearest = {
            key for key in far if not any(base.is_above(other, key) is is_up for other in far)
        }
        if not nearest:
            return
        far = far - nearest
        if not far and not is_open and not _is_room_closed(base, plate, is_up, lane):
            return


def _is_room_closed(base: Assembly, plate: Plate, is_up: bool, lane: Region) -> bool:
    """Whether a parallel face lies across the room behind a plate, as in a tube."""
    return any(
        other.axis == plate.axis
        and (other.plane > plate.plane if is_up else other.plane < plate.plane)
        and other.region.overlaps(lane)
        for other in base.plates.values()
    )


def is_glued_across(
    base: Assembly, near: Collection[FaceKey], far: Collection[FaceKey], lane: Region
) -> bool:
    """Whether glue or a fold joins what lies on both sides of a gap, somewhere on the way."""
    links = (link for face in far for other, link in base.links[face] if other in near)
    return any(_reaches_into(base, link, lane) for link in links)


def _reaches_into(base: Assembly, link: FoldKey | Bond, lane: Region) -> bool:
    """Whether a fold, or the glue of a bond, lies somewhere on the way."""
    if not isinstance(link, Bond):
        return crosses(lane.bounds, _run_of(base, link))
    if link.adhesive is None:
        return False
    # Whatever else lies there: this bond is what the adhesive has joined.
    others = base.plates.keys() - {link.second}
    return bool(contact(base, link.adhesive, within=lane, own=others))


def _run_of(base: Assembly, fold: FoldKey) -> Bounds:
    """The stretch of a fold in its plane: a rectangle without width."""
    crease = base.creases[fold]
    start, end = crease.ends
    own: Ring = (
        ((crease.at, start), (crease.at, end))
        if is_vertical(crease.axis)
        else ((start, crease.at), (end, crease.at))
    )
    return bounds_of(base.plates[crease.staying].ring(own))


def walls_met(
    assembly: Assembly, block: Collection[FaceKey], out: Place, tolerance: float
) -> Iterator[FaceKey]:
    """Find the faces that a block of an assembly would pass through on a straight way."""
    moving = [plate for key, plate in assembly.plates.items() if key in block]
    still = [plate for key, plate in assembly.plates.items() if key not in block]
    return (crossing.still.key for crossing in _crossings(moving, still, out, tolerance))

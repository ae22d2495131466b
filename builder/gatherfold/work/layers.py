"""The layers of an assembly, as drawings and checks ask for them.

In: an assembly.  Out: the faces of a plane as rectangles that can be painted one after the other;
and what reaches a level among the layers: glue and what sticks out of fastenings, with shapes in
units, in floats.  Where layers go round, as those of interleaved flaps, no rank says what lies over
what, and a rectangle is divided: at any one place there is an order.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from math import ceil, floor

from shapely import Point as Spot, union_all
from shapely.geometry.base import BaseGeometry

from gatherfold.geometry import Box, common, crosses, difference
from gatherfold.resolve import ResolvedDesign, ResolvedFastening
from gatherfold.work.assembly import Adhesive, Assembly
from gatherfold.work.moments import Work
from gatherfold.work.piercing import faces_of
from gatherfold.work.regions import Bounds, FaceKey, Plate
from gatherfold.work.space import ACROSS, Exact, Sense
from gatherfold.work.visible import Look, from_far_to_near, region_shape, shape_of


def seen_box(plate: Plate, scale: int) -> Box:
    """The upright box that a plate covers, seen along the axis that it looks along."""
    return Box(*(Fraction(end) / scale for end in plate.bounds))


Sheet = tuple[FaceKey, Bounds]


def layers_of(assembly: Assembly, look: Look, plane: Exact) -> list[Sheet]:
    """Each face of a plane, the farthest first, with the rectangle round it, or with the parts of
    that: of a round of layers one is divided along the edge of what lies over it, so that what
    shows of it is painted after what it hides."""
    left = [(key, assembly.plates[key].bounds) for key in assembly.in_plane(look.axis, plane)]
    ordered: list[Sheet] = []
    while left:
        free = next(
            (s for s in left if not any(_lies_over(assembly, look, s, o) for o in left)), None
        )
        if free is None and (divided := _divided(assembly, look, left)) is not None:
            left = divided
            continue
        # Slanted faces in a round, whose rectangles cover one another: one has to come first.
        free = free or left[0]
        left.remove(free)
        ordered.append(free)
    return ordered


def _lies_over(assembly: Assembly, look: Look, upper: Sheet, lower: Sheet) -> bool:
    """Whether a sheet lies over another one for the viewer."""
    (key, box), (other, under) = upper, lower
    way = look.towards > 0
    return assembly.is_above(other, key) is way and crosses(under, box)


def _divided(assembly: Assembly, look: Look, sheets: Sequence[Sheet]) -> list[Sheet] | None:
    """The sheets with one of a round divided along something that lies over it, into as few parts
    as can be; None where none can be."""
    found = [
        (number, parts)
        for number, sheet in enumerate(sheets)
        for other in sheets
        if _lies_over(assembly, look, other, sheet) and len(parts := _parts(sheet[1], other[1])) > 1
    ]
    if not found:
        return None
    number, parts = min(found, key=lambda each: len(each[1]))
    divided = [(sheets[number][0], part) for part in parts]
    return [*sheets[:number], *divided, *sheets[number + 1 :]]


def _parts(box: Bounds, over: Bounds) -> list[Bounds]:
    """What lies on each side of something over a rectangle, and what it covers of that."""
    covered = common(box, over)
    return [*difference(box, [over]), *([covered] if covered is not None else [])]


@dataclass(frozen=True)
class InTheWay:
    """Something at a level: the piece whose glue it is, or the fastening; and where.

    ``holds`` says of glue that it is on what moves itself, and not only across its level.
    """

    name: str
    shape: BaseGeometry
    is_glue: bool
    holds: bool = False
    #: How far a fastening reaches from its centre, in units.
    reach: float = 0.0


class Layers:
    """The layers of an assembly along the axis of one of its planes, ready to be asked often.

    Levels rise towards ``up``; of layers that lie side by side what came later counts as higher.
    """

    def __init__(
        self, resolved: ResolvedDesign, work: Work, assembly: Assembly, at: FaceKey, up: Sense
    ) -> None:
        self.resolved, self.work = resolved, work
        self.assembly, self.plane = assembly, assembly.plates[at]
        self._up = up
        look = Look(self.plane.axis, up)
        self._rank = {key: n for n, key in enumerate(from_far_to_near(assembly, look))}

    def level_of(self, face: FaceKey) -> float:
        """The level of a face."""
        return self._rank[face]

    def level_below(self, face: FaceKey) -> float:
        """The level next below a face."""
        return self._rank[face] - 0.5

    def is_here(self, face: FaceKey) -> bool:
        """Whether a face lies in the plane."""
        plate = self.assembly.plates.get(face)
        return plate is not None and plate.shares_plane(self.plane)

    def in_the_way(
        self, level: float, own: Collection[FaceKey], within: Bounds | None = None
    ) -> Iterator[InTheWay]:
        """All that reaches a level: glue across it or on what moves, and fastenings; what is well
        away from ``within`` may be left out."""
        plates = self.assembly.plates
        for bond in self.assembly.bonds:
            ends = bond.faces
            if bond.adhesive is None or not all(self.is_here(face) for face in ends):
                continue
            if within is not None and not crosses(plates[bond.first].bounds, within):
                continue
            moving = [face in own for face in ends]
            low, high = sorted(self._rank[face] for face in ends)
            holds = moving[0] != moving[1]
            if holds or (not any(moving) and low < level < high):
                where = self._glued(bond.first, bond.second, bond.adhesive)
                yield InTheWay(bond.joins, where, is_glue=True, holds=holds)
        for key, faces in self._pierced.items():
            yield from self._ends(key, faces, level, own, within)

    def _glued(self, first: FaceKey, second: FaceKey, adhesive: Adhesive) -> BaseGeometry:
        """Where adhesive lies on what it is spread on and meets what it holds."""
        plates, face = self.assembly.plates, self.assembly.plates[adhesive.face]
        spread, dry = (
            union_all([region_shape(face.in_space(region)) for region in regions])
            for regions in (adhesive.spread, adhesive.dry)
        )
        on = spread.intersection(shape_of(face)).difference(dry)
        return on.intersection(shape_of(plates[first])).intersection(shape_of(plates[second]))

    # ---- fastenings

    @cached_property
    def _pierced(self) -> Mapping[str, tuple[FaceKey, ...]]:
        """The faces that each fastening lies on or goes through."""
        found = {}
        for key, fastening in self.resolved.fastenings.items():
            if fastening.point is None or not fastening.source.through:
                continue
            faces = faces_of(self.work, self.assembly, key)
            if faces and all(self.is_here(face) for face in faces):
                found[key] = faces
        return found

    def centre(self, fastening: ResolvedFastening) -> Spot | None:
        """Where a fastening goes through the plane."""
        faces = self._pierced.get(fastening.key)
        if faces is None or fastening.point is None:
            return None
        place = self.assembly.plates[faces[0]].place_of(fastening.point, self.work.scale)
        first, second = ACROSS[self.plane.axis]
        return Spot(float(place[first]), float(place[second]))

    def _ends(
        self,
        key: str,
        faces: tuple[FaceKey, ...],
        level: float,
        own: Collection[FaceKey],
        within: Bounds | None,
    ) -> Iterator[InTheWay]:
        """The shaft of a fastening, or its head or prongs, where no layer covers them."""
        fastening = self.resolved.fastenings[key]
        centre = self.centre(fastening)
        if centre is None or set(faces) <= set(own):
            return
        ranks = [self._rank[face] for face in faces]
        reach = self._reach(fastening, faces, level)
        around = Bounds(
            *(floor(end) for end in (centre.x - reach, centre.y - reach)),
            *(ceil(end) for end in (centre.x + reach, centre.y + reach)),
        )
        if within is not None and not crosses(around, within):
            return
        end = centre.buffer(reach, quad_segs=64)
        low, high = (max(ranks), level) if level > max(ranks) else (level, min(ranks))
        covers = [
            shape_of(self.assembly.plates[face])
            for face, rank in self._rank.items()
            if low < rank < high
            and face not in own
            and self.is_here(face)
            and crosses(self.assembly.plates[face].bounds, around)
        ]
        bare = end.difference(union_all(covers)) if covers else end
        if not bare.is_empty:
            yield InTheWay(key, bare, False, reach=reach)

    def _reach(self, fastening: ResolvedFastening, faces: Sequence[FaceKey], level: float) -> float:
        """How far a fastening reaches from its centre at a level: its shaft within its stack, its
        head or its prongs outside."""
        ranks = [self._rank[face] for face in faces]
        is_above = level > max(ranks)
        is_head_up = (
            self.assembly.plates[faces[0]].facing == self._up
            if len(faces) == 1
            else ranks[0] > ranks[-1]
        )
        if min(ranks) <= level <= max(ranks):
            reach = self._shaft(fastening)
        elif fastening.source.fastener.spread is not None and is_above != is_head_up:
            reach = fastening.leg
        else:
            reach = fastening.head / 2
        return float(reach * self.work.scale)

    def _shaft(self, fastening: ResolvedFastening) -> Fraction:
        """Half the hole that a fastening goes through."""
        first = self.resolved.pieces[fastening.source.through[0]]
        holes = (hole.diameter / 2 for hole in first.holes if hole.fastening == fastening.key)
        return next(holes, fastening.head / 2)

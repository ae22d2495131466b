"""Every piece that is laid on another one, with true outlines.

In: a resolved design.  Out: which face lies on which, and shapes in mm in the coordinates of the
host's piece, in floats: rounds, mitres, notches, windows and holes as they are cut.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from shapely import Point, Polygon, box, distance, get_coordinates, points, unary_union
from shapely.affinity import scale as resized
from shapely.geometry.base import BaseGeometry

from gatherfold.geometry import EDGES, Arc, Box, CornerName, EdgeName
from gatherfold.resolve import ResolvedDesign, ResolvedPiece
from gatherfold.work import (
    ACROSS,
    Assembly,
    FaceKey,
    Placing,
    glued_side,
    host_side,
    in_own,
    shape_of,
    work_of,
)

#: Faces of one piece meet at their folds, but for what rounding leaves of a crack, in units.
_CRACK = 1e-3


@dataclass(frozen=True, eq=False)
class Resting:
    """A piece on its host as it came there; ``assembly`` is both, and all that is joined to them.

    ``on`` is the face that it lies on, in whose piece's coordinates all shapes are.
    """

    piece: ResolvedPiece
    host: ResolvedPiece
    on: FaceKey
    assembly: Assembly
    is_glued: bool
    scale: int

    @cached_property
    def faces(self) -> tuple[FaceKey, ...]:
        """The faces that it lies by, as far as they lie in the plane of what it lies on."""
        names = self.piece.glued or (self.piece.by,)
        keys = (FaceKey(self.piece.key, name) for name in names)
        ground = self.assembly.plates[self.on]
        return tuple(key for key in keys if self.assembly.plates[key].shares_plane(ground))

    @cached_property
    def shape(self) -> BaseGeometry:
        """Where it lies."""
        return unary_union([self.seen(key) for key in self.faces])

    @cached_property
    def host_faces(self) -> tuple[FaceKey, ...]:
        """The faces of the host in that plane."""
        plates = self.assembly.plates
        return tuple(
            key
            for key in (FaceKey(self.host.key, face.name) for face in self.host.faces)
            if plates[key].shares_plane(plates[self.on])
        )

    @cached_property
    def ground(self) -> BaseGeometry:
        """The host as far as it lies in the same plane, its windows filled."""
        own = [shape_of(self.assembly.plates[key]).buffer(_CRACK) for key in self.host_faces]
        return filled(self.from_space(unary_union(own)))

    @property
    def is_outside(self) -> bool:
        """Whether it lies on the side of its host that looks away from what that lies on."""
        own, host = self.piece.source.placement, self.host.source.placement
        if own is None or host is None:
            return True
        return host_side(own.relation) != glued_side(host.relation)

    def seen(self, key: FaceKey) -> BaseGeometry:
        """A face of the assembly that lies in the same plane."""
        return self.from_space(shape_of(self.assembly.plates[key]))

    def from_space(self, shape: BaseGeometry) -> BaseGeometry:
        """A shape in the plane, in the host's own coordinates."""
        return in_mm(in_own(self.assembly.plates[self.on], shape), self.scale)

    def own_holes(self) -> Iterator[BaseGeometry]:
        """The holes of the piece itself, where they lie on the host."""
        for hole in self.piece.holes:
            plate = self.assembly.plates[self.faces[0]]
            place = plate.place_of(hole.centre, self.scale)
            first, second = ACROSS[plate.axis]
            centre = Point(float(place[first]), float(place[second]))
            yield self.from_space(centre.buffer(float(hole.diameter * self.scale) / 2))


def laid_pieces(resolved: ResolvedDesign) -> Iterator[Resting]:
    """Every piece that a step lays on its host, in the order of the steps."""
    work = work_of(resolved)
    for moment in work.moments:
        placing = moment.motion
        if isinstance(placing, Placing):
            piece, host = resolved.pieces[placing.piece], resolved.pieces[placing.host.piece]
            after = placing.put.after
            yield Resting(piece, host, placing.host, after, placing.is_glued, work.scale)


def in_mm(shape: BaseGeometry, scale: int) -> BaseGeometry:
    """A shape in units → the same in mm."""
    return resized(shape, 1 / scale, 1 / scale, origin=(0, 0))


def filled(shape: BaseGeometry) -> BaseGeometry:
    """A shape without its openings."""
    parts = getattr(shape, "geoms", [shape])
    return unary_union([Polygon(part.exterior) for part in parts if isinstance(part, Polygon)])


def reach_beyond(shape: BaseGeometry, ground: BaseGeometry) -> float:
    """How far a shape reaches beyond another one, to its farthest corner; 0 where it does not."""
    excess = shape.difference(ground)
    spots = get_coordinates(excess)
    return float(distance(points(spots), ground).max()) if len(spots) else 0.0


def is_broad(shape: BaseGeometry, width: float) -> bool:
    """Whether a shape is somewhere wider than so much, and not only a sliver."""
    return not shape.is_empty and not shape.buffer(-width / 2).is_empty


def fits_within(shape: BaseGeometry, ground: BaseGeometry, slack: float) -> bool:
    """Whether the upright rectangle round a shape lies within the one round another."""
    left, bottom, right, top = shape.bounds
    low, under, high, over = ground.bounds
    beyond = max(low - left, under - bottom, right - high, top - over)
    return bool(beyond <= slack)


def corner_near(shape: BaseGeometry, ground: BaseGeometry) -> CornerName:
    """The corner of another shape that a shape lies nearest to."""
    left, bottom, right, top = ground.bounds
    x, y = shape.centroid.x, shape.centroid.y
    if y > (bottom + top) / 2:
        return "top right" if x > (left + right) / 2 else "top left"
    return "bottom right" if x > (left + right) / 2 else "bottom left"


def rounded(length: float, grid: Fraction) -> Fraction:
    """A length in floats to a quarter of the grid's step, up: as it is told."""
    step = grid / 4
    return -(-Fraction(length).limit_denominator(10_000) // step) * step


def parts_of_shape(shape: BaseGeometry) -> list[BaseGeometry]:
    """Its separate parts."""
    return [part for part in getattr(shape, "geoms", [shape]) if not part.is_empty]


@dataclass(frozen=True)
class Notch:
    """A thumb notch: the edge that it is cut into, its radius, and the half disc."""

    edge: EdgeName
    radius: Fraction
    shape: BaseGeometry


def notches(piece: ResolvedPiece) -> Iterator[Notch]:
    """The thumb notches of a piece: nothing else is a clockwise arc of an outline."""
    whole = Box(Fraction(0), Fraction(0), piece.width, piece.height)
    for arc in piece.outline.edges:
        if isinstance(arc, Arc) and arc.clockwise:
            edge = next(edge for edge in EDGES if arc.centre.across(edge) == whole.edge(edge))
            disc = Point(float(arc.centre.x), float(arc.centre.y)).buffer(float(arc.radius))
            yield Notch(edge, arc.radius, disc.intersection(box(*map(float, whole))))

"""What a picture of a moment shows: an assembly seen flat-on, the farthest first.

In: an assembly turned so that the viewer looks along its third axis, and from which end.  Out: the
parts of its pieces that lie flat, each with what shows of it, and those that stand on edge as
lines, in mm of the work.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import chain

import shapely
from shapely import LineString, Polygon, box, unary_union
from shapely.affinity import affine_transform, scale as scaled
from shapely.geometry.base import BaseGeometry
from shapely.ops import linemerge

from gatherfold.drawings.kernel.plane import Place, Rect, bounding
from gatherfold.drawings.kernel.wording import face_words, named
from gatherfold.drawings.views.features import piece_rings, rect_of, score_run
from gatherfold.geometry import EdgeName, Pose, edge_towards, outward
from gatherfold.resolve import ResolvedPiece, Score
from gatherfold.work import (
    Assembly,
    FaceKey,
    Look,
    Rigid,
    SpaceLine,
    as_pose,
    quarter_turn,
    reached,
    shape_of,
    visible_parts,
)

Ring = tuple[Place, ...]

#: A line this near to the edge of what covers it is drawn with that, in mm of the work.
_COINCIDENT = 0.05
#: The turn that brings each axis to the third, so that what was up before stays up.
_TO_VIEWER: tuple[Rigid, ...] = (
    Rigid(((0, 1, 0), (0, 0, 1), (1, 0, 0)), (0, 0, 0)),
    Rigid(((1, 0, 0), (0, 0, 1), (0, -1, 0)), (0, 0, 0)),
    Rigid(((1, 0, 0), (0, 1, 0), (0, 0, 1)), (0, 0, 0)),
)


def turned_to_viewer(assembly: Assembly, look: Look, upright: FaceKey | None = None) -> Assembly:
    """The assembly with the axis of a look as its third; of what stands, a face is turned
    ``upright`` that its edges have their own names, but never upside down."""
    motion = _TO_VIEWER[look.axis]
    if upright is not None and look.axis != 2:
        across, up, _ = motion.then(assembly.plates[upright].pose).direction((0, 1, 0))
        quarters = {(0, 1): 0, (1, 0): 1, (0, -1): 0, (-1, 0): 3}[across, up]
        for _ in range(quarters):
            motion = quarter_turn(SpaceLine(2, (0, 0)), 1).then(motion)
    return assembly.all_moved(motion)


def is_from_front(look: Look) -> bool:
    """Whether what is turned to the viewer is seen from the positive end of its third axis."""
    return (look.towards > 0) == (look.axis != 1)


def with_faces(assembly: Assembly, faces: frozenset[FaceKey]) -> Assembly:
    """The assembly as it is without its other faces."""
    plates = {key: plate for key, plate in assembly.plates.items() if key in faces}
    creases = {key: c for key, c in assembly.creases.items() if faces.issuperset(c.faces)}
    bonds = tuple(bond for bond in assembly.bonds if faces.issuperset(bond.faces))
    return replace(assembly, plates=plates, creases=creases, bonds=bonds)


@dataclass(frozen=True, eq=False)
class SeenPiece:
    """Faces of a piece that lie flat together; ``faces_front`` says that their front looks to the
    positive end of the third axis, ``shown`` is what nothing covers."""

    piece: ResolvedPiece
    pose: Pose
    faces: tuple[str, ...]
    faces_front: bool
    shown: BaseGeometry

    @cached_property
    def keys(self) -> tuple[FaceKey, ...]:
        """Its faces with their piece."""
        return tuple(FaceKey(self.piece.key, face) for face in self.faces)

    @property
    def is_whole(self) -> bool:
        """Whether the whole piece lies flat."""
        return len(self.faces) == len(self.piece.faces)

    @cached_property
    def rings(self) -> tuple[Ring, ...]:
        """Its outline and its openings."""
        outer, *openings = (self.ring(ring) for ring in piece_rings(self.piece))
        if self.is_whole:
            return outer, *openings
        shape = Polygon(outer).intersection(unary_union([self._box(f) for f in self.faces]))
        found = max(polygons_of(shape), key=lambda part: part.area, default=None)
        if found is None:
            return self.face_rect(self.faces[0]).ring, *()
        return tuple(found.exterior.coords[:-1]), *(r for r in openings if _is_in(r, found))

    @cached_property
    def outline(self) -> Polygon:
        """It with its openings filled."""
        return Polygon(self.rings[0])

    @cached_property
    def extent(self) -> Rect:
        return bounding(self.rings[0])

    def ring(self, places: Iterable[Place]) -> Ring:
        """Where places of the piece lie."""
        (a, b, _), (c, d, _), _ = self.pose.rotation
        x, y = float(self.pose.shift[0]), float(self.pose.shift[1])
        return tuple((a * u + b * v + x, c * u + d * v + y) for u, v in places)

    def placed(self, own: BaseGeometry, scale: int) -> BaseGeometry:
        """A shape in units in the coordinates of the piece, where it lies, in mm."""
        (a, b, _), (c, d, _), _ = self.pose.rotation
        x, y = float(self.pose.shift[0]), float(self.pose.shift[1])
        return affine_transform(in_mm(own, scale), [a, b, c, d, x, y])

    def rect(self, rect: Rect) -> Rect:
        return bounding(self.ring(rect.ring))

    def side(self, edge: EdgeName) -> EdgeName:
        """Which side of what is seen an edge of the piece is."""
        (a, b, _), (c, d, _), _ = self.pose.rotation
        dx, dy = outward(edge)
        return edge_towards(a * dx + b * dy, c * dx + d * dy)

    def face_rect(self, name: str) -> Rect:
        return self.rect(rect_of(self.piece.face(name).box))

    def face_shape(self, name: str) -> BaseGeometry:
        """The outline of one of its faces."""
        return self.outline.intersection(self._box(name))

    def _box(self, name: str) -> BaseGeometry:
        return box(*self.face_rect(name))

    def score_runs(self) -> tuple[tuple[Score, Ring], ...]:
        """Folds within it that lie flat."""
        return tuple(
            (score, self.ring(score_run(score)))
            for score in self.piece.scores
            if all(side in self.faces for side in score.sides)
        )

    def title(self, is_short: bool = False) -> str:
        """What it is called on a drawing; one face of a folded piece with that."""
        whole = self.piece.code if is_short else named(self.piece)
        is_face = len(self.faces) == 1 and not self.is_whole
        return f"{whole} ({face_words(self.faces[0])})" if is_face else whole


def _is_in(ring: Ring, shape: Polygon) -> bool:
    return bool(shape.contains(Polygon(ring).representative_point()))


@dataclass(frozen=True)
class EdgeOn:
    """A face that stands on edge: the line that shows of it."""

    key: FaceKey
    run: tuple[Place, Place]

    @property
    def piece(self) -> str:
        return self.key.piece


def seen(
    pieces: Mapping[str, ResolvedPiece],
    assembly: Assembly,
    scale: int,
    is_front: bool,
    are_apart: bool = False,
) -> tuple[tuple[SeenPiece, ...], tuple[EdgeOn, ...]]:
    """What somebody sees who looks along the third axis, the farthest first, every face for itself
    if they ``are_apart``; and what stands on edge."""
    shown = visible_parts(assembly, Look(2, 1 if is_front else -1))
    ranks = {key: rank for rank, key in enumerate(shown)}
    stack = []
    for faces in [[key] for key in shown] if are_apart else _flat_parts(assembly, shown):
        first = assembly.plates[faces[0]]
        part = unary_union([shown[key] for key in faces])
        rank = max(ranks[key] for key in faces)
        piece = SeenPiece(
            pieces[faces[0].piece],
            as_pose(first.pose, scale),
            tuple(key.face for key in faces),
            first.facing > 0,
            in_mm(part, scale),
        )
        stack.append((rank, piece))
    stack.sort(key=lambda each: each[0])
    return tuple(piece for _, piece in stack), tuple(_edges_on(assembly, scale, is_front))


def _flat_parts(assembly: Assembly, flat: Collection[FaceKey]) -> Iterator[list[FaceKey]]:
    """Faces of one piece that lie flat beside one another."""
    level = [c.faces for key, c in assembly.creases.items() if assembly.angle(key) == 0]

    def beside(face: FaceKey) -> Iterator[FaceKey]:
        return (other for pair in level if face in pair for other in pair if other in flat)

    done: frozenset[FaceKey] = frozenset()
    for key in flat:
        if key not in done:
            found = reached([key], beside)
            done |= found
            yield [each for each in flat if each in found]


def _edges_on(assembly: Assembly, scale: int, is_front: bool) -> Iterator[EdgeOn]:
    flat = [plate for plate in assembly.plates.values() if plate.axis == 2]
    standing = [(key, plate) for key, plate in assembly.plates.items() if plate.axis != 2]
    within = [in_mm(shape_of(other), scale).buffer(-_COINCIDENT) for other in flat if standing]
    for key, plate in standing:
        ends = [[float(end) / scale for end in plate.extent(axis)] for axis in (0, 1)]
        low, high = plate.extent(2)
        covers = [
            cover
            for other, cover in zip(flat, within, strict=True)
            if (other.plane >= high if is_front else other.plane <= low)
        ]
        line = LineString([(ends[0][0], ends[1][0]), (ends[0][1], ends[1][1])])
        for run in runs_of(line.difference(unary_union(covers)) if covers else line):
            if LineString(run).length > _COINCIDENT:
                yield EdgeOn(key, (run[0], run[-1]))


def in_mm(shape: BaseGeometry, scale: int) -> BaseGeometry:
    """A shape in units in mm."""
    return scaled(shape, 1 / scale, 1 / scale, origin=(0, 0))


def polygons_of(shape: BaseGeometry) -> list[Polygon]:
    """The polygons of a shape, without lines and points."""
    if isinstance(shape, Polygon):
        return [shape] if not shape.is_empty else []
    return [part for part in getattr(shape, "geoms", ()) if isinstance(part, Polygon)]


#: How far within a shape places of it are looked for, in mm, the best first, and where on the way
#: round: each far from those before it.
_DEPTHS = (12.0, 6.0, 3.0, 1.5, 0.8, 0.4, 0.15)
_ROUND = tuple((0.37 + 0.618 * step) % 1.0 for step in range(24))


def places_within(shape: BaseGeometry, but: BaseGeometry | None = None) -> Iterator[Place] | None:
    """Places in a shape, those deepest inside it first, each worked out when asked for; none of
    ``but`` where the shape goes on beside that; None where there are none."""
    left = shape if but is None else shape.difference(but)
    places = _from_within(shape if left.is_empty else left)
    first = next(places, None)
    return None if first is None else chain([first], places)


def _from_within(shape: BaseGeometry) -> Iterator[Place]:
    for depth in _DEPTHS:
        for ring in rings_of(shape.buffer(-depth)):
            line = LineString((*ring, ring[0]))
            points = shapely.line_interpolate_point(line, _ROUND, normalized=True)
            yield from ((x, y) for x, y in shapely.get_coordinates(points).tolist())


def rings_of(shape: BaseGeometry) -> list[Ring]:
    """All rings of a shape, its outlines and its openings."""
    return [
        tuple(ring.coords[:-1])
        for part in polygons_of(shape)
        for ring in (part.exterior, *part.interiors)
    ]


def runs_of(lines: BaseGeometry) -> list[Ring]:
    """The lines of a shape, joined where they meet."""
    parts = [part for part in getattr(lines, "geoms", [lines]) if isinstance(part, LineString)]
    parts = [part for part in parts if part.length > 0]
    if not parts:
        return []
    merged = linemerge(parts) if len(parts) > 1 else parts[0]
    return [tuple(part.coords) for part in getattr(merged, "geoms", [merged])]


def runs_within(
    runs: Iterable[Ring], shape: BaseGeometry, slack: float = 0.1
) -> Iterator[list[Ring]]:
    """The stretches of each of some runs that lie in a shape or along its edge."""
    widened = shape.buffer(slack)
    for run in runs:
        line = LineString(run)
        found = line.intersection(widened)
        if found.length > line.length - slack:
            yield [run]
        else:
            yield [part for part in runs_of(found) if LineString(part).length > 3 * slack]

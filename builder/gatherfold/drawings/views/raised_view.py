"""Folded work seen obliquely: faces in axonometric projection, the nearer over the farther.

In: a resolved design and an assembly, or faces placed beside one another.  Out: outlines with their
notches, corners and openings, from the farthest to the nearest, and their ink on a canvas.
Thickness is not drawn; of coincident layers the one towards the viewer lies on top.

Rectangles at right angles to the axes, which do not pass through one another, are divided where
they must be: space is divided by the plane of one after another (binary space partition), and a
plane is chosen that cuts the fewest.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property

from shapely import Polygon, make_valid, unary_union
from shapely.geometry.base import BaseGeometry

from gatherfold.drawings.kernel.axonometric import Projection
from gatherfold.drawings.kernel.canvas import Canvas
from gatherfold.drawings.kernel.hatching import GLUE, PRINTS
from gatherfold.drawings.kernel.plane import (
    Mapping,
    Place,
    Rect,
    bounding,
    clipped_ring,
    clipped_run,
    ring_holds,
)
from gatherfold.drawings.kernel.stock_tints import StockTints, drawing_tints
from gatherfold.drawings.kernel.styles import FOLD_LINES, Fill, Line, Tint
from gatherfold.drawings.views.features import hole_ring, outline_ring, rect_of, score_run
from gatherfold.drawings.views.seen_pieces import polygons_of
from gatherfold.geometry import Box, Pose, Slab, Vector, placed
from gatherfold.resolve.resolved import ResolvedDesign, ResolvedPiece
from gatherfold.work import Assembly, FaceKey, PlacedFace
from gatherfold.work.layers import Sheet, layers_of
from gatherfold.work.space import ACROSS, AXES, Exact, as_pose
from gatherfold.work.visible import Look


@dataclass(frozen=True)
class Part:
    """A rectangle, or a part of it.  ``index`` is that of the rectangle; of coincident ones a
    larger ``order`` lies towards the positive axis.  ``is_cut`` says that it is divided along the
    edges of what lies over it, so that these are drawn round it as well."""

    index: int
    slab: Slab
    order: int
    is_cut: bool = False


def from_far_to_near(parts: Sequence[Part], viewer: tuple[float, float, float]) -> list[Part]:
    """The parts in the order to paint them in; ``viewer`` points from the work to the viewer."""
    if len(parts) < 2:
        return list(parts)
    axis, plane = _dividing_plane(parts)
    before: list[Part] = []
    behind: list[Part] = []
    level: list[Part] = []
    for part in parts:
        if part.slab.axis == axis and part.slab.plane == plane:
            level.append(part)
            continue
        for piece in _divided(part, axis, plane):
            is_above = piece.slab.low[axis] >= plane
            (before if is_above == (viewer[axis] > 0) else behind).append(piece)
    level.sort(key=lambda part: part.order, reverse=viewer[axis] < 0)
    return [*from_far_to_near(behind, viewer), *level, *from_far_to_near(before, viewer)]


def _dividing_plane(parts: Sequence[Part]) -> tuple[int, Fraction]:
    """The plane of one of the parts that cuts the fewest others."""
    planes = dict.fromkeys((part.slab.axis, part.slab.plane) for part in parts)
    best, fewest = next(iter(planes)), len(parts) + 1
    for axis, plane in planes:
        cut = sum(1 for p in parts if p.slab.low[axis] < plane < p.slab.high[axis])
        if cut < fewest:
            best, fewest = (axis, plane), cut
        if cut == 0:
            break
    return best


def _divided(part: Part, axis: int, plane: Fraction) -> list[Part]:
    """The part itself, or its two parts on either side of the plane."""
    slab = part.slab
    if not slab.low[axis] < plane < slab.high[axis]:
        return [part]
    lower = replace(slab, high=_with(slab.high, axis, plane))
    upper = replace(slab, low=_with(slab.low, axis, plane))
    return [replace(part, slab=each, is_cut=False) for each in (lower, upper)]


def _with(corner: Vector, axis: int, value: Fraction) -> Vector:
    x, y, z = (value if k == axis else corner[k] for k in range(3))
    return x, y, z


Ring = tuple[Place, ...]


@dataclass(frozen=True)
class RaisedFace:
    """A face, or a part of one, on the plane of projection.

    ``rings`` are its outline and the openings through it, ``edges`` what shows of its real edges,
    ``folds`` the flat folds along it, each with the line that it is drawn in.
    """

    piece: ResolvedPiece
    placed: PlacedFace
    axis: int
    shows_front: bool
    rings: tuple[Ring, ...]
    edges: tuple[Ring, ...]
    folds: tuple[tuple[Line, Ring], ...]

    @property
    def key(self) -> FaceKey:
        return self.placed.key

    @cached_property
    def extent(self) -> Rect:
        return bounding(self.rings[0])

    @cached_property
    def shape(self) -> BaseGeometry:
        """It without its openings; what is cut off it may have left lines that enclose nothing."""
        outer, *openings = (polygons_of(make_valid(Polygon(ring))) for ring in self.rings)
        return unary_union(outer).difference(
            unary_union([each for own in openings for each in own])
        )

    def holds(self, place: Place) -> bool:
        """Whether the face itself, and no opening, is at this place."""
        if not self.extent.holds(place):
            return False
        outer, *openings = self.rings
        return ring_holds(outer, place) and not any(ring_holds(r, place) for r in openings)


@dataclass(frozen=True)
class Strip:
    """Something laid among the faces, painted when ``after`` of them are; its further rings are
    holes."""

    after: int
    rings: tuple[Ring, ...]
    fill: Fill | Tint
    line: Line


def slab_of(resolved: ResolvedDesign, face: PlacedFace) -> Slab:
    """The rectangle round a face in space."""
    return placed(face.pose, resolved.pieces[face.piece].face(face.face).box)


def raised_faces(
    resolved: ResolvedDesign, faces: Sequence[PlacedFace], projection: Projection
) -> tuple[RaisedFace, ...]:
    """Faces from the farthest to the nearest; of those in one plane what comes later lies further
    towards the end of its axis."""
    parts = [Part(index, slab_of(resolved, face), index) for index, face in enumerate(faces)]
    return _raised_parts(resolved, faces, parts, projection)


def raised_work(
    resolved: ResolvedDesign,
    assembly: Assembly,
    scale: int,
    projection: Projection,
    within: Box | None = None,
) -> tuple[RaisedFace, ...]:
    """An assembly from its farthest face to its nearest; what is seen edge-on is left out, and so
    is what lies, seen from the front, beyond ``within``."""
    faces: list[PlacedFace] = []
    parts = []
    for axis, plane in assembly.planes:
        look = Look(axis, -1 if projection.viewer[axis] < 0 else 1)
        for sheet in layers_of(assembly, look, plane):
            index, key = len(faces), sheet[0]
            pose = as_pose(assembly.plates[key].pose, scale)
            faces.append(PlacedFace(key.piece, key.face, pose, index))
            slab = _slab(sheet, axis, plane, scale)
            kept = slab if within is None else _kept(slab, within)
            if kept is not None:
                is_cut = sheet[1] != assembly.plates[key].bounds
                parts.append(Part(index, kept, look.towards * index, is_cut))
    return _raised_parts(resolved, faces, parts, projection)


def _slab(sheet: Sheet, axis: int, plane: Exact, scale: int) -> Slab:
    """A rectangle in a plane, in mm."""
    box = sheet[1]
    low, high = (
        dict(zip(ACROSS[axis], box[:2], strict=True)),
        dict(zip(ACROSS[axis], box[2:], strict=True)),
    )
    return Slab(axis, _in_mm(low, plane, scale), _in_mm(high, plane, scale))


def _in_mm(ends: dict[int, Exact], plane: Exact, scale: int) -> Vector:
    x, y, z = (Fraction(ends.get(axis, plane)) / scale for axis in AXES)
    return x, y, z


def _raised_parts(
    resolved: ResolvedDesign,
    faces: Sequence[PlacedFace],
    parts: Sequence[Part],
    projection: Projection,
) -> tuple[RaisedFace, ...]:
    normals = {face.key: face.pose.normal for face in faces}
    seen = []
    for part in from_far_to_near(parts, projection.viewer):
        face = faces[part.index]
        raised = _raised(resolved.pieces[face.piece], face, part, projection, normals)
        if raised is not None:
            seen.append(raised)
    return tuple(seen)


def _kept(slab: Slab, within: Box) -> Slab | None:
    """The part of a rectangle in space that lies in a box as seen from the front."""
    low = max(slab.low[0], within.left), max(slab.low[1], within.bottom), slab.low[2]
    high = min(slab.high[0], within.right), min(slab.high[1], within.top), slab.high[2]
    is_left = all(low[k] < high[k] or (slab.axis == k and low[k] == high[k]) for k in range(2))
    return Slab(slab.axis, low, high) if is_left else None


def _raised(
    piece: ResolvedPiece,
    face: PlacedFace,
    part: Part,
    projection: Projection,
    normals: dict[FaceKey, tuple[int, int, int]],
) -> RaisedFace | None:
    window = rect_of(_own_box(face.pose, part))
    onto = _onto(face.pose, projection)
    shows_front = sum(a * b for a, b in zip(face.pose.normal, projection.viewer, strict=True)) > 0
    folds = _folds(piece, face.face, window, normals, shows_front)
    openings = [*(outline_ring(w) for w in piece.windows), *(hole_ring(h) for h in piece.holes)]
    rings = [outline_ring(piece.outline), *openings]
    clipped = [clipped_ring(ring, window) for ring in rings]
    if len(clipped[0]) < 3:
        return None
    cuts = [(*ring, ring[0]) for ring in clipped[:1] if part.is_cut]
    runs = [run for ring in rings for run in clipped_run((*ring, ring[0]), window)]
    return RaisedFace(
        piece=piece,
        placed=face,
        axis=part.slab.axis,
        shows_front=shows_front,
        rings=tuple(onto(ring) for ring in clipped if len(ring) > 2),
        edges=tuple(onto(run) for run in (*cuts, *runs)),
        folds=tuple((line, onto(run)) for line, run in folds),
    )


def _own_box(pose: Pose, part: Part) -> Box:
    """The part in the face's own coordinates."""
    (x0, y0, _), (x1, y1, _) = pose.undo(part.slab.low), pose.undo(part.slab.high)
    return Box(min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1))


def _onto(pose: Pose, projection: Projection) -> Callable[[Iterable[Place]], Ring]:
    """From a face's own places to the plane of projection, in floats."""
    rows = [
        (float(r[0]), float(r[1]), float(s)) for r, s in zip(pose.rotation, pose.shift, strict=True)
    ]
    origin = projection(row[2] for row in rows)
    right, upward = projection(row[0] for row in rows), projection(row[1] for row in rows)

    def onto(places: Iterable[Place]) -> Ring:
        return tuple(
            (origin[0] + x * right[0] + y * upward[0], origin[1] + x * right[1] + y * upward[1])
            for x, y in places
        )

    return onto


def _folds(
    piece: ResolvedPiece,
    face: str,
    window: Rect,
    normals: dict[FaceKey, tuple[int, int, int]],
    shows_front: bool,
) -> Iterable[tuple[Line, Ring]]:
    """The folds along a face: a folded one is an edge, a flat one shows as the fold it is from the
    side that is seen."""
    for score in piece.scores:
        if face not in score.sides:
            continue
        sides = [normals.get(FaceKey(piece.key, side)) for side in score.sides]
        is_flat = sides[0] == sides[1]
        line = FOLD_LINES[score.fold_seen(shows_front)] if is_flat else Line.FAINT
        for run in clipped_run(score_run(score), window):
            yield line, run


def extent_of(faces: Iterable[RaisedFace]) -> Rect:
    return bounding(place for face in faces for place in face.rings[0])


def paint_raised(
    canvas: Canvas,
    resolved: ResolvedDesign,
    faces: Sequence[RaisedFace],
    mapping: Mapping,
    bold: Collection[FaceKey] = (),
    glued: Collection[tuple[FaceKey, bool]] = (),
    tints: StockTints | None = None,
    strips: Sequence[Strip] = (),
) -> None:
    """Ink the faces in order, the ``strips`` among them; the edges of those in ``bold`` are drawn
    as wide lines, the sides in ``glued`` (True for a front) are hatched.  Standing faces are shaded
    by the way they look, so that corners show without a line; ``tints`` are those of drawings
    unless given.

    Lettering has to stand beside the picture: it is not kept off the lines within.
    """
    tints = tints or drawing_tints(resolved)
    for number, face in enumerate(faces):
        paint_strips(canvas, mapping, (s for s in strips if s.after == number))
        rings = tuple(mapping.ring(ring) for ring in face.rings)
        canvas.area(rings, tints.fill(face.piece, face.shows_front, face.axis))
        pattern = tints.pattern(face.piece, face.shows_front)
        if pattern is not None:
            canvas.hatch(PRINTS[pattern], Line.PATTERN, rings)
        if (face.key, face.shows_front) in glued:
            canvas.hatch(GLUE, Line.GLUE, rings)
        line = Line.VISIBLE if face.key in bold else Line.FAINT
        edges = [mapping.ring(run) for run in face.edges]
        canvas.strokes(edges, line, face.piece.key, is_obstacle=False)
        for fold, run in face.folds:
            looks = line if fold is Line.FAINT else fold
            canvas.strokes([mapping.ring(run)], looks, "fold", is_obstacle=False)
    paint_strips(canvas, mapping, (s for s in strips if s.after >= len(faces)))


def paint_strips(canvas: Canvas, mapping: Mapping, strips: Iterable[Strip]) -> None:
    for strip in strips:
        rings = [mapping.ring(ring) for ring in strip.rings]
        canvas.area(rings, strip.fill)
        for ring in rings:
            canvas.outline(ring, strip.line, "ribbon", is_obstacle=False)


def shown_parts(faces: Sequence[RaisedFace]) -> list[BaseGeometry]:
    """What nothing nearer covers of each face, in their order."""
    nearer: BaseGeometry = Polygon()
    found = []
    for face in reversed(faces):
        found.append(face.shape.difference(nearer))
        nearer = nearer.union(face.shape)
    return found[::-1]


def visible_faces(faces: Sequence[RaisedFace]) -> frozenset[FaceKey]:
    """The faces of which enough shows, and not only a spot through a hole."""
    shown = zip(faces, shown_parts(faces), strict=True)
    return frozenset(f.key for f, part in shown if part.area > _LEAST_SHOWN * f.shape.area)


#: Where less of a face shows than this share of it, nobody would name it.
_LEAST_SHOWN = 0.01

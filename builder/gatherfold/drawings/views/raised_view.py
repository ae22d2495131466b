"""Folded work seen obliquely: faces in axonometric projection, the nearer over the farther.

In: a resolved design and an assembly.  Out: outlines with their notches, corners and openings, from
the farthest to the nearest, and their ink on a canvas.  Thickness is not drawn; of coincident
layers the one towards the viewer lies on top.

Rectangles at right angles to the axes, which do not pass through one another, are divided where
they must be: space is divided by the plane of one after another (binary space partition), and a
plane is chosen that cuts the fewest.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from itertools import chain

from shapely import MultiPolygon, Polygon, make_valid, unary_union
from shapely.geometry.base import BaseGeometry

from gatherfold.drawings.kernel.axonometric import Projection
from gatherfold.drawings.kernel.canvas import Canvas
from gatherfold.drawings.kernel.hatching import GLUE, PRINTS
from gatherfold.drawings.kernel.plane import (
    Place,
    Rect,
    ToPaper,
    bounding,
    clipped_rings,
    clipped_run,
    ring_holds,
)
from gatherfold.drawings.kernel.stock_tints import StockTints
from gatherfold.drawings.kernel.styles import FOLD_LINES, Fill, Line, Tint
from gatherfold.drawings.views.features import leading_score, piece_rings, score_run
from gatherfold.drawings.views.seen_pieces import polygons_of, runs_within
from gatherfold.geometry import Exact, Pose, SpaceAxis
from gatherfold.resolve import ResolvedDesign, ResolvedPiece
from gatherfold.work import (
    ACROSS,
    AXES,
    Assembly,
    Bounds,
    FaceKey,
    Look,
    Place as SpacePlace,
    Plate,
    as_pose,
    layers_of,
)


@dataclass(frozen=True)
class FlatPart:
    """A flat rectangle in space, or a part of it, from its lowest to its highest corner, across an
    axis.  ``index`` is that of the rectangle; of coincident ones a larger ``order`` lies towards
    the positive axis.  ``is_cut`` says that it is divided along the edges of what lies over it, so
    that these are drawn round it as well."""

    index: int
    axis: SpaceAxis
    low: SpacePlace
    high: SpacePlace
    order: int
    is_cut: bool = False

    def divided(self, axis: SpaceAxis, plane: Exact) -> list[FlatPart]:
        """Itself, or its two parts on either side of a plane."""
        if not self.low[axis] < plane < self.high[axis]:
            return [self]
        lower = replace(self, high=_with(self.high, axis, plane), is_cut=False)
        return [lower, replace(self, low=_with(self.low, axis, plane), is_cut=False)]


def _with(corner: SpacePlace, axis: SpaceAxis, value: Exact) -> SpacePlace:
    x, y, z = (value if k == axis else corner[k] for k in AXES)
    return x, y, z


def from_far_to_near(
    parts: Sequence[FlatPart], viewer: tuple[float, float, float]
) -> list[FlatPart]:
    """The parts in the order to paint them in; ``viewer`` points from the work to the viewer."""
    if len(parts) < 2:
        return list(parts)
    axis, plane = _dividing_plane(parts)
    before: list[FlatPart] = []
    behind: list[FlatPart] = []
    level: list[FlatPart] = []
    for part in parts:
        if part.axis == axis and part.low[axis] == plane:
            level.append(part)
            continue
        for piece in part.divided(axis, plane):
            is_above = piece.low[axis] >= plane
            (before if is_above == (viewer[axis] > 0) else behind).append(piece)
    level.sort(key=lambda part: part.order, reverse=viewer[axis] < 0)
    return [*from_far_to_near(behind, viewer), *level, *from_far_to_near(before, viewer)]


#: So many cut-out faces are remembered, and so many works as they were seen last.
_REMEMBERED, _LAST_SEEN = 4096, 64
#: What of a fold lies in a window, however the work lies.
_fold_runs = lru_cache(maxsize=_REMEMBERED)(clipped_run)


def _dividing_plane(parts: Sequence[FlatPart]) -> tuple[SpaceAxis, Exact]:
    """The plane of one of the parts that cuts the fewest others."""
    best, fewest = (parts[0].axis, parts[0].low[parts[0].axis]), len(parts) + 1
    for axis, plane in dict.fromkeys((part.axis, part.low[part.axis]) for part in parts):
        cut = sum(1 for part in parts if part.low[axis] < plane < part.high[axis])
        if cut < fewest:
            best, fewest = (axis, plane), cut
        if cut == 0:
            break
    return best


Ring = tuple[Place, ...]


@dataclass(frozen=True)
class RaisedFace:
    """A face, or a part of one, on the plane of projection.

    ``rings`` are its outline and the openings through it, ``edges`` what shows of its real edges,
    ``folds`` the flat folds along it, each with the line that it is drawn in.
    """

    piece: ResolvedPiece
    key: FaceKey
    pose: Pose
    axis: SpaceAxis
    shows_front: bool
    rings: tuple[Ring, ...]
    edges: tuple[Ring, ...]
    folds: tuple[tuple[Line, Ring], ...]

    @cached_property
    def extent(self) -> Rect:
        return bounding(self.rings[0])

    @cached_property
    def shape(self) -> BaseGeometry:
        """It without its openings; what is cut off it may have left lines that enclose nothing."""
        if (plain := Polygon(self.rings[0], self.rings[1:])).is_valid:
            return plain
        outer, *openings = (make_valid(Polygon(ring)) for ring in self.rings)
        return MultiPolygon(polygons_of(outer.difference(unary_union(openings))))

    def holds(self, place: Place) -> bool:
        """Whether the face itself, and no opening, is at this place."""
        if not self.extent.holds(place):
            return False
        outer, *openings = self.rings
        return ring_holds(outer, place) and not any(ring_holds(r, place) for r in openings)


@dataclass(frozen=True)
class LaidStrip:
    """Something laid among the faces, painted when ``after`` of them are; its further rings are
    holes."""

    after: int
    rings: tuple[Ring, ...]
    fill: Fill | Tint
    line: Line


@lru_cache(maxsize=_LAST_SEEN)
def raised_work(
    resolved: ResolvedDesign,
    assembly: Assembly,
    scale: int,
    projection: Projection,
    within: Bounds | None = None,
) -> tuple[RaisedFace, ...]:
    """An assembly from its farthest face to its nearest; what is seen edge-on is left out, and so
    is what lies, seen from the front, beyond ``within``."""
    faces: list[FaceKey] = []
    parts = []
    for axis, plane in assembly.planes:
        look = Look(axis, -1 if projection.viewer[axis] < 0 else 1)
        for key, bounds in layers_of(assembly, look, plane):
            left, bottom, right, top = bounds
            corners = _corner(axis, plane, (left, bottom)), _corner(axis, plane, (right, top))
            low, high = _kept(*corners, within)
            if all(low[k] < high[k] for k in ACROSS[axis]) and low[axis] == high[axis]:
                is_cut = bounds != assembly.plates[key].bounds
                parts.append(
                    FlatPart(len(faces), axis, low, high, look.towards * len(faces), is_cut)
                )
            faces.append(key)
    normals = {key: plate.pose.direction((0, 0, 1)) for key, plate in assembly.plates.items()}
    seen = (
        _raised(resolved, assembly.plates[faces[part.index]], part, scale, projection, normals)
        for part in from_far_to_near(parts, projection.viewer)
    )
    return tuple(face for face in seen if face is not None)


def _corner(axis: SpaceAxis, plane: Exact, across: Sequence[Exact]) -> SpacePlace:
    x, y, z = (plane if k == axis else across[ACROSS[axis].index(k)] for k in AXES)
    return x, y, z


def _kept(
    low: SpacePlace, high: SpacePlace, within: Bounds | None
) -> tuple[SpacePlace, SpacePlace]:
    """The part of a rectangle in space that lies in a box as seen from the front; turned inside out
    where nothing of it does."""
    if within is None:
        return low, high
    return (
        (max(low[0], within.left), max(low[1], within.bottom), low[2]),
        (min(high[0], within.right), min(high[1], within.top), high[2]),
    )


def _raised(
    resolved: ResolvedDesign,
    plate: Plate,
    part: FlatPart,
    scale: int,
    projection: Projection,
    normals: Mapping[FaceKey, tuple[int, int, int]],
) -> RaisedFace | None:
    piece, back = resolved.pieces[plate.key.piece], plate.pose.undone()
    pose = as_pose(plate.pose, scale)
    window = bounding(
        (float(x / scale), float(y / scale)) for x, y, _ in map(back.apply, (part.low, part.high))
    )
    onto = _onto(pose, projection)
    shows_front = (projection.viewer[pose.axis] > 0) == (pose.facing > 0)
    folds = _folds(piece, plate.key.face, window, normals, shows_front)
    rings, edges = _cut_out(resolved, piece.key, window, part.is_cut)
    if not rings:
        return None
    return RaisedFace(
        piece=piece,
        key=plate.key,
        pose=pose,
        axis=part.axis,
        shows_front=shows_front,
        rings=tuple(map(onto, rings)),
        edges=tuple(map(onto, edges)),
        folds=tuple((line, onto(run)) for line, run in folds),
    )


@lru_cache(maxsize=_REMEMBERED)
def _cut_out(
    resolved: ResolvedDesign, key: str, window: Rect, is_cut: bool
) -> tuple[tuple[Ring, ...], tuple[Ring, ...]]:
    """The rings of what lies of a piece in a window, and what shows of its edges; the same whatever
    side it is seen from."""
    rings = piece_rings(resolved.pieces[key])
    outer, *holes = (clipped_rings(ring, window) for ring in rings)
    clipped = [*outer, *chain(*holes)]
    cuts = [(*ring, ring[0]) for ring in outer if is_cut]
    runs = [run for ring in rings for run in clipped_run((*ring, ring[0]), window)]
    own = MultiPolygon([Polygon(ring) for ring in outer])
    if own.area < _FULL * window.width * window.height:
        # What only runs along the end of a slanted face is the edge of the next one.
        runs = [*chain(*runs_within(runs, own))]
    shown = clipped if outer else []
    return tuple(ring for ring in shown if len(ring) > 2), (*cuts, *runs)


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
    normals: Mapping[FaceKey, tuple[int, int, int]],
    shows_front: bool,
) -> Iterable[tuple[Line, Ring]]:
    """The folds along a face: a folded one is an edge, a flat one shows as the fold it is from the
    side that is seen."""
    for score in piece.scores:
        if face not in score.sides:
            continue
        sides = [normals.get(FaceKey(piece.key, side)) for side in score.sides]
        is_flat = sides[0] == sides[1]
        leading = leading_score(piece, score)
        turned = [-k for k in normals.get(FaceKey(piece.key, leading.sides[0]), ())]
        is_turned_in = list(sides[0] or ()) == turned
        seen = leading.fold_seen(not shows_front) if is_turned_in else score.fold_seen(shows_front)
        line = FOLD_LINES[seen] if is_flat else Line.FAINT
        for run in _fold_runs(score_run(score), window):
            yield line, run


@dataclass(frozen=True)
class RaisedPicture:
    """Faces in their order with the ``strips`` among them; the edges of those in ``bold`` are drawn
    as wide lines, the sides in ``glued`` (True for a front) are hatched."""

    faces: Sequence[RaisedFace]
    strips: Sequence[LaidStrip] = ()
    bold: Collection[FaceKey] = ()
    glued: Collection[tuple[FaceKey, bool]] = ()


def paint_raised(
    canvas: Canvas, picture: RaisedPicture, mapping: ToPaper, tints: StockTints
) -> None:
    """Ink a picture, the nearer over the farther.  Standing faces are shaded by the way they look,
    so that corners show without a line.

    Lettering has to stand beside the picture: it is not kept off the lines within.
    """
    strips, faces = picture.strips, picture.faces
    for number, face in enumerate(faces):
        paint_strips(canvas, mapping, (s for s in strips if s.after == number))
        rings = tuple(mapping.ring(ring) for ring in face.rings)
        canvas.area(rings, tints.fill(face.piece, face.shows_front, face.axis))
        pattern = tints.pattern(face.piece, face.shows_front)
        if (face.key, face.shows_front) in picture.glued:
            canvas.hatch(GLUE, Line.GLUE, rings)
        elif pattern is not None:
            canvas.hatch(PRINTS[pattern], Line.PATTERN, rings)
        line = Line.VISIBLE if face.key in picture.bold else Line.FAINT
        edges = [mapping.ring(run) for run in face.edges]
        canvas.strokes(edges, line, face.piece.key, is_obstacle=False)
        for fold, run in face.folds:
            looks = line if fold is Line.FAINT else fold
            canvas.strokes([mapping.ring(run)], looks, "fold", is_obstacle=False)
    paint_strips(canvas, mapping, (s for s in strips if s.after >= len(faces)))


def paint_strips(canvas: Canvas, mapping: ToPaper, strips: Iterable[LaidStrip]) -> None:
    for strip in strips:
        rings = [mapping.ring(ring) for ring in strip.rings]
        canvas.area(rings, strip.fill)
        for ring in rings:
            canvas.outline(ring, strip.line, "ribbon", is_obstacle=False)


def shown_parts(
    faces: Sequence[RaisedFace], of: Collection[FaceKey] | None = None
) -> Iterator[tuple[RaisedFace, BaseGeometry]]:
    """Each face ``of`` some, or of all, from the nearest, with what nothing nearer covers of it."""
    extents = [face.extent for face in faces if of is None or face.key in of]
    nearer: BaseGeometry = Polygon()
    for face in reversed(faces):
        if of is None or face.key in of:
            extents.pop()
            yield face, face.shape.difference(nearer, grid_size=OVERLAY_GRID)
        if any(map(face.extent.meets, extents)):
            nearer = MultiPolygon(polygons_of(nearer.union(face.shape, grid_size=OVERLAY_GRID)))


def visible_faces(faces: Sequence[RaisedFace]) -> frozenset[FaceKey]:
    """The faces of which enough shows, and not only a spot through a hole."""
    shown = shown_parts(faces)
    return frozenset(f.key for f, part in shown if part.area > _LEAST_SHOWN * f.shape.area)


#: Where less of a face shows than this share of it, nobody would name it.
_LEAST_SHOWN = 0.01
#: Up to this share of the rectangle round it a face is not one itself.
_FULL = 0.9999
#: Corners of shapes that are laid over one another are rounded to so much of a mm.
OVERLAY_GRID = 1e-4

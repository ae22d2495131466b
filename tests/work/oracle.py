"""A second opinion on how folded faces move: rigid faces in floats, turned in small steps.

In: outlines, folds, angles, and the motion asked about. Out: where each face lies, and whether a
turn or a slide can be done without one face going through another.

It shares no code with the program, so that the program's exact answers can be held against it. It
samples: what it calls free may hide a crossing shallower than twice `SHRINK`, or one that lasts
less than a fine step. All lengths are millimetres, all angles degrees.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any, Literal, NamedTuple, TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

Point: TypeAlias = tuple[float, float, float]
FlatPoint: TypeAlias = tuple[float, float]
Array: TypeAlias = NDArray[np.float64]
Rows: TypeAlias = NDArray[Any]
Sense = Literal["valley", "mountain"]

SHRINK = 0.05
"""How much of each face's edge is taken off, so that what only touches does not cross."""
NEAR = 1.0
"""Faces as near as this are looked at in fine steps."""
TURN_STEP, FINE_TURN_STEP = 1.0, 0.05
SLIDE_STEP, FINE_SLIDE_STEP = 0.5, 0.02
SHORTEST_CROSSING = 1e-3
"""A crossing segment no longer than this is a touch."""
LAYER_GAP = 0.01
"""How far apart two layers are set to find out on which side one arrived."""

_ON_PLANE = 1e-6
_PARALLEL = 1e-7
_SMALLEST_OVERLAP = 1e-3
_FURTHEST_BACK = 3.0


class Line(NamedTuple):
    """A line in space; the right hand's thumb along `direction` gives the sign of a turn."""

    point: Point
    direction: Point


@dataclass(frozen=True)
class Flat:
    """A flat face in space; from its front its corners run anticlockwise."""

    name: str
    corners: tuple[Point, ...]
    holes: tuple[tuple[Point, ...], ...] = ()


@dataclass(frozen=True)
class SheetFace:
    """A face in the flat sheet, seen from the front of the sheet."""

    name: str
    corners: tuple[FlatPoint, ...]
    holes: tuple[tuple[FlatPoint, ...], ...] = ()


@dataclass(frozen=True)
class Fold:
    """A fold between two faces of a sheet; it does not matter which of them is named first."""

    one: str
    other: str
    start: FlatPoint
    end: FlatPoint
    sense: Sense


@dataclass(frozen=True)
class Crossing:
    """One moving face that goes through one still face.

    `first` and `last` tell how far the motion has gone; `length` is the longest crossing segment
    met, and `reach` an estimate of how far the one stands through the other at worst.
    """

    moving: str
    still: str
    first: float
    last: float
    length: float
    reach: float


@dataclass(frozen=True)
class Glide:
    """One moving face that lies in the plane of a still one and over it, on the way.

    A glide that goes `through` lies there for one moment only, coming from one side and leaving
    by the other; any other glide stays in the plane.
    """

    moving: str
    still: str
    first: float
    area: float
    through: bool


@dataclass(frozen=True)
class Verdict:
    """Tell whether a motion is free; crossings are ordered by how soon they are met.

    `near` names the moving and still faces that were looked at in fine steps.
    """

    crossings: tuple[Crossing, ...] = ()
    glides: tuple[Glide, ...] = ()
    near: tuple[tuple[str, str], ...] = ()

    @property
    def free(self) -> bool:
        """Tell whether no moving face crosses a still one; glides do not count."""
        return not self.crossings

    @property
    def clear(self) -> bool:
        """Tell whether the motion is free and no face passes through another in its own plane."""
        return self.free and not any(glide.through for glide in self.glides)

    @property
    def first(self) -> float | None:
        """Say after how many degrees or millimetres the first crossing is met."""
        return self.crossings[0].first if self.crossings else None

    @property
    def pair(self) -> tuple[str, str] | None:
        """Name the moving and the still face that cross first."""
        if not self.crossings:
            return None
        return self.crossings[0].moving, self.crossings[0].still

    @property
    def depth(self) -> float:
        """Give the length of the longest crossing segment of the pair that crosses first."""
        return self.crossings[0].length if self.crossings else 0.0


@dataclass(frozen=True)
class OrderVerdict:
    """Tell which of the given sides cannot be, and which overlaps have no side given."""

    wrong: tuple[tuple[str, str], ...] = ()
    unordered: tuple[tuple[str, str], ...] = ()

    @property
    def sound(self) -> bool:
        """Tell whether every given side can be; overlaps without a side do not count."""
        return not self.wrong


# --- folding ---------------------------------------------------------------------------------


def poses_by_folding(
    faces: Sequence[SheetFace],
    folds: Sequence[Fold],
    angles: Sequence[float],
    base: str | None = None,
) -> dict[str, Flat]:
    """Fold a flat sheet and give each face in space; the base (the first face) stays in z = 0.

    The folds join the faces to a tree. Each fold in turn takes all that hangs on it, and turns it
    about the fold's line as that lies by then. A valley of positive angle moves what hangs on it
    towards the front, which is +z in the flat sheet; a mountain moves it to the back.
    """
    rest = base if base is not None else faces[0].name
    rings = {
        face.name: [np.array([(x, y, 0.0) for x, y in ring]) for ring in _rings_from_front(face)]
        for face in faces
    }
    outlines = {face.name: Polygon(face.corners, face.holes) for face in faces}
    hanging = _hanging_faces(tuple(rings), folds, rest)
    lines = [
        _line_with_hanging_on_left(fold, outlines[first])
        for fold, (first, _) in zip(folds, hanging, strict=True)
    ]
    for number, (fold, angle) in enumerate(zip(folds, angles, strict=True)):
        _, carried = hanging[number]
        start, end = lines[number]
        signed = angle if fold.sense == "valley" else -angle
        turn = _Turn(Line(tuple(start), tuple(end - start)), signed)
        for name in carried:
            rings[name] = [turn.moved(ring) for ring in rings[name]]
        for later, (first, _) in enumerate(hanging):
            if later != number and first in carried:
                lines[later] = turn.moved(lines[later])
    return {
        name: Flat(name, _points(outline[0]), tuple(_points(hole) for hole in outline[1:]))
        for name, outline in rings.items()
    }


def _rings_from_front(face: SheetFace) -> list[tuple[FlatPoint, ...]]:
    """Give the rings of a face, the outer one anticlockwise and the holes clockwise."""
    outline = shapely.geometry.polygon.orient(Polygon(face.corners, face.holes))
    return [tuple(outline.exterior.coords[:-1])] + [
        tuple(hole.coords[:-1]) for hole in outline.interiors
    ]


def _hanging_faces(
    names: Sequence[str], folds: Sequence[Fold], rest: str
) -> list[tuple[str, frozenset[str]]]:
    """Give for each fold the face that hangs on it, and all that hangs on that, with itself."""
    holder: dict[str, int] = {}
    reached, open_names = {rest}, [rest]
    while open_names:
        name = open_names.pop()
        for number, fold in enumerate(folds):
            if name not in (fold.one, fold.other):
                continue
            next_name = fold.other if name == fold.one else fold.one
            if holder.get(name) == number:
                continue
            if next_name in reached:
                raise ValueError(f"the folds go round in a ring at {next_name}")
            reached.add(next_name)
            open_names.append(next_name)
            holder[next_name] = number
    if reached != set(names) or len(holder) != len(folds):
        raise ValueError("the folds do not join all the faces")
    first = {number: name for name, number in holder.items()}
    carried: dict[int, set[str]] = {number: set() for number in first}
    for name in names:
        above = name
        while above != rest:
            number = holder[above]
            carried[number].add(name)
            above = folds[number].other if above == folds[number].one else folds[number].one
    return [(first[number], frozenset(carried[number])) for number in range(len(folds))]


def _line_with_hanging_on_left(fold: Fold, hanging: Polygon) -> Array:
    """Give the two ends of a fold's line, so run that what hangs there lies to the left."""
    start, end = np.array(fold.start, float), np.array(fold.end, float)
    along = (end - start) / np.hypot(*(end - start))
    middle, left = (start + end) / 2, np.array([-along[1], along[0]])
    beside = [shapely.Point(middle + sign * 1e-3 * left) for sign in (1, -1)]
    on_left, on_right = (hanging.contains(point) for point in beside)
    if on_left == on_right:
        raise ValueError(f"{fold.one} and {fold.other} do not lie on either side of their fold")
    ends = [start, end] if on_left else [end, start]
    return np.array([(x, y, 0.0) for x, y in ends])


# --- motions ---------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Turn:
    """A turn about a line, by degrees with a sign."""

    line: Line
    degrees: float

    @property
    def total(self) -> float:
        return abs(self.degrees)

    @property
    def steps(self) -> tuple[float, float]:
        return TURN_STEP, FINE_TURN_STEP

    @property
    def axis(self) -> Array:
        return _unit(np.array(self.line.direction, float)) * math.copysign(1.0, self.degrees)

    def poses(self, amounts: Array) -> tuple[Array, Array]:
        """Give the rotations and shifts after the given parts of the turn."""
        x, y, z = self.axis
        cross = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
        radians = np.radians(amounts)[:, None, None]
        turned = np.eye(3) + np.sin(radians) * cross + (1 - np.cos(radians)) * (cross @ cross)
        point = np.array(self.line.point, float)
        return turned, point - turned @ point

    def moved(self, points: Array, amount: float | None = None) -> Array:
        """Give the points after a part of the turn, or all of it."""
        amounts = np.array([self.total if amount is None else amount])
        return np.asarray(_moved(points, *self.poses(amounts))[0])

    def travel(self, points: Array, amount: float) -> float:
        """Give the longest way that one of the points goes in a part of the turn."""
        away = np.linalg.norm(self.velocity(points), axis=1)
        return float(away.max() * math.radians(amount))

    def velocity(self, points: Array) -> Array:
        """Give how each point moves, in millimetres a radian."""
        axis = np.broadcast_to(self.axis, points.shape)
        return _cross(axis, points - np.array(self.line.point, float))

    def keeps_apart(self, moving: _Face, still: _Face) -> bool:
        """Tell whether both lie in planes through the line, and one reaches not over it.

        Such planes meet in the line alone, so these faces cannot cross.
        """
        sides = []
        for face in (moving, still):
            away = face.points - np.array(self.line.point, float)
            if max(abs(float(face.normal @ self.axis)), np.abs(away @ face.normal).max()) > 1e-9:
                return False
            sides.append(away @ _cross(self.axis, face.normal))
        return any(float(side.min()) > 0 or float(side.max()) < 0 for side in sides)

    def moments_in_plane(self, moving: _Face, still: _Face) -> tuple[bool, tuple[float, ...]]:
        """Tell whether both lie in one plane all the way, and else when they do."""
        across = np.linalg.norm(_cross(self.axis, moving.normal))
        if across < _PARALLEL:
            return _in_one_plane(moving.points, still), ()
        flat_moving = moving.normal - self.axis * (moving.normal @ self.axis)
        moments = set()
        for normal in (still.normal, -still.normal):
            if abs(normal @ self.axis - moving.normal @ self.axis) > _PARALLEL:
                continue
            flat_still = normal - self.axis * (normal @ self.axis)
            sine = float(_cross(flat_moving, flat_still) @ self.axis)
            angle = math.degrees(math.atan2(sine, float(flat_moving @ flat_still))) % 360
            moments |= {angle + turns * 360 for turns in range(int(self.total // 360) + 1)}
        return False, tuple(sorted(moments))


@dataclass(frozen=True)
class _Slide:
    """A straight slide."""

    vector: Point

    @property
    def total(self) -> float:
        return float(np.linalg.norm(self.vector))

    @property
    def steps(self) -> tuple[float, float]:
        return SLIDE_STEP, FINE_SLIDE_STEP

    @property
    def direction(self) -> Array:
        return np.array(self.vector, float) / self.total

    def poses(self, amounts: Array) -> tuple[Array, Array]:
        """Give the rotations (none) and shifts after the given parts of the slide."""
        turned = np.broadcast_to(np.eye(3), (len(amounts), 3, 3))
        return turned, amounts[:, None] * self.direction

    def moved(self, points: Array, amount: float | None = None) -> Array:
        """Give the points after a part of the slide, or all of it."""
        return points + self.direction * (self.total if amount is None else amount)

    def travel(self, points: Array, amount: float) -> float:
        """Give the way that the points go in a part of the slide."""
        return amount

    def velocity(self, points: Array) -> Array:
        """Give how each point moves, in millimetres a millimetre."""
        return np.broadcast_to(self.direction, points.shape)

    def keeps_apart(self, moving: _Face, still: _Face) -> bool:
        """Tell whether both lie in planes that stay parallel."""
        return float(np.linalg.norm(_cross(moving.normal, still.normal))) < _PARALLEL

    def moments_in_plane(self, moving: _Face, still: _Face) -> tuple[bool, tuple[float, ...]]:
        """Tell whether both lie in one plane all the way, and else when they do."""
        if np.linalg.norm(_cross(moving.normal, still.normal)) > _PARALLEL:
            return False, ()
        speed = float(self.direction @ still.normal)
        if abs(speed) < _PARALLEL:
            return _in_one_plane(moving.points, still), ()
        return False, (float((still.points[0] - moving.points[0]) @ still.normal) / speed,)


_Motion: TypeAlias = _Turn | _Slide


def _moved(points: Array, turned: Array, shifts: Array) -> Array:
    """Give the points at each moment: moments × points × 3."""
    return np.asarray(np.einsum("tij,kj->tki", turned, points) + shifts[:, None, :])


# --- faces -----------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Face:
    """A face made ready: all its corners, which corner follows which, and its plane."""

    name: str
    points: Array
    following: Rows
    frame: Array = field(repr=False)

    @property
    def normal(self) -> Array:
        return np.asarray(self.frame[2])

    @property
    def origin(self) -> Array:
        return np.asarray(self.points[0])

    def flat(self, points: Array) -> Array:
        """Give points in the face's own plane: along it, across it, and the height over it."""
        return np.asarray((points - self.origin) @ self.frame.T)


def _frame(corners: Array) -> Array:
    """Give two directions in a polygon's plane and its front's normal, by the sum of its edges."""
    following = np.roll(corners, -1, axis=0)
    middle = corners.mean(axis=0)
    normal = _unit(_cross(corners - middle, following - middle).sum(axis=0))
    edges = following - corners
    along = edges[np.argmax((edges * edges).sum(axis=1))]
    along = along - normal * (along @ normal)
    along = _unit(along)
    return np.array([along, _cross(normal, along), normal])


def front_normal(face: Flat) -> Point:
    """Give the direction that the front of a face looks to."""
    return _point(_frame(np.array(face.corners, float))[2])


@lru_cache(maxsize=4096)
def _ready(face: Flat, shrink: float) -> _Face | None:
    """Shrink a face in its own plane; give nothing where nothing is left of it."""
    corners = np.array(face.corners, float)
    frame, origin = _frame(corners), corners[0]
    holes = [((np.array(hole) - origin) @ frame.T)[:, :2] for hole in face.holes]
    outline: BaseGeometry = Polygon(((corners - origin) @ frame.T)[:, :2], holes)
    if shrink:
        outline = outline.buffer(-shrink, join_style="mitre", mitre_limit=20)
    rings = [ring for part in _polygons(outline) for ring in (part.exterior, *part.interiors)]
    if not rings:
        return None
    points, following, before = [], [], 0
    for ring in rings:
        flat = np.array(ring.coords[:-1])
        points.append(flat @ frame[:2] + origin)
        following.append(before + np.roll(np.arange(len(flat)), -1))
        before += len(flat)
    return _Face(face.name, np.concatenate(points), np.concatenate(following), frame)


def _polygons(shape: BaseGeometry) -> list[Polygon]:
    if isinstance(shape, Polygon):
        return [] if shape.is_empty else [shape]
    parts = shape.geoms if hasattr(shape, "geoms") else ()
    return [part for part in parts if isinstance(part, Polygon) and not part.is_empty]


def _ready_faces(faces: Iterable[Flat], shrink: float) -> list[_Face]:
    ready = (_ready(face, shrink) for face in faces)
    return [face for face in ready if face is not None]


def _in_one_plane(points: Array, face: _Face) -> bool:
    return bool(np.abs(face.flat(points)[:, 2]).max() < _ON_PLANE)


def _outline(face: _Face, points: Array, frame_of: _Face) -> BaseGeometry:
    """Give a face, its corners moved to `points`, as an area in the plane of another one."""
    flat = frame_of.flat(points)[:, :2]
    rings, seen = [], set()
    for first in range(len(flat)):
        ring, corner = [], first
        while corner not in seen:
            seen.add(corner)
            ring.append(flat[corner])
            corner = int(face.following[corner])
        if ring:
            rings.append(Polygon(ring))
    # A ring inside another one is a hole: what is covered an odd number of times is paper.
    area: BaseGeometry = rings[0]
    for ring_area in rings[1:]:
        area = area.symmetric_difference(ring_area)
    return area


def overlap_in_plane(one: Flat, other: Flat, shrink: float = SHRINK) -> BaseGeometry:
    """Give what two faces of one plane cover together, in the plane of the other; else nothing."""
    first, second = _ready(one, shrink), _ready(other, shrink)
    if first is None or second is None or not _in_one_plane(first.points, second):
        return Polygon()
    return _outline(first, first.points, second).intersection(
        _outline(second, second.points, second)
    )


# --- crossing --------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Meeting:
    """How two faces lie to each other, moment by moment."""

    gap: Array
    """A distance that they keep at least; below 0 where none was found."""
    length: Array
    """The length of the segment in which they cross."""
    reach: Array


def _meeting(points: Array, normals: Array, moving: _Face, still: _Face) -> _Meeting:
    """Compare a moving face at each moment (moments × corners × 3) with a still one."""
    local = (points - still.origin) @ still.frame.T
    tilted = normals @ still.frame.T
    ground = still.flat(still.points)[:, :2]
    heights = local[:, :, 2]
    level = np.einsum("ti,ti->t", tilted, local[:, 0])
    heights_of_still = tilted[:, :2] @ ground.T - level[:, None]

    low, high = heights.min(axis=1), heights.max(axis=1)
    low_of_still, high_of_still = heights_of_still.min(axis=1), heights_of_still.max(axis=1)
    gaps = [low, -high, low_of_still, -high_of_still]
    for side in (0, 1):
        gaps.append(local[:, :, side].min(axis=1) - ground[:, side].max())
        gaps.append(ground[:, side].min() - local[:, :, side].max(axis=1))
    gap = np.max(gaps, axis=0)

    slope = np.hypot(tilted[:, 0], tilted[:, 1])
    length, reach = np.zeros(len(points)), np.zeros(len(points))
    rows = np.flatnonzero((gap < -_ON_PLANE) & (slope > _PARALLEL))
    if len(rows):
        along = np.stack([-tilted[rows, 1], tilted[rows, 0]], axis=1) / slope[rows, None]
        of_moving = np.einsum("tkx,tx->tk", local[rows, :, :2], along)
        of_still = along @ ground.T
        length[rows] = _shared_length(
            _cuts(heights[rows], of_moving, moving.following),
            _cuts(heights_of_still[rows], of_still, still.following),
        )
        stands_out = np.min([-low, high, -low_of_still, high_of_still], axis=0)[rows]
        reach[rows] = np.minimum(stands_out, length[rows])
    return _Meeting(gap, length, reach)


def _cuts(heights: Array, along: Array, following: Rows) -> tuple[Array, Array]:
    """Give where a plane cuts a face's edges, sorted along the cut, twice.

    The plane is set a little lower, then a little higher: an edge that only lies in it is cut by
    one of the two alone.
    """
    next_heights, next_along = heights[:, following], along[:, following]
    cuts = []
    for level in (-_ON_PLANE, _ON_PLANE):
        cut = (heights > level) != (next_heights > level)
        rise = np.where(cut, next_heights - heights, 1.0)
        share = (level - heights) / rise
        places = np.where(cut, along + share * (next_along - along), 1e30)
        cuts.append(np.sort(places, axis=1))
    return cuts[0], cuts[1]


def _shared_length(cuts: tuple[Array, Array], other_cuts: tuple[Array, Array]) -> Array:
    """Give how much of the cut lies in both faces, whichever way the planes are set."""
    lengths = []
    for ours in cuts:
        for theirs in other_cuts:
            pairs, other_pairs = ours.shape[1] // 2 * 2, theirs.shape[1] // 2 * 2
            starts, ends = ours[:, 0:pairs:2, None], ours[:, 1:pairs:2, None]
            other_starts = theirs[:, None, 0:other_pairs:2]
            other_ends = theirs[:, None, 1:other_pairs:2]
            shared = np.minimum(ends, other_ends) - np.maximum(starts, other_starts)
            lengths.append(np.clip(shared, 0, None).sum(axis=(1, 2)))
    return np.asarray(np.min(lengths, axis=0))


def _path(motion: _Motion, moving: Iterable[Flat], still: Iterable[Flat], shrink: float) -> Verdict:
    """Step through a motion and gather what crosses and what glides."""
    if motion.total == 0:
        return Verdict()
    step, fine_step = motion.steps
    count = max(1, math.ceil(motion.total / step - 1e-9))
    ratio = round(step / fine_step)
    coarse = np.linspace(0, motion.total, count + 1)
    fine = np.linspace(0, motion.total, count * ratio + 1)
    coarse_poses, fine_poses = motion.poses(coarse), motion.poses(fine)
    still_faces = _ready_faces(still, shrink)
    lows = np.array([face.points.min(axis=0) for face in still_faces]).reshape(-1, 3)
    highs = np.array([face.points.max(axis=0) for face in still_faces]).reshape(-1, 3)
    crossings, glides, near_pairs = [], [], []
    for face in _ready_faces(moving, shrink):
        points = _moved(face.points, *coarse_poses)
        near = NEAR + motion.travel(face.points, motion.total / count)
        low, high = points.min(axis=1)[:, None], points.max(axis=1)[:, None]
        apart = np.maximum(low - highs, lows - high).max(axis=2)
        for number in np.flatnonzero((apart <= near).any(axis=0)):
            other = still_faces[number]
            rows = np.flatnonzero(apart[:, number] <= near)
            meeting = _meeting(points[rows], coarse_poses[0][rows] @ face.normal, face, other)
            close = rows[meeting.gap <= near]
            if len(close):
                near_pairs.append((face.name, other.name))
                if not motion.keeps_apart(face, other):
                    moments = _fine_moments(close, ratio, count)
                    crossings += _crossing(face, other, fine, fine_poses, moments)
                glides += _glides(motion, face, other, coarse)
    return Verdict(
        tuple(sorted(crossings, key=lambda crossing: crossing.first)),
        tuple(sorted(glides, key=lambda glide: glide.first)),
        tuple(near_pairs),
    )


def _fine_moments(close: Rows, ratio: int, count: int) -> Rows:
    """Give the fine steps on both sides of the given coarse ones, without start and end."""
    wanted = np.zeros(count * ratio + 1, bool)
    for shift in range(-ratio, ratio + 1):
        wanted[np.clip(close * ratio + shift, 0, count * ratio)] = True
    wanted[[0, -1]] = False
    return np.flatnonzero(wanted)


def _crossing(
    moving: _Face, still: _Face, fine: Array, poses: tuple[Array, Array], moments: Rows
) -> list[Crossing]:
    """Give the crossing of two faces over the given fine steps, if there is one."""
    turned, shifts = poses[0][moments], poses[1][moments]
    meeting = _meeting(_moved(moving.points, turned, shifts), turned @ moving.normal, moving, still)
    hits = np.flatnonzero(meeting.length > SHORTEST_CROSSING)
    if not len(hits):
        return []
    first, last = (float(fine[moments[hits[place]]]) for place in (0, -1))
    length, reach = float(meeting.length[hits].max()), float(meeting.reach[hits].max())
    return [Crossing(moving.name, still.name, first, last, length, reach)]


def _glides(motion: _Motion, moving: _Face, still: _Face, coarse: Array) -> list[Glide]:
    """Give the glide of two faces, if they lie over each other in one plane on the way."""
    always, moments = motion.moments_in_plane(moving, still)
    candidates = coarse[1:-1] if always else [m for m in moments if 1e-6 < m < motion.total - 1e-6]
    ground = _outline(still, still.points, still)
    found = []
    for moment in candidates:
        points = motion.moved(moving.points, float(moment))
        if not _in_one_plane(points, still):
            continue
        area = _outline(moving, points, still).intersection(ground).area
        if area > _SMALLEST_OVERLAP:
            found.append((float(moment), float(area)))
    if not found:
        return []
    largest = max(area for _, area in found)
    return [Glide(moving.name, still.name, found[0][0], largest, not always)]


def turn_is_free(
    moving: Sequence[Flat],
    still: Sequence[Flat],
    line: Line | tuple[Point, Point],
    degrees: float,
    shrink: float = SHRINK,
) -> Verdict:
    """Turn some faces rigidly about a line while others stay, and tell what is in the way.

    Start and end do not count: what touches or lies flush there is free.
    """
    return _path(_Turn(Line(*line), degrees), moving, still, shrink)


def slide_is_free(
    moving: Sequence[Flat], still: Sequence[Flat], vector: Point, shrink: float = SHRINK
) -> Verdict:
    """Slide some faces straight while others stay, and tell what is in the way."""
    return _path(_Slide(vector), moving, still, shrink)


# --- layers ----------------------------------------------------------------------------------


def contact_order_is_sound(
    faces: Sequence[Flat],
    moving: Collection[str],
    before: Collection[tuple[str, str]],
    line: Line | tuple[Point, Point],
    degrees: float,
    normal: Point | None = None,
) -> OrderVerdict:
    """Tell whether faces that have just landed can lie on the sides given.

    `faces` lie as they do after a turn by `degrees` of those named in `moving`. A pair (a, b) of
    `before` says that a lies beyond b in the direction of `normal`, which is that of the first
    face's front unless given. Each pair of a moving and a still face is set a little apart in that
    order, alone, so that orders that go round in a ring can be asked about too. Then the turn is
    undone by a few degrees: from a right side nothing crosses, from a wrong side the one goes
    through the other. Pairs that do not overlap in one plane are passed over.
    """
    beyond = np.array(normal if normal is not None else front_normal(faces[0]), float)
    beyond = beyond / np.linalg.norm(beyond)
    named = by_name(faces)
    back = _Turn(Line(*line), -math.copysign(min(abs(degrees), _FURTHEST_BACK), degrees))
    wrong = []
    for upper, lower in sorted(before):
        if (upper in moving) == (lower in moving):
            continue
        mover, other = (upper, lower) if upper in moving else (lower, upper)
        lifted = beyond * (LAYER_GAP if mover == upper else -LAYER_GAP)
        if _goes_through_on_the_way_back(named[mover], named[other], lifted, back):
            wrong.append((upper, lower))
    given = {frozenset(pair) for pair in before}
    unordered = [
        (mover, other.name)
        for mover in sorted(moving)
        for other in faces
        if other.name not in moving
        and frozenset((mover, other.name)) not in given
        and overlap_in_plane(named[mover], other).area > _SMALLEST_OVERLAP
    ]
    return OrderVerdict(tuple(wrong), tuple(unordered))


def _goes_through_on_the_way_back(mover: Flat, other: Flat, lifted: Array, back: _Turn) -> bool:
    """Set a face apart from another and turn it back: tell whether it crosses."""
    moving, still = _ready(mover, SHRINK), _ready(other, SHRINK)
    if moving is None or still is None:
        return False
    shared = overlap_in_plane(mover, other)
    if shared.area <= _SMALLEST_OVERLAP:
        return False
    # Two layers this near meet after an angle that depends on how far from the line they lie, so
    # each place of the overlap is looked at when it is due, besides a spread of angles.
    places = np.array([place for part in _polygons(shared) for place in _inner_places(part)])
    speeds = np.abs(back.velocity(places @ still.frame[:2] + still.origin) @ still.normal)
    due = np.degrees(np.arctan2(LAYER_GAP, speeds))
    amounts = np.concatenate([due, np.geomspace(1e-4, back.total, 200)])
    amounts = np.unique(amounts[amounts <= back.total])
    turned, shifts = back.poses(amounts)
    points = _moved(moving.points + lifted, turned, shifts)
    meeting = _meeting(points, turned @ moving.normal, moving, still)
    return bool((meeting.length > SHORTEST_CROSSING).any())


def _inner_places(area: Polygon) -> list[FlatPoint]:
    """Give places well inside an area and some towards each of its corners."""
    middle = area.representative_point()
    places = [(middle.x, middle.y)]
    for x, y in area.exterior.coords[:-1]:
        for share in (0.25, 0.5, 0.75, 0.98):
            place = (middle.x + share * (x - middle.x), middle.y + share * (y - middle.y))
            if area.contains(shapely.Point(place)):
                places.append(place)
    return places


def approach(moving: Flat, still: Flat, motion: tuple[Line, float] | Point) -> tuple[float, float]:
    """Give the areas of an overlap that move to the still face's front, and to its back.

    The faces are taken as they lie, and the motion as it goes at that moment.
    """
    shared = overlap_in_plane(moving, still)
    if shared.area <= _SMALLEST_OVERLAP:
        return 0.0, 0.0
    ready = _ready(still, SHRINK)
    assert ready is not None
    going = _Turn(*motion) if len(motion) == 2 else _Slide(motion)
    return _area_that_rises(shared, ready, going, 1), _area_that_rises(shared, ready, going, -1)


def _area_that_rises(shared: BaseGeometry, still: _Face, going: _Motion, sign: int) -> float:
    """Give how much of an area moves along the front's normal, or against it for sign -1."""
    corners = np.array([(0.0, 0.0), (1.0, 0.0), (0.0, 1.0)])
    speeds = going.velocity(corners @ still.frame[:2] + still.origin) @ still.normal * sign
    slope = np.array([speeds[1] - speeds[0], speeds[2] - speeds[0]])
    steep = float(np.hypot(*slope))
    if steep < 1e-9:
        return float(shared.area) if speeds[0] > 1e-9 else 0.0
    upward, across = slope / steep, np.array([-slope[1], slope[0]]) / steep
    edge, far = -speeds[0] / steep * upward, 1e5
    half = Polygon(
        [
            edge - far * across,
            edge + far * across,
            edge + far * (across + upward),
            edge + far * (upward - across),
        ]
    )
    return float(MultiPolygon(_polygons(shared)).intersection(half).area)


# --- small parts -----------------------------------------------------------------------------


def _cross(one: Array, other: Array) -> Array:
    """Give the vector products of rows."""
    (x, y, z), (a, b, c) = one.T, other.T
    return np.array([y * c - z * b, z * a - x * c, x * b - y * a]).T


def _unit(vector: Array) -> Array:
    return np.asarray(vector / math.sqrt(float(vector @ vector)))


def _point(values: Array) -> Point:
    x, y, z = (float(value) for value in values)
    return x, y, z


def _points(values: Array) -> tuple[Point, ...]:
    return tuple(_point(value) for value in values)


def turned(face: Flat, line: Line | tuple[Point, Point], degrees: float) -> Flat:
    """Give a face turned about a line."""
    return _with_points(face, _Turn(Line(*line), degrees))


def slid(face: Flat, vector: Point) -> Flat:
    """Give a face slid straight."""
    return _with_points(face, _Slide(vector)) if any(vector) else face


def _with_points(face: Flat, motion: _Motion) -> Flat:
    holes = tuple(_points(motion.moved(np.array(hole, float))) for hole in face.holes)
    return Flat(face.name, _points(motion.moved(np.array(face.corners, float))), holes)


def by_name(faces: Iterable[Flat]) -> Mapping[str, Flat]:
    """Give faces by their names."""
    return {face.name: face for face in faces}

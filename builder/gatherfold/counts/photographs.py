"""How many pictures of which size the finished work takes, and where each goes.

In: a resolved design.  Out: one row per place, numbered from the top left as the open work is
looked at, and one row per size with its total.  A place is a photo mat; the picture is the
largest that fits on it, on the edition's grid.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from math import prod
from typing import NamedTuple

from gatherfold.geometry import Box, Exact, SpaceAxis
from gatherfold.lengths import down_to_grid
from gatherfold.model import SideName, Trait, is_front, side_seen
from gatherfold.resolve import REMEMBERED, ResolvedDesign, ResolvedPiece
from gatherfold.work import Assembly, FaceKey, is_seen, look_at, visible_parts, work_of

_UP = 2


@dataclass(frozen=True)
class PhotoPlace:
    """A place for pictures: ``width`` and ``height`` of the largest that fits, as it lies in the
    open work; ``count`` is how many such mats there are.

    ``side`` is the side of the work, or of its leaf, that it is seen from.
    """

    number: int
    piece: ResolvedPiece
    on: ResolvedPiece | None
    width: Fraction
    height: Fraction
    count: int
    side: SideName


@dataclass(frozen=True)
class PhotoSize:
    """All pictures of one size, upright or lying: the shorter length is ``width``."""

    width: Fraction
    height: Fraction
    count: int
    numbers: tuple[int, ...]


@dataclass(frozen=True, eq=False)
class PhotoSide:
    """One side of the work, lying, with its places: ``assembly`` is turned so that they lie flat;
    ``body`` is the piece that it is built on, or the leaf, of whose plane alone ``leaf`` has the
    faces that are shown."""

    body: str
    is_open_work: bool
    side: SideName
    assembly: Assembly
    leaf: frozenset[FaceKey] | None
    places: tuple[PhotoPlace, ...]


def photo_places(resolved: ResolvedDesign) -> tuple[PhotoPlace, ...]:
    """Every place for a picture: those of the open work first, seen from the front, then from
    behind, then those that only other views show."""
    return tuple(place for view in photo_views(resolved) for place in view.places)


@lru_cache(maxsize=REMEMBERED)
def photo_views(resolved: ResolvedDesign) -> tuple[PhotoSide, ...]:
    """The views that show every place for a picture: the open work, loose parts of it, and the work
    at earlier moments for what is out of sight by then."""
    sights: dict[_Sight, list[FaceKey]] = {}
    for key, piece in resolved.pieces.items():
        if piece.source.has(Trait.CARRIES_PHOTOGRAPH):
            face = FaceKey(key, piece.by)
            sights.setdefault(_sight_of(resolved, face), []).append(face)
    opened = work_of(resolved).opened
    ordered = sorted(sights, key=lambda sight: (sight.assembly is not opened, not sight.is_upper))
    number, views = 1, []
    for sight in ordered:
        views.append(_view(resolved, sight, sights[sight], number))
        number += len(sights[sight])
    return tuple(views)


class _Sight(NamedTuple):
    """From where a place is seen: an assembly, the axis and the end of it, the face that is laid
    down for that, of what stands, and the plane that is shown alone, of leaves that hide it."""

    assembly: Assembly
    axis: SpaceAxis
    is_upper: bool
    leaf: FaceKey | None
    plane: Exact | None


def _sight_of(resolved: ResolvedDesign, face: FaceKey) -> _Sight:
    """The open work or a loose part of it, if the face shows there; or the last moment at which it
    does; or what lies in its plane, among leaves that stand behind one another."""
    work = work_of(resolved)
    there = [each for each in (work.opened, *work.assemblies) if face in each.plates]
    earlier = (each.assembly for each in reversed(work.moments) if face in each.assembly.plates)
    for assembly in (*there, *earlier):
        if is_seen(visible_parts(assembly, look_at(assembly, face, 1))[face]):
            return _sight_in(resolved, assembly, face, is_alone=False)
    return _sight_in(resolved, there[0], face, is_alone=True)


def _sight_in(
    resolved: ResolvedDesign, assembly: Assembly, face: FaceKey, is_alone: bool
) -> _Sight:
    """What lies is seen as it lies, what stands as the face that it is on lies in its piece."""
    plate, piece = assembly.plates[face], resolved.pieces[face.piece]
    plane = plate.plane if is_alone else None
    if plate.axis == _UP and not is_alone:
        return _Sight(assembly, plate.axis, plate.facing > 0, None, plane)
    placement = piece.source.placement
    leaf = face if placement is None else FaceKey(placement.host, piece.host_face)
    is_upper = plate.facing == assembly.plates[leaf].facing
    return _Sight(assembly, plate.axis, is_upper, leaf, plane)


def _view(
    resolved: ResolvedDesign, sight: _Sight, faces: Sequence[FaceKey], number: int
) -> PhotoSide:
    """A view with its places, numbered from ``number`` on from the top left."""
    work, assembly = work_of(resolved), sight.assembly
    alone = None
    if sight.plane is not None:
        alone = frozenset(assembly.in_plane(sight.axis, sight.plane))
    if sight.leaf is not None:
        assembly = assembly.seen_from(sight.leaf)
    side = side_seen(sight.is_upper)
    is_open_work = sight.assembly is work.opened and sight.leaf is None
    body = assembly.base.piece if sight.leaf is None else sight.leaf.piece
    boxes = {face: _box(assembly, work.scale, face) for face in faces}
    rows = _rows(faces, boxes)
    ordered = [
        face for row in rows for face in sorted(row, key=lambda face: _across(boxes[face], side))
    ]
    places = tuple(
        _place(resolved, face.piece, boxes[face], number + index, side)
        for index, face in enumerate(ordered)
    )
    return PhotoSide(body, is_open_work, side, assembly, alone, places)


def _box(assembly: Assembly, scale: int, face: FaceKey) -> Box:
    left, bottom, right, top = (Fraction(end) / scale for end in assembly.plates[face].bounds)
    return Box(left, bottom, right, top)


def _place(resolved: ResolvedDesign, key: str, box: Box, number: int, side: SideName) -> PhotoPlace:
    piece, grid = resolved.pieces[key], resolved.edition.grid
    placement = piece.source.placement
    return PhotoPlace(
        number=number,
        piece=piece,
        on=None if placement is None else resolved.pieces[placement.host],
        width=down_to_grid(box.width, grid),
        height=down_to_grid(box.height, grid),
        count=_copies(resolved, key),
        side=side,
    )


def _rows(faces: Sequence[FaceKey], boxes: Mapping[FaceKey, Box]) -> list[list[FaceKey]]:
    """From the top down; what begins above the middle of a row's highest belongs to that row."""
    rows: list[list[FaceKey]] = []
    for face in sorted(faces, key=lambda face: -boxes[face].top):
        if rows and boxes[face].top > boxes[rows[-1][0]].centre.y:
            rows[-1].append(face)
        else:
            rows.append([face])
    return rows


def _across(box: Box, side: SideName) -> Fraction:
    return box.left if is_front(side) else -box.right


def _copies(resolved: ResolvedDesign, key: str) -> int:
    """How many of a piece there are: as often as it, and what it lies on, is cut."""
    stacked = (key, *resolved.hosts_of(key))
    return prod(resolved.pieces[each].source.count for each in stacked)


def photo_sizes(places: tuple[PhotoPlace, ...]) -> tuple[PhotoSize, ...]:
    """The totals, the largest size first."""
    found: dict[tuple[Fraction, Fraction], list[PhotoPlace]] = {}
    for place in places:
        size = min(place.width, place.height), max(place.width, place.height)
        found.setdefault(size, []).append(place)
    return tuple(
        PhotoSize(*size, sum(p.count for p in same), tuple(p.number for p in same))
        for size, same in sorted(found.items(), key=lambda item: -item[0][0] * item[0][1])
    )

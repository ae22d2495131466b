"""How many pictures of which size the finished work takes, and where each goes.

In: a resolved design.  Out: one row per place, numbered from the top left as the open work is
looked at, and one row per size with its total.  A place is a photo mat; the picture is the
largest that fits on it, on the edition's grid.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from builder.choices import SideName, is_front, side_seen
from builder.geometry.outline import Box
from builder.lengths import down_to_grid
from builder.piece_kinds import Trait
from builder.resolve.resolved import REMEMBERED, ResolvedDesign, ResolvedPiece
from builder.work import Assembly, FaceKey, work_of
from builder.work.space import Exact, SpaceAxis
from builder.work.visible import is_seen, look_at, visible_parts

_UP = 2


@dataclass(frozen=True)
class PhotoPlace:
    """A place for pictures: ``width`` and ``height`` of the largest that fits, as it lies in the
    open work; ``count`` is how many such mats there are.

    ``body`` is the piece that the place's part of the work is built on, ``side`` the side of the
    open work that it is seen from.
    """

    number: int
    piece: ResolvedPiece
    on: ResolvedPiece | None
    width: Fraction
    height: Fraction
    count: int
    body: str
    side: SideName


@dataclass(frozen=True)
class PhotoSize:
    """All pictures of one size, upright or lying: the shorter length is ``width``."""

    width: Fraction
    height: Fraction
    count: int
    numbers: tuple[int, ...]


@dataclass(frozen=True, eq=False)
class PhotoView:
    """One side of the work, lying, with its places: ``assembly`` is turned so that they lie flat;
    of a leaf among others, ``leaf`` are the faces that are shown alone."""

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
def photo_views(resolved: ResolvedDesign) -> tuple[PhotoView, ...]:
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
    """From where a place is seen: an assembly, a face in it that is laid down for that where it
    does not lie already, the side of that, and whether its plane is shown alone."""

    assembly: Assembly
    axis: SpaceAxis
    is_upper: bool
    leaf: FaceKey | None = None
    plane: Exact | None = None


def _sight_of(resolved: ResolvedDesign, face: FaceKey) -> _Sight:
    """The open work or a loose part of it, if the face shows there; or the last moment at which it
    does; or what lies in its plane, among leaves that stand behind one another."""
    work = work_of(resolved)
    there = [each for each in (work.opened, *work.assemblies) if face in each.plates]
    earlier = (each.assembly for each in reversed(work.moments) if face in each.assembly.plates)
    for assembly in (*there, *earlier):
        look = look_at(assembly, face, 1)
        if is_seen(visible_parts(assembly, look)[face]):
            lies = assembly is work.opened and look.axis == _UP
            leaf = None if lies else _leaf(resolved, assembly, face)
            return _Sight(assembly, look.axis, _is_upper(assembly, face, leaf), leaf)
    assembly, leaf = there[0], _leaf(resolved, there[0], face)
    plate = assembly.plates[face]
    return _Sight(assembly, plate.axis, _is_upper(assembly, face, leaf), leaf, plate.plane)


def _is_upper(assembly: Assembly, face: FaceKey, leaf: FaceKey | None) -> bool:
    """Whether a face shows its front on the side that the front of a leaf is on."""
    ground = 1 if leaf is None else assembly.plates[leaf].facing
    return assembly.plates[face].facing == ground


def _leaf(resolved: ResolvedDesign, assembly: Assembly, face: FaceKey) -> FaceKey:
    """The largest of a face and what it is glued on, one after the other, in its plane."""
    found, at = face, face
    while True:
        piece = resolved.pieces[at.piece]
        placement = piece.source.placement
        if placement is None or not piece.glue.edges:
            return found
        at = FaceKey(placement.host, piece.host_face)
        plates = assembly.plates
        if at not in plates or not plates[at].shares_plane(plates[face]):
            return found
        if _area(resolved, at) > _area(resolved, found):
            found = at


def _area(resolved: ResolvedDesign, face: FaceKey) -> Fraction:
    box = resolved.pieces[face.piece].face(face.face).box
    return box.width * box.height


def _view(
    resolved: ResolvedDesign, sight: _Sight, faces: Sequence[FaceKey], number: int
) -> PhotoView:
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
        _place(resolved, face.piece, boxes[face], number + index, body, side)
        for index, face in enumerate(ordered)
    )
    return PhotoView(body, is_open_work, side, assembly, alone, places)


def _box(assembly: Assembly, scale: int, face: FaceKey) -> Box:
    left, bottom, right, top = (Fraction(end) / scale for end in assembly.plates[face].bounds)
    return Box(left, bottom, right, top)


def _place(
    resolved: ResolvedDesign, key: str, box: Box, number: int, body: str, side: SideName
) -> PhotoPlace:
    piece, grid = resolved.pieces[key], resolved.edition.grid
    placement = piece.source.placement
    return PhotoPlace(
        number=number,
        piece=piece,
        on=None if placement is None else resolved.pieces[placement.host],
        width=down_to_grid(box.width, grid),
        height=down_to_grid(box.height, grid),
        count=_copies(resolved, key),
        body=body,
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
    source = resolved.pieces[key].source
    carriers = 1 if source.placement is None else _copies(resolved, source.placement.host)
    return source.count * carriers


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

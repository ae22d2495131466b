"""Holes through layers, at the moment at which they are pierced, and the layers at their places.

In: an assembly or a work, and a fastening that goes through some of its pieces.  Out: its point on
each of them, what it then holds together, and its :class:`Stack` there.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import islice
from operator import itemgetter

from gatherfold.geometry import Point, squared
from gatherfold.resolve import Hole, ResolvedDesign, ResolvedFastening, ResolvedPiece
from gatherfold.work.assembly import Assembly, Bond
from gatherfold.work.moments import Work
from gatherfold.work.parts import Parts
from gatherfold.work.regions import FaceKey, Plate
from gatherfold.work.space import ACROSS, Exact, Place


@dataclass(frozen=True)
class Fastened:
    """Where a fastening meets its pieces, in mm on each, and the bonds that it makes."""

    marks: Mapping[str, Point]
    bonds: tuple[Bond, ...]
    faces: tuple[FaceKey, ...]


def pierce(parts: Parts, assembly: Assembly, fastening: ResolvedFastening) -> Fastened:
    """Pierce the pieces that a fastening goes through, at one place through all of them."""
    assert fastening.point is not None
    first, *others = fastening.source.through
    place = place_on(parts, assembly, first, fastening.point)
    marks = {first: fastening.point}
    if place is None:
        return Fastened(marks, (), ())
    faces = [place[0]]
    for key in others:
        met = (each for each in _across(parts, assembly, key, place[1]) if each[0] == 0)
        for _, face, point in islice(met, 1):
            marks.setdefault(key, point)
            faces.append(face)
    return Fastened(marks, tuple(_bonds(fastening, faces)), tuple(faces))


def meet(parts: Parts, assembly: Assembly, fastening: ResolvedFastening) -> Mapping[str, Point]:
    """The points of pieces that lie straight across from a fastening's own, nearest faces first: so
    the two magnets of a pair meet."""
    assert fastening.point is not None
    first, *others = fastening.source.through
    place = place_on(parts, assembly, first, fastening.point)
    marks = {first: fastening.point}
    for key in others if place is not None else ():
        assert place is not None
        axis = assembly.plates[place[0]].axis
        found = (
            each
            for each in _across(parts, assembly, key, place[1])
            if assembly.plates[each[1]].axis == axis
        )
        for _, _, point in islice(sorted(found, key=itemgetter(0)), 1):
            marks.setdefault(key, point)
    return marks


def _bonds(fastening: ResolvedFastening, faces: list[FaceKey]) -> Iterator[Bond]:
    if len(faces) < 2:
        return
    first, *others = faces
    anchor = others[0]
    yield Bond(first, anchor, "pivot" if fastening.source.pivot else "pin", fastening.key)
    for other in others[1:]:
        yield Bond(anchor, other, "pin", fastening.key)


def place_on(
    parts: Parts, assembly: Assembly, piece: str, point: Point
) -> tuple[FaceKey, Place] | None:
    """The face of a piece that holds a point of it, and where that is in space."""
    for face in parts.pieces[piece].piece.faces:
        key = FaceKey(piece, face.name)
        if key in assembly.plates and face.box.contains(point):
            return key, assembly.plates[key].place_of(point, parts.scale)
    return None


def _across(
    parts: Parts, assembly: Assembly, piece: str, place: Place
) -> Iterator[tuple[Exact, FaceKey, Point]]:
    """The faces of a piece before or behind a place, how far from it, and the points of the piece
    nearest to it."""
    for face in parts.pieces[piece].piece.faces:
        key = FaceKey(piece, face.name)
        if key in assembly.plates:
            point, away = assembly.plates[key].point_at(place, parts.scale)
            if face.box.contains(point):
                yield away, key, point


def unfolded_at(parts: Parts, fastenings: Iterable[ResolvedFastening]) -> Iterator[str]:
    """Find the pieces that fastenings go through, and those at their places when none is folded."""
    flat = Assembly(FaceKey("", ""), _unfolded(parts), {})
    for fastening in fastenings:
        through, point = fastening.source.through, fastening.point
        yield from through
        place = place_on(parts, flat, through[0], point) if through and point is not None else None
        if place is not None:
            met = ((key, _across(parts, flat, key, place[1])) for key in parts.pieces)
            yield from (key for key, points in met if any(True for _ in points))


def _unfolded(parts: Parts) -> dict[FaceKey, Plate]:
    """The faces of all pieces where the design has them, before any fold is closed."""
    plates: dict[FaceKey, Plate] = {}
    hosts_of = parts.resolved.hosts_of
    for key in sorted(parts.pieces, key=lambda key: len(hosts_of(key))):
        own = parts.pieces[key].loose().plates
        plates |= own
        if parts.pieces[key].piece.host:
            motion = parts.motion_to_host(key, plates)
            plates |= {face: plate.moved(motion) for face, plate in own.items()}
    return plates


def set_in(work: Work, key: str) -> tuple[Assembly, tuple[FaceKey, ...]]:
    """The assembly in which a fastening is set, and its faces in the order of its pieces.

    What no step sets yet is set in the work at rest; what holds nothing together, in what its first
    piece is part of then.
    """
    fastening = work.parts.resolved.fastenings[key]
    every = (setting_of(work, key), *work.assemblies)
    assembly = next(each for each in every if fastening.source.through[0] in each.pieces)
    marks = _marks(work, fastening).items()
    places = (place_on(work.parts, assembly, piece, point) for piece, point in marks)
    return assembly, tuple(place[0] for place in places if place is not None)


def with_marks(work: Work) -> dict[str, ResolvedFastening]:
    """The fastenings with their points on every piece they meet.

    What no step sets yet is pierced in the work at rest; the magnets of a pair meet when all is
    closed.
    """
    return {
        key: fastening
        if fastening.point is None or not fastening.source.through
        else replace(fastening, marks=_marks(work, fastening))
        for key, fastening in work.parts.resolved.fastenings.items()
    }


def _marks(work: Work, fastening: ResolvedFastening) -> Mapping[str, Point]:
    if not is_pierced(fastening):
        return meet(work.parts, work.closed, fastening)
    if fastening.key in work.marks:
        return work.marks[fastening.key]
    return pierce(work.parts, work.opened, fastening).marks


def with_holes(
    resolved: ResolvedDesign, fastenings: Mapping[str, ResolvedFastening]
) -> dict[str, ResolvedPiece]:
    """The pieces with the holes of what is pierced."""
    found = dict(resolved.pieces)
    for fastening in fastenings.values():
        piercing = fastening.source.fastener.piercing
        if piercing is None:
            continue
        diameter = piercing.diameter(fastening.head, resolved.edition.grid)
        for key, point in fastening.marks.items():
            hole = Hole(point, diameter, fastening.key)
            found[key] = replace(found[key], holes=(*found[key].holes, hole))
    return found


def is_pierced(fastening: ResolvedFastening) -> bool:
    """Whether a fastening goes through what it holds."""
    return fastening.source.fastener.piercing is not None


@dataclass(frozen=True)
class Stack:
    """The faces at a fastening's place, from the negative side of their axis to the positive one.

    ``through`` holds one face for each piece that it goes through, its head on the first.
    """

    layers: tuple[FaceKey, ...]
    through: tuple[FaceKey, ...]
    head_is_high: bool

    @property
    def between(self) -> tuple[FaceKey, ...]:
        """Layers that it passes and does not go through."""
        low, high = self._ends
        return self._others(low, high)

    @property
    def outside(self) -> tuple[FaceKey, ...]:
        """Layers before its first or behind its last."""
        low, high = self._ends
        return (*self._others(0, low), *self._others(high + 1, len(self.layers)))

    @property
    def beyond_last(self) -> tuple[FaceKey, ...]:
        """Layers that lie over the last piece it goes through, away from its head."""
        last = self.layers.index(self.through[-1])
        if self.head_is_high:
            return self._others(0, last)
        return self._others(last + 1, len(self.layers))

    @property
    def places(self) -> tuple[int, ...]:
        """Where in the layers those lie that it goes through, in their own order."""
        return tuple(self.layers.index(face) for face in self.through)

    @property
    def _ends(self) -> tuple[int, int]:
        return min(self.places), max(self.places)

    def _others(self, start: int, end: int) -> tuple[FaceKey, ...]:
        own = {face.piece for face in self.through}
        return tuple(face for face in self.layers[start:end] if face.piece not in own)


def stack_in(work: Work, assembly: Assembly, fastening: str) -> Stack | None:
    """The layers where a fastening goes through an assembly; None where it goes through none."""
    own = work.parts.resolved.fastenings[fastening]
    if own.point is None or not own.source.through or not is_pierced(own):
        return None
    faces = faces_of(work, assembly, fastening)
    if not faces or faces[0].piece != own.source.through[0]:
        return None
    plate = assembly.plates[faces[0]]
    place = plate.place_of(own.point, work.scale)
    spot = tuple(place[axis] for axis in ACROSS[plate.axis])
    found = assembly.stack_at(plate.axis, plate.plane, (spot[0], spot[1]))
    paper = [key for key in found if key in faces or _is_paper(work.parts, assembly, key, place)]
    layers = assembly.in_order(dict.fromkeys((*faces, *paper)))
    first, last = layers.index(faces[0]), layers.index(faces[-1])
    is_high = plate.facing > 0 if first == last else first > last
    return Stack(layers, faces, is_high)


def faces_of(work: Work, assembly: Assembly, fastening: str) -> tuple[FaceKey, ...]:
    """The faces of an assembly that a fastening lies on or goes through, in its own order."""
    own = work.parts.resolved.fastenings[fastening]
    faces = work.pierced.get(fastening, ())
    if len(faces) < len(own.source.through):
        # What it is to go through may have come later.
        faces = pierce(work.parts, assembly, own).faces
    return tuple(face for face in faces if face in assembly.plates)


def setting_of(work: Work, fastening: str) -> Assembly:
    """The assembly in which a fastening is set; the work at rest where no step sets it."""
    for moment in work.moments:
        if any(bond.joins == fastening for bond in moment.bonds):
            return moment.assembly
    return work.opened


def _is_paper(parts: Parts, assembly: Assembly, key: FaceKey, place: Place) -> bool:
    """Whether a face is there at a place, and no punched hole of it."""
    point, _ = assembly.plates[key].point_at(place, parts.scale)
    return not any(
        hole.fastening is None and 4 * squared(hole.centre, point) < hole.diameter**2
        for hole in parts.pieces[key.piece].piece.holes
    )

"""The layers at the place of a fastening, and which of them it goes through.

In: a work, one of its assemblies, and a fastening.  Out: its :class:`Stack` there.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from builder.geometry.clearance import squared
from builder.geometry.outline import Point
from builder.work.assembly import Assembly
from builder.work.moments import Work
from builder.work.parts import Parts
from builder.work.piercing import is_pierced, pierce
from builder.work.plates import FaceKey
from builder.work.space import ACROSS, whole


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
    place = plate.pose.apply((whole(own.point.x, work.scale), whole(own.point.y, work.scale), 0))
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


def _is_paper(
    parts: Parts, assembly: Assembly, key: FaceKey, place: tuple[int | Fraction, ...]
) -> bool:
    """Whether a face is there at a place, and no punched hole of it."""
    x, y, _ = assembly.plates[key].pose.undone().apply((place[0], place[1], place[2]))
    point = Point(Fraction(x) / parts.scale, Fraction(y) / parts.scale)
    return not any(
        hole.fastening is None and 4 * squared(hole.centre, point) < hole.diameter**2
        for hole in parts.pieces[key.piece].piece.holes
    )

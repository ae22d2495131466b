"""Faces of an assembly in mm, for drawings and checks.

In: an assembly and its scale.  Out: each face with its exact pose in mm and a rank: of faces in one
plane that lie over one another a larger rank lies towards the positive end of their axis.  Where
layers go round, as those of interleaved flaps, no rank says what lies over what: ask the assembly.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from builder.geometry.outline import Box
from builder.geometry.pose import Pose
from builder.work.assembly import Assembly
from builder.work.plates import FaceKey, Plate
from builder.work.space import SpaceAxis, as_pose
from builder.work.visible import Look, from_far_to_near


@dataclass(frozen=True)
class PlacedFace:
    """One face in space, in mm; of faces in one plane a larger ``rank`` lies further along their
    axis."""

    piece: str
    face: str
    pose: Pose
    rank: int

    @property
    def key(self) -> FaceKey:
        """The face by its piece and name."""
        return FaceKey(self.piece, self.face)


@dataclass(frozen=True)
class Span:
    """From ``low`` to ``high`` along one axis, in mm."""

    low: Fraction
    high: Fraction

    @property
    def length(self) -> Fraction:
        return self.high - self.low


def span_of(plate: Plate, axis: SpaceAxis, scale: int) -> Span:
    """What a plate spans along an axis; nothing along the one that it looks along."""
    low, high = plate.extent(axis)
    return Span(Fraction(low) / scale, Fraction(high) / scale)


def seen_box(plate: Plate, scale: int) -> Box:
    """The upright box that a plate covers, seen along the axis that it looks along."""
    return Box(*(Fraction(end) / scale for end in plate.bounds))


def placed_faces(assembly: Assembly, scale: int) -> tuple[PlacedFace, ...]:
    """All faces of an assembly; those that look along one axis from its negative end on."""
    ordered = [key for axis in (0, 1, 2) for key in from_far_to_near(assembly, Look(axis, 1))]
    return tuple(
        PlacedFace(key.piece, key.face, as_pose(assembly.plates[key].pose, scale), rank)
        for rank, key in enumerate(ordered)
    )


def only(faces: Iterable[PlacedFace], pieces: Iterable[str]) -> tuple[PlacedFace, ...]:
    """The faces that belong to some pieces."""
    kept = frozenset(pieces)
    return tuple(face for face in faces if face.piece in kept)

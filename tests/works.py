"""Designs that tests of several stages ask for, pierced as later stages get them, each once."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path

from gatherfold import work
from gatherfold.editions import check_edition
from gatherfold.editions.checked import Checked
from gatherfold.geometry import Pose
from gatherfold.model import Design
from gatherfold.reading.read_design import read_design_file
from gatherfold.resolve import resolve
from gatherfold.resolve.edition import EDITIONS
from gatherfold.resolve.resolved import ResolvedDesign
from gatherfold.shipped import DESIGNS
from gatherfold.work import Assembly, FaceKey, Work, pierced, work_of
from gatherfold.work.space import as_pose
from gatherfold.work.visible import Look, from_far_to_near
from tests.once import once

SHIPPED = sorted(DESIGNS.glob("*.yaml"))
STRUCTURES = Path(__file__).parent / "designs"


#: So many works are kept, of designs that tests ask for again and again.
_WORKS = 200


@cache
def shipped(name: str, edition: str = "imperial") -> ResolvedDesign:
    """A shipped design."""
    return _read(DESIGNS / f"{name}.yaml", edition)


@cache
def structure(name: str, edition: str = "metric") -> ResolvedDesign:
    """One of the structures of the trade in ``tests/designs``."""
    return _read(STRUCTURES / f"{name}.yaml", edition)


def _read(path: Path, edition: str) -> ResolvedDesign:
    """A design as it is resolved; in its own edition that is as it is settled."""
    if edition == native_of(path):
        return checked(path, edition).resolved
    return pierced(resolve(_design(path), EDITIONS[edition]))


def native_of(path: Path) -> str:
    """The edition that is a design's own."""
    return _design(path).native


@once
def _design(path: Path) -> Design:
    return read_design_file(path)


@cache
def checked(path: Path, edition: str) -> Checked:
    """A design as it is built: settled, its sheets planned, with its findings."""
    found, played = _played(path, edition)
    work._KEPT = _WORKS
    work._remember(found.resolved, played)
    return found


@once
def _played(path: Path, edition: str) -> tuple[Checked, Work]:
    """A design checked, with its work, which a worker that is handed it need not play again."""
    found = check_edition(_design(path), EDITIONS[edition])
    return found, work_of(found.resolved)


def faces_in(resolved: ResolvedDesign, state: str) -> tuple[PlacedFace, ...]:
    """The faces of the work ``open`` or ``closed``, in mm."""
    made = work_of(resolved)
    return placed_faces({"open": made.opened, "closed": made.closed}[state], made.scale)


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


def placed_faces(assembly: Assembly, scale: int) -> tuple[PlacedFace, ...]:
    """All faces of an assembly; those that look along one axis from its negative end on."""
    ordered = [key for axis in (0, 1, 2) for key in from_far_to_near(assembly, Look(axis, 1))]
    return tuple(
        PlacedFace(key.piece, key.face, as_pose(assembly.plates[key].pose, scale), rank)
        for rank, key in enumerate(ordered)
    )

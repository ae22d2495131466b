"""Designs that tests of several stages ask for, pierced as later stages get them, each once."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from gatherfold.editions import Checked, check_edition
from gatherfold.reading import read_design_file
from gatherfold.resolve import resolve
from gatherfold.resolve.edition import EDITIONS
from gatherfold.resolve.resolved import ResolvedDesign
from gatherfold.shipped import DESIGNS
from gatherfold.work import PlacedFace, pierced, placed_faces, work_of
from tests.once import once

SHIPPED = sorted(DESIGNS.glob("*.yaml"))
STRUCTURES = Path(__file__).parent / "designs"


@lru_cache
def shipped(name: str, edition: str = "imperial") -> ResolvedDesign:
    """A shipped design."""
    return _read(DESIGNS / f"{name}.yaml", edition)


@lru_cache
def structure(name: str, edition: str = "metric") -> ResolvedDesign:
    """One of the structures of the trade in ``tests/designs``."""
    return _read(STRUCTURES / f"{name}.yaml", edition)


def _read(path: Path, edition: str) -> ResolvedDesign:
    return pierced(resolve(read_design_file(path), EDITIONS[edition]))


@once
def checked(path: Path, edition: str) -> Checked:
    """A design as it is built: settled, its sheets planned, with its findings."""
    return check_edition(read_design_file(path), EDITIONS[edition])


def faces_in(resolved: ResolvedDesign, state: str) -> tuple[PlacedFace, ...]:
    """The faces of the work ``open`` or ``closed``, in mm."""
    work = work_of(resolved)
    return placed_faces({"open": work.opened, "closed": work.closed}[state], work.scale)

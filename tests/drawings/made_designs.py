"""The shipped designs and the test designs, with their holes, for the drawing tests."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from builder.drawings.frames import Frame
from builder.drawings.motion_frames import motion_frames
from builder.drawings.motions import Sequence, sequence_of
from builder.reading import read_design_file
from builder.resolve import resolve
from builder.resolve.edition import EDITIONS
from builder.resolve.resolved import ResolvedDesign
from builder.shipped import DESIGNS
from builder.work import pierced

TEST_DESIGNS = Path(__file__).parents[1] / "designs"
SHIPPED = sorted(path.stem for path in DESIGNS.glob("*.yaml"))
STRUCTURES = sorted(path.stem for path in (TEST_DESIGNS / "facts").glob("*.yaml"))


@lru_cache(maxsize=64)
def made(name: str, edition: str = "imperial") -> ResolvedDesign:
    """A design by its name."""
    folder = DESIGNS if name in SHIPPED else TEST_DESIGNS
    return pierced(resolve(read_design_file(folder / f"{name}.yaml"), EDITIONS[edition]))


def moves_of(name: str, step: int) -> Sequence:
    """The movements of a step that has some."""
    sequence = sequence_of(made(name), step)
    assert sequence is not None
    return sequence


def frames_of(name: str, step: int) -> tuple[Frame, ...]:
    """The pictures of a step that moves something."""
    return motion_frames(made(name), moves_of(name, step))

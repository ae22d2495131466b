"""The shipped designs and the test designs, with their holes, for the drawing tests."""

from __future__ import annotations

from gatherfold.drawings.motion.drawing import motion_frames
from gatherfold.drawings.motion.frames import MotionFrame
from gatherfold.drawings.motion.movements import Movements, sequence_of
from gatherfold.resolve.resolved import ResolvedDesign
from tests import works

SHIPPED = sorted(path.stem for path in works.SHIPPED)
STRUCTURES = sorted(path.stem for path in (works.STRUCTURES / "facts").glob("*.yaml"))


def made(name: str, edition: str = "imperial") -> ResolvedDesign:
    """A design by its name."""
    find = works.shipped if name in SHIPPED else works.structure
    return find(name, edition)


def moves_of(name: str, step: int, edition: str = "imperial") -> Movements:
    """The movements of a step that has some."""
    sequence = sequence_of(made(name, edition), step)
    assert sequence is not None
    return sequence


def frames_of(name: str, step: int) -> tuple[MotionFrame, ...]:
    """The pictures of a step that moves something."""
    return motion_frames(moves_of(name, step))

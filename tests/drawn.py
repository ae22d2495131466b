"""The figures of the shipped designs and of the tests' designs, each drawn once a run.

In: a design's file and the name of an edition.  Out: its scenes by key.  Those of a shipped design
are what its documents were inked from; nothing is drawn for them here.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from gatherfold.drawings.kernel.scene import Scene
from gatherfold.shipped import DESIGNS
from tests.benchmarks.figure_check import resolved_of, scenes_of
from tests.built import built
from tests.once import once


def figures_of(path: Path, edition: str) -> Mapping[str, Scene]:
    """The figures of a design: of the pattern where it is shipped, else for a layout that says
    nothing of its page."""
    return figures_in("pattern", path, edition) if path.parent == DESIGNS else _drawn(path, edition)


@once
def _drawn(path: Path, edition: str) -> dict[str, Scene]:
    return scenes_of(resolved_of(path, edition, {}))


def figures_in(layout: str, path: Path, edition: str) -> Mapping[str, Scene]:
    """The figures of a shipped design in a layout."""
    return built(path.stem, edition).scenes[layout]

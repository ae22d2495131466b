"""The figures of the shipped designs and of the tests' designs, each drawn once a run.

In: a design's file and the name of an edition.  Out: its scenes by key.
"""

from __future__ import annotations

from pathlib import Path

from gatherfold.drawings.kernel.scene import Scene
from tests.benchmarks.figure_check import layout_scenes, resolved_of, scenes_of
from tests.once import once


@once
def figures_of(path: Path, edition: str) -> dict[str, Scene]:
    """The figures of a document, for a layout that says nothing of its page."""
    return scenes_of(resolved_of(path, edition, {}))


@once
def figures_in_layouts(path: Path, edition: str) -> dict[str, Scene]:
    """The figures of all shipped layouts by layout and key: ``handout step-3-1``."""
    return layout_scenes(resolved_of(path, edition, {}))


def figures_in(layout: str, path: Path, edition: str) -> dict[str, Scene]:
    """The figures of a shipped layout by key."""
    found = figures_in_layouts(path, edition)
    return {
        key.removeprefix(f"{layout} "): scene
        for key, scene in found.items()
        if key.startswith(f"{layout} ")
    }

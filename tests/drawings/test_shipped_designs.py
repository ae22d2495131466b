"""Every figure of every shipped design and layout, in both editions: nothing overlaps, is clipped
or too small."""

from __future__ import annotations

from pathlib import Path

import pytest

from gatherfold.resolve.edition import EDITIONS
from gatherfold.shipped import DESIGNS
from tests.benchmarks.figure_check import faults_of
from tests.built import BUILT_LAYOUTS
from tests.drawn import figures_in


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize("path", sorted(DESIGNS.glob("*.yaml")), ids=lambda path: path.stem)
def test_every_figure_is_legible(path: Path, edition: str) -> None:
    for layout in BUILT_LAYOUTS:
        scenes = figures_in(layout, path, edition)
        assert scenes and faults_of(scenes) == [], layout

"""Figures of random sizes of the folio stay legible; ``figure_check --sizes 200`` asks for more."""

from __future__ import annotations

import pytest

from builder.findings import DesignUnreadable
from builder.resolve.edition import EDITIONS
from tests.benchmarks.figure_check import FOLIO, faults_of, layout_scenes, resolved_of, sized


@pytest.mark.parametrize("edition", EDITIONS)
def test_random_sizes_draw_without_fault(edition: str) -> None:
    drawn = 0
    for changed in sized(seed=777, count=2):
        try:
            resolved = resolved_of(FOLIO, edition, changed)
        except DesignUnreadable:
            continue
        assert faults_of(layout_scenes(resolved)) == [], changed
        drawn += 1
    assert drawn > 1

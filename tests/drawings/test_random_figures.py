"""Figures of random sizes of the folio stay legible; ``figure_check --sizes 200`` asks for more."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from gatherfold.documents import step_figures
from gatherfold.documents.page import read_page
from gatherfold.documents.step_figures import scenes_on_page
from gatherfold.drawings import StepPictures, step_drawings
from gatherfold.model import Step
from gatherfold.resolve import ResolvedDesign
from gatherfold.resolve.edition import IMPERIAL, METRIC
from gatherfold.shipped import LAYOUTS
from tests.benchmarks.figure_check import (
    FOLIO,
    faults_of,
    layout_scenes,
    resolved_of,
    sized,
)


@pytest.mark.parametrize(
    ("edition", "layout", "number"),
    [
        ("imperial", "pattern", 0),
        ("imperial", "bench", 2),
        ("metric", "handout", 0),
        ("metric", "bench", 1),
    ],
)
def test_random_sizes_draw_without_fault(edition: str, layout: str, number: int) -> None:
    """Every layout and both editions, each for one of three sizes."""
    changed = sized(seed=777, count=3)[number]
    assert faults_of(layout_scenes(resolved_of(FOLIO, edition, changed), [layout])) == [], changed


@pytest.mark.parametrize(
    ("layout", "number", "changed"),
    [
        # The name of the spine pointed at a dimension's arrowhead.
        (
            "pattern",
            4,
            {
                "band_lap": "3/4 in",
                "page_width": "225/32 in",
                "reveal": "2/16 in",
                "hinge_tab": "8/16 in",
                "spine_depth": "11/16 in",
            },
        ),
        # The spine shows in two places alone, and the name of its mat took one of them.
        ("pattern", 10, {"band_lap": "3/4 in", "reveal": "1/16 in"}),
        # The name of a hinge shut off the place of what its flap is flush with.
        (
            "pattern",
            13,
            {
                "band_lap": "3/4 in",
                "side_gusset": "4/16 in",
                "hinge_tab": "0.7",
                "panel_height": "151/16 in",
            },
        ),
        # An edge runs through the only place that was thought of for an upright number.
        (
            "bench",
            17,
            {
                "band_lap": "3/4 in",
                "spine_depth": "11/16 in",
                "band_height": "31/16 in",
                "end_flap": "137/16 in x 50/16 in",
                "reveal": "2/16 in",
            },
        ),
        # In a small panel only the name of the pocket found a place before that of its host.
        (
            "bench",
            16,
            {"band_lap": "3/4 in", "spine_depth": "10/16 in", "pocket_depth": "68/16 in"},
        ),
    ],
)
def test_sizes_whose_steps_once_had_a_fault(
    monkeypatch: pytest.MonkeyPatch, layout: str, number: int, changed: dict[str, str]
) -> None:
    """The step that had it is drawn, with those that may share its page."""

    def near(resolved: ResolvedDesign) -> Iterator[tuple[Step, StepPictures]]:
        return (each for each in step_drawings(resolved) if abs(each[1].number - number) <= 1)

    monkeypatch.setattr(step_figures, "step_drawings", near)
    resolved = resolved_of(FOLIO, "imperial", changed)
    steps = dict(scenes_on_page(resolved, read_page(LAYOUTS / layout, IMPERIAL)))
    assert any(key.startswith(f"step-{number}-") for key in steps)
    assert faults_of(steps) == []


def test_slivers_that_lie_over_one_another_stop_no_picture() -> None:
    """What hides a line once came to a shape that cannot be taken from another."""
    changed = {"band_lap": "3/4 in", "band_height": "31/16 in", "hinge_tab": "7/16 in"}
    resolved = resolved_of(FOLIO, "metric", changed)
    steps = dict(scenes_on_page(resolved, read_page(LAYOUTS / "pattern", METRIC)))
    assert faults_of(steps) == []

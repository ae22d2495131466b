"""The cover: a box stands on the table, flat work lies closed before itself open."""

from __future__ import annotations

import pytest

from builder.drawings.cover import scene_for_cover, stands_up
from builder.drawings.finished_view import cover_scene
from builder.drawings.raised_state import raised_scene
from tests.benchmarks.figure_check import DESIGNS, resolved_of


@pytest.mark.parametrize(
    ("name", "stands"),
    [("keepsake-box", True), ("observatory-folio", False), ("letter-envelope", False)],
)
def test_what_the_cover_shows(name: str, stands: bool) -> None:
    resolved = resolved_of(DESIGNS / f"{name}.yaml", "imperial", {})
    assert stands_up(resolved) is stands
    scene = scene_for_cover(resolved, 170, 150)
    flat = cover_scene(resolved, 170, 150)
    other = raised_scene(resolved, "closed", 170, 150) if stands else flat
    assert scene.items == other.items
    assert (scene.key, scene.title) == ("cover", resolved.design.title)
    assert scene.texts == () and resolved.design.title in scene.text_equivalent
    assert (scene.text_equivalent == flat.text_equivalent) is not stands

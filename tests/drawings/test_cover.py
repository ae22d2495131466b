"""The cover: a box stands on the table, flat work lies closed before itself open."""

from __future__ import annotations

import pytest

from gatherfold.drawings.finished.drawing import OBLIQUE, finished_scene, scene_for_cover, stands_up
from gatherfold.drawings.kernel.scene import Area
from tests.drawings.made_designs import made
from tests.drawings.samples import matted_design


@pytest.mark.parametrize(
    ("name", "stands"),
    [
        ("keepsake-box", True),
        ("observatory-folio", False),
        ("letter-envelope", False),
        ("belly-band", False),
    ],
)
def test_what_the_cover_shows(name: str, stands: bool) -> None:
    """Of these only the box is no flat thing."""
    resolved = made(name)
    assert stands_up(resolved) is stands
    scene = scene_for_cover(resolved, 170, 150)
    oblique = finished_scene(resolved, "closed", 170, 150, OBLIQUE)
    assert (scene.items == oblique.items) is stands
    assert (scene.key, scene.title) == ("cover", resolved.design.title)
    assert scene.texts == () and resolved.design.title in scene.text_equivalent
    assert ("as it stands on the table" in scene.text_equivalent) is stands


def test_cover_has_no_text() -> None:
    scene = scene_for_cover(matted_design(), 170, 150)
    assert scene.texts == ()
    assert scene.width <= 172
    assert any(isinstance(item, Area) for item in scene.items)

"""Every picture of folds, flaps, pockets and photographs of every shipped design,
in both editions: legible, within its room, and the same in words."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from gatherfold.drawings.kernel.scene import Area, Scene
from gatherfold.drawings.kernel.styles import Fill, contrast
from gatherfold.drawings.motion.drawing import motion_equivalent, motion_scene
from gatherfold.drawings.motion.movements import sequences
from gatherfold.drawings.photograph.drawing import has_photo_plan, photo_equivalent, photo_scene
from gatherfold.drawings.scene_check import overlaps
from gatherfold.resolve.edition import EDITIONS
from gatherfold.resolve.resolved import ResolvedDesign
from tests.drawings.made_designs import SHIPPED, made


def scenes(resolved: ResolvedDesign) -> Iterator[tuple[Scene, str, float]]:
    """Each scene with its words, and the height it was given."""
    body = float(resolved.edition.paper.width) - 38.0
    for each in sequences(resolved):
        yield motion_scene(each, body, 130), motion_equivalent(each), 130
    if has_photo_plan(resolved):
        yield photo_scene(resolved, body, 120), photo_equivalent(resolved), 120


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize("name", SHIPPED)
def test_every_picture_is_legible_and_fits(name: str, edition: str) -> None:
    resolved = made(name, edition)
    body = float(resolved.edition.paper.width) - 38.0
    keys = []
    for scene, words, height in scenes(resolved):
        keys.append(scene.key)
        assert overlaps(scene) == (), scene.key
        assert scene.width <= body + 0.01, scene.key
        assert scene.height <= height + 0.01, scene.key
        assert scene.text_equivalent == words
        assert scene.title
    assert len(keys) == len(set(keys)) > 0


def grey(colour: str) -> str:
    """The grey that a black and white print makes of a colour (Rec. 601 weights, from memory)."""
    red, green, blue = (int(colour[i : i + 2], 16) for i in (1, 3, 5))
    level = round(0.299 * red + 0.587 * green + 0.114 * blue)
    return f"#{level:02X}{level:02X}{level:02X}"


@pytest.mark.parametrize("name", SHIPPED)
def test_in_grey_every_edge_stands_out_from_every_fill(name: str) -> None:
    """Edges and arrows are black or blue lines on pale fills: 3 to 1 and more (WCAG 2.2)."""
    for scene, _, _ in scenes(made(name)):
        fills = {item.fill for item in scene.items if isinstance(item, Area)} - {Fill.INK}
        lines = {
            item.line
            for item in scene.items
            if hasattr(item, "line") and item.line.meaning in ("visible edge", "leader")
        }
        for fill in fills:
            for line in lines:
                looks = grey(line.look.colour), grey(fill.colour)
                assert contrast(*looks) >= 3.0, (scene.key, fill, line)

"""Tiles of templates: the letters of folds, and the small plan of the whole piece."""

from __future__ import annotations

import math
from collections.abc import Iterator
from pathlib import Path

import pytest

from gatherfold.drawings.kernel.canvas import item_rect
from gatherfold.drawings.kernel.lettering import text_rect
from gatherfold.drawings.kernel.plane import Place, Rect, bounding
from gatherfold.drawings.kernel.scene import Scene
from gatherfold.drawings.kernel.styles import Line
from gatherfold.drawings.scene_check import overlaps
from gatherfold.drawings.template.drawing import needs_template, template_pages
from gatherfold.drawings.template.tiles import TILE_KEY
from gatherfold.resolve.edition import EDITIONS
from gatherfold.shipped import DESIGNS
from tests.benchmarks.figure_check import designs, resolved_of
from tests.drawings.samples import design, l_shape

PAGE = (180.0, 240.0)
#: What no other tile covers, on a page that large: white 4 mm, the bars 9 mm, the words 14 mm high.
OWN = Rect(4.0, 13.0, 176.0, 222.0).grown(-5.0)
_LETTERS = {Line.VALLEY: "V", Line.MOUNTAIN: "M"}


def tiles_of(path: Path, edition: str) -> Iterator[Scene]:
    resolved = resolved_of(path, edition, {})
    shaped = [key for key, piece in resolved.pieces.items() if needs_template(piece)]
    for key in shaped:
        pages = template_pages(resolved, [key], *PAGE)
        yield from (page for page in pages if page.key.startswith(TILE_KEY))


def unlettered(scene: Scene) -> list[tuple[Place, ...]]:
    """Stretches of folds with no letter of theirs beside them; shorter ones may go without, and
    those along the border of a tile, which another one covers."""
    letters = [(t.text, text_rect(t)) for t in scene.texts if t.bold and t.text in ("V", "M")]
    folds = [s for line in _LETTERS for s in scene.strokes(line)]
    runs = [(_LETTERS[s.line], run) for s in folds for run in s.runs]
    return [
        run
        for letter, run in runs
        if math.dist(run[0], run[-1]) > 15.0
        and OWN.holds(bounding(run).centre)
        and not any(word == letter and bounding(run).grown(4.0).meets(at) for word, at in letters)
    ]


@pytest.mark.parametrize("path", designs(), ids=lambda path: path.stem)
@pytest.mark.parametrize("edition", EDITIONS)
def test_every_stretch_of_a_fold_has_its_letter_on_every_tile(path: Path, edition: str) -> None:
    for scene in tiles_of(path, edition):
        assert unlettered(scene) == [], scene.key
        assert overlaps(scene) == (), scene.key


def test_the_envelope_has_folds_on_all_its_tiles() -> None:
    scenes = list(tiles_of(DESIGNS / "letter-envelope.yaml", "imperial"))
    counts = [sum(text.text == "V" for text in scene.texts) for scene in scenes]
    assert counts == [2, 2, 2, 2], "a level and an upright fold on each"


def plan_in(scene: Scene) -> Rect:
    return next(item_rect(s) for s in scene.strokes(Line.DIMENSION) if s.subject == "tile plan")


def test_the_piece_in_the_small_plan_keeps_off_its_frame() -> None:
    """Its edges fell together with those of the tiles, and it was not recognised."""
    made = l_shape()
    for scene in template_pages(design({made.key: made}), [made.key], *PAGE):
        plan = plan_in(scene)
        (outline,) = scene.strokes(Line.EXISTING)
        assert plan.grown(-0.8).contains(bounding(outline.runs[0]))


def test_the_small_plan_says_what_its_grey_part_is() -> None:
    made = l_shape()
    for scene in template_pages(design({made.key: made}), [made.key], *PAGE):
        plan = plan_in(scene)
        words = text_rect(next(text for text in scene.texts if text.text == "grey: this part"))
        assert 0 < plan.bottom - words.top < 1.5, "close below it"
        assert words.bottom > OWN.top + 5.0, "above the drawing"

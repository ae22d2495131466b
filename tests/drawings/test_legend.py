"""The legend explains every line and sign that the drawings of a design use, and no other."""

from __future__ import annotations

from pathlib import Path

import pytest

from gatherfold.drawings.kernel.figures import figure, signs_of
from gatherfold.drawings.kernel.plane import bounding
from gatherfold.drawings.kernel.scene import Scene, Strokes
from gatherfold.drawings.kernel.styles import TEXTURES, Line
from gatherfold.drawings.legend.drawing import SIGNS, conventions_scene
from gatherfold.drawings.scene_check import overlaps
from gatherfold.wording import LANGUAGES
from tests.benchmarks.figure_check import DESIGNS, TESTED
from tests.drawn import figures_of

#: Signs that the words of the catalogue must tell of, by a part of each.
TOLD = {
    "grain": "grain",
    "print": "print’s upright",
    "no_print": "without print",
    "motif": "printed picture or region",
    "tick": "arrowhead",
    "wavy": "goes on",
    "joint": "joint of two parts",
    "leader": "no hole",
    "glue": "underneath",
    "glue_rim": "along all edges",
    "two_sides": "each side has its own pattern",
    "centre": "do not cut",
    "head": "brad",
}


def words(scene: Scene) -> str:
    return " ".join(text.text for text in scene.texts)


def dashes(scene: Scene) -> set[tuple[float, ...]]:
    """The dash patterns of a scene's lines; textures are told apart by their direction."""
    return {
        item.line.look.dashes
        for item in scene.items
        if isinstance(item, Strokes) and item.line not in TEXTURES
    }


@pytest.mark.parametrize(
    ("path", "there", "missing"),
    [
        (
            DESIGNS / "keepsake-box.yaml",
            {"valley", "mountain", "glue", "glue_rim", "joint", "two_sides", "cut_number"},
            {"motif", "no_print", "head", "keep_off"},
        ),
        (TESTED / "pond-paper.yaml", {"no_print", "motif", "cut_number"}, {"joint", "mountain"}),
    ],
    ids=lambda value: getattr(value, "stem", ""),
)
def test_the_legend_of_a_design_has_its_own_signs(
    path: Path, there: set[str], missing: set[str]
) -> None:
    scenes = dict(figures_of(path, "imperial"))
    legend = scenes.pop("legend")
    told = words(legend)
    for name, part in TOLD.items():
        if name in there | missing:
            assert (part in told) == (name in there), name
    used = {name for scene in scenes.values() for name in signs_of(scene)}
    assert there <= used
    assert not missing & used
    for scene in scenes.values():
        assert dashes(scene) <= dashes(legend), scene.key


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("width", [165.0, 178.0])
def test_all_signs_fit_half_a_page_and_are_legible(language: str, width: float) -> None:
    scene = conventions_scene(width, language)
    assert overlaps(scene) == ()
    assert scene.width <= width
    assert scene.height <= 125
    told = words(scene)
    if language == "en":
        assert [name for name, part in TOLD.items() if part not in told] == []


def test_every_kind_of_line_has_a_sign() -> None:
    """All but those of dimensions and textures of waste, which are told by what they are of."""
    for line in Line:
        items = (Strokes((((0.0, 0.0), (9.0, 0.0)),), line),)
        found = signs_of(Scene("t", "T", 10, 10, items, ""))
        assert found or line in (Line.DIMENSION, Line.WASTE), line
        assert found <= set(SIGNS)


def test_a_figure_knows_its_signs() -> None:
    strokes = Strokes((((1.0, 1.0), (9.0, 1.0)),), Line.DIMENSION, "grain")
    made = figure(Scene("t", "T", 10, 10, (strokes,), ""))
    assert made.signs == {"grain"}


def test_the_rows_of_the_legend_stand_apart() -> None:
    scene = conventions_scene(178.0)
    samples = [bounding(run) for item in scene.strokes(Line.CENTRE) for run in item.runs]
    assert len(samples) == 1
    few = conventions_scene(178.0, used=("visible", "grain"))
    assert few.height < 15
    assert [text.text for text in few.texts] == [
        "edge of paper, or cut",
        "grain of the sheet, along the arrow",
    ]

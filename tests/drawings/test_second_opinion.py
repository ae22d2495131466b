"""A second opinion on lettering, from the rendered page alone: PDFium reads and paints it.

Each letter has the box that PDFium finds for its glyph.  The letters are then taken out and the
page is painted without them: where a letter stood there must be one colour, and no other letter.
Nothing here knows the scene, the labels' engine or the check of scenes.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pypdfium2 as pdfium
import pytest

from gatherfold.documents.typeset import figure_page
from gatherfold.drawings.kernel.canvas import Canvas
from gatherfold.drawings.kernel.figures import figure
from gatherfold.drawings.kernel.scene import Scene, Text
from gatherfold.drawings.kernel.styles import Line
from gatherfold.shipped import DESIGNS
from tests.drawn import figures_of

TESTED = Path(__file__).parents[1] / "designs"
SAMPLE = [
    (DESIGNS / "letter-envelope.yaml", "imperial"),
    (TESTED / "covered-board.yaml", "metric"),
    (TESTED / "four-flaps.yaml", "metric"),
]
#: Dots to a point, and the shades of grey (of 256) by which the ground of a letter may differ.
DOTS, SHADES = 4, 40
#: Glyphs may come so near one another, in points, as kerned letters of one word do.
KERNED = 0.3
TEXT = 1


def lettering_faults(pdf: bytes) -> Iterator[str]:
    """What is wrong with the letters of a page."""
    page = pdfium.PdfDocument(pdf)[0]
    width, height = page.get_size()
    read = page.get_textpage()
    letters = [(read.get_text_range(i, 1), read.get_charbox(i)) for i in range(read.count_chars())]
    letters = [(letter, box) for letter, box in letters if letter.strip() and box[2] > box[0]]
    for each in [each for each in page.get_objects() if each.type == TEXT]:
        page.remove_obj(each)
    page.gen_content()
    painted = np.asarray(page.render(scale=DOTS).to_pil().convert("L"), dtype=int)
    for letter, (left, bottom, right, top) in letters:
        if min(left, bottom) < -0.01 or right > width + 0.01 or top > height + 0.01:
            yield f"'{letter}' is cut off"
            continue
        rows = slice(int((height - top) * DOTS) + 1, int((height - bottom) * DOTS))
        ground = painted[rows, int(left * DOTS) + 1 : int(right * DOTS)]
        if ground.size and np.ptp(ground) > SHADES:
            yield f"'{letter}' stands on a line"
    boxes = np.array([box for _, box in letters]).reshape(-1, 4)
    for number, (letter, (left, bottom, right, top)) in enumerate(letters):
        others = boxes[number + 1 :]
        level = np.minimum(others[:, 2], right) - np.maximum(others[:, 0], left)
        upright = np.minimum(others[:, 3], top) - np.maximum(others[:, 1], bottom)
        if np.any((level > KERNED) & (upright > KERNED)):
            yield f"'{letter}' stands on another letter"


@pytest.mark.parametrize(
    ("path", "edition"), [pytest.param(*each, id=each[0].stem) for each in SAMPLE]
)
def test_no_letter_touches_anything_on_the_page(path: Path, edition: str) -> None:
    found = {
        key: faults
        for key, scene in figures_of(path, edition).items()
        if (faults := list(lettering_faults(figure_page(figure(scene)))))
    }
    assert found == {}


def _with(*, text: Text, stroke_at: float | None = None, second: Text | None = None) -> Scene:
    canvas = Canvas(60.0, 20.0)
    canvas.text(text)
    if second is not None:
        canvas.text(second)
    if stroke_at is not None:
        canvas.strokes([[(0.0, stroke_at), (60.0, stroke_at)]], Line.VISIBLE)
    return canvas.scene("tried", "Tried", "A page to try the check on.")


WORD = Text("Harbour", 20.0, 8.0, 8.0, "start")


@pytest.mark.parametrize(
    ("scene", "said"),
    [
        (_with(text=WORD), ""),
        (_with(text=WORD, stroke_at=9.0), "stands on a line"),
        (_with(text=WORD, second=Text("Light", 22.0, 8.5, 8.0, "start")), "another letter"),
    ],
    ids=["clear", "on a line", "on a word"],
)
def test_the_page_shows_what_is_wrong(scene: Scene, said: str) -> None:
    faults = list(lettering_faults(figure_page(figure(scene))))
    assert any(said in fault for fault in faults) if said else faults == []

"""Ink: the SVG and the PDF made from it are true to size, and the same every time."""

from __future__ import annotations

import io
import xml.etree.ElementTree as ElementTree

import pdfplumber
import pytest
import weasyprint
from pdfplumber.pdf import PDF

from gatherfold.drawings.kernel.figures import figure, ink
from gatherfold.drawings.kernel.lettering import BOLD_FILE, REGULAR_FILE, text_width
from gatherfold.drawings.kernel.scene import Scene, Text
from gatherfold.drawings.legend.drawing import calibration_scene, conventions_scene
from gatherfold.drawings.piece.drawing import piece_scene
from gatherfold.drawings.scene_check import overlaps
from gatherfold.resolve.edition import IMPERIAL, METRIC, Edition
from tests.drawings.samples import design, shaped_piece

FONTS = "".join(
    f"@font-face {{font-family: 'Source Sans Pro'; font-weight: {weight};"
    f" src: url('file://{file}')}}"
    for weight, file in ((400, REGULAR_FILE), (600, BOLD_FILE))
)


def pdf_of(scene: Scene) -> PDF:
    svg = ink(scene).decode()
    html = (
        f"<style>@page {{size: 210mm 297mm; margin: 20mm}} svg {{display: block}} {FONTS}</style>"
    )
    body = svg[svg.index("<svg") :]
    return pdfplumber.open(io.BytesIO(weasyprint.HTML(string=html + body).write_pdf()))


def millimetres(points: float) -> float:
    return points / 72 * 25.4


@pytest.mark.parametrize("edition", [IMPERIAL, METRIC])
def test_calibration_bars_are_true_to_size(edition: Edition) -> None:
    with pdf_of(calibration_scene(edition)) as document:
        page = document.pages[0]
        shapes = [*page.rects, *page.curves]
        widths = {round(millimetres(shape["x1"] - shape["x0"]), 2) for shape in shapes}
    assert any(abs(width - 100.0) <= 0.05 for width in widths)
    assert any(abs(width - 101.6) <= 0.05 for width in widths)


def test_svg_has_the_scenes_size() -> None:
    scene = calibration_scene(METRIC)
    root = ElementTree.fromstring(ink(scene))
    width = float(root.attrib["width"].removesuffix("pt"))
    assert millimetres(width) == pytest.approx(scene.width, abs=0.001)


def test_looks_are_attributes() -> None:
    svg = ink(conventions_scene(180.0)).decode()
    assert "style" not in svg
    assert 'stroke-linejoin="miter"' in svg and 'font-size="8.5px"' in svg


def test_same_scene_same_bytes() -> None:
    made = shaped_piece()
    scenes = [piece_scene(design({made.key: made}), made.key, 165, 90) for _ in range(2)]
    assert ink(scenes[0]) == ink(scenes[1])


def test_text_stays_text_in_the_bundled_font() -> None:
    scene = Scene("t", "T", 40, 10, (Text("6¾ × 1⅝", 20, 4, 8, bold=True),), "")
    svg = ink(scene).decode()
    assert "6¾ × 1⅝" in svg
    assert 'font-weight="600"' in svg
    assert "'Source Sans Pro'" in svg


def test_lettering_comes_out_as_wide_as_measured() -> None:
    from gatherfold.drawings.kernel.lettering import text_width

    words = "notch 11½ × 2¾ thumb"
    scene = Scene("t", "T", 100, 10, (Text(words, 1, 4, 10, "start"),), "")
    with pdf_of(scene) as document:
        characters = [c for c in document.pages[0].chars if c["text"].strip()]
    drawn = millimetres(characters[-1]["x1"] - characters[0]["x0"])
    assert drawn == pytest.approx(text_width(words, 10), abs=0.6)


def test_figure_carries_its_alternative() -> None:
    made = figure(conventions_scene(165))
    assert made.svg.startswith(b"<?xml")
    assert "valley fold" in made.alternative


@pytest.mark.parametrize("width", [165.0, 178.0])
def test_legend_has_no_overlaps(width: float) -> None:
    assert overlaps(conventions_scene(width)) == ()
    assert overlaps(calibration_scene(METRIC)) == ()


@pytest.mark.parametrize("anchor", ["start", "middle", "end"])
@pytest.mark.parametrize("rotation", [0, 90])
@pytest.mark.parametrize("bold", [False, True])
def test_a_written_fraction_stands_as_high_as_one_of_a_single_character(
    anchor: str, rotation: int, bold: bool
) -> None:
    """Measured in the PDF: the figures of 15⁄16 between the line and the height of capitals, as
    those of ⅜ are, and the words after it on the line again; the anchor's place is kept."""
    text = Text("1\u00a015⁄16 in", 50.0, 25.0, 8.0, anchor, rotation, bold)
    with pdf_of(Scene("one", "One", 100.0, 50.0, (text,), "One.")) as document:
        characters = document.pages[0].chars
        width, height = float(document.pages[0].width), float(document.pages[0].height)
    characters = [c for c in characters if c["text"].strip()]
    assert "".join(c["text"] for c in characters) == "1¹⁵⁄₁₆in"
    lines = [c["matrix"][4 if rotation else 5] for c in characters]
    one, raised, slash, lowered, after = (lines[index] for index in (0, 1, 3, 4, 6))
    up = -1 if rotation else 1
    assert abs(slash - one) < 0.01 and abs(after - one) < 0.01
    assert up * (one - raised) == pytest.approx(0.129 * 8, abs=0.05)
    assert up * (lowered - one) == pytest.approx(0.176 * 8, abs=0.05)
    along = 5 if rotation else 4
    begins = characters[0]["matrix"][along]
    ends = characters[-1]["matrix"][along] + text_width("n", 8.0, bold) / 25.4 * 72
    margin = 20 / 25.4 * 72 + 6.0  # of the page, and 8 px that HTML gives its body
    place = {"start": begins, "middle": (begins + ends) / 2, "end": ends}[anchor]
    wanted = height - margin - 25 / 25.4 * 72 if rotation else margin + 50 / 25.4 * 72
    assert width > height * 0.5
    assert place == pytest.approx(wanted, abs=0.3)

"""Ink: the SVG and the PDF made from it are true to size, and the same every time."""

from __future__ import annotations

import io
import re
import xml.etree.ElementTree as ElementTree

import pdfplumber
import pytest
import weasyprint
from pdfplumber.pdf import PDF

from builder.drawings.conventions import calibration_scene, conventions_scene
from builder.drawings.figures import figure
from builder.drawings.ink import ink
from builder.drawings.lettering import BOLD_FILE, REGULAR_FILE
from builder.drawings.piece_drawing import piece_scene
from builder.drawings.scene import Scene, Text
from builder.drawings.scene_check import overlaps
from builder.resolve.edition import IMPERIAL, METRIC, Edition
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


def test_same_scene_same_bytes() -> None:
    made = shaped_piece()
    scenes = [piece_scene(design({made.key: made}), made.key, 165, 90) for _ in range(2)]
    assert ink(scenes[0]) == ink(scenes[1])


def test_text_stays_text_in_the_bundled_font() -> None:
    scene = Scene("t", "T", 40, 10, (Text("6¾ × 1⅝", 20, 4, 8, bold=True),), "")
    svg = ink(scene).decode()
    assert "6¾ × 1⅝" in svg
    assert re.search(r"font-weight: 600", svg)
    assert "'Source Sans Pro'" in svg


def test_lettering_comes_out_as_wide_as_measured() -> None:
    from builder.drawings.lettering import text_width

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

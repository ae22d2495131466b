"""Text stands out from what lies beneath it, measured in every finished PDF.

The colour of each character is what PDFium says it is filled with; what lies beneath is the page
drawn without its text.  The ratio is that of WCAG 2.2, "relative luminance" and "contrast ratio";
4.5 : 1 is its success criterion 1.4.3 for text of any size.
"""

from __future__ import annotations

import ctypes
import io
import re
from collections.abc import Iterator
from typing import Any, NamedTuple

import numpy
import pikepdf
import pypdfium2
import pypdfium2.raw as pdfium
import pytest
from weasyprint import HTML

_LEAST = 4.5
#: How fine the page is drawn that shows what lies beneath: dots per point.
_SCALE = 2
_TEXT = re.compile(rb"\bBT\b.*?\bET\b", re.S)


class Character(NamedTuple):
    """One character of a page: what it is, its fill, and its box in points from below left."""

    text: str
    fill: tuple[int, int, int]
    box: tuple[float, float, float, float]


def contrast(first: tuple[float, ...], second: tuple[float, ...]) -> float:
    """From 1 to 21, of two colours with parts from 0 to 255."""
    darker, lighter = sorted((luminance(first), luminance(second)))
    return (lighter + 0.05) / (darker + 0.05)


def luminance(colour: tuple[float, ...]) -> float:
    parts = [part / 255 for part in colour]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def without_text(pdf: bytes) -> bytes:
    """The same pages with every text object taken out."""
    kept = io.BytesIO()
    with pikepdf.open(io.BytesIO(pdf)) as document:
        for each in document.objects:
            if isinstance(each, pikepdf.Stream) and is_drawing(each):
                each.write(_TEXT.sub(b"", each.read_bytes()))
        document.save(kept)
    return kept.getvalue()


def is_drawing(stream: pikepdf.Stream) -> bool:
    """Whether a stream is what a page or a form shows: fonts and pictures say what they are."""
    known = {"/Subtype", "/Type", "/Length1", "/FunctionType"}
    return stream.get("/Subtype") == "/Form" or not known & set(stream.keys())


def characters(page: pypdfium2.PdfPage) -> Iterator[Character]:
    text = page.get_textpage()
    colour = [ctypes.c_uint() for _ in range(4)]
    for index in range(text.count_chars()):
        written = chr(pdfium.FPDFText_GetUnicode(text, index))
        if written.isspace() or not written.isprintable():
            continue
        assert pdfium.FPDFText_GetFillColor(text, index, *colour)
        red, green, blue, alpha = (part.value for part in colour)
        assert alpha == 255, "see-through text is not measured here"
        yield Character(written, (red, green, blue), text.get_charbox(index))


def contrasts(pdf: bytes) -> Iterator[tuple[float, int, Character]]:
    """The contrast of every character, with its page."""
    bare = pypdfium2.PdfDocument(without_text(pdf))
    full = pypdfium2.PdfDocument(pdf)
    for number in range(len(full)):
        empty = bare[number]
        assert empty.get_textpage().count_chars() == 0
        beneath = empty.render(scale=_SCALE, rev_byteorder=True).to_numpy()
        known: dict[tuple[Any, ...], float] = {}
        for character in characters(full[number]):
            ground = _ground(beneath, character.box)
            key = (character.fill, ground)
            if key not in known:
                known[key] = contrast(*key)
            yield known[key], number + 1, character
    bare.close()
    full.close()


def _ground(beneath: Any, box: tuple[float, float, float, float]) -> tuple[float, ...]:
    """The colour of most dots beneath a box: the lines of a hatching are narrower than its gaps."""
    left, bottom, right, top = (round(side * _SCALE) for side in box)
    height = beneath.shape[0]
    rows = slice(max(0, height - top), max(height - bottom, height - top + 1))
    dots = beneath[rows, max(0, left) : max(right, left + 1), :3]
    if dots.min() == dots.max():
        return (float(dots.min()),) * 3
    return tuple(float(part) for part in numpy.median(dots.reshape(-1, 3), axis=0))


def test_the_formula() -> None:
    """Black on white is 21 : 1 (WCAG 2.2), #767676 on white 4.54 : 1 and #777777 4.48 : 1 (the
    well-known border, given by WebAIM's contrast checker; from memory)."""
    assert contrast((0, 0, 0), (255, 255, 255)) == pytest.approx(21)
    assert contrast((0x76,) * 3, (255,) * 3) == pytest.approx(4.54, abs=0.01)
    assert contrast((0x77,) * 3, (255,) * 3) == pytest.approx(4.48, abs=0.01)


def test_what_is_measured_is_what_was_written() -> None:
    """Grey on a grey field, in the page and in a picture."""
    svg = (
        '<svg xmlns="http://www.w3.org/2000/svg" width="100" height="40">'
        '<rect width="100" height="40" fill="#00ff00"/>'
        '<text x="10" y="25" fill="#0000ff">B</text></svg>'
    )
    page = f'<p style="background: #cccccc; color: #666666">A</p>{svg}'
    found = {each.text: ratio for ratio, _, each in contrasts(HTML(string=page).write_pdf())}
    assert found["A"] == pytest.approx(contrast((0x66,) * 3, (0xCC,) * 3), abs=0.05)
    assert found["B"] == pytest.approx(contrast((0, 0, 255), (0, 255, 0)), abs=0.05)


def test_all_text_stands_out(pdf: bytes) -> None:
    measured = list(contrasts(pdf))
    assert len(measured) > 500
    faint = [each for each in measured if each[0] < _LEAST]
    assert faint == []

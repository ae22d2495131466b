"""What holds for every PDF of every shipped design, layout and edition, read by other libraries.

Accessibility is asked of ``pdfua``, damage of ``qpdf`` through ``pikepdf``, places and ink of
PDFium through ``pypdfium2``.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from itertools import combinations, pairwise

import numpy
import pikepdf
import pypdfium2
import pytest
from pdfua import Severity, validate

from gatherfold.shipped import layout_names
from gatherfold.wording import load_wording
from tests.built import BUILT_LAYOUTS
from tests.documents.conftest import Box, elements, text_boxes

#: Of a page, within its margins; and how far white reaches in a grey value.
_LEAST_FILLED = 0.25
_WHITE = 250
_DOTS_PER_POINT = 0.5
_HEADINGS = ("/H1", "/H2", "/H3")


@pytest.fixture(scope="module")
def read(pdf: bytes) -> Iterator[pypdfium2.PdfDocument]:
    document = pypdfium2.PdfDocument(pdf)
    yield document
    document.close()


@pytest.fixture(scope="module")
def pages(read: pypdfium2.PdfDocument) -> list[pypdfium2.PdfPage]:
    return list(read)


@pytest.fixture(scope="module")
def opened(pdf: bytes) -> Iterator[pikepdf.Pdf]:
    with pikepdf.open(io.BytesIO(pdf)) as document:
        yield document


@pytest.fixture(scope="module")
def tagged(opened: pikepdf.Pdf) -> list[tuple[str, str, pikepdf.Object]]:
    """Every structure element in reading order, after its parent's kind and its own."""
    return list(elements(opened.Root.StructTreeRoot, ""))


def test_every_layout_is_among_them() -> None:
    assert set(BUILT_LAYOUTS) == set(layout_names())


def test_an_accessibility_checker_reports_nothing(pdf: bytes) -> None:
    report = validate(io.BytesIO(pdf))
    assert [(each.rule_id, each.message) for each in report.findings] == []
    assert {Severity.ERROR, Severity.WARNING}.isdisjoint(each.severity for each in report.findings)


def test_nothing_is_damaged_and_all_fonts_are_embedded(opened: pikepdf.Pdf) -> None:
    assert opened.check_pdf_syntax() == []
    embedded = 0
    for each in opened.objects:
        if isinstance(each, pikepdf.Dictionary) and each.get("/Type") == "/FontDescriptor":
            assert any(f"/FontFile{n}" in each for n in ("", "2", "3"))
            embedded += 1
    assert embedded > 0


def test_lists_hold_items_and_figures_have_words(
    tagged: list[tuple[str, str, pikepdf.Object]],
) -> None:
    """ISO 32000-1, 14.8.4.3.3: a list holds items, and an item lies in a list; ISO 14289-1, 7.3:
    figures have alternative text."""
    figures = 0
    for parent, kind, element in tagged:
        assert (kind == "/LI") == (parent == "/L" and kind != "/Caption"), (parent, kind)
        if kind == "/Figure":
            assert str(element.get("/Alt", "")).strip()
            figures += 1
    assert figures > 0


def test_running_heads_are_artifacts(opened: pikepdf.Pdf) -> None:
    """ISO 14289-1, 7.8: they are no content; all other text belongs to an element of the tree."""
    for page in opened.pages:
        assert re.search(
            rb"/Artifact\s*<<\s*/Type\s*/Pagination\s*>>\s*BDC", page.Contents.read_bytes()
        )


def test_links_are_printed(opened: pikepdf.Pdf) -> None:
    """ISO 32000-1, table 165: flag 3 prints an annotation."""
    for page in opened.pages:
        for annotation in page.get("/Annots", []):
            assert int(annotation.F) & 4


def test_every_heading_is_bookmarked(
    tagged: list[tuple[str, str, pikepdf.Object]], read: pypdfium2.PdfDocument
) -> None:
    headings = sum(kind in _HEADINGS for _, kind, _ in tagged)
    assert headings == len(list(read.get_toc())) > 1


def test_headings_go_down_one_level_at_a_time(
    tagged: list[tuple[str, str, pikepdf.Object]],
) -> None:
    levels = [int(kind[2:]) for _, kind, _ in tagged if kind in _HEADINGS]
    assert levels[0] == 1 and levels.count(1) == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))


def test_no_text_leaves_the_page_or_lies_under_other_text(pages: list[pypdfium2.PdfPage]) -> None:
    for number, page in enumerate(pages, start=1):
        width, height = page.get_size()
        boxes = list(text_boxes(page))
        for left, bottom, right, top in boxes:
            assert left >= 0 and bottom >= 0 and right <= width and top <= height, number
        lines = [box for box in boxes if box[2] - box[0] > 12]
        for first, second in combinations(lines, 2):
            assert _shared(first, second) < 0.2, (number, first, second)


def test_no_message_is_torn(pages: list[pypdfium2.PdfPage]) -> None:
    """After a signal word that is no heading and is not explained, the message stands whole."""
    wording = load_wording("en")
    signal = re.compile(rf"\b(?:{'|'.join(wording.signals.values())}) (?!marks|what)")
    messages = tuple(each.short for each in wording.hazards.values())
    found = 0
    for number, page in enumerate(pages, start=1):
        text = " ".join(page.get_textpage().get_text_range().split())
        for match in signal.finditer(text):
            assert text.startswith(messages, match.end()), (number, text[match.start() :][:90])
            found += 1
    assert found > 0


def test_no_page_is_nearly_empty_except_where_a_part_begins(
    read: pypdfium2.PdfDocument, pages: list[pypdfium2.PdfPage]
) -> None:
    begins = {each.get_dest().get_index() for each in read.get_toc() if each.level == 0}
    for number, page in enumerate(pages):
        if number not in begins:
            assert _filled(page) >= _LEAST_FILLED, number + 1


def _shared(first: Box, second: Box) -> float:
    """How much of the smaller box lies in the other, from 0 to 1."""
    wide = min(first[2], second[2]) - max(first[0], second[0])
    high = min(first[3], second[3]) - max(first[1], second[1])
    if wide <= 0 or high <= 0:
        return 0.0
    areas = [(box[2] - box[0]) * (box[3] - box[1]) for box in (first, second)]
    return wide * high / min(areas)


def _filled(page: pypdfium2.PdfPage) -> float:
    """How far down its margins a page is filled: the lowest ink above the running foot."""
    grey = page.render(scale=_DOTS_PER_POINT, grayscale=True).to_numpy().squeeze()
    margin = round(15 / 25.4 * 72 * _DOTS_PER_POINT)
    inked = numpy.flatnonzero((grey[:-margin] < _WHITE).any(axis=1))
    height = grey.shape[0] - 2 * margin
    return 0.0 if len(inked) == 0 else float(inked[-1] - margin) / height

"""Every document: each shipped design in every layout and edition, built once a run."""

from __future__ import annotations

from collections.abc import Iterator

import pikepdf
import pypdfium2
import pytest

from gatherfold.build import SIDE_BY_SIDE
from gatherfold.resolve.edition import EDITIONS
from gatherfold.shipped import design_names, layout_names
from tests.built import BUILT_TOGETHER, pdf_of

#: The name of a document: design, edition, layout.
Name = tuple[str, str, str]
#: Left, bottom, right and top of text on a page, in points.
Box = tuple[float, float, float, float]


def document_names() -> list[Name]:
    """All that are built: every design in every layout and edition, and one side by side."""
    names = [
        (design, edition, layout)
        for design in design_names()
        for edition in EDITIONS
        for layout in layout_names()
    ]
    return names + [(BUILT_TOGETHER, SIDE_BY_SIDE, layout) for layout in layout_names()]


@pytest.fixture(scope="module", params=document_names(), ids="-".join)
def name(request: pytest.FixtureRequest) -> Name:
    given: Name = request.param
    return given


@pytest.fixture(scope="module")
def pdf(name: Name) -> bytes:
    return pdf_of(*name)


def text_boxes(page: pypdfium2.PdfPage) -> Iterator[Box]:
    """Every run of text on a page."""
    text = page.get_textpage()
    for index in range(text.count_rects()):
        box: Box = text.get_rect(index)
        if text.get_text_bounded(*box).strip():
            yield box


def elements(parent: pikepdf.Object, kind: str) -> Iterator[tuple[str, str, pikepdf.Object]]:
    """Every structure element: its parent's kind, its own, itself; in reading order."""
    kids = parent.get("/K", [])
    for kid in kids if isinstance(kids, pikepdf.Array) else [kids]:
        if isinstance(kid, pikepdf.Dictionary) and "/S" in kid:
            yield kind, str(kid.S), kid
            yield from elements(kid, str(kid.S))

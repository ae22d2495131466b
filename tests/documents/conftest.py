"""Every shipped design in every layout and edition, built once for all tests of documents."""

from __future__ import annotations

from collections.abc import Iterator

import pikepdf
import pypdfium2
import pytest

from gatherfold.build import BuildOrder, EditionResult, build_editions
from gatherfold.reading import read_design_file
from gatherfold.resolve.edition import EDITIONS
from gatherfold.shipped import DESIGNS, LAYOUTS, design_names, layout_names
from tests.conftest import made_once, silent

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
    return names + [("letter-envelope", "side-by-side", layout) for layout in layout_names()]


@pytest.fixture(scope="module", params=document_names(), ids="-".join)
def name(request: pytest.FixtureRequest) -> Name:
    given: Name = request.param
    return given


@pytest.fixture(scope="module")
def pdf(name: Name, documents: dict[Name, bytes]) -> bytes:
    return documents[name]


@pytest.fixture(scope="session")
def documents(
    built_folio: dict[str, EditionResult], tmp_path_factory: pytest.TempPathFactory
) -> dict[Name, bytes]:
    """The PDFs by name; the folio comes from the fixture that all stages share, and one design is
    built side by side as well."""
    others = made_once(tmp_path_factory, "built-others", _build_others)
    results = {"observatory-folio": list(built_folio.values()), **others}
    return {
        (name, result.edition, layout): document.pdf
        for name, editions in results.items()
        for result in editions
        for layout, document in result.documents.items()
    }


def _build_others() -> dict[str, list[EditionResult]]:
    results = {}
    order = BuildOrder(tuple(LAYOUTS / name for name in layout_names()), "0123456789ab", False)
    for name in ("keepsake-box", "letter-envelope"):
        design = read_design_file(DESIGNS / f"{name}.yaml")
        together = name == "letter-envelope"
        results[name] = build_editions(design, list(EDITIONS.values()), order, silent, together)
    return results


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

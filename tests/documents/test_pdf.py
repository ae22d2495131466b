"""The finished PDFs, read back with libraries that had no part in making them."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from fractions import Fraction
from typing import Any

import pdfplumber
import pypdfium2
import pytest
from pypdf import PdfReader

from gatherfold.build import EditionResult, Options, build_result
from gatherfold.lengths import VULGAR_FRACTIONS
from gatherfold.reading.read_design import read_design_file
from gatherfold.resolve.edition import IMPERIAL
from gatherfold.shipped import DESIGNS, LAYOUTS
from tests.built import built, pdf_of
from tests.conftest import FOLIO, first_document, silent

EDITIONS = ("imperial", "metric")
POINTS_PER_MM = 72 / 25.4

_VULGAR = "".join(VULGAR_FRACTIONS)
#: A number as the pages write it: 7, 7¾, 7 5⁄16, 9.5.
_NUMBER = rf"(?:\d+[\u2009 ]\d+⁄\d+|\d+⁄\d+|\d*[{_VULGAR}]|\d+\.\d+|\d+)"
_WITH_UNIT = re.compile(rf"({_NUMBER})\s(in|mm)\b")
_SIZE = re.compile(rf"({_NUMBER})\s×\s({_NUMBER})\s(in|mm)\b")
_FRACTIONAL = re.compile(rf"(?:\d+[\u2009 ])?\d+⁄\d+|\d*[{_VULGAR}]")


@pytest.fixture(scope="module", params=EDITIONS)
def edition(request: pytest.FixtureRequest) -> EditionResult:
    return built(FOLIO.stem, request.param).result


@pytest.fixture(scope="module")
def reader(edition: EditionResult) -> PdfReader:
    return PdfReader(io.BytesIO(first_document(edition).pdf))


@pytest.fixture(scope="module")
def pages(edition: EditionResult) -> list[str]:
    document = pypdfium2.PdfDocument(first_document(edition).pdf)
    texts = (page.get_textpage().get_text_range() for page in document)
    return [text.replace("\r\n", "\n").replace("\xa0", " ") for text in texts]


def value_of(written: str) -> Fraction:
    """The written number, by an evaluation that shares nothing with ``gatherfold.lengths``."""
    total = Fraction(0)
    for part in re.split(r"[\u2009 ]", written):
        if "⁄" in part:
            numerator, denominator = part.split("⁄")
            total += Fraction(int(numerator), int(denominator))
        elif part and part[-1] in _VULGAR:
            import unicodedata

            fraction = Fraction(unicodedata.numeric(part[-1])).limit_denominator(16)
            total += Fraction(int(part[:-1] or 0)) + fraction
        else:
            total += Fraction(part)
    return total


def lengths_in(record: Any) -> Iterator[Fraction]:
    """Every length of the JSON record, in the edition's unit, read from its exact text."""
    if isinstance(record, dict):
        text = record.get("text")
        if isinstance(text, str) and "mm" in record:
            number = text.rsplit(" ", 1)[0]
            yield sum((Fraction(part) for part in number.split(" ")), Fraction(0))
        else:
            for value in record.values():
                yield from lengths_in(value)
    elif isinstance(record, list):
        for value in record:
            yield from lengths_in(value)


def test_page_count_and_size(reader: PdfReader, edition: EditionResult) -> None:
    """Letter is 8½ × 11 in (612 × 792 pt); A4 is 210 × 297 mm (ISO 216)."""
    assert 25 <= len(reader.pages) <= 50
    size = (
        (612, 792)
        if edition.edition == "imperial"
        else (
            210 * POINTS_PER_MM,
            297 * POINTS_PER_MM,
        )
    )
    for page in reader.pages:
        assert float(page.mediabox.width) == pytest.approx(size[0], abs=0.2)
        assert float(page.mediabox.height) == pytest.approx(size[1], abs=0.2)


def test_every_page_names_the_edition_and_its_number(
    pages: list[str], edition: EditionResult
) -> None:
    name = "Inch edition" if edition.edition == "imperial" else "Millimetre edition"
    for number, text in enumerate(pages, start=1):
        assert name in text
        if number > 1:
            assert f"{number} / {len(pages)}" in text


def test_every_printed_length_is_one_of_the_computed_ones(
    pages: list[str], edition: EditionResult
) -> None:
    known = set(lengths_in(edition.record))
    # What is used of a roll is bought by whole inches or centimetres.
    whole = Fraction(1) if edition.edition == "imperial" else Fraction(10)
    known |= {-(-used // whole) * whole for used in known if used > 100}
    # And said in yards, of 36 in, to the next quarter.
    known |= {Fraction(-(-used // 9), 4) for used in known if used > 100}
    unit = "in" if edition.edition == "imperial" else "mm"
    printed: set[Fraction] = set()
    for text in pages:
        joined = re.sub(r"\s*\n\s*", " ", text)
        for match in _WITH_UNIT.finditer(joined):
            if match.group(2) == unit:
                printed.add(value_of(match.group(1)))
        for match in _SIZE.finditer(joined):
            if match.group(3) == unit:
                printed |= {value_of(match.group(1)), value_of(match.group(2))}
        if unit == "in":
            printed |= {value_of(match.group()) for match in _FRACTIONAL.finditer(joined)}
    assert len(printed) > 40
    assert printed - known == set()


def test_no_decimal_inch_and_no_unrounded_millimetre(
    pages: list[str], edition: EditionResult
) -> None:
    """Half millimetres are the finest; the true sizes of bought things are the one exception.

    12 in = 304.8 mm exactly (25.4 mm to the inch, NIST SP 811); a brad of 1/4 in is 6.35 mm and
    its legs of 3/8 in 9.525 mm, printed to a tenth.
    """
    true_sizes = {Fraction("304.8"), Fraction("6.4"), Fraction("9.5")}
    for text in pages:
        assert not re.search(r"\d\.\d+\s?(in|\")", text)
        for match in re.finditer(r"(\d+\.\d+)\smm", text):
            value = Fraction(match.group(1))
            assert (value * 2).denominator == 1 or value in true_sizes, match.group()


def test_every_heading_of_the_document_is_bookmarked(reader: PdfReader) -> None:
    titles: list[str] = []

    def collect(items: list[Any]) -> None:
        for item in items:
            if isinstance(item, list):
                collect(item)
            else:
                titles.append(item.title)

    collect(reader.outline)
    for title in ("Supplies and tools", "Working safely", "Cut list", "Sheet maps", "Making it"):
        assert title in titles


def test_all_fonts_are_embedded(reader: PdfReader) -> None:
    embedded = 0
    for page in reader.pages:
        for font in (page["/Resources"].get("/Font") or {}).values():
            for descendant in font.get_object()["/DescendantFonts"]:
                descriptor = descendant.get_object()["/FontDescriptor"].get_object()
                assert any(f"/FontFile{n}" in descriptor for n in ("", "2", "3"))
                embedded += 1
    assert embedded > 0


def test_the_calibration_bar_is_true(edition: EditionResult) -> None:
    """A bar of 100 mm measures 100.00 ± 0.05 mm in the PDF."""
    content = first_document(edition).pdf
    texts = [page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(content)]
    numbers = [number for number, text in enumerate(texts) if "actual size" in text]
    found = []
    with pdfplumber.open(io.BytesIO(content), pages=[number + 1 for number in numbers]) as pdf:
        for page in pdf.pages:
            for line in (*page.lines, *page.rects, *page.curves):
                width = (line["x1"] - line["x0"]) / POINTS_PER_MM
                if abs(width - 100) < 0.05:
                    found.append(width)
    assert found


@pytest.mark.parametrize(
    ("design", "layout"), [("observatory-folio", "bench"), ("letter-envelope", "pattern")]
)
def test_same_input_gives_the_same_bytes(design: str, layout: str) -> None:
    """Made again alone, in a process of its own."""
    read = read_design_file(DESIGNS / f"{design}.yaml")
    given = read, [IMPERIAL], [LAYOUTS / layout], Options(), silent
    with ProcessPoolExecutor(1) as pool:
        again = pool.submit(build_result, *given).result()
    assert first_document(again).pdf == pdf_of(design, "imperial", layout)

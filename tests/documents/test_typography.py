"""What the stylesheets of the shipped layouts promise: sizes, contrast, figures, ink."""

from __future__ import annotations

import io
import re
from itertools import pairwise

import pdfplumber
import pikepdf
import pypdfium2
import pytest
from weasyprint import CSS, HTML

from gatherfold.shipped import COMMON, LAYOUTS, layout_names
from tests.built import pdf_of
from tests.conftest import FOLIO
from tests.documents.conftest import elements

_SHEETS = {name: (LAYOUTS / name / "style.css").read_text() for name in layout_names()}
_SHEETS["common"] = (COMMON / "base.css").read_text()
_COMMENT = re.compile(r"/\*.*?\*/", re.S)
_PAGE_RULE = re.compile(r"@page[^{]*\{(?:[^{}]|\{[^{}]*\})*\}")


@pytest.fixture(params=list(_SHEETS))
def rules(request: pytest.FixtureRequest) -> str:
    return _COMMENT.sub("", _SHEETS[request.param])


def contrast_with_white(colour: str) -> float:
    """WCAG 2.1, "relative luminance" and "contrast ratio"."""
    parts = [int(colour[index : index + 2], 16) / 255 for index in (1, 3, 5)]
    linear = [p / 12.92 if p <= 0.03928 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    luminance = 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
    return 1.05 / (luminance + 0.05)


def test_the_formula_of_contrast() -> None:
    """Black on white is 21 : 1, and #767676 just passes at 4.54 : 1 (WCAG 2.1 and its notes)."""
    assert contrast_with_white("#000000") == pytest.approx(21)
    assert contrast_with_white("#767676") == pytest.approx(4.54, abs=0.01)


def test_text_stands_out_from_the_paper(rules: str) -> None:
    colours = re.findall(r"(?<![-\w])color: ([^;}]+)", rules)
    assert all(re.fullmatch("#[0-9a-f]{6}|inherit", colour.strip()) for colour in colours)
    written = [colour.strip() for colour in colours if colour.strip() != "inherit"]
    assert written and min(map(contrast_with_white, written)) >= 4.5


def test_nothing_but_the_running_foot_is_smaller_than_ten_points(rules: str) -> None:
    body = _PAGE_RULE.sub("", rules)
    sizes = [float(size) for size in re.findall(r"font(?:-size)?:[^;}]*?([\d.]+)pt", body)]
    assert all(size >= 10 for size in sizes), sorted(sizes)


def test_no_area_is_filled(rules: str) -> None:
    """Ink: backgrounds are the paper's white, or the few lines of a small picture."""
    for value in re.findall(r"background(?:-color)?: ([^;}]+)", rules):
        assert value.startswith(("url(", "#ffffff", "none")), value


def test_no_row_is_a_flex_box(rules: str) -> None:
    """A flex box may be torn at the foot of a page, and makes setting a page take twice as long."""
    assert "flex" not in rules


@pytest.mark.parametrize("rest", range(6, 30, 3))
def test_a_message_at_the_foot_of_a_page_is_not_torn(rest: int) -> None:
    """With room for none, some and all of its four lines."""
    words = "Keep your fingers out of the line of the blade. " * 3
    page = (
        "<style>@page { size: 90mm 100mm; margin: 10mm } body { font: 10pt sans-serif }</style>"
        f'<div style="height: {80 - rest}mm"></div>'
        f'<div class="message caution"><p class="signal">CAUTION</p><p>{words}</p></div>'
    )
    style = CSS(filename=COMMON / "base.css")
    document = pypdfium2.PdfDocument(HTML(string=page).write_pdf(stylesheets=[style]))
    pages = [" ".join(each.get_textpage().get_text_range().split()) for each in document]
    assert f"CAUTION {words.strip()}" in pages
    document.close()


def drawings_of_step(count: int) -> list[tuple[bool, set[tuple[int, int]]]]:
    """What each page of a step with so many drawings of 37 x 30 mm holds, on pages of 80 mm square:
    whether its heading is there, and where its drawings begin, in mm."""
    image = "data:image/svg+xml,<svg xmlns='http://www.w3.org/2000/svg' width='9' height='9'>"
    drawing = (
        f'<img style="width: 37mm; height: 30mm" src="{image}<path d=\'M0 0H9V9H0z\'/></svg>">'
    )
    page = (
        "<style>@page { size: 100mm; margin: 10mm } body { font: 10pt sans-serif }</style>"
        '<p>Before the step.</p><div class="step"><h3>Heading</h3>'
        f'<div class="figures">{" ".join([drawing] * count)}</div><p>Words.</p></div>'
    )
    written = HTML(string=page).write_pdf(stylesheets=[CSS(filename=COMMON / "base.css")])
    with pdfplumber.open(io.BytesIO(written)) as document:
        return [
            (
                "Heading" in each.extract_text(),
                {
                    (round(float(shape["x0"]) * 25.4 / 72), round(float(shape["top"]) * 25.4 / 72))
                    for shape in (*each.rects, *each.curves)
                },
            )
            for each in document.pages
        ]


def test_drawings_that_fit_side_by_side_stand_side_by_side() -> None:
    """Two of 37 mm and 4 mm between them are less than 80 mm, in each of two rows, as the pages
    are planned."""
    (page,) = (places for _, places in drawings_of_step(4) if places)
    assert len({left for left, _ in page}) == 2
    assert len({top for _, top in page}) == 2


def test_a_step_of_more_drawings_than_a_page_holds_begins_below_its_heading() -> None:
    """Two rows of two fit on a page, not three."""
    pages = [(heading, places) for heading, places in drawings_of_step(6) if heading or places]
    assert [heading for heading, _ in pages] == [True, False]
    assert all(places for _, places in pages)
    assert sum(len(places) for _, places in pages) == 6


def test_instructions_are_never_hyphenated_and_leave_no_widows() -> None:
    base = _SHEETS["common"]
    assert "hyphens: manual" in base and re.search(r"p, li \{ orphans: 3; widows: 3; \}", base)
    assert re.search(r"td \{[^}]*tabular-nums", base)


@pytest.mark.parametrize("layout", layout_names())
def test_figures_in_tables_are_all_as_wide(layout: str) -> None:
    """In the cut list every digit of a font is as far from the next as any other: 1 as 8."""
    pdf = pdf_of(FOLIO.stem, "metric", layout)
    advances: dict[tuple[str, float], list[float]] = {}
    texts = [page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(pdf)]
    numbers = [number for number, text in enumerate(texts, start=1) if "Cut size" in text]
    with pdfplumber.open(io.BytesIO(pdf), pages=numbers) as document:
        for first, second in pairwise(char for page in document.pages for char in page.chars):
            is_one_number = (first["text"] + second["text"]).isdecimal()
            advance = second["x0"] - first["x0"]
            if is_one_number and first["top"] == second["top"] and 0 < advance < first["size"]:
                font = first["fontname"], round(first["size"], 1)
                advances.setdefault(font, []).append(advance)
    assert any(len(each) > 40 for each in advances.values())
    assert all(max(each) - min(each) < 0.05 for each in advances.values() if len(each) > 40)


@pytest.mark.parametrize("layout", layout_names())
def test_no_word_of_a_step_is_broken(layout: str) -> None:
    document = pypdfium2.PdfDocument(io.BytesIO(pdf_of(FOLIO.stem, "imperial", layout)))
    for page in document:
        assert not re.search(r"[a-z]-\r?\n[a-z]", page.get_textpage().get_text_range())
    document.close()


@pytest.mark.parametrize("layout", ["pattern", "handout"])
@pytest.mark.parametrize("edition", ["imperial", "metric"])
def test_a_step_lies_with_its_drawings(edition: str, layout: str) -> None:
    """Within the part with the steps, each figure is on the page of the heading before it."""
    pdf = pdf_of(FOLIO.stem, edition, layout)
    part, found, place = "", 0, None
    titles = iter([each.get_title() for each in pypdfium2.PdfDocument(pdf).get_toc()])
    with pikepdf.open(io.BytesIO(pdf)) as document:
        for _, kind, element in elements(document.Root.StructTreeRoot, ""):
            if kind in ("/H1", "/H2", "/H3"):
                title = next(titles)
                part = title if kind != "/H3" else part
                place = element.Pg.objgen
            elif kind == "/Figure" and part == "Making it":
                assert element.Pg.objgen == place
                found += 1
    assert found > 15

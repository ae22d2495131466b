"""HTML and figures → PDF bytes, by WeasyPrint; what it complains of, and what its tags lack.

Anything WeasyPrint complains about (a missing picture, a broken link, bad CSS) fails: its
warnings would otherwise become silent gaps on a page.  They are said as someone who writes a layout
or a design needs them, with file, line and column where these are known.

The last touch to the tagged PDF is what WeasyPrint leaves for PDF/UA-1 (ISO 14289-1) to be done:
running heads and page numbers become artifacts (7.8), header cells say what they head (7.5), links
are printed with the page (ISO 32000-1, 12.5.3, flag 3), and figures say where on the page they are
in points from its lower left corner (ISO 32000-1, 14.8.5.4.3).
"""

import gc
import logging
import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from html import escape
from pathlib import Path
from typing import Any
from urllib.parse import unquote, urlsplit

import font_source_sans_pro
import font_source_serif_pro
import pydyf
from weasyprint import CSS, HTML
from weasyprint.text.fonts import FontConfiguration
from weasyprint.urls import URLFetcher, URLFetcherResponse

from gatherfold.documents.photographs import Photograph, UnusablePicture, require_whole
from gatherfold.documents.problems import DocumentProblem, MissingCharacters, place_of
from gatherfold.documents.set_pages import off_the_paper, unknown_families
from gatherfold.drawings import Figure
from gatherfold.shipped import COMMON, COMMON_FOLDER, MAIN_TEMPLATE

STYLE = "style.css"
#: How WeasyPrint begins to say that it set a character as an empty box.
_NO_GLYPH = ".notdef glyph rendered for Unicode string unsupported by fonts: "
_PLACE = re.compile(r" at (\d+):(\d+)")
_DECLARATION = re.compile(r"Ignored `(?P<written>.*)` at \d+:\d+, (?P<why>.*?)\.?$", re.S)
_LATE_IMPORT = re.compile(r"@import rule '(?P<written>.*)' not at the beginning")
_LEFT_OUT = re.compile(r",? the whole (?:\S+ )?rule was ignored")
_UNREAD = re.compile(
    r"Failed to load (?P<kind>image|stylesheet) at (?P<url>.*?) ?: (?:\w+Error: )?(?P<why>.*)$"
)
_FACE = re.compile(r"Font-face '(?P<family>.*)' cannot be loaded")
_SELECTOR = re.compile(r"Invalid or unsupported selector, '(?P<written>.*)'$", re.S)
#: So much of a declaration is shown; one that is not closed goes on to the end of its file.
_SHOWN = 60


class Complaints(logging.Handler):
    """Messages at WARNING or above in the order in which they came, each once; ``reads_style`` is
    on while the layout's stylesheet is read."""

    def __init__(self) -> None:
        super().__init__(logging.WARNING)
        self.reads_style = False
        self._heard: dict[str, bool] = {}

    def emit(self, record: logging.LogRecord) -> None:
        """Keep a message, unless it is of the library that shapes text."""
        message = record.getMessage()
        if "harfbuzz" not in message.lower():
            self._heard.setdefault(message, self.reads_style)

    def problem(self, layout: Path, faults: tuple[str, ...]) -> DocumentProblem | None:
        """All complaints and the ``faults`` found besides in one, or None where there are none."""
        said = [_said(message, layout, of_style) for message, of_style in self._heard.items()]
        if not said and not faults:
            return None
        text = "\n".join((*said, *faults))
        if not faults and all(each.startswith(_NO_GLYPH) for each in self._heard):
            # The character follows in quotation marks: "x" (U+0078).
            return MissingCharacters(
                tuple(each.removeprefix(_NO_GLYPH)[1] for each in self._heard), text
            )
        return DocumentProblem(text)


@contextmanager
def complaints() -> Iterator[Complaints]:
    """What WeasyPrint logs while the block runs."""
    heard = Complaints()
    logger = logging.getLogger("weasyprint")
    logger.addHandler(heard)
    level = logger.level
    logger.setLevel(logging.WARNING)
    try:
        yield heard
    finally:
        logger.removeHandler(heard)
        logger.setLevel(level)


def _said(message: str, layout: Path, is_of_style: bool) -> str:
    """One complaint with its place; it stops the build, so it never says that it was ignored."""
    if message.startswith(_NO_GLYPH):
        character = message.removeprefix(_NO_GLYPH)
        what = f"no font of this layout has {character}: take it out, or add a font that has it"
        return f"{layout}: {what}"
    unread = _UNREAD.match(message)
    if unread is not None:
        return _unread(unread, layout)
    face = _FACE.match(message)
    if face is not None:
        what = f"the font '{face['family']}' cannot be loaded: is its file there, and a font?"
        return f"{place_of(face['family'], layout)}: {what}"
    selector = _SELECTOR.match(message)
    if selector is not None:
        written = selector["written"].replace("\\n", "\n").strip()
        # Over several lines it takes in what stands before it: an end of a rule too many.
        where = str(layout / STYLE) if "\n" in written else place_of(written, layout)
        return f"{where}: the selector '{' '.join(written.split())}' cannot be used"
    place = _PLACE.search(message)
    if place is None:
        return f"{layout / STYLE if is_of_style else layout}: {message}"
    file = _stylesheet(message, int(place[1]), layout, is_of_style)
    # Lines of a style within the template are counted from its beginning: they would mislead.
    position = "" if file.name == MAIN_TEMPLATE else f":{place[1]}:{place[2]}"
    return f"{file}{position}: {_rule(message)}"


def _unread(found: re.Match[str], layout: Path) -> str:
    kind = "picture" if found["kind"] == "image" else found["kind"]
    url = found["url"].strip("'\"")
    parts = urlsplit(url)
    name = unquote(Path(parts.path).name) if parts.scheme == "file" else url
    return f"{place_of(name, layout)}: the {kind} '{name}' cannot be used: {found['why']}"


def _rule(message: str) -> str:
    declaration = _DECLARATION.match(message)
    if declaration is not None:
        written = " ".join(declaration["written"].split())
        shown = written if len(written) <= _SHOWN else f"{written[:_SHOWN]}…"
        return f"`{shown}` cannot be used: {declaration['why']}"
    late = _LATE_IMPORT.match(message)
    if late is not None:
        return f"`@import {late['written'].strip()}` must stand above every other rule"
    without_place = _PLACE.sub("", message, count=1)
    return _LEFT_OUT.sub(": this rule cannot be used", without_place).rstrip(".")


def _stylesheet(message: str, line: int, layout: Path, is_of_style: bool) -> Path:
    """The file that the complaint is of: its stylesheet, or one of its own shared files if the
    declaration stands there at that line and not in the stylesheet."""
    declaration = _DECLARATION.match(message)
    if declaration is not None:
        name = declaration["written"].split(":")[0]
        for path in (layout / STYLE, *sorted((layout / COMMON_FOLDER).glob("*.css"))):
            lines = path.read_text("utf-8", "replace").splitlines() if path.is_file() else []
            if len(lines) >= line and name in lines[line - 1]:
                return path
    return layout / (STYLE if is_of_style else MAIN_TEMPLATE)


_PRINT_FLAG = 4
#: WeasyPrint measures boxes in CSS pixels from the upper left corner: 96 to the inch, not 72.
_POINTS_PER_PIXEL = 72 / 96


def finish_tags(document: Any, pdf: pydyf.PDF) -> None:
    """Mend the structure in place; called by WeasyPrint as its finisher."""
    by_number = {each.number: each for each in pdf.objects}
    for each in pdf.objects:
        if isinstance(each, pydyf.Dictionary):
            if each.get("S") == "/TH":
                each["A"]["Scope"] = "/Column"
            elif each.get("S") == "/Figure":
                _place_figure(each["A"], by_number[_number(each["Pg"])])
            elif each.get("Type") == "/Annot":
                each["F"] = _PRINT_FLAG
    root = by_number[_number(pdf.catalog["StructTreeRoot"])]
    reached = set(_reached(root["K"], by_number))
    parents = by_number[_number(root["ParentTree"])]["Nums"]
    for index, page in enumerate(pdf.page_references):
        _mark_furniture(by_number[_number(page)], parents[2 * index + 1], reached, by_number)


def _place_figure(attributes: Any, page: Any) -> None:
    left, top, right, bottom = (side * _POINTS_PER_PIXEL for side in attributes["BBox"])
    height = page["MediaBox"][3]
    attributes["BBox"] = pydyf.Array([left, height - bottom, right, height - top])


def _mark_furniture(page: Any, owners: Any, reached: set[int], by_number: dict[int, Any]) -> None:
    """Content whose element hangs in no tree is of the page's margins: an artifact."""
    loose = {mark for mark, owner in enumerate(owners) if _number(owner) not in reached}
    line = by_number[_number(page["Contents"])].stream
    for index, entry in enumerate(line):
        if isinstance(entry, pydyf.Dictionary) and entry.get("MCID") in loose:
            line[index - 1 : index + 1] = ["/Artifact", pydyf.Dictionary({"Type": "/Pagination"})]
    for mark in loose:
        owners[mark] = "null"


def _reached(kids: Any, by_number: dict[int, Any]) -> Iterator[int]:
    """The numbers of all elements below these kids."""
    waiting = list(kids)
    while waiting:
        kid = waiting.pop()
        if isinstance(kid, bytes):
            number = _number(kid)
            yield number
            waiting.extend(by_number[number].get("K") or [])


def _number(reference: bytes) -> int:
    return int(reference.split()[0])


FIGURE_SCHEME = "figure:"
_VARIANT = "pdf/ua-1"

#: How the names of files end that hold dots: the typesetter takes them over unread.
_PICTURES = (".png", ".jpg", ".jpeg", ".gif", ".webp", ".tif", ".tiff", ".bmp")

_FONT_FOLDERS = (
    Path(font_source_sans_pro.font_directory),
    Path(font_source_serif_pro.font_directory),
)
_FACES = (
    ("Source Sans Pro", "SourceSansPro", 400, "normal"),
    ("Source Sans Pro", "SourceSansProIt", 400, "italic"),
    ("Source Sans Pro", "SourceSansProSemibold", 600, "normal"),
    ("Source Sans Pro", "SourceSansProBold", 700, "normal"),
    ("Source Serif Pro", "SourceSerifPro", 400, "normal"),
    ("Source Serif Pro", "SourceSerifProIt", 400, "italic"),
    ("Source Serif Pro", "SourceSerifProSemibold", 600, "normal"),
)


class _Fetcher(URLFetcher):  # type: ignore[misc]
    """Serves figures and photographs from memory and files of a layout and the fonts; refuses
    everything else.

    What a layout's own folder ``common`` lacks comes from the one that all layouts share.
    """

    def __init__(
        self, figures: Mapping[str, Figure | Photograph], layout: Path, pictures: Path
    ) -> None:
        super().__init__()
        self._figures = figures
        self._layout = layout.resolve()
        self._folders = tuple(
            folder.resolve() for folder in (layout, pictures, COMMON, *_FONT_FOLDERS)
        )

    def fetch(self, url: str, headers: object = None) -> URLFetcherResponse:
        if url.startswith(FIGURE_SCHEME):
            return self._from_memory(url, self._figures[url.removeprefix(FIGURE_SCHEME)])
        path = self._place(url)
        if path is None or not any(path.is_relative_to(folder) for folder in self._folders):
            raise ValueError(f"a layout may not read {url}")
        if not path.is_file():
            raise ValueError("it does not exist")
        if path.suffix.lower() in _PICTURES:
            _require_picture(path)
        return super().fetch(path.as_uri(), headers)

    def _from_memory(self, url: str, picture: Figure | Photograph) -> URLFetcherResponse:
        if isinstance(picture, Photograph):
            return URLFetcherResponse(url, picture.content, {"Content-Type": picture.media_type})
        return URLFetcherResponse(url, picture.svg, {"Content-Type": "image/svg+xml"})

    def _place(self, url: str) -> Path | None:
        """The file that an address means, links followed; None for any other kind of address."""
        parts = urlsplit(url)
        if parts.scheme != "file" or parts.netloc:
            return None
        path = Path(unquote(parts.path)).resolve()
        own = self._layout / COMMON_FOLDER
        if path.is_relative_to(own) and not path.exists():
            return (COMMON / path.relative_to(own)).resolve()
        return path


def _require_picture(path: Path) -> None:
    try:
        require_whole(path)
    except UnusablePicture as problem:
        raise ValueError(str(problem)) from None


class _Fonts(FontConfiguration):  # type: ignore[misc]
    """Knows the families that it was given fonts of."""

    def __init__(self) -> None:
        super().__init__()
        self.families: set[str] = set()

    def add_font_face(self, rule_descriptors: Mapping[str, Any], url_fetcher: object) -> None:
        self.families.add(rule_descriptors["font_family"])
        super().add_font_face(rule_descriptors, url_fetcher)


def typeset(
    html: str,
    layout: Path,
    figures: Mapping[str, Figure | Photograph],
    page_style: str,
    pictures: Path,
) -> bytes:
    """The document as PDF/UA.

    Raises ``DocumentProblem`` on any complaint, a font that is not there and anything beyond the
    paper, and ``MissingCharacters`` where nothing but characters are missing.

    ``page_style`` is the rule for the paper and its margins; the layout's stylesheet comes after
    it.  Files are read from the layout's folder, the one that layouts share, the fonts' and
    ``pictures``, the design's; from nowhere else.
    """
    with no_collecting():
        return _set(html, layout, _Fetcher(figures, layout, pictures), page_style, layout / STYLE)


def figure_page(drawn: Figure) -> bytes:
    """A figure alone as PDF/UA, on a page of its own size.

    Raises ``DocumentProblem`` where a character is in none of the fonts.
    """
    size = f"{drawn.width_mm}mm {drawn.height_mm}mm"
    style = f"@page {{ size: {size}; margin: 0 }} body {{ margin: 0 }} img {{ display: block }}"
    words = escape(drawn.alternative)
    html = (
        f'<html lang="en"><title>{escape(drawn.title)}</title>'
        f'<body><img src="{FIGURE_SCHEME}{drawn.key}" alt="{words}"></body></html>'
    )
    return _set(html, COMMON, _Fetcher({drawn.key: drawn}, COMMON, COMMON), style)


def _set(
    html: str, layout: Path, fetcher: _Fetcher, page_style: str, style: Path | None = None
) -> bytes:
    """Set the pages with a layout's stylesheet or, without one, a figure's own page."""
    fonts = _Fonts()
    with complaints() as heard:
        heard.reads_style = True
        own = [] if style is None else [CSS(filename=style, url_fetcher=fetcher, font_config=fonts)]
        heard.reads_style = False
        page = CSS(string=page_style + _faces(), url_fetcher=fetcher, font_config=fonts)
        document = HTML(string=html, base_url=f"{layout}/", url_fetcher=fetcher).render(
            stylesheets=[page, *own], font_config=fonts, pdf_variant=_VARIANT
        )
        pdf: bytes = document.write_pdf(finisher=finish_tags, pdf_variant=_VARIANT)
        faults = (
            *unknown_families(document.pages, fonts.families, layout),
            *off_the_paper(document.pages, layout),
        )
    problem = heard.problem(layout, faults)
    if problem is not None:
        raise problem
    return pdf


def _faces() -> str:
    """The fonts, which come from installed packages, whatever the layout."""
    files = {**font_source_sans_pro.font_files_ttf, **font_source_serif_pro.font_files_ttf}
    return "".join(
        f"@font-face {{ font-family: '{family}'; src: url('{Path(files[name]).as_uri()}');"
        f" font-weight: {weight}; font-style: {style}; }}\n"
        for family, name, weight, style in _FACES
    )


@contextmanager
def no_collecting() -> Iterator[None]:
    """Put Python's search for garbage off while a document is drawn and set.

    Of drawings and pages hardly anything is garbage until they are done, and the search takes a
    tenth of the time of drawing and a quarter of that of setting.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()

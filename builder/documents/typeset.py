"""HTML and figures → PDF bytes, by WeasyPrint.

Anything WeasyPrint complains about (a missing picture, a broken link, bad CSS) fails: its
warnings would otherwise become silent gaps on a page.
"""

from __future__ import annotations

import gc
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from urllib.parse import unquote, urlsplit

import font_source_sans_pro
import font_source_serif_pro
from weasyprint import CSS, HTML
from weasyprint.text.fonts import FontConfiguration
from weasyprint.urls import URLFetcher, URLFetcherResponse

from builder.documents.complaints import STYLE, complaints
from builder.documents.photographs import Photograph, UnusablePicture, require_whole
from builder.documents.set_pages import off_the_paper, unknown_families
from builder.documents.tagging import finish_tags
from builder.drawings.figures import Figure
from builder.shipped import COMMON, COMMON_FOLDER

FIGURE_SCHEME = "figure:"
_VARIANT = "pdf/ua-1"

#: How the names of files end that hold dots: the typesetter takes them over unread.
_PICTURES = (".png", ".jpg", ".jpeg", ".gif", ".webp", ".tif", ".tiff", ".bmp")

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
            folder.resolve() for folder in (layout, pictures, COMMON, *_font_folders())
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
        self._families: set[str] = set()

    @property
    def families(self) -> frozenset[str]:
        return frozenset(self._families)

    def add_font_face(self, rule_descriptors: Mapping[str, Any], url_fetcher: object) -> None:
        self._families.add(rule_descriptors["font_family"])
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
    fonts = _Fonts()
    fetcher = _Fetcher(figures, layout, pictures)
    with complaints() as heard, no_collecting():
        heard.reads_style = True
        style = CSS(filename=layout / STYLE, url_fetcher=fetcher, font_config=fonts)
        heard.reads_style = False
        page = CSS(string=page_style + _faces(), url_fetcher=fetcher, font_config=fonts)
        document = HTML(string=html, base_url=f"{layout}/", url_fetcher=fetcher).render(
            stylesheets=[page, style], font_config=fonts, pdf_variant=_VARIANT
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


def _font_folders() -> tuple[Path, ...]:
    return (
        Path(font_source_sans_pro.font_directory),
        Path(font_source_serif_pro.font_directory),
    )


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

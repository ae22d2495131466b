"""HTML and figures → PDF bytes, by WeasyPrint.

Anything WeasyPrint complains about (a missing picture, a broken link, bad CSS) fails: its
warnings would otherwise become silent gaps on a page.
"""

from __future__ import annotations

import logging
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

import font_source_sans_pro
import font_source_serif_pro
from weasyprint import CSS, HTML
from weasyprint.text.fonts import FontConfiguration
from weasyprint.urls import URLFetcher, URLFetcherResponse

from builder.documents.problems import DocumentProblem
from builder.drawings.figures import Figure

FIGURE_SCHEME = "figure:"

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
    """Serves figures from memory and files from allowed folders; refuses everything else."""

    def __init__(self, figures: Mapping[str, Figure], folders: tuple[Path, ...]) -> None:
        super().__init__()
        self._figures = figures
        self._folders = tuple(folder.resolve() for folder in folders)

    def fetch(self, url: str, headers: object = None) -> URLFetcherResponse:
        if url.startswith(FIGURE_SCHEME):
            figure = self._figures[url.removeprefix(FIGURE_SCHEME)]
            return URLFetcherResponse(url, figure.svg, {"Content-Type": "image/svg+xml"})
        path = Path(url.removeprefix("file://")).resolve()
        if url.startswith("file://") and any(
            path.is_relative_to(folder) for folder in self._folders
        ):
            return super().fetch(url, headers)
        raise ValueError(f"a document may not read {url}")


def typeset(
    html: str, layout: Path, figures: Mapping[str, Figure], page_size: str, pictures: Path
) -> bytes:
    """The document as PDF/UA; raises :class:`DocumentProblem` on any complaint.

    Files are read from the layout's folder, the fonts' and ``pictures``, the design's.
    """
    fonts = FontConfiguration()
    fetcher = _Fetcher(figures, (layout, pictures, *_font_folders()))
    with _complaints() as complaints:
        style = CSS(filename=layout / "style.css", url_fetcher=fetcher, font_config=fonts)
        page = CSS(string=_page_css(page_size), url_fetcher=fetcher, font_config=fonts)
        document = HTML(string=html, base_url=str(layout), url_fetcher=fetcher)
        pdf: bytes = document.write_pdf(
            stylesheets=[page, style], font_config=fonts, pdf_variant="pdf/ua-1"
        )
    if complaints:
        raise DocumentProblem("; ".join(dict.fromkeys(complaints)))
    return pdf


def _font_folders() -> tuple[Path, ...]:
    return (
        Path(font_source_sans_pro.font_directory),
        Path(font_source_serif_pro.font_directory),
    )


def _page_css(page_size: str) -> str:
    """The paper and the fonts, which come from installed packages, whatever the layout."""
    files = {**font_source_sans_pro.font_files_ttf, **font_source_serif_pro.font_files_ttf}
    faces = "".join(
        f"@font-face {{ font-family: '{family}'; src: url('{Path(files[name]).as_uri()}');"
        f" font-weight: {weight}; font-style: {style}; }}\n"
        for family, name, weight, style in _FACES
    )
    return f"@page {{ size: {page_size}; }}\n{faces}"


@contextmanager
def _complaints() -> Iterator[list[str]]:
    """What WeasyPrint logs at WARNING or above while the block runs."""
    heard: list[str] = []

    class Listener(logging.Handler):
        def emit(self, record: logging.LogRecord) -> None:
            message = record.getMessage()
            if record.levelno >= logging.WARNING and "harfbuzz" not in message.lower():
                heard.append(message)

    logger = logging.getLogger("weasyprint")
    listener = Listener()
    logger.addHandler(listener)
    level = logger.level
    logger.setLevel(logging.WARNING)
    try:
        yield heard
    finally:
        logger.removeHandler(listener)
        logger.setLevel(level)

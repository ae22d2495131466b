"""What the typesetter complains of, as someone who writes a layout or a design needs it.

In: its messages while pages are set.  Out: the file with line and column where they are known, and
what is wrong in plain words.
"""

from __future__ import annotations

import logging
import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import unquote, urlsplit

from builder.documents.problems import DocumentProblem, MissingCharacters, place_of
from builder.shipped import COMMON_FOLDER, MAIN_TEMPLATE

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

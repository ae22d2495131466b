"""What can go wrong with a layout: said to the user, never shown as a traceback."""

import unicodedata
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from gatherfold.findings import DesignUnreadable, Finding, Position, error


class DocumentProblem(Exception):
    """A layout cannot be filled or typeset; the message says where and why."""


class MissingCharacters(DocumentProblem):
    """Nothing is wrong but that no font of the layout has these characters."""

    def __init__(self, characters: tuple[str, ...], message: str) -> None:
        super().__init__(message)
        self.characters = characters


def place_of(written: str, layout: Path) -> str:
    """The first line of a layout's stylesheets and templates with these words as ``file:line``;
    where there is none, its folder."""
    for path in sorted((*layout.rglob("*.css"), *layout.rglob("*.j2"))):
        lines = path.read_text("utf-8", "replace").splitlines()
        for number, line in enumerate(lines, start=1):
            if written in line:
                return f"{path}:{number}"
    return str(layout)


@contextmanager
def at_their_places(file: str) -> Iterator[None]:
    """Turn :class:`MissingCharacters` into :class:`DesignUnreadable`, where the design writes them.

    What stands in no line of the design comes from the layout: its complaint is passed on.
    """
    try:
        yield
    except MissingCharacters as problem:
        places = {each: tuple(_places(each, file)) for each in problem.characters}
        if not all(places.values()):
            raise
        raise DesignUnreadable(
            _finding(character, place) for character, found in places.items() for place in found
        ) from None


def _places(character: str, file: str) -> Iterator[Position]:
    path = Path(file)
    lines = path.read_text("utf-8", "replace").split("\n") if path.is_file() else []
    for number, line in enumerate(lines, start=1):
        for column, written in enumerate(line, start=1):
            if written == character:
                yield Position(file, number, column)


def _finding(character: str, place: Position) -> Finding:
    name = unicodedata.name(character, "without a name")
    message = f"no font of this layout has '{character}' (U+{ord(character):04X}, {name.lower()})"
    return error("no-glyph", place, message, "Take it out, or add a font that has it.")

"""Where a design writes the characters that no font of a layout has.

In: the complaint of typesetting and the design's file.  Out: a finding at every place.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from builder.documents.problems import MissingCharacters
from builder.findings import DesignUnreadable, Finding, Position, error


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

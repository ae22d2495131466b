"""What can go wrong with a layout: said to the user, never shown as a traceback."""

from pathlib import Path


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

"""Small changes of a design's text, each with the sentence that says what to type where.

In: the text of a design.  Out: its tree with places, and changes that can be made in the text.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate
from typing import TypeVar

from gatherfold.findings import Position
from gatherfold.reading import MappingNode, Node, Scalar, parse_yaml

#: Words of which one is easily written for the other.
_PAIRS = (
    ("left", "right"),
    ("top", "bottom"),
    ("upper", "lower"),
    ("front", "back"),
    ("inside", "outside"),
    ("inner", "outer"),
    ("inwards", "outwards"),
    ("inward", "outward"),
    ("valley", "mountain"),
    ("width", "height"),
    ("over", "under"),
    ("above", "below"),
    ("up", "down"),
    ("upright", "sideways"),
    ("first", "last"),
    ("before", "after"),
    ("both", "one"),
)
_OF_NAMES = {"left", "right", "top", "bottom", "front", "back"}
_Each = TypeVar("_Each")
OPPOSITE = {a: b for pair in _PAIRS for a, b in (pair, pair[::-1])}


@dataclass(frozen=True)
class TextChange:
    """Stretches of the text by their ends, what is to stand there, and what is said of it."""

    said: str
    line: int
    edits: tuple[tuple[int, int, str], ...]

    def applied(self, text: str) -> str:
        for start, end, new in sorted(self.edits, reverse=True):
            text = text[:start] + new + text[end:]
        return text


@dataclass(frozen=True)
class DesignText:
    """The text of a design and its tree."""

    text: str
    file: str

    @cached_property
    def root(self) -> MappingNode:
        return parse_yaml(self.text, self.file)

    @cached_property
    def lines(self) -> list[str]:
        return self.text.splitlines(keepends=True)

    @cached_property
    def _starts(self) -> list[int]:
        return [0, *accumulate(map(len, self.lines))]

    def offset(self, place: Position) -> int:
        return self._starts[place.line - 1] + place.column - 1

    def line_start(self, line: int) -> int:
        """Where a line begins; the one after the last is the end."""
        return self._starts[min(line, len(self._starts)) - 1]

    def before(self, place: Position) -> str:
        """What stands in a line before a place."""
        return self.lines[place.line - 1][: place.column - 1]

    def replaced(self, place: Position, old: str, new: str, note: str = "") -> TextChange | None:
        """One stretch of a line as another; None where the text has something else there."""
        start = self.offset(place)
        if old == new or not self.text.startswith(old, start):
            return None
        said = f"In line {place.line} write '{new}' instead of '{old}'{note}."
        return TextChange(said, place.line, ((start, start + len(old), new),))

    def rekeyed(self, key: Scalar, new: str) -> TextChange | None:
        """An entry with another key."""
        return self.replaced(key.start, f"{key.text}:", f"{new}:")

    def entries(self, node: Node | None = None) -> Iterator[tuple[Scalar, Node]]:
        """Every entry of the tree, or of a part of it, outer ones first."""
        if node is None:
            node = self.root
        if isinstance(node, MappingNode):
            for key, value in node.entries:
                yield key, value
                yield from self.entries(value)
        elif not isinstance(node, Scalar):
            for each in node.items:
                yield from self.entries(each)

    def entry_at(self, place: Position) -> tuple[Scalar, Node] | None:
        """The entry whose key stands at a place."""
        return next((each for each in self.entries() if each[0].position == place), None)

    def without(self, key: Scalar, value: Node) -> TextChange | None:
        """The text without an entry on one line: the whole line, or its place within braces."""
        if not isinstance(value, Scalar) or value.position.line != key.position.line:
            return None
        start, line = self.offset(key.position), self.lines[key.position.line - 1]
        end = self.offset(value.start) + len(value.text) + value.quoted
        said = f"In line {key.position.line} leave out '{self.text[start:end]}'."
        if not line[: key.position.column - 1].strip():
            whole = self.line_start(key.position.line), self.line_start(key.position.line + 1)
            return TextChange(said, key.position.line, ((*whole, ""),))
        before, after = self.text[:start].rstrip(), self.text[end:].lstrip()
        if before.endswith(","):
            start = len(before) - 1
        elif after.startswith(","):
            end = len(self.text) - len(after[1:].lstrip())
        return TextChange(said, key.position.line, ((start, end, ""),))

    def with_entry(self, node: Node, entry: str) -> TextChange | None:
        """The text with one more entry at the end of a mapping's first line or before its first
        entry, as it is written in braces or in lines."""
        if not isinstance(node, MappingNode) or not node.entries:
            return None
        key = node.entries[0][0]
        start = self.offset(key.position)
        line = self.lines[key.position.line - 1]
        if not line[: key.position.column - 1].strip():
            said = f"Write '{entry}' before line {key.position.line}."
            indent = line[: key.position.column - 1]
            return TextChange(said, key.position.line, ((start, start, f"{entry}\n{indent}"),))
        said = f"In line {key.position.line} write '{entry}' before '{key.text}:'."
        return TextChange(said, key.position.line, ((start, start, f"{entry}, "),))


def opposite_name(name: str) -> str | None:
    """A name with the first of its words that has an opposite turned: ``left_flap``."""
    words = name.split("_")
    for number, word in enumerate(words):
        if word in _OF_NAMES:
            return "_".join((*words[:number], OPPOSITE[word], *words[number + 1 :]))
    return None


def in_turn(*kinds: Iterator[_Each]) -> Iterator[_Each]:
    """The first of each, then the second of each."""
    waiting = [*kinds]
    while waiting:
        for kind in [*waiting]:
            try:
                yield next(kind)
            except StopIteration:
                waiting.remove(kind)

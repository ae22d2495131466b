"""YAML text → a plain tree of nodes that know their file, line and column.

Duplicate keys, tabs, aliases, tags and nesting beyond reason are findings.  Aliases are refused
as such: a design repeats structure with ``each``, and a file of aliases can grow without bound.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import takewhile

import yaml

from gatherfold.findings import DesignUnreadable, Finding, Position, Problems, error

MAXIMUM_DEPTH = 30
MAXIMUM_BYTES = 500_000


@dataclass(frozen=True)
class Scalar:
    """A text value; ``quoted`` tells ``"yes"`` from ``yes`` and ``""`` from nothing at all."""

    text: str
    position: Position
    quoted: bool
    #: For a block of text, where its first line begins; a block's own position is its mark's.
    block_start: Position | None = None

    @property
    def start(self) -> Position:
        """Where the text itself begins, after a quotation mark or on a block's first line."""
        return self.block_start or self.position.along(1 if self.quoted else 0)

    @property
    def is_missing(self) -> bool:
        return not self.quoted and self.text in ("", "~", "null")


@dataclass(frozen=True)
class SequenceNode:
    items: tuple[Node, ...]
    position: Position


@dataclass(frozen=True)
class MappingNode:
    entries: tuple[tuple[Scalar, Node], ...]
    position: Position

    def get(self, key: str) -> Node | None:
        return next((node for name, node in self.entries if name.text == key), None)


Node = Scalar | SequenceNode | MappingNode


def decode(content: bytes, file: str) -> str:
    """The file's text; invalid UTF-8 is a finding at the byte's line and column."""
    if len(content) > MAXIMUM_BYTES:
        message = f"the file has {len(content):,} bytes; a design has at most {MAXIMUM_BYTES:,}"
        remedy = "Write repeated structures once with 'each:'."
        raise Problems().ended("too-large", Position(file, 1, 1), message, remedy)
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as problem:
        position = _position_at(content.decode("latin-1"), problem.start, file)
        message = f"byte 0x{content[problem.start]:02x} is not valid UTF-8"
        remedy = "Save the file as UTF-8 text."
        raise Problems().ended("not-utf-8", position, message, remedy) from None


def parse_yaml(text: str, file: str) -> MappingNode:
    """The file's tree; raises :class:`DesignUnreadable` when there is none."""
    try:
        # libyaml takes a tenth of the time; PyYAML's own parser says better what is wrong and
        # where nothing is written.
        fast = _TreeBuilder(file, text)
        root = fast.build(yaml.parse(text, Loader=getattr(yaml, "CSafeLoader", yaml.SafeLoader)))
    except (yaml.YAMLError, ValueError, OverflowError, DesignUnreadable):
        return _parse_slowly(text, file)
    return _parse_slowly(text, file) if fast.has_gaps else _root(root, fast.problems, file)


def _parse_slowly(text: str, file: str) -> MappingNode:
    builder = _TreeBuilder(file, text)
    problems = builder.problems
    try:
        root = builder.build(yaml.parse(text, Loader=yaml.SafeLoader))
    except yaml.MarkedYAMLError as problem:
        raise DesignUnreadable([*problems, _syntax(problem, file)]) from None
    except (ValueError, OverflowError):
        # PyYAML lets these out for an escape or a version number beyond all bounds.
        message = "an escape or a number after this place is beyond what YAML allows"
        raise problems.ended(
            "yaml-syntax", builder.last_position, message, "Mend or remove it."
        ) from None
    except yaml.YAMLError as problem:
        position = _position_at(text, getattr(problem, "position", 0) or 0, file)
        message = "a character here is not allowed in YAML"
        raise Problems().ended("yaml-character", position, message, "Remove it.") from None
    return _root(root, problems, file)


def _root(root: Node | None, problems: Problems, file: str) -> MappingNode:
    """The tree of a file that was read to its end, if it is one of a design."""
    if problems:
        raise DesignUnreadable(problems)
    if root is None or (isinstance(root, Scalar) and root.is_missing):
        remedy = "Begin one with 'gatherfold start NAME'."
        raise problems.ended("empty-file", Position(file, 1, 1), "the file holds no design", remedy)
    if not isinstance(root, MappingNode):
        message = "a design is a mapping of keys such as 'title:' and 'pieces:'"
        remedy = "Begin each line at its left edge with a key."
        raise problems.ended("wrong-type", root.position, message, remedy)
    return root


def _position_at(text: str, offset: int, file: str) -> Position:
    before = text[:offset]
    return Position(file, before.count("\n") + 1, offset - before.rfind("\n"))


def _syntax(problem: yaml.MarkedYAMLError, file: str) -> Finding:
    mark = problem.problem_mark
    assert mark is not None and mark.buffer is not None, "text input always has marks"
    before = mark.buffer[mark.pointer - mark.column : mark.pointer + 1]
    if "\t" in before:
        position = Position(file, mark.line + 1, before.index("\t") + 1)
        message = "a tab indents this line, and YAML allows only spaces"
        return error("tab", position, message, "Replace the tab by spaces.")
    position = Position(file, mark.line + 1, mark.column + 1)
    reason = problem.problem or "this is not YAML"
    context = f" ({problem.context})" if problem.context else ""
    return error("yaml-syntax", position, f"{reason}{context}", "Mend the YAML at this place.")


class _TreeBuilder:
    """Builds the tree from parser events, so that aliases are never expanded."""

    def __init__(self, file: str, text: str) -> None:
        self.file = file
        self.lines = text.splitlines()
        self.problems = Problems()
        self.last_position = Position(file, 1, 1)
        self.has_gaps = False

    def build(self, events: Iterator[yaml.Event]) -> Node | None:
        root: Node | None = None
        for event in events:
            if not isinstance(event, yaml.DocumentStartEvent):
                continue
            if root is not None:
                message = "a second document starts here, and a file holds one design"
                remedy = "Remove the line '---', or put the rest into a file of its own."
                self.problems.report("two-documents", self._at(event), message, remedy)
                break
            root = self._node(next(events), events, 0)
        return root

    def _at(self, event: yaml.Event) -> Position:
        mark = event.start_mark
        assert mark is not None, "text input always has marks"
        self.last_position = Position(self.file, mark.line + 1, mark.column + 1)
        return self.last_position

    def _node(self, event: yaml.Event, events: Iterator[yaml.Event], depth: int) -> Node:
        position = self._at(event)
        if depth > MAXIMUM_DEPTH:
            message = f"values are nested more than {MAXIMUM_DEPTH} deep"
            raise self.problems.ended("too-deep", position, message, "Write it flatter.")
        if isinstance(event, yaml.AliasEvent):
            message = "YAML aliases are not used in designs"
            remedy = "Write a repeated structure once with 'each:'."
            self.problems.report("alias", position, message, remedy)
            return Scalar("", position, quoted=True)
        tag = getattr(event, "tag", None)
        if tag is not None and tag != "!":
            message = f"the tag '{tag}' is not used in designs"
            self.problems.report("yaml-tag", position, message, "Remove the tag.")
        if isinstance(event, yaml.ScalarEvent):
            self._refuse_control_characters(event.value, position)
            self.has_gaps |= not event.value and not event.style
            block = self._block_start(event) if event.style in ("|", ">") else None
            return Scalar(event.value, position, bool(event.style), block)
        if isinstance(event, yaml.SequenceStartEvent):
            inner = takewhile(lambda each: not isinstance(each, yaml.SequenceEndEvent), events)
            items = tuple(self._node(each, events, depth + 1) for each in inner)
            return SequenceNode(items, position)
        return self._mapping(events, position, depth)

    def _block_start(self, event: yaml.ScalarEvent) -> Position:
        """The first character of a block: the first line below its mark that is not empty."""
        first = self._at(event).line
        for number, line in enumerate(self.lines[first:], start=first + 1):
            if line.strip():
                return Position(self.file, number, len(line) - len(line.lstrip(" ")) + 1)
        return Position(self.file, first, 1)

    def _refuse_control_characters(self, text: str, position: Position) -> None:
        """Escapes such as ``"\\0"`` and half surrogates would break every page they reach."""
        bad = next(
            (c for c in text if unicodedata.category(c) in ("Cc", "Cs") and c not in "\n\t"), ""
        )
        if bad:
            message = f"the character U+{ord(bad):04X} cannot be printed"
            self.problems.report("control-character", position, message, "Remove it.")

    def _mapping(self, events: Iterator[yaml.Event], position: Position, depth: int) -> MappingNode:
        entries: list[tuple[Scalar, Node]] = []
        first_use: dict[str, Position] = {}
        inner = takewhile(lambda each: not isinstance(each, yaml.MappingEndEvent), events)
        for event in inner:
            key = self._node(event, events, depth + 1)
            value = self._node(next(events), events, depth + 1)
            if not isinstance(key, Scalar):
                self.problems.report(
                    "wrong-type", key.position, "a key must be plain text", "Write 'key: value'."
                )
                continue
            if key.text in first_use:
                message = f"the key '{key.text}' is here twice; first at {first_use[key.text]}"
                remedy = "Remove or rename one of them."
                self.problems.report("duplicate-key", key.position, message, remedy)
                continue
            first_use[key.text] = key.position
            entries.append((key, value))
        return MappingNode(tuple(entries), position)

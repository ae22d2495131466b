"""Typed values out of a mapping node, every problem collected and every unknown key refused.

A :class:`Fields` is opened on one mapping by ``with``, and asked for each key it may hold; at its
end it reports the keys nobody asked for.  A design with problems is never resolved, so that
something stands in for each value that cannot be read, and reading goes on.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterable, Iterator
from typing import TypeVar

from gatherfold.findings import Position, Problems, suggestion
from gatherfold.formulas import FUNCTIONS, FormulaProblem, parse
from gatherfold.geometry import EDGES, EdgeName
from gatherfold.lengths import UNIT_SIZES
from gatherfold.model import Expression, narrowed
from gatherfold.reading.nodes import MappingNode, Node, Scalar, SequenceNode

_FLAGS = {"yes": True, "no": False, "true": True, "false": False}
_NAME = re.compile(r"(?!x\d)[a-z][a-z0-9_]*")
_RESERVED = {"x", "all", *FUNCTIONS, *UNIT_SIZES}
NAME_REMEDY = "Use small letters, digits and _, starting with a letter, such as 'back_mat'."
#: What a formula that cannot be read is taken for.
_STAND_IN = parse("1")

#: A word of a closed set of them.
_Word = TypeVar("_Word", bound=str)


def is_name(text: str) -> bool:
    """Whether a formula could refer to something of this name."""
    return _NAME.fullmatch(text) is not None and text not in _RESERVED


class Fields:
    """The keys of one mapping; ``what`` names it in messages, such as ``piece 'back'``.

    A value that stands alone is that of the key ``alone``, where one is given.  ``None`` for a node
    is a mapping that is not there, and lacks nothing.
    """

    def __init__(
        self, node: Node | None, what: str, problems: Problems, alone: str | None = None
    ) -> None:
        self.what = what
        self.problems = problems
        self.report = problems.report
        self.position = node.position if node is not None else Position("", 1, 1)
        #: Keys that this mapping does not take, though others of its kind do.
        self.refused: Collection[str] = ()
        self._asked: list[str] = []
        self._entries: dict[str, tuple[Scalar, Node]] = {}
        #: Whether there is a mapping to read, if only an empty one.
        self.is_mapping = isinstance(node, MappingNode) or (
            isinstance(node, Scalar) and alone is not None
        )
        if isinstance(node, MappingNode):
            self._entries = {key.text: (key, value) for key, value in node.entries}
        elif isinstance(node, Scalar) and alone is not None:
            self._entries = {alone: (node, node)}
        elif isinstance(node, Scalar) and node.is_missing:
            remedy = "Write its keys and values below it, indented, or remove it."
            self.report("missing-value", node.position, f"{what} is empty", remedy)
        elif node is not None:
            remedy = "Write 'key: value' pairs below it, indented."
            self.report("wrong-type", node.position, f"{what} needs keys and values", remedy)

    def __enter__(self) -> Fields:
        return self

    def __exit__(self, problem: object, *_: object) -> None:
        """Report every key that was never asked for."""
        unknown = [] if problem else [name for name in self._entries if name not in self._asked]
        for name in unknown:
            message, remedy = f"unknown key '{name}' in {self.what}", suggestion(name, self._asked)
            self.report("unknown-key", self.key_position(name), message, remedy)

    def node(self, key: str, required: bool = False, if_empty: str = "") -> Node | None:
        """The value under ``key``; an empty value is reported as missing, with the remedy
        ``if_empty``."""
        if key in self.refused:
            return None
        self._asked.append(key)
        entry = self._entries.get(key)
        if entry is None:
            if required and self.is_mapping:
                message = f"{self.what} has no '{key}'"
                self.report("missing-key", self.position, message, f"Add '{key}:'.")
            return None
        name, value = entry
        if isinstance(value, Scalar) and value.is_missing:
            self._no_value(key, name.position, if_empty)
            return None
        return value

    def _no_value(self, key: str, position: Position, remedy: str) -> None:
        message = f"'{key}' of {self.what} has no value"
        self.report("missing-value", position, message, remedy or f"Give '{key}' a value.")

    def has(self, key: str) -> bool:
        return key in self._entries

    def in_file_order(self, keys: Iterable[_Word]) -> tuple[_Word, ...]:
        """Those of ``keys`` that are there, as the file orders them."""
        places = {key: place for place, key in enumerate(self._entries)}
        return tuple(sorted((key for key in keys if key in places), key=places.__getitem__))

    def key_position(self, key: str) -> Position:
        return self._entries[key][0].position if key in self._entries else self.position

    def value_position(self, key: str) -> Position:
        """Where the value under ``key`` stands; the mapping itself where there is none."""
        return self._entries[key][1].position if key in self._entries else self.position

    def scalar(self, key: str, required: bool = False, if_empty: str = "") -> Scalar | None:
        node = self.node(key, required, if_empty)
        if node is None or isinstance(node, Scalar):
            return node
        message = f"'{key}' of {self.what} must be one value, not a list or a mapping"
        self.report("wrong-type", node.position, message, f"Write '{key}: value'.")
        return None

    def text(self, key: str, default: str = "", required: bool = False, if_empty: str = "") -> str:
        """A text; one that is required says something."""
        scalar = self.scalar(key, required, if_empty)
        if scalar is not None and required and not scalar.text.strip():
            self._no_value(key, scalar.position, if_empty)
        return default if scalar is None else scalar.text.strip()

    def title(self, name: Scalar) -> str:
        """What a part is called in the documents: its ``name``, or that by which it is written."""
        return self.text("name", name.text.replace("_", " ").capitalize())

    def choice(
        self, key: str, options: Iterable[_Word], default: _Word, required: bool = False
    ) -> _Word:
        scalar = self.scalar(key, required)
        if scalar is None:
            return default
        allowed, message = list(options), f"'{scalar.text}' is no value of '{key}' in {self.what}"
        self.is_known(scalar, allowed, message, "unknown-value")
        return narrowed(scalar.text, allowed) or default

    def is_known(
        self, name: Scalar, known: Collection[str], message: str, code: str = "unknown-name"
    ) -> bool:
        """Tell whether a name is one of those that are known; report it where it is none."""
        if name.text not in known:
            self.report(code, name.position, message, suggestion(name.text, known))
        return name.text in known

    def flag(self, key: str, default: bool = False) -> bool:
        return _FLAGS[self.choice(key, _FLAGS, "yes" if default else "no")]

    def whole(self, key: str, default: int, options: Collection[int] = ()) -> int:
        """A whole number of things, one of ``options`` or at least 1."""
        scalar = self.scalar(key)
        if scalar is None:
            return default
        number = int(scalar.text) if scalar.text.isdecimal() and len(scalar.text) < 6 else -1
        if number in options or (number > 0 and not options):
            return number
        among = f"one of {', '.join(map(str, options))}" if options else "a whole number from 1"
        message = f"'{scalar.text}' is no value of '{key}' in {self.what}"
        self.report("wrong-type", scalar.position, message, f"Write {among}.")
        return default

    def expression(self, key: str, required: bool = False) -> Expression | None:
        scalar = self.scalar(key, required)
        return None if scalar is None else read_expression(scalar, self.problems)

    def needed(self, key: str) -> Expression:
        """The formula under a key that has to be there."""
        return self.expression(key, required=True) or Expression(_STAND_IN, self.position)

    def expressions(self, keys: Iterable[_Word]) -> dict[_Word, Expression]:
        """The formulas under those of ``keys`` that are there."""
        found = {key: self.expression(key) for key in keys}
        return {key: value for key, value in found.items() if value is not None}

    def names(self, key: str) -> tuple[Scalar, ...]:
        """One name, a comma-separated line of names, or a list of names."""
        names: list[Scalar] = []
        for item in self.items(key):
            if isinstance(item, Scalar):
                names.extend(_split_names(item))
            else:
                message = f"'{key}' of {self.what} must be a list of names"
                remedy = f"Write '{key}: one, another'."
                self.report("wrong-type", item.position, message, remedy)
        return tuple(names)

    def entries(self, key: str, required: bool = False) -> tuple[tuple[Scalar, Node], ...]:
        """The entries of the mapping under ``key``."""
        node = self.node(key, required)
        if isinstance(node, MappingNode):
            return node.entries
        if node is not None:
            message = f"'{key}' of {self.what} needs names with values"
            self.report("wrong-type", node.position, message, f"Write '{key}: {{name: value}}'.")
        return ()

    def items(self, key: str) -> tuple[Node, ...]:
        """The items of the list under ``key``; a single value is a list of one."""
        node = self.node(key)
        if node is None:
            return ()
        return node.items if isinstance(node, SequenceNode) else (node,)

    def by_edge(self, key: str, what: str) -> dict[EdgeName, Expression]:
        """The lengths under ``key`` by edge; one length alone is that of all four edges."""
        node = self.node(key)
        if isinstance(node, Scalar):
            return dict.fromkeys(EDGES, read_expression(node, self.problems))
        with Fields(node, what, self.problems) as edges:
            return edges.expressions(EDGES)

    def within(self, key: str, what: str, alone: str | None = None) -> Fields:
        """The mapping under ``key``."""
        return Fields(self.node(key), what, self.problems, alone)

    def parts(
        self,
        key: str,
        what: str,
        alone: str | None = None,
        only: Callable[[Scalar], bool] = lambda _: True,
    ) -> Iterator[tuple[Scalar, Fields]]:
        """The mappings under ``key`` by their names, of which ``only`` some are read; ``what`` has
        a place for the name."""
        for name, node in self.entries(key):
            if only(name):
                with Fields(node, what.format(name.text), self.problems, alone) as part:
                    if part.is_mapping:
                        yield name, part

    def listed(
        self, key: str, what: str, alone: str | None = None, first: int = 1
    ) -> Iterator[Fields]:
        """The mappings in the list under ``key``; ``what`` has a place for the number."""
        for number, node in enumerate(self.items(key), first):
            with Fields(node, what.format(number), self.problems, alone) as part:
                if part.is_mapping:
                    yield part


def _split_names(scalar: Scalar) -> Iterator[Scalar]:
    offset = 0
    for part in scalar.text.split(","):
        lead = len(part) - len(part.lstrip())
        if part.strip():
            yield Scalar(part.strip(), scalar.position.along(offset + lead), scalar.quoted)
        offset += len(part) + 1


def read_expression(scalar: Scalar, problems: Problems) -> Expression:
    """The scalar as a formula; a syntax problem is reported at its column."""
    start = scalar.position.along(1 if scalar.quoted else 0)
    try:
        return Expression(parse(scalar.text), start)
    except FormulaProblem as problem:
        message = f"in '{scalar.text}': {problem.message}"
        problems.report(problem.code, start.along(problem.offset), message, problem.remedy)
        return Expression(_STAND_IN, start)

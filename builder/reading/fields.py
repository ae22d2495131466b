"""Typed values out of a mapping node, every problem collected and every unknown key refused.

A :class:`Fields` is opened on one mapping, asked for each key it may hold, and closed with
:meth:`Fields.finish`, which reports the keys nobody asked for.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import TypeVar

from builder.design import Expression
from builder.findings import Finding, Position, error, stop_if_too_many, suggestion
from builder.formulas import FUNCTIONS, FormulaProblem, parse
from builder.lengths import UNIT_SIZES
from builder.reading.nodes import Mapping, Node, Scalar, Sequence

_Key = TypeVar("_Key", bound=str)
_NAME = re.compile(r"(?!x\d)[a-z][a-z0-9_]*")
_RESERVED = {"x", "all", *FUNCTIONS, *UNIT_SIZES}
NAME_REMEDY = "Use small letters, digits and _, starting with a letter, such as 'back_mat'."


def is_name(text: str) -> bool:
    """Whether a formula could refer to something of this name."""
    return _NAME.fullmatch(text) is not None and text not in _RESERVED


class Fields:
    """The keys of one mapping; ``what`` names it in messages, such as ``piece 'back'``."""

    def __init__(self, node: Node, what: str, findings: list[Finding]) -> None:
        self.what = what
        self.findings = findings
        self.position = node.position
        self._asked: list[str] = []
        self._entries: dict[str, tuple[Scalar, Node]] = {}
        if isinstance(node, Mapping):
            self._entries = {key.text: (key, value) for key, value in node.entries}
        elif isinstance(node, Scalar) and node.is_missing:
            remedy = "Write its keys and values below it, indented, or remove it."
            self.report("missing-value", node.position, f"{what} is empty", remedy)
        else:
            remedy = "Write 'key: value' pairs below it, indented."
            self.report("wrong-type", node.position, f"{what} needs keys and values", remedy)
        self._is_mapping = isinstance(node, Mapping)

    def report(self, code: str, position: Position, message: str, remedy: str = "") -> None:
        self.findings.append(error(code, position, message, remedy))
        stop_if_too_many(self.findings)

    def node(self, key: str, required: bool = False, if_empty: str = "") -> Node | None:
        """The value under ``key``; an empty value is reported as missing, with the remedy
        ``if_empty``."""
        self._asked.append(key)
        entry = self._entries.get(key)
        if entry is None:
            if required and self._is_mapping:
                message = f"{self.what} has no '{key}'"
                self.report("missing-key", self.position, message, f"Add '{key}:'.")
            return None
        name, value = entry
        if isinstance(value, Scalar) and value.is_missing:
            message = f"'{key}' of {self.what} has no value"
            remedy = if_empty or f"Give '{key}' a value."
            self.report("missing-value", name.position, message, remedy)
            return None
        return value

    def has(self, key: str) -> bool:
        return key in self._entries

    def in_file_order(self, keys: Iterable[_Key]) -> tuple[_Key, ...]:
        """Those of ``keys`` that are there, as the file orders them."""
        places = {key: place for place, key in enumerate(self._entries)}
        return tuple(sorted((key for key in keys if key in places), key=places.__getitem__))

    def key_position(self, key: str) -> Position:
        return self._entries[key][0].position if key in self._entries else self.position

    def scalar(self, key: str, required: bool = False, if_empty: str = "") -> Scalar | None:
        node = self.node(key, required, if_empty)
        if node is None or isinstance(node, Scalar):
            return node
        message = f"'{key}' of {self.what} must be one value, not a list or a mapping"
        self.report("wrong-type", node.position, message, f"Write '{key}: value'.")
        return None

    def text(self, key: str, default: str = "", required: bool = False) -> str:
        scalar = self.scalar(key, required)
        return default if scalar is None else scalar.text.strip()

    def choice(self, key: str, options: Iterable[str], default: str, required: bool = False) -> str:
        scalar = self.scalar(key, required)
        if scalar is None:
            return default
        if scalar.text not in (allowed := list(options)):
            message = f"'{scalar.text}' is no value of '{key}' in {self.what}"
            self.report("unknown-value", scalar.position, message, suggestion(scalar.text, allowed))
            return default
        return scalar.text

    def flag(self, key: str) -> bool:
        return self.choice(key, ("yes", "no", "true", "false"), "no") in ("yes", "true")

    def whole(self, key: str, default: int, options: Iterable[int] | None = None) -> int:
        """A whole number of things, at least 1 unless ``options`` says otherwise."""
        scalar = self.scalar(key)
        if scalar is None:
            return default
        allowed = None if options is None else list(options)
        number = int(scalar.text) if scalar.text.isdecimal() and len(scalar.text) < 6 else None
        if number is None or (number < 1 if allowed is None else number not in allowed):
            what = (
                "a whole number from 1"
                if allowed is None
                else f"one of {', '.join(map(str, allowed))}"
            )
            message = f"'{scalar.text}' is no value of '{key}' in {self.what}"
            self.report("wrong-type", scalar.position, message, f"Write {what}.")
            return default
        return number

    def expression(self, key: str, required: bool = False) -> Expression | None:
        scalar = self.scalar(key, required)
        return None if scalar is None else read_expression(scalar, self.findings)

    def expressions(self, keys: Iterable[str]) -> dict[str, Expression]:
        """The formulas under those of ``keys`` that are there."""
        found = {key: self.expression(key) for key in keys if self.has(key)}
        return {key: value for key, value in found.items() if value is not None}

    def names(self, key: str) -> tuple[Scalar, ...]:
        """One name, a comma-separated line of names, or a list of names."""
        node = self.node(key)
        if node is None:
            return ()
        items = node.items if isinstance(node, Sequence) else (node,)
        names: list[Scalar] = []
        for item in items:
            if isinstance(item, Scalar):
                names.extend(_split_names(item))
            else:
                message = f"'{key}' of {self.what} must be a list of names"
                remedy = f"Write '{key}: one, another'."
                self.report("wrong-type", item.position, message, remedy)
        return tuple(names)

    def entries(self, key: str) -> tuple[tuple[Scalar, Node], ...]:
        """The entries of the mapping under ``key``."""
        node = self.node(key)
        if node is None:
            return ()
        if isinstance(node, Mapping):
            return node.entries
        message = f"'{key}' of {self.what} needs names with values"
        self.report("wrong-type", node.position, message, f"Write '{key}: {{name: value}}'.")
        return ()

    def items(self, key: str) -> tuple[Node, ...]:
        """The items of the list under ``key``; a single value is a list of one."""
        node = self.node(key)
        if node is None:
            return ()
        return node.items if isinstance(node, Sequence) else (node,)

    def finish(self) -> None:
        """Report every key that was never asked for."""
        for name, (key, _) in self._entries.items():
            if name not in self._asked:
                remedy = suggestion(name, self._asked)
                message = f"unknown key '{name}' in {self.what}"
                self.report("unknown-key", key.position, message, remedy)


def _split_names(scalar: Scalar) -> list[Scalar]:
    names: list[Scalar] = []
    offset = 0
    for part in scalar.text.split(","):
        lead = len(part) - len(part.lstrip())
        place = scalar.position
        position = Position(place.file, place.line, place.column + offset + lead)
        if part.strip():
            names.append(Scalar(part.strip(), position, scalar.quoted))
        offset += len(part) + 1
    return names


def read_expression(scalar: Scalar, findings: list[Finding]) -> Expression | None:
    """The scalar as a formula; a syntax problem is reported at its column."""
    start = shifted(scalar.position, 1 if scalar.quoted else 0)
    try:
        return Expression(parse(scalar.text), start)
    except FormulaProblem as problem:
        message = f"in '{scalar.text}': {problem.message}"
        findings.append(
            error(problem.code, shifted(start, problem.offset), message, problem.remedy)
        )
        stop_if_too_many(findings)
        return None


def shifted(position: Position, columns: int) -> Position:
    """The position so many columns further on in the same line."""
    return Position(position.file, position.line, position.column + columns)

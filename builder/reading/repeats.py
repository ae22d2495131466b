"""``each`` groups written out: a structure that occurs several times is written once.

In: the mapping under ``pieces:`` (or ``fastenings:``).  Out: plain (key, node) entries, in order.

``each`` is a list of rows (``[{end: top, far: bottom}]``) or one list (``{end: [top, bottom]}``).
``{end}`` is then replaced in the key, in keys inside and in values.  An entry that has ``pieces:``
is a group: its members are written out for each row.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace

from builder.findings import DesignUnreadable, Finding, error, stop_if_too_many, suggestion
from builder.reading.nodes import Mapping, Node, Scalar, Sequence

Entry = tuple[Scalar, Node]
Row = dict[str, str]

#: Far beyond any design; nested groups could otherwise grow without bound.
_MOST_VALUES = 100_000
_LONGEST_TEXT = 10_000

_REFERENCE = re.compile(r"\{([a-z_][a-z0-9_]*)\}")


def write_out(node: Mapping, findings: list[Finding]) -> list[Entry]:
    """Every entry with its ``each`` rows and groups expanded; duplicates are findings."""
    entries: list[Entry] = []
    budget = _Budget(findings)
    for key, value in node.entries:
        for entry, columns in _expanded(key, value, (), budget):
            if _is_sound(entry, columns, findings):
                entries.append(entry)
    return _without_duplicates(entries, findings)


@dataclass
class _Budget:
    """Counts what is written out, so that nested groups cannot grow without bound."""

    findings: list[Finding]
    spent: int = 0

    def spend(self, key: Scalar) -> None:
        self.spent += 1
        if self.spent > _MOST_VALUES:
            message = f"'each' writes out more than {_MOST_VALUES:,} values"
            problem = error("too-many", key.position, message, "Write fewer rows.")
            raise DesignUnreadable([*self.findings, problem])


def _is_sound(entry: Entry, columns: tuple[str, ...], findings: list[Finding]) -> bool:
    """Reports each ``{name}`` that no column replaced, in an entry that ``each`` wrote out.

    Only an entry whose own name is whole can be read on.
    """
    key, value = entry
    if columns:
        for scalar in (key, *_scalars(value)):
            leftover = leftover_references(scalar, list(columns))
            if leftover is not None:
                findings.append(leftover)
                stop_if_too_many(findings)
    return not columns or _REFERENCE.search(key.text) is None


def _scalars(node: Node) -> Iterator[Scalar]:
    if isinstance(node, Scalar):
        yield node
    elif isinstance(node, Sequence):
        for item in node.items:
            yield from _scalars(item)
    else:
        for key, value in node.entries:
            yield key
            yield from _scalars(value)


def _without_duplicates(entries: list[Entry], findings: list[Finding]) -> list[Entry]:
    seen: dict[str, Entry] = {}
    for key, value in entries:
        if key.text in seen:
            findings.append(
                error(
                    "duplicate-key",
                    key.position,
                    f"'each' makes the name '{key.text}' more than once",
                    "Put the row's name into the key, for example '{end}_strip'.",
                )
            )
        seen.setdefault(key.text, (key, value))
    return list(seen.values())


def _expanded(
    key: Scalar, value: Node, columns: tuple[str, ...], budget: _Budget
) -> Iterator[tuple[Entry, tuple[str, ...]]]:
    """The entries that one entry stands for, each with the names of the columns it knows."""
    if not isinstance(value, Mapping):
        yield (key, value), columns
        return
    rows_node = value.get("each")
    members = value.get("pieces")
    rest = Mapping(
        tuple(entry for entry in value.entries if entry[0].text != "each"), value.position
    )
    rows: list[Row] = [{}] if rows_node is None else _rows(rows_node, budget.findings)
    for row in rows:
        known = (*columns, *row)
        budget.spend(key)
        if isinstance(members, Mapping):
            for member_key, member in members.entries:
                new_key = _replaced_scalar(member_key, row)
                yield from _expanded(new_key, _replaced(member, row, budget), known, budget)
        else:
            yield (_replaced_scalar(key, row), _replaced(rest, row, budget)), known
    if isinstance(members, Mapping):
        for name, _ in value.entries:
            if name.text not in ("each", "pieces"):
                remedy = "A group has only 'each' and 'pieces'."
                budget.findings.append(
                    error("unknown-key", name.position, f"unknown key '{name.text}'", remedy)
                )


def _rows(node: Node, findings: list[Finding]) -> list[Row]:
    if isinstance(node, Mapping) and len(node.entries) == 1:
        (name, values), *_ = node.entries
        items = values.items if isinstance(values, Sequence) else ()
        if items and all(isinstance(item, Scalar) for item in items):
            return [{name.text: item.text} for item in items if isinstance(item, Scalar)]
    if isinstance(node, Sequence) and node.items:
        rows = [_row(item) for item in node.items]
        if all(row is not None for row in rows):
            return [row for row in rows if row is not None]
    remedy = "Write 'each: {end: [left, right]}' or a list of rows '[{end: left, far: right}, …]'."
    findings.append(error("wrong-type", node.position, "'each' needs a list of rows", remedy))
    return []


def _row(node: Node) -> Row | None:
    if not isinstance(node, Mapping):
        return None
    row: Row = {}
    for key, value in node.entries:
        if not isinstance(value, Scalar):
            return None
        row[key.text] = value.text
    return row


def _replaced(node: Node, row: Row, budget: _Budget) -> Node:
    """The node with ``{name}`` replaced; positions stay those of the written text."""
    if not row:
        return node
    if isinstance(node, Scalar):
        budget.spend(node)
        return _replaced_scalar(node, row)
    if isinstance(node, Sequence):
        items = tuple(_replaced(item, row, budget) for item in node.items)
        return Sequence(items, node.position)
    entries: list[Entry] = []
    for key, value in node.entries:
        entries.append((_replaced_scalar(key, row), _replaced(value, row, budget)))
    return Mapping(tuple(entries), node.position)


def _replaced_scalar(scalar: Scalar, row: Row) -> Scalar:
    text = _replaced_text(scalar.text, row)
    if len(text) > _LONGEST_TEXT and text != scalar.text:
        message = f"'each' makes a text of {len(text):,} characters here"
        raise DesignUnreadable([error("too-large", scalar.position, message, "Write it shorter.")])
    return replace(scalar, text=text)


def _replaced_text(text: str, row: Row) -> str:
    def replacement(match: re.Match[str]) -> str:
        return row.get(match.group(1), match.group(0))

    return _REFERENCE.sub(replacement, text)


def leftover_references(node: Scalar, known: list[str]) -> Finding | None:
    """A finding when a name still holds ``{…}`` after all rows were written out."""
    match = _REFERENCE.search(node.text)
    if match is None:
        return None
    remedy = suggestion(match.group(1), known, "a column of 'each'")
    return error(
        "unknown-name", node.position, f"'{match.group(0)}' is no column of 'each'", remedy
    )

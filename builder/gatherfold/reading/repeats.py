"""``each`` groups written out: a structure that occurs several times is written once.

In: the mapping under ``pieces:`` (or ``fastenings:``).  Out: plain (key, node) entries, in order.

``each`` is a list of rows (``[{end: top, far: bottom}]``) or one list (``{end: [top, bottom]}``).
``{end}`` is then replaced in the key, in keys inside and in values.  An entry that has ``pieces:``
is a group: its members are written out for each row.
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from gatherfold.findings import Problems, suggestion
from gatherfold.reading.nodes import MappingNode, Node, Scalar, SequenceNode

Entry = tuple[Scalar, Node]
Row = dict[str, str]

#: Far beyond any design; nested groups could otherwise grow without bound.
_MOST_VALUES = 100_000
_LONGEST_TEXT = 10_000

_REFERENCE = re.compile(r"\{([a-z_][a-z0-9_]*)\}")


def write_out(written: Iterable[Entry], problems: Problems) -> list[Entry]:
    """Every entry with its ``each`` rows and groups expanded; duplicates are findings."""
    budget = _Budget(problems)
    sound = [
        entry
        for key, value in written
        for entry, columns in _expanded(key, value, (), budget)
        if _is_sound(entry, columns, problems)
    ]
    entries: dict[str, Entry] = {}
    for name, node in sound:
        if name.text in entries:
            message = f"'each' makes the name '{name.text}' more than once"
            remedy = "Put the row's name into the key, for example '{end}_strip'."
            problems.report("duplicate-key", name.position, message, remedy)
        entries.setdefault(name.text, (name, node))
    return list(entries.values())


@dataclass
class _Budget:
    """Counts what is written out, so that nested groups cannot grow without bound."""

    problems: Problems
    spent: int = 0

    def spend(self, key: Scalar) -> None:
        self.spent += 1
        if self.spent > _MOST_VALUES:
            message = f"'each' writes out more than {_MOST_VALUES:,} values"
            raise self.problems.ended("too-many", key.position, message, "Write fewer rows.")


def _is_sound(entry: Entry, columns: tuple[str, ...], problems: Problems) -> bool:
    """Reports each ``{name}`` that no column replaced, in an entry that ``each`` wrote out.

    Only an entry whose own name is whole can be read on.
    """
    key, value = entry
    if columns:
        for scalar in (key, *_scalars(value)):
            report_leftover(scalar, columns, problems)
    return not columns or _REFERENCE.search(key.text) is None


def _scalars(node: Node) -> Iterator[Scalar]:
    if isinstance(node, Scalar):
        yield node
    elif isinstance(node, SequenceNode):
        for item in node.items:
            yield from _scalars(item)
    else:
        for key, value in node.entries:
            yield key
            yield from _scalars(value)


def _expanded(
    key: Scalar, value: Node, columns: tuple[str, ...], budget: _Budget
) -> Iterator[tuple[Entry, tuple[str, ...]]]:
    """The entries that one entry stands for, each with the names of the columns it knows."""
    if not isinstance(value, MappingNode):
        yield (key, value), columns
        return
    rows_node = value.get("each")
    members = value.get("pieces")
    rest = MappingNode(
        tuple(entry for entry in value.entries if entry[0].text != "each"), value.position
    )
    rows: list[Row] = [{}] if rows_node is None else _rows(rows_node, budget.problems)
    for row in rows:
        known = (*columns, *row)
        budget.spend(key)
        if isinstance(members, MappingNode):
            for member_key, member in members.entries:
                new_key = _replaced_scalar(member_key, row)
                yield from _expanded(new_key, _replaced(member, row, budget), known, budget)
        else:
            yield (_replaced_scalar(key, row), _replaced(rest, row, budget)), known
    if isinstance(members, MappingNode):
        for name, _ in value.entries:
            if name.text not in ("each", "pieces"):
                message = f"unknown key '{name.text}'"
                remedy = "A group has only 'each' and 'pieces'."
                budget.problems.report("unknown-key", name.position, message, remedy)


def _rows(node: Node, problems: Problems) -> list[Row]:
    """A list of rows; one list of values is a column of its own."""
    match node:
        case MappingNode(entries=((name, SequenceNode(items=items)),)):
            rows = [_row(MappingNode(((name, item),), item.position)) for item in items]
        case SequenceNode(items=items):
            rows = [_row(item) for item in items]
        case _:
            rows = []
    found = [row for row in rows if row is not None]
    if not found or len(found) < len(rows):
        remedy = (
            "Write 'each: {end: [left, right]}' or a list of rows '[{end: left, far: right}, …]'."
        )
        problems.report("wrong-type", node.position, "'each' needs a list of rows", remedy)
        return []
    return found


def _row(node: Node) -> Row | None:
    """The values of a row by their columns; None where one is not a text."""
    if not isinstance(node, MappingNode):
        return None
    row = {key.text: value.text for key, value in node.entries if isinstance(value, Scalar)}
    return row if len(row) == len(node.entries) else None


def _replaced(node: Node, row: Row, budget: _Budget) -> Node:
    """The node with ``{name}`` replaced; positions stay those of the written text."""
    if not row:
        return node
    if isinstance(node, Scalar):
        budget.spend(node)
        return _replaced_scalar(node, row)
    if isinstance(node, SequenceNode):
        items = tuple(_replaced(item, row, budget) for item in node.items)
        return SequenceNode(items, node.position)
    entries = tuple(
        (_replaced_scalar(key, row), _replaced(value, row, budget)) for key, value in node.entries
    )
    return MappingNode(entries, node.position)


def _replaced_scalar(scalar: Scalar, row: Row) -> Scalar:
    text = _REFERENCE.sub(lambda match: row.get(match[1], match[0]), scalar.text)
    if len(text) > _LONGEST_TEXT and text != scalar.text:
        message = f"'each' makes a text of {len(text):,} characters here"
        raise Problems().ended("too-large", scalar.position, message, "Write it shorter.")
    return replace(scalar, text=text)


def report_leftover(scalar: Scalar, known: Iterable[str], problems: Problems) -> bool:
    """Report a text that still holds ``{…}`` after all rows were written out; whether it does."""
    match = _REFERENCE.search(scalar.text)
    if match is not None:
        message = f"'{match[0]}' is no column of 'each'"
        remedy = suggestion(match[1], known, "a column of 'each'")
        problems.report("unknown-name", scalar.position, message, remedy)
    return match is not None

"""``each`` groups written out: a structure that occurs several times is written once.

In: the mapping under ``pieces:`` (or ``fastenings:``).  Out: plain (key, node) entries, in order.

``each`` is a list of rows (``[{end: top, far: bottom}]``) or one list (``{end: [top, bottom]}``).
``{end}`` is then replaced in the key, in keys inside and in values.  An entry that has ``pieces:``
is a group: its members are written out for each row.
"""

from __future__ import annotations

import re

from builder.findings import Finding, error, suggestion
from builder.reading.nodes import Mapping, Node, Scalar, Sequence

Entry = tuple[Scalar, Node]
Row = dict[str, str]

_REFERENCE = re.compile(r"\{([a-z_][a-z0-9_]*)\}")


def write_out(node: Mapping, findings: list[Finding]) -> list[Entry]:
    """Every entry with its ``each`` rows and groups expanded; duplicates are findings."""
    entries: list[Entry] = []
    for key, value in node.entries:
        entries.extend(_expanded(key, value, findings))
    return _without_duplicates(entries, findings)


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


def _expanded(key: Scalar, value: Node, findings: list[Finding]) -> list[Entry]:
    if not isinstance(value, Mapping):
        return [(key, value)]
    rows_node = value.get("each")
    members = value.get("pieces")
    rest = Mapping(
        tuple(entry for entry in value.entries if entry[0].text != "each"), value.position
    )
    rows: list[Row] = [{}] if rows_node is None else _rows(rows_node, findings)
    entries: list[Entry] = []
    for row in rows:
        if isinstance(members, Mapping):
            for member_key, member in members.entries:
                replaced_key = _replaced(member_key, row)
                assert isinstance(replaced_key, Scalar)
                entries.extend(_expanded(replaced_key, _replaced(member, row), findings))
        else:
            replaced_key = _replaced(key, row)
            assert isinstance(replaced_key, Scalar)
            entries.append((replaced_key, _replaced(rest, row)))
    if isinstance(members, Mapping):
        for name, _ in value.entries:
            if name.text not in ("each", "pieces"):
                remedy = "A group has only 'each' and 'pieces'."
                findings.append(
                    error("unknown-key", name.position, f"unknown key '{name.text}'", remedy)
                )
    return entries


def _rows(node: Node, findings: list[Finding]) -> list[Row]:
    if isinstance(node, Mapping) and len(node.entries) == 1:
        (name, values), *_ = node.entries
        if isinstance(values, Sequence) and all(isinstance(v, Scalar) for v in values.items):
            return [{name.text: v.text} for v in values.items if isinstance(v, Scalar)]
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


def _replaced(node: Node, row: Row) -> Node:
    """The node with ``{name}`` replaced; positions stay those of the written text."""
    if not row:
        return node
    if isinstance(node, Scalar):
        return Scalar(_replaced_text(node.text, row), node.position, node.quoted)
    if isinstance(node, Sequence):
        return Sequence(tuple(_replaced(item, row) for item in node.items), node.position)
    entries: list[Entry] = []
    for key, value in node.entries:
        new_key = _replaced(key, row)
        assert isinstance(new_key, Scalar)
        entries.append((new_key, _replaced(value, row)))
    return Mapping(tuple(entries), node.position)


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

"""A design file → :class:`Design`, or :class:`DesignUnreadable` with every problem in it.

In: YAML bytes.  Out: the typed model.  Formulas are parsed here and evaluated in ``resolve``.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TypeVar

from builder.design import (
    EDITION_NAMES,
    OPERATIONS,
    SUPPLY_KINDS,
    Design,
    Expression,
    Measure,
    Step,
    Supply,
)
from builder.findings import (
    MOST_FINDINGS,
    DesignUnreadable,
    Finding,
    Position,
    error,
    stop_if_too_many,
    suggestion,
)
from builder.formulas import FormulaProblem, parse
from builder.lengths import INCH, MILLIMETRE
from builder.reading.fields import NAME_REMEDY, Fields, is_name, read_expression
from builder.reading.nodes import Mapping, Node, Scalar, decode, parse_yaml
from builder.reading.read_accepted import read_accepted
from builder.reading.read_fastenings import read_fastening
from builder.reading.read_offers import read_currency, read_offer
from builder.reading.read_pieces import read_piece
from builder.reading.read_safety import read_changes, read_safety
from builder.reading.read_sheets import read_trimmer
from builder.reading.read_stocks import read_stock
from builder.reading.read_strips import check_strips, read_strip
from builder.reading.references import check_references
from builder.reading.repeats import leftover_references, write_out
from builder.wording import LANGUAGES

_BELOW = "Write 'name: value' lines below it, indented."
_UNITS = {"inch": INCH, "millimetre": MILLIMETRE, "mm": MILLIMETRE, "in": INCH}


def read_design_file(path: Path, overrides: dict[str, str] | None = None) -> Design:
    """Read a design from disk; OSError when the file cannot be opened."""
    return read_design(path.read_bytes(), str(path), overrides)


def read_design(content: bytes, file: str, overrides: dict[str, str] | None = None) -> Design:
    """Read a design from bytes; ``overrides`` replaces the formulas of named measures."""
    root = parse_yaml(decode(content, file), file)
    findings: list[Finding] = []
    fields = Fields(root, "the design", findings)
    design = _read_root(fields, file, overrides or {})
    fields.finish()
    broken = itertools.chain(check_references(design), check_strips(design))
    findings.extend(itertools.islice(broken, MOST_FINDINGS))
    if findings:
        raise DesignUnreadable(findings)
    return design


def _read_root(fields: Fields, file: str, overrides: dict[str, str]) -> Design:
    findings = fields.findings
    unit_name = fields.choice("units", _UNITS, "")
    unit = _UNITS.get(unit_name)
    pieces = _named(fields, "pieces", lambda key, node: read_piece(key, node, findings))
    return Design(
        file=file,
        title=fields.text("title", required=True),
        subtitle=fields.text("subtitle"),
        author=fields.text("author"),
        revision=fields.text("revision", "1"),
        date=fields.text("date"),
        summary=fields.text("summary"),
        terms=fields.text("terms"),
        skill=fields.text("skill"),
        unit=unit,
        native="metric" if unit == MILLIMETRE else "imperial",
        editions=_editions(fields),
        measures=_measures(fields, overrides),
        stocks=_named(fields, "stocks", lambda key, node: read_stock(key, node, findings)),
        pieces=pieces,
        fastenings=_named(
            fields, "fastenings", lambda key, node: read_fastening(key, node, findings)
        ),
        supplies=_named(fields, "supplies", lambda key, node: _supply(key, node, findings)),
        closing=tuple(name.text for name in fields.names("closing")),
        steps=_steps(fields),
        layout=fields.text("layout", "pattern"),
        language=fields.choice("language", LANGUAGES, "en"),
        tolerance=fields.expression("tolerance"),
        accepted=tuple(
            read_accepted(node, number, findings)
            for number, node in enumerate(fields.items("accepted"), start=1)
        ),
        currency=read_currency(fields),
        safety=read_safety(fields),
        changes=read_changes(fields),
        trimmer=read_trimmer(fields),
        strips=_named(fields, "strips", lambda key, node: read_strip(key, node, findings)),
        positions={
            key: fields.key_position(key)
            for key in ("closing", "pieces", "safety", "stocks", "steps")
        },
    )


_T = TypeVar("_T")


def _named(fields: Fields, key: str, read: Callable[[Scalar, Node], _T | None]) -> dict[str, _T]:
    """The named parts under ``key``, with ``each`` written out and names checked."""
    node = fields.node(key, required=key == "pieces")
    if node is None:
        return {}
    if not isinstance(node, Mapping):
        fields.report("wrong-type", node.position, f"'{key}' needs names with values", _BELOW)
        return {}
    parts: dict[str, _T] = {}
    for name, value in write_out(node, fields.findings):
        if _is_good_name(name, fields.findings):
            part = read(name, value)
            if part is not None:
                parts[name.text] = part
    return parts


def _is_good_name(name: Scalar, findings: list[Finding]) -> bool:
    leftover = leftover_references(name, [])
    if leftover is not None:
        findings.append(leftover)
        return False
    if is_name(name.text):
        return True
    message = f"'{name.text}' cannot be a name"
    findings.append(error("bad-name", name.position, message, NAME_REMEDY))
    stop_if_too_many(findings)
    return False


def _editions(fields: Fields) -> dict[str, dict[str, Expression]]:
    editions: dict[str, dict[str, Expression]] = {}
    for name, node in fields.entries("editions"):
        if name.text not in EDITION_NAMES:
            remedy = suggestion(name.text, EDITION_NAMES)
            fields.report("unknown-key", name.position, f"no edition '{name.text}'", remedy)
            continue
        inner = Fields(node, f"edition '{name.text}'", fields.findings)
        editions[name.text] = inner.expressions(("grid",))
        inner.finish()
    return editions


def _measures(fields: Fields, overrides: dict[str, str]) -> dict[str, Measure]:
    measures: dict[str, Measure] = {}
    for name, node in fields.entries("measures"):
        if not _is_good_name(name, fields.findings):
            continue
        measure = _measure(name, node, fields.findings)
        if measure is not None:
            measures[name.text] = measure
    for name_text, text in overrides.items():
        _override(measures, name_text, text, fields.findings)
    return measures


def _override(measures: dict[str, Measure], name: str, text: str, findings: list[Finding]) -> None:
    """Replace one measure's formula by what the command line gives."""
    position = Position(f"--set {name}", 1, 1)
    if name not in measures:
        message = f"there is no measure '{name}' to set"
        findings.append(error("unknown-name", position, message, suggestion(name, measures)))
        return
    try:
        expression = Expression(parse(text), position)
    except FormulaProblem as problem:
        findings.append(error(problem.code, position, problem.message, problem.remedy))
        return
    measures[name] = replace(measures[name], expression=expression, fixed={})


def _measure(name: Scalar, node: Node, findings: list[Finding]) -> Measure | None:
    if isinstance(node, Scalar) and not node.is_missing:
        expression = read_expression(node, findings)
        if expression is None:
            return None
        return Measure(name.text, expression, False, {}, "", name.position)
    if isinstance(node, Scalar):
        message = f"measure '{name.text}' has no value"
        findings.append(error("missing-value", name.position, message, "Give it a length."))
        return None
    fields = Fields(node, f"measure '{name.text}'", findings)
    actual = fields.has("actual")
    value = fields.expression("actual" if actual else "value", required=True)
    fixed = fields.expressions(EDITION_NAMES)
    note = fields.text("note")
    fields.node("value")
    fields.finish()
    if value is None:
        return None
    return Measure(name.text, value, actual, fixed, note, name.position)


def _supply(name: Scalar, node: Node, findings: list[Finding]) -> Supply:
    fields = Fields(node, f"supply '{name.text}'", findings)
    supply = Supply(
        key=name.text,
        title=fields.text("name", name.text.replace("_", " ").capitalize()),
        kind=fields.choice("kind", SUPPLY_KINDS, "other", required=True),
        width=fields.expression("width"),
        roll=fields.expression("roll"),
        position=name.position,
        offer=read_offer(fields),
    )
    fields.finish()
    return supply


def _steps(fields: Fields) -> tuple[Step, ...]:
    steps = []
    for index, node in enumerate(fields.items("steps"), start=1):
        inner = Fields(node, f"step {index}", fields.findings)
        title = inner.text("title", required=True)
        text = inner.scalar("text", required=True)
        written = {key: inner.names(key) for key in OPERATIONS}
        in_order = {key: written[key] for key in inner.in_file_order(OPERATIONS)}
        picture = inner.scalar("picture")
        steps.append(
            Step(
                key=inner.text("key", f"step_{index}"),
                title=title,
                text="" if text is None else text.text,
                text_position=node.position if text is None else text.start,
                operations={
                    key: tuple(n.text for n in names) for key, names in in_order.items() if names
                },
                places={(key, n.text): n.position for key, names in written.items() for n in names}
                | ({} if picture is None else {("picture", picture.text): picture.position}),
                picture=None if picture is None else picture.text,
                figure=inner.choice("figure", ("yes", "no"), "yes") == "yes",
                position=node.position,
            )
        )
        inner.finish()
    return tuple(steps)

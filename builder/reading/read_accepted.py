"""``accepted:`` entries: advice that the designer leaves as it is, each with her reason."""

from __future__ import annotations

from builder.design import Accepted
from builder.findings import Finding, Position
from builder.reading.fields import Fields
from builder.reading.nodes import Node


def read_accepted(node: Node, number: int, findings: list[Finding]) -> Accepted:
    """One entry of the list; ``number`` counts from 1 and names it in messages."""
    fields = Fields(node, f"entry {number} of 'accepted'", findings)
    about = fields.scalar("about")
    entry = Accepted(
        advice=_filled(fields, "advice", "Write the advice's code, as 'check' prints it."),
        about="" if about is None else about.text.strip(),
        because=_filled(fields, "because", "Say why the advice does not hold for this design."),
        position=node.position,
        about_position=node.position if about is None else about.position,
    )
    fields.finish()
    return entry


def _filled(fields: Fields, key: str, remedy: str) -> str:
    """A text that must be there and say something."""
    scalar = fields.scalar(key, required=True)
    text = "" if scalar is None else scalar.text.strip()
    if scalar is not None and not text:
        _report_empty(fields, key, scalar.position, remedy)
    return text


def _report_empty(fields: Fields, key: str, position: Position, remedy: str) -> None:
    fields.report("missing-value", position, f"'{key}' of {fields.what} is empty", remedy)

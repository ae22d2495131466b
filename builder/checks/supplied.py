"""What the steps use must be among the supplies, and what is listed must be used."""

from __future__ import annotations

from collections.abc import Iterator

from builder.checks.report import found
from builder.choices import ADHESIVE_KINDS, is_ink
from builder.findings import Finding, Position, Severity
from builder.reading.references import NAME_IN_TEXT
from builder.resolve.resolved import ResolvedDesign
from builder.resolve.step_parts import closed_by_name


def check_supplied(resolved: ResolvedDesign) -> Iterator[Finding]:
    design = resolved.design
    used = {operation for step in design.steps for operation in step.operations}
    if not any(closed_by_name(step) for step in design.steps):
        used.discard("close")
    kinds = {supply.kind for supply in design.supplies.values()}
    start = design.positions.get("steps", Position(design.file, 1, 1))
    glues = bool(used & {"attach", "close"})
    if glues and not kinds & set(ADHESIVE_KINDS):
        message = "steps glue pieces, and no adhesive is among the supplies"
        remedy = "Add a tape or a glue under 'supplies:'."
        yield found(resolved, Severity.WARNING, "no-adhesive", start, message, remedy)
    if "ink" in used and not any(is_ink(kind) for kind in kinds):
        message = "steps ink edges, and no ink is among the supplies"
        remedy = "Add an ink under 'supplies:'."
        yield found(resolved, Severity.WARNING, "no-ink", start, message, remedy)
    named = {match for step in design.steps for match in NAME_IN_TEXT.findall(step.text)}
    for key, supply in design.supplies.items():
        by_kind = (supply.kind in ADHESIVE_KINDS and glues) or (
            is_ink(supply.kind) and "ink" in used
        )
        if not by_kind and key not in named and design.steps:
            message = f"supply '{key}' is listed, and no step uses it"
            remedy = f"Remove it, or mention [{key}] in a step."
            position = supply.position
            yield found(resolved, Severity.WARNING, "unused-supply", position, message, remedy)

"""What the steps use must be listed, what is listed must be used, and what is changed of the safety
messages must not be lost sight of.

A counted hazard that is left out gives an advice with its reason, in every check and build; so does
wording for a hazard that this design does not have, because then nobody will read it.
"""

from __future__ import annotations

from collections.abc import Iterator

from gatherfold.checks.report import FindingKind
from gatherfold.counts import counted_hazards
from gatherfold.findings import Finding, Position, Severity
from gatherfold.model.choices import ADHESIVE_KINDS, is_ink
from gatherfold.reading import NAME_IN_TEXT
from gatherfold.resolve.resolved import ResolvedDesign
from gatherfold.resolve.step_parts import closed_by_name

_NO_ADHESIVE = FindingKind(
    "no-adhesive",
    "steps glue pieces, and no adhesive is among the supplies",
    "Add a tape or a glue under 'supplies:'.",
    Severity.WARNING,
)
_NO_INK = FindingKind(
    "no-ink",
    "steps ink edges, and no ink is among the supplies",
    "Add an ink under 'supplies:'.",
    Severity.WARNING,
)
_UNUSED = FindingKind(
    "unused-supply",
    "supply '{supply}' is listed, and no step uses it",
    "Remove it, or mention [{supply}] in a step.",
    Severity.WARNING,
)
_LEFT_OUT = FindingKind(
    "hazard-left-out",
    "the safety message '{hazard}' is left out because: {because}",
    "Remove it from 'leave_out:' unless the hazard is truly absent.",
    Severity.ADVICE,
)
_IDLE = FindingKind(
    "idle-safety-message",
    "the safety messages speak of '{hazard}', which nothing in this design gives rise to",
    "Remove it, or name the tool or the supply that gives rise to it.",
    Severity.ADVICE,
)


def check_supplied(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Adhesive and ink where steps use them, and no supply that no step uses."""
    design = resolved.design
    used = {operation for step in design.steps for operation in step.operations}
    if not any(closed_by_name(step) for step in design.steps):
        used.discard("close")
    kinds = {supply.kind for supply in design.supplies.values()}
    start = design.positions.get("steps", Position(design.file, 1, 1))
    glues = bool(used & {"attach", "close"})
    if glues and not kinds & set(ADHESIVE_KINDS):
        yield _NO_ADHESIVE.found(resolved, start)
    if "ink" in used and not any(is_ink(kind) for kind in kinds):
        yield _NO_INK.found(resolved, start)
    named = {match for step in design.steps for match in NAME_IN_TEXT.findall(step.text)}
    for key, supply in design.supplies.items():
        by_kind = (supply.kind in ADHESIVE_KINDS and glues) or (
            is_ink(supply.kind) and "ink" in used
        )
        if not by_kind and key not in named and design.steps:
            yield _UNUSED.found(resolved, supply.position, supply=key)


def check_safety(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Counted hazards that are left out, and wording for hazards that are not there."""
    design = resolved.design
    counted = counted_hazards(resolved)
    for entry in design.safety.left_out:
        kind = _LEFT_OUT if entry.hazard in counted else _IDLE
        yield kind.found(resolved, entry.position, hazard=entry.hazard, because=entry.because)
    start = design.positions.get("safety", Position(design.file, 1, 1))
    for hazard in design.safety.replaced:
        if hazard not in counted:
            yield _IDLE.found(resolved, start, hazard=hazard)

"""What the steps use must be listed, what is listed must be used, and what is changed of the safety
messages must not be lost sight of.

A counted hazard that is left out gives an advice with its reason, in every check and build; so does
wording for a hazard that this design does not have, because then nobody will read it.
"""

from collections.abc import Callable, Iterator

from gatherfold.checks.report import FindingKind, finding_kind
from gatherfold.counts import counted_hazards
from gatherfold.findings import Finding, Position
from gatherfold.model import ADHESIVE_KINDS, Operation, SupplyKind, is_ink
from gatherfold.reading import NAME_IN_TEXT
from gatherfold.resolve import ResolvedDesign, closed_by_name

#: What operations use without naming it: which kinds of supplies, and what is said without any.
_SERVED: tuple[tuple[set[Operation], Callable[[SupplyKind], bool], FindingKind], ...] = (
    ({"attach", "close"}, lambda kind: kind in ADHESIVE_KINDS, finding_kind("no-adhesive")),
    ({"ink"}, is_ink, finding_kind("no-ink")),
)


def check_supplied(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Adhesive and ink where steps use them, and no supply that no step uses."""
    design = resolved.design
    used = {operation for step in design.steps for operation in step.operations}
    if not any(closed_by_name(step) for step in design.steps):
        used.discard("close")
    start = design.positions.get("steps", Position(design.file, 1, 1))
    in_use = {match for step in design.steps for match in NAME_IN_TEXT.findall(step.text)}
    for operations, serves, missing in _SERVED:
        if not used.isdisjoint(operations):
            serving = {key for key, supply in design.supplies.items() if serves(supply.kind)}
            in_use |= serving
            if not serving:
                yield missing.found(resolved, start)
    for key, supply in design.supplies.items() if design.steps else ():
        if key not in in_use:
            yield finding_kind("unused-supply").found(resolved, supply.position, supply=key)


def check_safety(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Counted hazards that are left out, and wording for hazards that are not there."""
    design = resolved.design
    counted = counted_hazards(resolved)
    for entry in design.safety.left_out:
        kind = (
            finding_kind("hazard-left-out")
            if entry.hazard in counted
            else finding_kind("idle-safety-message")
        )
        yield kind.found(resolved, entry.position, hazard=entry.hazard, because=entry.because)
    start = design.positions.get("safety", Position(design.file, 1, 1))
    for hazard in design.safety.replaced:
        if hazard not in counted:
            yield finding_kind("idle-safety-message").found(resolved, start, hazard=hazard)

"""What the designer changes about the safety messages must not be lost sight of.

A counted hazard that is left out gives an advice with its reason, in every check and build; so does
wording for a hazard that this design does not have, because then nobody will read it.
"""

from __future__ import annotations

from collections.abc import Iterator

from builder.checks.report import found
from builder.counts.tools import counted_hazards
from builder.findings import Finding, Position, Severity
from builder.resolve.resolved import ResolvedDesign


def check_safety(resolved: ResolvedDesign) -> Iterator[Finding]:
    design = resolved.design
    counted = counted_hazards(resolved)
    for left_out in design.safety.left_out:
        hazard, position = left_out.hazard, left_out.position
        if hazard in counted:
            message = f"the safety message '{hazard}' is left out because: {left_out.because}"
            remedy = "Remove it from 'leave_out:' unless the hazard is truly absent."
            yield found(resolved, Severity.ADVICE, "hazard-left-out", position, message, remedy)
        else:
            yield _idle(resolved, hazard, position)
    start = design.positions.get("safety", Position(design.file, 1, 1))
    for hazard in design.safety.replaced:
        if hazard not in counted:
            yield _idle(resolved, hazard, start)


def _idle(resolved: ResolvedDesign, hazard: str, position: Position) -> Finding:
    message = f"the safety messages speak of '{hazard}', which nothing in this design gives rise to"
    remedy = "Remove it, or name the tool or the supply that gives rise to it."
    return found(resolved, Severity.ADVICE, "idle-safety-message", position, message, remedy)

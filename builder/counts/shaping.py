"""In which step each piece is shaped: when it is cut or, where it is scored, after its scores.

In: a resolved design.  Out: a step, and the pieces that an operation of a step shapes.  A piece is
scored while it is square and lies true against the guide.
"""

from __future__ import annotations

from builder.design import Step
from builder.resolve.resolved import ResolvedDesign
from builder.resolve.step_parts import named_fastenings, named_pieces, named_strips

#: Operations after which pieces are shaped; what is scored waits for that.
_SHAPING = ("score", "cut")


def shaped_pieces(step: Step, operation: str, resolved: ResolvedDesign) -> tuple[str, ...]:
    """The pieces that get their corners, tabs, notches and holes with this operation."""
    return tuple(
        key
        for key in _worked(step, operation, resolved)
        if shaping_of(key, resolved) == (step.key, operation)
    )


def shaping_of(key: str, resolved: ResolvedDesign) -> tuple[str, str] | None:
    """The step, by its key, and the operation with which a piece is shaped; None where no step
    cuts or scores it."""
    is_scored = bool(resolved.pieces[key].scores)
    for operation in _SHAPING if is_scored else ("cut",):
        for step in resolved.design.steps:
            if key in _worked(step, operation, resolved):
                return step.key, operation
    return None


def piercing_step(fastening: str, resolved: ResolvedDesign) -> int | None:
    """The number of the step that sets a fastening, and so pierces for it."""
    for number, step in enumerate(resolved.design.steps, start=1):
        if fastening in named_fastenings(step, resolved):
            return number
    return None


def _worked(step: Step, operation: str, resolved: ResolvedDesign) -> tuple[str, ...]:
    """The pieces that an operation names; a strip that is scored in one stands for its pieces."""
    if operation not in step.operations:
        return ()
    strips = named_strips(step, "score", resolved) if operation == "score" else ()
    of_strips = [part.piece.key for key in strips for part in resolved.strips[key].parts]
    return tuple(dict.fromkeys([*named_pieces(step, operation, resolved), *of_strips]))

"""In which step each piece is shaped: when it is cut or, where it is scored, after its scores.

In: a resolved design.  Out: a step, and the pieces that an operation of a step shapes.  A piece is
scored while it is square and lies true against the guide.
"""

from collections.abc import Mapping
from functools import lru_cache
from typing import Literal

from gatherfold.model import Operation, Step
from gatherfold.resolve import (
    REMEMBERED,
    ResolvedDesign,
    named_fastenings,
    named_pieces,
    named_strips,
)

Shaping = Literal["score", "cut"]
#: Operations with which pieces are shaped, and whether that is only after their scores; what is
#: scored waits for that.
_AFTER_SCORING: dict[Shaping, bool] = {"score": True, "cut": False}


def is_after_scoring(operation: Shaping) -> bool:
    """Whether a piece is shaped when it is scored, and not as soon as it is cut."""
    return _AFTER_SCORING[operation]


def shaped_pieces(step: Step, operation: Operation, resolved: ResolvedDesign) -> tuple[str, ...]:
    """The pieces that get their corners, tabs, notches and holes with this operation."""
    shaped = _shapings(resolved)
    pieces = _worked(step, operation, resolved)
    return tuple(key for key in pieces if shaped.get(key) == (step.key, operation))


def shaping_of(key: str, resolved: ResolvedDesign) -> tuple[str, Shaping] | None:
    """The step, by its key, and the operation with which a piece is shaped; None where no step
    cuts or scores it."""
    return _shapings(resolved).get(key)


@lru_cache(maxsize=REMEMBERED)
def _shapings(resolved: ResolvedDesign) -> Mapping[str, tuple[str, Shaping]]:
    """By piece, the step and the operation of its shaping: the first that scores it or, where it
    has no scores or none is made, the first that cuts it."""
    found: dict[str, tuple[str, Shaping]] = {}
    for operation in _AFTER_SCORING:
        for step in resolved.design.steps:
            for key in _worked(step, operation, resolved):
                if not is_after_scoring(operation) or resolved.pieces[key].scores:
                    found.setdefault(key, (step.key, operation))
    return found


def piercing_step(fastening: str, resolved: ResolvedDesign) -> int | None:
    """The number of the step that sets a fastening, and so pierces for it."""
    for number, step in enumerate(resolved.design.steps, start=1):
        if fastening in named_fastenings(step, resolved):
            return number
    return None


def _worked(step: Step, operation: Operation, resolved: ResolvedDesign) -> tuple[str, ...]:
    """The pieces that an operation names; a strip that is scored in one stands for its pieces."""
    if operation not in step.operations:
        return ()
    strips = named_strips(step, "score", resolved) if operation == "score" else ()
    of_strips = [part.piece.key for key in strips for part in resolved.strips[key].parts]
    return tuple(dict.fromkeys([*named_pieces(step, operation, resolved), *of_strips]))

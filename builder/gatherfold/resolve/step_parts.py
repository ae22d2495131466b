"""What a step's names and patterns stand for: pieces in the order in which they are named, those
of one pattern in design order, and fastenings in design order."""

from collections.abc import Collection
from typing import assert_never

from gatherfold.model import Operation, Step
from gatherfold.reading import matching_names
from gatherfold.resolve.resolved import ResolvedDesign


def _named(step: Step, operation: Operation, known: Collection[str]) -> tuple[str, ...]:
    """What an operation of a step names, each once, patterns written out: in the order in which
    the maker takes it up."""
    patterns = step.operations.get(operation, ())
    return tuple(dict.fromkeys(name for each in patterns for name in matching_names(each, known)))


def named_pieces(step: Step, operation: Operation, resolved: ResolvedDesign) -> tuple[str, ...]:
    """The pieces that an operation of a step names."""
    return _named(step, operation, resolved.pieces)


def named_fastenings(step: Step, resolved: ResolvedDesign) -> tuple[str, ...]:
    """The fastenings that a step sets."""
    named = _named(step, "fasten", resolved.fastenings)
    return tuple(key for key in resolved.fastenings if key in named)


def named_strips(step: Step, operation: Operation, resolved: ResolvedDesign) -> tuple[str, ...]:
    """The strips that an operation of a step names.

    Patterns of ``score`` mean pieces; a strip is scored as one only where it is named.
    """
    match operation:
        case "divide":
            named = _named(step, operation, resolved.strips)
        case "score":
            named = step.operations.get(operation, ())
        case "cut" | "fold" | "ink" | "dry_fit" | "attach" | "close" | "open" | "fasten" | "insert":
            named = ()
        case _:
            assert_never(operation)
    return tuple(key for key in resolved.strips if key in named)


def closed_by_name(step: Step) -> tuple[str, ...]:
    """The sections, and whole pieces, that a step closes by name, in its order; not what closes
    with all the rest."""
    return tuple(name for name in step.operations.get("close", ()) if name != "all")

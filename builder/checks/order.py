"""The steps in order: cut before use, placed once, fastened before the back is hidden.

Every finding about the order names both steps and proposes a valid order, or says which step must
be divided where no order of whole steps is valid.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import assert_never

from builder.checks.order_proposal import Circle, circle, valid_order
from builder.checks.order_requirements import (
    PLACING,
    Lack,
    Operation,
    Plan,
    Reason,
    Requirement,
    requirements_of,
)
from builder.checks.report import found
from builder.design import Step
from builder.findings import Finding, Position, Severity
from builder.piece_kinds import Trait
from builder.resolve.resolved import ResolvedDesign, ResolvedStrip
from builder.resolve.step_parts import closed_by_name, named_fastenings, named_pieces, named_strips
from builder.steps import OPERATIONS
from builder.steps import Operation as OperationKind

_DOES: dict[OperationKind, str] = {
    "cut": "cuts",
    "divide": "divides",
    "score": "scores",
    "fold": "folds",
    "ink": "inks",
    "dry_fit": "dry-fits",
    "attach": "glues",
    "close": "closes",
    "open": "opens",
    "fasten": "fastens",
    "insert": "slides in",
}


def check_order(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Read the steps as operations and compare their order; a design without steps has none."""
    if not resolved.design.steps:
        return
    plan = Plan(operations_of(resolved))
    requirements, lacks = requirements_of(resolved, plan)
    yield from _out_of_order(resolved, requirements)
    yield from _lacking(resolved, lacks)
    yield from _placed_twice(resolved, plan)
    yield from _divided_twice(resolved, plan)
    yield from _not_dry_fitted(resolved, plan)
    yield from _left_undone(resolved, plan)


def operations_of(resolved: ResolvedDesign) -> Iterator[Operation]:
    """What the steps do, patterns written out."""
    for number, step in enumerate(resolved.design.steps, start=1):
        for kind in OPERATIONS:
            for name in _named(step, kind, resolved):
                yield Operation(number, kind, name)
            for name in named_strips(step, kind, resolved):
                yield from _on_strip(number, kind, resolved.strips[name])


def _named(step: Step, kind: OperationKind, resolved: ResolvedDesign) -> tuple[str, ...]:
    """The pieces, fastenings or sections that an operation of a step names; only strips are
    divided, and what is opened again needs nothing first."""
    match kind:
        case "fasten":
            return named_fastenings(step, resolved)
        case "close":
            return closed_by_name(step)
        case "divide" | "open":
            return ()
        case "cut" | "score" | "fold" | "ink" | "dry_fit" | "attach" | "insert":
            return named_pieces(step, kind, resolved)
        case _:
            assert_never(kind)


def _on_strip(number: int, kind: OperationKind, strip: ResolvedStrip) -> Iterator[Operation]:
    """A strip is divided or scored; a piece is scored with it where that makes all its scores."""
    yield Operation(number, kind, strip.key)
    if kind == "score":
        made = {(score.axis, score.at) for score in strip.scores}
        for piece in strip.pieces:
            if piece.scores and all((score.axis, score.at) in made for score in piece.scores):
                yield Operation(number, kind, piece.key, strip.key)


def _out_of_order(
    resolved: ResolvedDesign, requirements: Sequence[Requirement]
) -> Iterator[Finding]:
    broken: dict[tuple[Reason, Operation, str], Requirement] = {}
    for each in requirements:
        if not each.is_met:
            broken.setdefault((each.reason, each.earlier, each.later.name), each)
    if not broken:
        return
    advice = _advice(resolved, requirements)
    for each in broken.values():
        first, second = each.earlier, each.later
        yield found(
            resolved,
            Severity.ERROR,
            each.reason.value,
            _position(resolved, each),
            _sentence(resolved, each),
            f"{_own_remedy(each, first, second)} {advice}",
        )


def _position(resolved: ResolvedDesign, requirement: Requirement) -> Position:
    """The step that does something too early or too late; for what is hidden, the fastening."""
    reason, steps = requirement.reason, resolved.design.steps
    if reason is Reason.FASTENED_BEFORE_HIDDEN:
        return resolved.fastenings[requirement.earlier.name].source.position
    if reason in (
        Reason.SHAPED_BEFORE_PLACING,
        Reason.DRY_FIT_BEFORE_GLUE,
        Reason.SCORED_BEFORE_DIVIDING,
    ):
        return steps[requirement.earlier.step - 1].position
    return steps[requirement.later.step - 1].position


def _sentence(resolved: ResolvedDesign, requirement: Requirement) -> str:
    first, second = requirement.earlier, requirement.later
    early, late = _step(resolved, first.step), _step(resolved, second.step)
    does, name = _DOES[first.kind], first.name
    match requirement.reason:
        case Reason.SHAPED_BEFORE_PLACING:
            return f"{early} {does} '{name}', which {late} has already put in its place"
        case Reason.DRY_FIT_BEFORE_GLUE:
            return f"{early} dry-fits '{name}', which {late} has already glued"
        case Reason.LAYERS_BEFORE_FASTENING:
            return (
                f"{late} fastens '{second.name}' through '{name}', which only {early} puts in "
                "its place"
            )
        case Reason.FASTENED_BEFORE_HIDDEN:
            return (
                f"{late} {_DOES[second.kind]} '{second.name}' over the place where {early} "
                f"fastens '{name}'"
            )
        case Reason.DIVIDED_BEFORE_USE:
            return (
                f"{late} {_DOES[second.kind]} '{second.name}', and only {early} divides the strip "
                f"'{name}' that it is cut in"
            )
        case Reason.SCORED_BEFORE_DIVIDING:
            return f"{early} scores strip '{name}', which {late} has already divided"
        case Reason.PLACED_BEFORE_CLOSED:
            return f"{late} closes '{second.name}' for good, and only {early} glues '{name}' inside"
        case Reason.POCKET_BEFORE_INSERT:
            return f"{late} slides in '{second.name}', and only {early} puts '{name}' in its place"
        case _:
            return f"{late} {_DOES[second.kind]} '{second.name}', and only {early} {does} it"


def _own_remedy(requirement: Requirement, first: Operation, second: Operation) -> str:
    if requirement.divides_step:
        return f"Within a step a maker {_DOES[second.kind]} before she {_DOES[first.kind]}."
    if requirement.reason is Reason.FASTENED_BEFORE_HIDDEN:
        return f"Fasten '{first.name}' before step {second.step}."
    if requirement.reason in (Reason.POCKET_BEFORE_INSERT, Reason.LAYERS_BEFORE_FASTENING):
        return f"Put '{first.name}' in its place before step {second.step}."
    return f"Do it before step {second.step}."


def _step(resolved: ResolvedDesign, number: int) -> str:
    return f"step {number} ({resolved.design.steps[number - 1].title})"


def _advice(resolved: ResolvedDesign, requirements: Sequence[Requirement]) -> str:
    order = valid_order(len(resolved.design.steps), requirements)
    if order is not None:
        return f"A valid order: {', '.join(str(step) for step in order)}."
    ring = circle(requirements)
    assert ring is not None
    return _divided(ring)


def _divided(ring: Circle) -> str:
    """Which step is divided, and what leaves it."""
    by_way = f" by way of {', '.join(str(step) for step in ring.between)}" if ring.between else ""
    if ring.step == ring.other:
        need = f"Step {ring.step} does two things that need each other"
    else:
        need = f"Steps {ring.step} and {ring.other} need each other{by_way}, so no order is valid"
    if not ring.moved:
        return f"{need}, and dividing a step does not help: take one of its pieces out."
    by_kind: dict[str, list[str]] = {}
    for operation in ring.moved:
        by_kind.setdefault(operation.kind, []).append(operation.name)
    moved = "; ".join(f"{kind}: {', '.join(names)}" for kind, names in by_kind.items())
    where = "it" if ring.after == ring.step else f"step {ring.after}"
    if ring.step == ring.other:
        return f"Divide step {ring.step}: move '{moved}' to a new step after {where}."
    return f"{need}: divide step {ring.step} and move '{moved}' to a new step after {where}."


def _lacking(resolved: ResolvedDesign, lacks: Sequence[Lack]) -> Iterator[Finding]:
    """Operations that need an earlier one which no step carries out."""
    once = {(lack.reason, lack.name, lack.operation.name): lack for lack in reversed(lacks)}
    for lack in reversed(once.values()):
        step = _step(resolved, lack.operation.step)
        does, name = _DOES[lack.operation.kind], lack.operation.name
        if lack.reason is Reason.CUT_BEFORE_USE:
            message = f"{step} uses '{name}', and no step cuts it"
            remedy = f"Add '{name}' to 'cut:' of an earlier step."
        elif lack.reason in (Reason.SCORED_BEFORE_FOLDING, Reason.SCORED_BEFORE_CLOSED):
            message = f"{step} {does} '{name}', and no step scores it"
            remedy = f"Add '{lack.name}' to 'score:' of this step or an earlier one."
        elif lack.reason is Reason.SCORED_BEFORE_DIVIDING:
            message = f"{step} scores strip '{name}', and no step divides it after that"
            remedy = f"Add '{name}' to 'divide:' of this step or a later one."
        elif lack.reason is Reason.POCKET_BEFORE_INSERT:
            message = f"{step} {does} '{name}', and no step puts '{lack.name}' in its place"
            remedy = f"Put '{lack.name}' in its place before step {lack.operation.step}."
        else:
            message = f"{step} {does} '{name}' through '{lack.name}', which no step places"
            remedy = f"Attach '{lack.name}' in this step or an earlier one."
        position = resolved.design.steps[lack.operation.step - 1].position
        yield found(resolved, Severity.ERROR, lack.reason.value, position, message, remedy)


def _placed_twice(resolved: ResolvedDesign, plan: Plan) -> Iterator[Finding]:
    for key in resolved.pieces:
        yield from _done_twice(resolved, "placed", f"'{key}'", plan.placings(key))


def _divided_twice(resolved: ResolvedDesign, plan: Plan) -> Iterator[Finding]:
    for key in resolved.strips:
        yield from _done_twice(resolved, "divided", f"strip '{key}'", plan.of("divide", key))


def _done_twice(
    resolved: ResolvedDesign, done: str, what: str, operations: Sequence[Operation]
) -> Iterator[Finding]:
    """``placed-twice`` or ``divided-twice`` for every time after the first."""
    for operation in operations[1:]:
        yield found(
            resolved,
            Severity.ERROR,
            f"{done}-twice",
            resolved.design.steps[operation.step - 1].position,
            f"{what} is {done} in {_step(resolved, operations[0].step)} and again in "
            f"{_step(resolved, operation.step)}",
            "Keep it in one of them.",
        )


def _not_dry_fitted(resolved: ResolvedDesign, plan: Plan) -> Iterator[Finding]:
    for glued in plan.operations:
        if glued.kind != "attach" or plan.first("dry_fit", glued.name) is not None:
            continue
        source = resolved.pieces[glued.name].source
        if source.has(Trait.HARD_TO_MOVE):
            yield found(
                resolved,
                Severity.ADVICE,
                "no-dry-fit",
                resolved.design.steps[glued.step - 1].position,
                f"{_step(resolved, glued.step)} glues {source.kind} '{glued.name}' without a "
                "dry fit",
                f"Add '{glued.name}' to 'dry_fit:' of this step.",
            )


def _left_undone(resolved: ResolvedDesign, plan: Plan) -> Iterator[Finding]:
    used = {operation.name for operation in plan.operations if operation.kind != "fasten"}
    for key, piece in resolved.pieces.items():
        position = piece.source.position
        if key not in used:
            message = f"no step cuts '{key}'"
            remedy = "Add it to 'cut:' of a step."
            yield found(resolved, Severity.ERROR, "never-cut", position, message, remedy)
        if piece.scores and plan.first("score", key) is None:
            message = f"'{key}' has score lines, and no step scores it"
            remedy = "Add it to 'score:' of a step."
            yield found(resolved, Severity.ERROR, "never-scored", position, message, remedy)
        if piece.source.placement is not None and not plan.placings(key):
            message = f"no step puts '{key}' in its place"
            remedy = f"Add it to '{PLACING[0]}:' or '{PLACING[1]}:' of a step."
            yield found(resolved, Severity.ERROR, "never-placed", position, message, remedy)
    for key, fastening in resolved.fastenings.items():
        if plan.first("fasten", key) is None:
            message = f"no step fastens '{key}'"
            remedy = "Add it to 'fasten:' of a step."
            position = fastening.source.position
            yield found(resolved, Severity.ERROR, "never-fastened", position, message, remedy)

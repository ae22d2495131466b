"""The steps in order: cut before use, placed once, fastened before the back is hidden.

Every finding about the order names both steps and proposes a valid order, or says which step must
be divided where no order of whole steps is valid.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import assert_never

from gatherfold.checks.making.proposal import StepCircle, circle, valid_order, written_anew
from gatherfold.checks.making.requirements import (
    PLACING,
    Lack,
    Operation,
    Reason,
    Requirement,
    StepPlan,
    requirements_of,
)
from gatherfold.checks.making.stages import numbered_step
from gatherfold.checks.report import FindingKind, finding_kind
from gatherfold.findings import Finding
from gatherfold.geometry import Axis
from gatherfold.model import Operation as OperationKind, Step, Trait
from gatherfold.resolve import (
    ResolvedDesign,
    ResolvedPiece,
    ResolvedStrip,
    closed_by_name,
    named_fastenings,
    named_pieces,
    named_strips,
)

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

#: What is said of two operations that come the wrong way round: the first ``does`` what the second
#: ``needs``, in steps ``early`` and ``late``.
_DONE_LATER = "{late} {needs} '{second}', and only {early} {does} it"
_SENTENCES: dict[Reason, str] = {
    Reason.SHAPED_BEFORE_PLACING: "{early} {does} '{first}', which {late} has already put in its "
    "place",
    Reason.DRY_FIT_BEFORE_GLUE: "{early} dry-fits '{first}', which {late} has already glued",
    Reason.LAYERS_BEFORE_FASTENING: "{late} fastens '{second}' through '{first}', which only "
    "{early} puts in its place",
    Reason.FASTENED_BEFORE_HIDDEN: "{late} {needs} '{second}' over the place where {early} fastens "
    "'{first}'",
    Reason.DIVIDED_BEFORE_USE: "{late} {needs} '{second}', and only {early} divides the strip "
    "'{first}' that it is cut in",
    Reason.SCORED_BEFORE_DIVIDING: "{early} scores strip '{first}', which {late} has already "
    "divided",
    Reason.PLACED_BEFORE_CLOSED: "{late} closes '{second}' for good, and only {early} glues "
    "'{first}' inside",
    Reason.POCKET_BEFORE_INSERT: "{late} slides in '{second}', and only {early} puts '{first}' in "
    "its place",
}
_DO_BEFORE = "Do it before step {step}."
_PLACE_BEFORE = "Put '{first}' in its place before step {step}."
_REMEDIES: dict[Reason, str] = {
    Reason.FASTENED_BEFORE_HIDDEN: "Fasten '{first}' before step {step}.",
    Reason.POCKET_BEFORE_INSERT: _PLACE_BEFORE,
    Reason.LAYERS_BEFORE_FASTENING: _PLACE_BEFORE,
}
#: What is done too late, of which the earlier step is told.
_TOLD_EARLY = (
    Reason.SHAPED_BEFORE_PLACING,
    Reason.DRY_FIT_BEFORE_GLUE,
    Reason.SCORED_BEFORE_DIVIDING,
)
_UNSCORED = (
    "{step} {does} '{name}', and no step scores it",
    "Add '{needed}' to 'score:' of this step or an earlier one.",
)
#: What is said of an operation that needs another one, which no step carries out.
_LACKS: dict[Reason, tuple[str, str]] = {
    Reason.CUT_BEFORE_USE: (
        "{step} uses '{name}', and no step cuts it",
        "Add '{name}' to 'cut:' of an earlier step.",
    ),
    Reason.SCORED_BEFORE_FOLDING: _UNSCORED,
    Reason.SCORED_BEFORE_CLOSED: _UNSCORED,
    Reason.SCORED_BEFORE_DIVIDING: (
        "{step} scores strip '{name}', and no step divides it after that",
        "Add '{name}' to 'divide:' of this step or a later one.",
    ),
    Reason.POCKET_BEFORE_INSERT: (
        "{step} {does} '{name}', and no step puts '{needed}' in its place",
        "Put '{needed}' in its place before step {number}.",
    ),
    Reason.LAYERS_BEFORE_FASTENING: (
        "{step} {does} '{name}' through '{needed}', which no step places",
        "Attach '{needed}' in this step or an earlier one.",
    ),
}


def check_order(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Read the steps as operations and compare their order; a design without steps has none."""
    if not resolved.design.steps:
        return
    plan = StepPlan(operations_of(resolved))
    requirements, lacks = requirements_of(resolved, plan)
    yield from _out_of_order(resolved, requirements)
    yield from _lacking(resolved, lacks)
    yield from _done_twice(resolved, plan)
    yield from _not_dry_fitted(resolved, plan)
    yield from _left_undone(resolved, plan)


def operations_of(resolved: ResolvedDesign) -> Iterator[Operation]:
    """What the steps do, patterns written out."""
    for number, step in enumerate(resolved.design.steps, start=1):
        for place, kind in enumerate(step.operations):
            for name in _named(step, kind, resolved):
                yield Operation(number, kind, name, place=place)
            for name in named_strips(step, kind, resolved):
                for operation in _on_strip(number, kind, resolved.strips[name]):
                    yield replace(operation, place=place)


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
    for piece in strip.pieces if kind == "score" else ():
        if piece.scores and _lines_of(piece) <= _lines_of(strip):
            yield Operation(number, kind, piece.key, strip.key)


def _lines_of(scored: ResolvedPiece | ResolvedStrip) -> set[tuple[Axis, Fraction]]:
    return {(score.axis, score.at) for score in scored.scores}


def _out_of_order(
    resolved: ResolvedDesign, requirements: Sequence[Requirement]
) -> Iterator[Finding]:
    broken: dict[tuple[Reason, Operation, str], Requirement] = {}
    for each in requirements:
        if not each.is_met:
            broken.setdefault((each.reason, each.earlier, each.later.name), each)
    if broken:
        advice = _advice(resolved, requirements)
        for each in broken.values():
            yield _too_late(resolved, each, advice)


def _too_late(resolved: ResolvedDesign, requirement: Requirement, advice: str) -> Finding:
    """At the step that does something too early or too late; for what is hidden, the fastening."""
    first, second, reason = requirement.earlier, requirement.later, requirement.reason
    steps = resolved.design.steps
    position = steps[(first if reason in _TOLD_EARLY else second).step - 1].position
    if reason is Reason.FASTENED_BEFORE_HIDDEN:
        position = resolved.fastenings[first.name].source.position
    sentence, remedy = _SENTENCES.get(reason, _DONE_LATER), _REMEDIES.get(reason, _DO_BEFORE)
    if requirement.divides_step:
        remedy = "What a step does is done in the order in which it is written."
    return FindingKind(reason.value, sentence, f"{remedy} {{advice}}").found(
        resolved,
        position,
        early=numbered_step(resolved, first.step),
        late=numbered_step(resolved, second.step),
        does=_DOES[first.kind],
        needs=_DOES[second.kind],
        first=first.name,
        second=second.name,
        step=second.step,
        advice=advice,
    )


def _advice(resolved: ResolvedDesign, requirements: Sequence[Requirement]) -> str:
    rewritten = written_anew(requirements)
    advice = [
        f"Write in step {step}: {', '.join(kinds)}, in this order."
        for step, kinds in rewritten.items()
    ]
    left = [
        each for each in requirements if not each.divides_step or each.earlier.step not in rewritten
    ]
    if all(each.is_met for each in left):
        return " ".join(advice)
    order = valid_order(len(resolved.design.steps), left)
    if order is not None:
        return " ".join([*advice, f"A valid order: {', '.join(str(step) for step in order)}."])
    ring = circle(left)
    assert ring is not None
    return " ".join([*advice, _divided(ring)])


def _divided(ring: StepCircle) -> str:
    """Which step is divided, and what leaves it."""
    need = _need_each_other(ring)
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


def _need_each_other(ring: StepCircle) -> str:
    if ring.step == ring.other:
        return f"Step {ring.step} does two things that need each other"
    by_way = f" by way of {', '.join(str(step) for step in ring.between)}" if ring.between else ""
    return f"Steps {ring.step} and {ring.other} need each other{by_way}, so no order is valid"


def _lacking(resolved: ResolvedDesign, lacks: Sequence[Lack]) -> Iterator[Finding]:
    """Operations that need an earlier one which no step carries out."""
    once = {(lack.reason, lack.name, lack.operation.name): lack for lack in reversed(lacks)}
    for lack in reversed(once.values()):
        number = lack.operation.step
        yield FindingKind(lack.reason.value, *_LACKS[lack.reason]).found(
            resolved,
            resolved.design.steps[number - 1].position,
            step=numbered_step(resolved, number),
            number=number,
            does=_DOES[lack.operation.kind],
            name=lack.operation.name,
            needed=lack.name,
        )


def _done_twice(resolved: ResolvedDesign, plan: StepPlan) -> Iterator[Finding]:
    """What is placed or divided, for every time after the first."""
    done = [("placed", f"'{key}'", plan.of(key, *PLACING)) for key in resolved.pieces]
    done += [("divided", f"strip '{key}'", [*plan.of(key, "divide")]) for key in resolved.strips]
    for word, what, times in done:
        kind = replace(finding_kind("twice"), code=f"{word}-twice")
        for operation in times[1:]:
            yield kind.found(
                resolved,
                resolved.design.steps[operation.step - 1].position,
                what=what,
                done=word,
                first=numbered_step(resolved, times[0].step),
                again=numbered_step(resolved, operation.step),
            )


def _not_dry_fitted(resolved: ResolvedDesign, plan: StepPlan) -> Iterator[Finding]:
    for glued in plan.of_kind("attach"):
        source = resolved.pieces[glued.name].source
        if source.has(Trait.HARD_TO_MOVE) and plan.first(glued.name, "dry_fit") is None:
            position = resolved.design.steps[glued.step - 1].position
            step = numbered_step(resolved, glued.step)
            yield finding_kind("no-dry-fit").found(
                resolved, position, step=step, kind=source.kind, name=glued.name
            )


def _left_undone(resolved: ResolvedDesign, plan: StepPlan) -> Iterator[Finding]:
    for piece in resolved.pieces.values():
        for code, is_left in _LEFT_UNDONE.items():
            if is_left(plan, piece):
                yield finding_kind(code).found(resolved, piece)
    for key, fastening in resolved.fastenings.items():
        if plan.first(key, "fasten") is None:
            yield finding_kind("never-fastened").found(resolved, fastening)


def _is_never_used(plan: StepPlan, piece: ResolvedPiece) -> bool:
    return piece.key not in plan.used


def _is_never_scored(plan: StepPlan, piece: ResolvedPiece) -> bool:
    return bool(piece.scores) and plan.first(piece.key, "score") is None


def _is_never_placed(plan: StepPlan, piece: ResolvedPiece) -> bool:
    return piece.source.placement is not None and not plan.of(piece.key, *PLACING)


#: What no step does to a piece that needs it.
_LEFT_UNDONE: dict[str, Callable[[StepPlan, ResolvedPiece], bool]] = {
    "never-cut": _is_never_used,
    "never-scored": _is_never_scored,
    "never-placed": _is_never_placed,
}

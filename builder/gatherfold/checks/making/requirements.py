"""What must be done before what, as data: pairs of operations of the steps, each with a reason.

In: the operations in the order of the steps.  Out: requirements between those that are there, and
lacks: operations that need an earlier one which no step carries out.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from enum import Enum
from functools import cached_property
from itertools import product

from gatherfold.geometry import common
from gatherfold.model import Operation as OperationKind
from gatherfold.reading import matching_names
from gatherfold.resolve import ResolvedDesign
from gatherfold.work import (
    Assembly,
    Crease,
    FaceKey,
    FoldKey,
    Stack,
    Work,
    glued_down,
    host_side,
    placed,
    stack_in,
    unfolded_at,
    work_of,
)

PLACING: tuple[OperationKind, ...] = ("attach", "insert")
_USES: tuple[OperationKind, ...] = ("divide", "score", "fold", "ink", "dry_fit", *PLACING)


class Reason(Enum):
    """Why one operation comes before another; the value is the code of the finding."""

    CUT_BEFORE_USE = "used-before-cut"
    DIVIDED_BEFORE_USE = "used-before-divided"
    SCORED_BEFORE_DIVIDING = "strip-scored-too-late"
    SCORED_BEFORE_FOLDING = "folded-before-scored"
    SHAPED_BEFORE_PLACING = "too-late"
    DRY_FIT_BEFORE_GLUE = "dry-fit-too-late"
    POCKET_BEFORE_INSERT = "pocket-not-there"
    LAYERS_BEFORE_FASTENING = "layer-not-there"
    FASTENED_BEFORE_HIDDEN = "fastened-too-late"
    SCORED_BEFORE_CLOSED = "closed-before-scored"
    PLACED_BEFORE_CLOSED = "closed-too-early"


@dataclass(frozen=True)
class Operation:
    """One thing done in a step: ``kind`` is a key of OPERATIONS, ``name`` a piece, a fastening or a
    strip.  ``strip`` is the one that a piece is still part of, if it is worked on in it; ``place``
    counts the kinds that its step writes before it."""

    step: int
    kind: OperationKind
    name: str
    strip: str = ""
    place: int = 0

    @property
    def when(self) -> tuple[int, int]:
        """Steps go by number; within a step operations go in the order in which it writes them."""
        return self.step, self.place


@dataclass(frozen=True)
class Requirement:
    """``earlier`` is done before ``later``, or at the same time."""

    earlier: Operation
    later: Operation
    reason: Reason

    @property
    def is_met(self) -> bool:
        return not self.divides_step and self.earlier.step <= self.later.step

    @property
    def divides_step(self) -> bool:
        """Whether one step holds both, the wrong way round."""
        return self.earlier.step == self.later.step and self.earlier.when > self.later.when


@dataclass(frozen=True)
class Lack:
    """``operation`` needs something done to ``name`` first, and no step does it."""

    operation: Operation
    name: str
    reason: Reason


class StepPlan:
    """All operations of a design in the order of its steps, found by name and kind."""

    def __init__(self, operations: Iterable[Operation]) -> None:
        self.operations = sorted(operations, key=lambda operation: operation.when)
        self._found: dict[tuple[OperationKind, str], list[Operation]] = {}
        for operation in self.operations:
            self._found.setdefault((operation.kind, operation.name), []).append(operation)

    @cached_property
    def used(self) -> frozenset[str]:
        """The pieces and strips that anything is done to."""
        return frozenset(each.name for each in self.operations if each.kind != "fasten")

    def of(self, name: str, *kinds: OperationKind) -> list[Operation]:
        """Every time that something is done so, the first one first."""
        found = [each for kind in kinds for each in self._found.get((kind, name), ())]
        return sorted(found, key=lambda operation: operation.when)

    def first(self, name: str, *kinds: OperationKind) -> Operation | None:
        """The first time that something is done so."""
        return next(iter(self.of(name, *kinds)), None)

    def of_kind(self, kind: OperationKind) -> list[Operation]:
        """All that is done so."""
        return [operation for operation in self.operations if operation.kind == kind]


def requirements_of(
    resolved: ResolvedDesign, plan: StepPlan
) -> tuple[tuple[Requirement, ...], tuple[Lack, ...]]:
    """Everything that the design asks of the order of its operations."""
    found = [each for rule in _RULES for each in rule(resolved, plan)]
    return (
        tuple(each for each in found if isinstance(each, Requirement)),
        tuple(each for each in found if isinstance(each, Lack)),
    )


def _need(
    earlier: Operation | None, later: Operation, name: str, reason: Reason
) -> Requirement | Lack:
    return Lack(later, name, reason) if earlier is None else Requirement(earlier, later, reason)


def _before_use(resolved: ResolvedDesign, plan: StepPlan) -> Iterator[Requirement | Lack]:
    """A piece is cut, and its strip divided, before it is worked on."""
    for use in plan.operations:
        if use.kind in _USES:
            strip = resolved.strips.get(use.name)
            for name in (use.name,) if strip is None else strip.source.pieces:
                yield _need(plan.first(name, "cut"), use, name, Reason.CUT_BEFORE_USE)
            yield from _divided(resolved, plan, use)


def _divided(resolved: ResolvedDesign, plan: StepPlan, use: Operation) -> Iterator[Requirement]:
    """Before use, unless the piece is scored with the strip.  A strip that no step divides is
    divided as soon as it is cut."""
    own = None if use.strip else resolved.strip_of(use.name)
    divide = None if own is None else plan.first(own.key, "divide")
    if divide is not None:
        yield Requirement(divide, use, Reason.DIVIDED_BEFORE_USE)


def _scored_before_dividing(
    resolved: ResolvedDesign, plan: StepPlan
) -> Iterator[Requirement | Lack]:
    for key in resolved.strips:
        divide, reason = plan.first(key, "divide"), Reason.SCORED_BEFORE_DIVIDING
        for score in plan.of(key, "score"):
            yield Lack(score, key, reason) if divide is None else Requirement(score, divide, reason)


def _scored_before_folding(_: ResolvedDesign, plan: StepPlan) -> Iterator[Requirement | Lack]:
    for fold in plan.of_kind("fold"):
        yield _need(plan.first(fold.name, "score"), fold, fold.name, Reason.SCORED_BEFORE_FOLDING)


def _scored_before_closing(
    resolved: ResolvedDesign, plan: StepPlan
) -> Iterator[Requirement | Lack]:
    for close in plan.of_kind("close"):
        for piece in matching_names(close.name.partition(".")[0], resolved.pieces):
            if resolved.pieces[piece].scores:
                yield _need(plan.first(piece, "score"), close, piece, Reason.SCORED_BEFORE_CLOSED)


def _before_placing(resolved: ResolvedDesign, plan: StepPlan) -> Iterator[Requirement]:
    """Scoring and inking, each time, the first folding and a dry fit come before a piece is placed
    for good."""
    for key in resolved.pieces:
        shaping = [*plan.of(key, "score"), *plan.of(key, "fold")[:1], *plan.of(key, "ink")]
        for operation, placing in product(shaping, plan.of(key, *PLACING)):
            yield Requirement(operation, placing, Reason.SHAPED_BEFORE_PLACING)
        dry_fit, glued = plan.first(key, "dry_fit"), plan.first(key, "attach")
        if dry_fit is not None and glued is not None:
            yield Requirement(dry_fit, glued, Reason.DRY_FIT_BEFORE_GLUE)


def _pocket_placed(resolved: ResolvedDesign, plan: StepPlan) -> Iterator[Requirement | Lack]:
    """A pocket that lies on something is in its place before anything is slid into it."""
    for insert in plan.of_kind("insert"):
        host, *carriers = resolved.hosts_of(insert.name) or [""]
        if carriers:
            yield _need(plan.first(host, *PLACING), insert, host, Reason.POCKET_BEFORE_INSERT)


def _layers_placed(resolved: ResolvedDesign, plan: StepPlan) -> Iterator[Requirement | Lack]:
    """Layers are in their place before they are fastened."""
    for fasten in plan.of_kind("fasten"):
        through = resolved.fastenings[fasten.name].source.through
        base = _base_of(resolved, through)
        for layer in (each for each in through if each != base and resolved.hosts_of(each)):
            placed = plan.first(layer, *PLACING)
            yield _need(placed, fasten, layer, Reason.LAYERS_BEFORE_FASTENING)


def _placed_before_closing(resolved: ResolvedDesign, plan: StepPlan) -> Iterator[Requirement]:
    """What is glued under a section is there before that is closed flat for good."""
    closed = work_of(resolved).closed
    for close in plan.of_kind("close"):
        piece, _, section = close.name.partition(".")
        fold = FoldKey(piece, section)
        if closed.angle(fold) == 180 and closed.is_locked(fold):
            for key in _under(resolved, closed, fold):
                for placing in plan.of(key, *PLACING):
                    yield Requirement(placing, close, Reason.PLACED_BEFORE_CLOSED)


def _fastened_before_hidden(resolved: ResolvedDesign, plan: StepPlan) -> Iterator[Requirement]:
    """What lies over the head or the prongs comes after them, or it hides them unset."""
    fastenings = resolved.fastenings
    if not any(fastening.source.through for fastening in fastenings.values()):
        return
    work = _without_steps(work_of(resolved))
    for key, fastening in fastenings.items():
        fasten, stack = plan.first(key, "fasten"), stack_in(work, work.opened, key)
        if fasten is not None and stack is not None:
            base = _base_of(resolved, fastening.source.through)
            hiding = (_link(resolved, base, piece) for piece in _hiding(resolved, stack, base))
            for placing in (each for piece in hiding for each in plan.of(piece, *PLACING)):
                yield Requirement(fasten, placing, Reason.FASTENED_BEFORE_HIDDEN)


def _without_steps(work: Work) -> Work:
    """What lies at the places of the fastenings, whatever the steps have laid over what: they may
    be in a wrong order."""
    resolved = work.parts.resolved
    there = set(unfolded_at(work.parts, resolved.fastenings.values()))
    there |= {host for piece in there for host in resolved.hosts_of(piece)}
    pieces = {key: piece for key, piece in resolved.pieces.items() if key in there}
    return placed(replace(resolved, pieces=pieces))


def _under(resolved: ResolvedDesign, closed: Assembly, fold: FoldKey) -> Iterator[str]:
    """The pieces glued under a section that is closed, on it or on what it is folded over."""
    crease = closed.creases[fold]
    for piece in resolved.pieces.values():
        placement = piece.source.placement
        is_there = FaceKey(piece.key, piece.by) in closed.plates and bool(piece.glue.edges)
        if placement is None or not is_there or host_side(placement.relation) != crease.inner:
            continue
        host = FaceKey(placement.host, piece.host_face)
        if host == crease.hanging or (
            host == crease.staying and _is_shut_under(closed, crease, FaceKey(piece.key, piece.by))
        ):
            yield piece.key


def _is_shut_under(closed: Assembly, crease: Crease, face: FaceKey) -> bool:
    """Whether a section closes over a face on what it is folded over: all of it, or some.

    What reaches beyond one that is glued down all over may lie on it, as a lining on turn-ins.
    """
    section, own = closed.plates[crease.hanging].bounds, closed.plates[face].bounds
    shared = common(section, own)
    is_some = shared is not None and crease.hanging not in glued_down(closed)
    return is_some or shared == own


#: What each asks of the order, in the order in which findings tell of it.
_RULES: tuple[Callable[[ResolvedDesign, StepPlan], Iterator[Requirement | Lack]], ...] = (
    _before_use,
    _scored_before_dividing,
    _scored_before_folding,
    _scored_before_closing,
    _before_placing,
    _pocket_placed,
    _layers_placed,
    _placed_before_closing,
    _fastened_before_hidden,
)


def _base_of(resolved: ResolvedDesign, through: Sequence[str]) -> str | None:
    """The one of the pierced pieces that all others lie on, in the end; None where there is none.

    They can be fastened to one another before that piece goes in its own place.
    """
    pierced = (each for each in through if _carries_all(resolved, each, through))
    return next(pierced, None)


def _carries_all(resolved: ResolvedDesign, piece: str, others: Sequence[str]) -> bool:
    return all(piece in (other, *resolved.hosts_of(other)) for other in others)


def _link(resolved: ResolvedDesign, base: str | None, piece: str) -> str:
    """What must be placed for a piece to lie over the stack: what carries the stack where the
    stack lies on the piece, else the piece itself."""
    carriers = _carriers(resolved, base)
    return carriers[carriers.index(piece) - 1] if piece in carriers[1:] else piece


def _carriers(resolved: ResolvedDesign, base: str | None) -> tuple[str, ...]:
    """The piece that a stack lies on, what that lies on, and so on."""
    return () if base is None else (base, *resolved.hosts_of(base))


def _hiding(resolved: ResolvedDesign, stack: Stack, base: str | None) -> Iterator[str]:
    """The pieces that lie over the place of a fastening, outside its stack or in it.

    What lies on another such piece is left out: it may be glued to that one at any time.
    """
    carriers = _carriers(resolved, base)[1:]
    # What it passes and does not go through was laid there too early.
    covers = dict.fromkeys(face.piece for face in (*stack.outside, *stack.between))
    # What carries the stack hides it as soon as the stack lies on it: the nearest comes first.
    yield from [piece for piece in carriers if piece in covers][:1]
    met = {*covers, *(face.piece for face in stack.through)}
    for piece in (each for each in covers if each not in carriers):
        below = resolved.hosts_of(piece)
        if below and next((host for host in below if host in met), None) not in covers:
            yield piece

"""What must be done before what, as data: pairs of operations of the steps, each with a reason.

In: the operations in the order of the steps.  Out: requirements between those that are there, and
lacks: operations that need an earlier one which no step carries out.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from enum import Enum
from itertools import product

from gatherfold.geometry import common
from gatherfold.model import Operation as OperationKind
from gatherfold.reading import matching_names
from gatherfold.resolve import ResolvedDesign
from gatherfold.work import (
    Assembly,
    FaceKey,
    FoldKey,
    Stack,
    glued_down,
    host_side,
    stack_in,
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
    """A piece is cut, and its strip divided, before it is worked on, unless it is scored with the
    strip.  A strip that no step divides is divided as soon as it is cut."""
    for use in plan.operations:
        if use.kind not in _USES:
            continue
        strip, own = resolved.strips.get(use.name), resolved.strip_of(use.name)
        for name in (use.name,) if strip is None else strip.source.pieces:
            yield _need(plan.first(name, "cut"), use, name, Reason.CUT_BEFORE_USE)
        divide = None if own is None or use.strip else plan.first(own.key, "divide")
        if divide is not None:
            yield Requirement(divide, use, Reason.DIVIDED_BEFORE_USE)


def _scored(resolved: ResolvedDesign, plan: StepPlan) -> Iterator[Requirement | Lack]:
    """Before a strip is divided, and before a piece is folded or closed."""
    for key in resolved.strips:
        divide, reason = plan.first(key, "divide"), Reason.SCORED_BEFORE_DIVIDING
        for score in plan.of(key, "score"):
            yield Lack(score, key, reason) if divide is None else Requirement(score, divide, reason)
    for fold in plan.of_kind("fold"):
        yield _need(plan.first(fold.name, "score"), fold, fold.name, Reason.SCORED_BEFORE_FOLDING)
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


def _placed(resolved: ResolvedDesign, plan: StepPlan) -> Iterator[Requirement | Lack]:
    """A pocket before what is slid into it, layers before they are fastened, and what is glued
    under a section before that is closed flat for good."""
    for insert in plan.of_kind("insert"):
        host, *carriers = resolved.hosts_of(insert.name) or [""]
        if carriers:
            yield _need(plan.first(host, *PLACING), insert, host, Reason.POCKET_BEFORE_INSERT)
    for fasten in plan.of_kind("fasten"):
        through = resolved.fastenings[fasten.name].source.through
        for layer in through:
            if resolved.hosts_of(layer) and layer != _base_of(resolved, through):
                placed = plan.first(layer, *PLACING)
                yield _need(placed, fasten, layer, Reason.LAYERS_BEFORE_FASTENING)
    closed = work_of(resolved).closed
    for close in plan.of_kind("close"):
        piece, _, section = close.name.partition(".")
        fold = FoldKey(piece, section)
        if closed.angle(fold) == 180 and closed.is_locked(fold):
            under = _under(resolved, closed, fold)
            for placing in (each for key in under for each in plan.of(key, *PLACING)):
                yield Requirement(placing, close, Reason.PLACED_BEFORE_CLOSED)


def _fastened_before_hidden(resolved: ResolvedDesign, plan: StepPlan) -> Iterator[Requirement]:
    """What lies over the head or the prongs comes after them, or it hides them unset."""
    fastenings = resolved.fastenings
    if not any(fastening.source.through for fastening in fastenings.values()):
        return
    # Whatever the steps have laid over what, for they may be in a wrong order.
    work = work_of(replace(resolved, design=replace(resolved.design, steps=())))
    for key, fastening in fastenings.items():
        fasten, stack = plan.first(key, "fasten"), stack_in(work, work.opened, key)
        if fasten is not None and stack is not None:
            base = _base_of(resolved, fastening.source.through)
            for piece in _hiding(resolved, stack, base):
                for placing in plan.of(_link(resolved, base, piece), *PLACING):
                    yield Requirement(fasten, placing, Reason.FASTENED_BEFORE_HIDDEN)


def _under(resolved: ResolvedDesign, closed: Assembly, fold: FoldKey) -> Iterator[str]:
    """The pieces glued under a section that is closed, on it or on what it is folded over.

    What reaches beyond one that is glued down all over may lie on it, as a lining on turn-ins.
    """
    crease, plates = closed.creases[fold], closed.plates
    section, over = plates[crease.hanging], plates[crease.staying]
    inner = 1 if crease.sense == "valley" else -1
    is_glued_down = section.key in glued_down(closed)
    for piece in resolved.pieces.values():
        placement, own = piece.source.placement, plates.get(FaceKey(piece.key, piece.by))
        if placement is None or own is None or not piece.glue.edges:
            continue
        host = FaceKey(placement.host, piece.host_face)
        if host not in (section.key, over.key) or host_side(placement.relation) != inner:
            continue
        shared = common(section.bounds, own.bounds)
        is_under = not is_glued_down and shared is not None
        if host == section.key or shared == own.bounds or is_under:
            yield piece.key


#: What each asks of the order, in the order in which findings tell of it.
_RULES: tuple[Callable[[ResolvedDesign, StepPlan], Iterator[Requirement | Lack]], ...] = (
    _before_use,
    _scored,
    _before_placing,
    _placed,
    _fastened_before_hidden,
)


def _base_of(resolved: ResolvedDesign, through: Sequence[str]) -> str | None:
    """The one of the pierced pieces that all others lie on, in the end; None where there is none.

    They can be fastened to one another before that piece goes in its own place.
    """
    for piece in through:
        if all(piece in (other, *resolved.hosts_of(other)) for other in through):
            return piece
    return None


def _link(resolved: ResolvedDesign, base: str | None, piece: str) -> str:
    """What must be placed for a piece to lie over the stack: what carries the stack where the
    stack lies on the piece, else the piece itself."""
    if base is not None:
        carriers = [base, *resolved.hosts_of(base)]
        if piece in carriers[1:]:
            return carriers[carriers.index(piece) - 1]
    return piece


def _hiding(resolved: ResolvedDesign, stack: Stack, base: str | None) -> Iterator[str]:
    """The pieces that lie over the place of a fastening, outside its stack or in it.

    What lies on another such piece is left out: it may be glued to that one at any time.
    """
    through = {face.piece for face in stack.through}
    carriers = () if base is None else resolved.hosts_of(base)
    # What it passes and does not go through was laid there too early.
    covers = dict.fromkeys(face.piece for face in (*stack.outside, *stack.between))
    # What carries the stack hides it as soon as the stack lies on it: the nearest comes first.
    yield from [piece for piece in carriers if piece in covers][:1]
    for piece in covers:
        below = resolved.hosts_of(piece)
        if piece not in carriers and below:
            nearest = next((host for host in below if host in covers or host in through), None)
            if nearest not in covers:
                yield piece

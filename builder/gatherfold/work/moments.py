"""The work while its steps are played: what is on the table, and what was noted at each moment.

In: the parts of a design.  Out: moments, motions and problems, and the work that they make up.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import Enum
from functools import cached_property
from typing import Literal

from gatherfold.geometry import Point
from gatherfold.model import Operation
from gatherfold.work.adhesive import Demand, contact, is_met
from gatherfold.work.assembly import Assembly, Bond, FoldKey, Pair
from gatherfold.work.closing import Turn
from gatherfold.work.parts import Parts
from gatherfold.work.putting import Put, Stuck, Tucks
from gatherfold.work.regions import FaceKey
from gatherfold.work.turning import Blocked, Manner, Swing, Under


@dataclass(frozen=True, eq=False)
class Placing:
    """A piece with all that is on it, put on another assembly: where it lies, and how it came."""

    piece: str
    host: FaceKey
    before: Assembly
    put: Put
    is_glued: bool


@dataclass(frozen=True, eq=False)
class Tie:
    """A ribbon tied, or drawn round the work: only its ends are known, its way is not tested."""

    fastening: str


#: Something to order pieces by, never by name.
Rank = tuple[object, ...]
Motion = Turn | Placing | Swing | Tie


class Trouble(Enum):
    """What can go wrong while the steps are played; the value is the code of the finding."""

    CANNOT_TURN = "cannot-turn"
    CANNOT_GO_IN = "cannot-go-in"
    GLUED_TO_NOTHING = "glued-to-nothing"
    JOIN_MISSES = "join-misses"
    NEVER_JOINED = "never-joined"
    NO_HOLE = "hole-misses"
    HOLDS_NOTHING = "holds-nothing"
    GLUED_OPEN = "glued-open"


@dataclass(frozen=True)
class Difficulty:
    """Something that cannot be done as the design says.

    ``step`` is the number of the step, 0 for the closing of the finished work; ``part`` is what is
    worked on, ``other`` what it meets or misses.
    """

    trouble: Trouble
    step: int
    part: str
    other: str = ""
    stop: Blocked | Stuck | None = None


@dataclass(frozen=True, eq=False)
class Moment:
    """The state after one operation of a step, or after one motion of it.

    ``assembly`` is the one worked on; ``others`` are all that is not joined to it.  ``fresh`` names
    the pieces that the operation placed, ``bonds`` what it joined.
    """

    step: int
    operation: Operation | Literal["finish"]
    assembly: Assembly
    others: tuple[Assembly, ...]
    motion: Motion | None = None
    fresh: tuple[str, ...] = ()
    bonds: tuple[Bond, ...] = ()


@dataclass(frozen=True)
class Shut:
    """A fold that is closed for good by an operation of a step: both sides of it stay connected
    when its line is cut."""

    fold: FoldKey
    step: int
    operation: Operation | Literal["finish"]


@dataclass(frozen=True, eq=False)
class Work:
    """The steps played once.

    ``opened`` is the main assembly as it was when it was last at rest, with nothing closed that
    only lies closed; ``closed`` is the finished one with everything closed, and
    ``closing`` are the motions that close it for the last time.  ``marks`` are the points at which
    fastenings meet pieces, by fastening and piece, in mm.
    """

    parts: Parts
    moments: tuple[Moment, ...]
    assemblies: tuple[Assembly, ...]
    opened: Assembly
    closed: Assembly
    closing: tuple[Motion, ...]
    problems: tuple[Difficulty, ...]
    marks: Mapping[str, Mapping[str, Point]] = field(default_factory=dict)
    #: The faces that each fastening goes through, in the order in which it names its pieces.
    pierced: Mapping[str, tuple[FaceKey, ...]] = field(default_factory=dict)

    @property
    def scale(self) -> int:
        """Units to a millimetre."""
        return self.parts.scale

    def moments_of(self, step: int) -> tuple[Moment, ...]:
        """The moments of a step, in order."""
        return tuple(moment for moment in self.moments if moment.step == step)

    def glues(self, step: int, operation: Operation) -> bool:
        """Whether an operation of a step joins anything with adhesive."""
        return any(
            bond.kind == "glue"
            for moment in self.moments_of(step)
            if moment.operation == operation
            for bond in moment.bonds
        )

    @cached_property
    def shut(self) -> tuple[Shut, ...]:
        """The folds closed for good, in the order in which that happens, tabs left out: they close
        with their sections."""
        found: dict[FoldKey, Shut] = {}
        for moment in (each for each in self.moments if each.bonds):
            now = moment.assembly
            for fold in now.creases:
                if now.angle(fold) and fold not in found and now.is_locked(fold):
                    found[fold] = Shut(fold, moment.step, moment.operation)
        return tuple(shut for fold, shut in found.items() if not self._is_tab(fold))

    def _is_tab(self, fold: FoldKey) -> bool:
        tabs = self.parts.pieces[fold.piece].piece.source.tabs
        return any(tab.name == fold.hanging for tab in tabs)


@dataclass(frozen=True)
class Moved:
    """A fold that was turned, with its angle before, or a part that was turned on its fastening;
    and whether it is at rest as it is now."""

    fold: FoldKey | None
    before: int
    stays: bool
    swing: Swing | None = None


@dataclass(eq=False)
class Table:
    """The work as it stands on the table while its steps are played, and what is noted of it.

    ``now`` are its assemblies; ``turned`` is what was turned and may be turned back; ``at_rest`` is
    the main assembly as it was last at rest, and ``closing`` what has closed it since.
    ``further`` are the further joins of the design, ``joined`` the pairs of faces glued so far, and
    ``closed_later`` the folds that this step or a later one closes by name.
    """

    parts: Parts
    ranks: Mapping[str, Rank]
    tucks: Tucks
    under: Under
    further: tuple[Demand, ...]
    step: int = 0
    doing: Operation | Literal["finish"] = "finish"
    closed_later: frozenset[FoldKey] = frozenset()
    now: list[Assembly] = field(default_factory=list)
    moments: list[Moment] = field(default_factory=list)
    problems: list[Difficulty] = field(default_factory=list)
    came: dict[str, int] = field(default_factory=dict)
    turned: list[Moved] = field(default_factory=list)
    at_rest: Assembly | None = None
    closing: list[Motion] = field(default_factory=list)
    joined: set[Pair] = field(default_factory=set)
    fastened: set[str] = field(default_factory=set)
    tied: set[str] = field(default_factory=set)
    marks: dict[str, Mapping[str, Point]] = field(default_factory=dict)
    pierced: dict[str, tuple[FaceKey, ...]] = field(default_factory=dict)

    def with_main(self, assembly: Assembly) -> Table:
        """Another table, on which the main assembly is as it was; nothing done there is noted
        here."""
        loose = [each for each in self.now if assembly.base not in each.plates]
        return replace(
            self,
            now=[assembly, *loose],
            turned=[],
            moments=[],
            problems=[],
            came=dict(self.came),
            joined=set(self.joined),
        )

    # ---- what is there

    def take(self, key: str) -> Assembly:
        """The assembly that a piece is in; the piece alone and flat, if it is in none yet."""
        for assembly in self.now:
            if key in assembly.pieces:
                return assembly
        loose = self.parts.pieces[key].loose()
        self.came.setdefault(key, self.step)
        self.now.append(loose)
        return loose

    def put(self, new: Assembly, old: Assembly, *others: Assembly) -> None:
        """Have an assembly in place of one, or of several that are joined in it."""
        kept = [each for each in self.now if not any(each is other for other in others)]
        self.now = [new if each is old else each for each in kept]

    def main(self) -> Assembly:
        """The assembly of most pieces; of equals the one whose base is larger, or lies first."""
        if not self.now:
            return Assembly(FaceKey("", ""), {}, {})
        return min(self.now, key=lambda a: (-len(a.pieces), self.ranks[a.base.piece]))

    def is_tie(self, fastening: str) -> bool:
        """Whether a fastening is a ribbon that goes through nothing."""
        source = self.parts.resolved.fastenings[fastening].source
        return not source.through and source.stock is not None

    def manner(self, demands: Sequence[Demand] = ()) -> Manner:
        """How motions are judged now."""
        return Manner(self.parts.tolerance, self.tucks, self.under, tuple(demands), self.came)

    # ---- what is noted

    def note(
        self,
        assembly: Assembly,
        motion: Motion | None = None,
        fresh: tuple[str, ...] = (),
        bonds: Sequence[Bond] = (),
    ) -> None:
        """Note a moment of one assembly."""
        others = tuple(each for each in self.now if each is not assembly)
        self.moments.append(
            Moment(self.step, self.doing, assembly, others, motion, fresh, tuple(bonds))
        )
        self.rest()

    def rest(self) -> None:
        """Note that the work is at rest, if there is any and nothing of it only lies closed."""
        if self.now and all(each.stays for each in self.turned):
            self.at_rest, self.closing = self.main(), []

    def tell(
        self,
        trouble: Trouble,
        part: object,
        other: object = "",
        stop: Blocked | Stuck | None = None,
    ) -> None:
        """Note something that cannot be done."""
        problem = Difficulty(trouble, self.step, str(part), str(other), stop)
        if problem not in self.problems:
            self.problems.append(problem)

    def tell_stop(self, stop: Blocked) -> None:
        """Note a fold that cannot turn."""
        self.tell(Trouble.CANNOT_TURN, stop.fold, stop.by, stop)

    # ---- what is joined

    def glued(
        self, assembly: Assembly, demands: Iterable[Demand], laid: Collection[FaceKey] = ()
    ) -> tuple[Bond, ...]:
        """Bonds for all that adhesive meets; of what is ``laid`` down what meets nothing is
        noted."""
        bonds: list[Bond] = []
        for demand in demands:
            found = contact(assembly, demand.adhesive, own=laid)
            if laid and not found:
                self.tell(Trouble.GLUED_TO_NOTHING, demand.adhesive.face)
            for own, other in found:
                self.joined |= {(own, other), (other, own)}
                bonds.append(Bond(own, other, "glue", demand.joins, demand.adhesive))
        return tuple(bonds)

    def join(self, assembly: Assembly, bonds: Sequence[Bond]) -> None:
        """Hold faces of an assembly together."""
        after = assembly.with_bonds(bonds)
        self.put(after, assembly)
        self.note(after, bonds=bonds)

    def open_joins(self) -> Iterator[tuple[Assembly, Demand]]:
        """The further joins that are not made, both faces of which are in one assembly."""
        for demand in self.further:
            own, host = demand.faces
            assembly = next((each for each in self.now if own in each.plates), None)
            if assembly is not None and host in assembly.plates and (own, host) not in self.joined:
                yield assembly, demand

    def join_if_met(self, demand: Demand) -> None:
        """Make a further join if its adhesive meets its face."""
        assembly = self.take(demand.adhesive.face.piece)
        if is_met(assembly, demand):
            self.join(assembly, self.glued(assembly, [demand]))

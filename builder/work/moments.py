"""What the work was at each moment, and what went wrong on the way.

In: nothing.  Out: the types that :mod:`builder.work.play` fills: moments, motions, problems.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum
from functools import cached_property
from typing import Literal

from builder.geometry.outline import Point
from builder.steps import Operation
from builder.work.assembly import Assembly, Bond, FoldKey
from builder.work.closing import Turn
from builder.work.parts import Parts
from builder.work.pivots import Swing
from builder.work.plates import FaceKey
from builder.work.putting import Put, Stuck
from builder.work.turning import Blocked


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
class Problem:
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
    problems: tuple[Problem, ...]
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

    def locked(self) -> frozenset[FoldKey]:
        """Folds of the finished work that are closed for good."""
        return frozenset(f for f in self.closed.creases if self.closed.is_locked(f))

"""What every kind of fastening says of itself: the one interface that all stages ask.

In: exact lengths in mm.  Out: facts.  Nothing here knows how anything is drawn, set or printed.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum, auto
from fractions import Fraction
from typing import Literal, get_args

from builder.tool_names import HazardName, Tool

#: What a design file may say of a fastening, beside its kind, its name and its distances.
FieldName = Literal[
    "head", "leg", "through", "ribbon", "length", "allowance", "count", "pivot", "holds", "round",
    "offer",
]  # fmt: skip
FIELD_NAMES: tuple[FieldName, ...] = get_args(FieldName)


class Need(Enum):
    """Whether a kind takes a field of a design file."""

    REQUIRED = auto()
    OPTIONAL = auto()
    REFUSED = auto()


class Bought(Enum):
    """How a kind is bought, and so what a list of supplies counts of it."""

    #: So many of one size.
    BY_NUMBER = auto()
    #: So much of a ribbon, its allowance in.
    OFF_A_ROLL = auto()


class Meets(Enum):
    """Where a fastening is on every piece but the first that it names."""

    #: At the same place as on the first: one hole goes through all of them.
    PIERCED = auto()
    #: Straight across from the first when the work is closed: it pierces none of them.
    FACING = auto()


class EndShape(Enum):
    """What shows of a fastening on one side of the work; the value names its sign."""

    HEAD = "head"
    LEGS = "legs"
    RING = "eyelet"


class SectionShape(Enum):
    """What a section through the layers shows of a fastening."""

    #: A head before them, a shank through them, legs spread behind them.
    HEAD_AND_LEGS = auto()
    #: A tube through them with a rim on both sides.
    TUBE = auto()
    #: One half on either side, and nothing through them.
    PAIR = auto()


@dataclass(frozen=True)
class Words:
    """What phrases of the catalogue speak of a kind.

    ``one`` is a single one within a sentence; ``bought`` takes its sizes, and is None where a
    ribbon is bought instead; ``section`` are its two ends in a section, with places for ``size``
    and ``length``; ``setting`` are sentences with places for ``head``, ``leg`` and ``piece``.
    """

    one: str
    bought: str | None
    section: tuple[str, str]
    setting: tuple[str, ...]


@dataclass(frozen=True)
class Magnetism:
    """Across how much gap and paper its halves hold, and how near to cards with a magnetic strip
    they do harm."""

    holds_across: Fraction
    harms_cards_within: Fraction


class FastenerKind(ABC):
    """One kind of fastening."""

    # In a design file

    @property
    @abstractmethod
    def needs(self) -> Mapping[FieldName, Need]:
        """Which fields it takes, and which of them it cannot do without."""

    # In the supplies

    @property
    @abstractmethod
    def bought(self) -> Bought:
        """How it is bought."""

    # On the pieces

    @property
    @abstractmethod
    def meets(self) -> Meets:
        """Where it is on every piece but the first."""

    @abstractmethod
    def hole(self, head: Fraction, grid: Fraction) -> Fraction | None:
        """The diameter of the holes that it makes, where pieces are cut to a grid; None if it
        makes none."""

    # As it is seen

    @property
    @abstractmethod
    def ends(self) -> tuple[EndShape, EndShape] | None:
        """What shows on the first piece and behind the last; None if it lies between them."""

    @property
    @abstractmethod
    def section(self) -> SectionShape:
        """What a section shows."""

    @property
    @abstractmethod
    def words(self) -> Words:
        """What it is called."""

    # As it is set

    @property
    @abstractmethod
    def tools(self) -> tuple[Tool, ...]:
        """What it is set with (common practice, no source)."""

    @property
    @abstractmethod
    def hazards(self) -> tuple[HazardName, ...]:
        """What can happen with it, beside what can happen with its tools."""

    # What checks ask

    @abstractmethod
    def paper_round(self, hole: Fraction) -> Fraction:
        """How much paper a hole of this diameter keeps between its rim and any edge."""

    @property
    @abstractmethod
    def spread(self) -> Fraction | None:
        """How much of its legs has to reach beyond the layers; None if it has no legs to bend."""

    @property
    @abstractmethod
    def magnetism(self) -> Magnetism | None:
        """What its magnets do; None if it has none."""

    @property
    @abstractmethod
    def closes_by_itself(self) -> bool:
        """Whether it holds the closed work shut without holding anything else."""

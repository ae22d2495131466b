"""What every kind of fastening says of itself: the one record that all stages ask.

In: exact lengths in mm.  Out: facts.  Nothing here knows how anything is drawn, set or printed.
"""

from dataclasses import dataclass
from enum import Enum, auto
from fractions import Fraction
from typing import Literal

from gatherfold.lengths import nearest_on_grid
from gatherfold.model.choices import HazardName, Tool

#: What a design file may say of a fastening, beside its kind, its name and its distances.
FieldName = Literal[
    "head", "leg", "through", "ribbon", "length", "allowance", "count", "pivot", "holds", "round",
    "offer",
]  # fmt: skip


class Bought(Enum):
    """How a kind is bought, and so what a list of supplies counts of it."""

    #: So many of one size.
    BY_NUMBER = auto()
    #: So much of a ribbon, its allowance in.
    OFF_A_ROLL = auto()


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
class Piercing:
    """The hole that goes through all pieces at one place: its ``width``, that of the head where
    none is given, and how much ``paper`` it keeps round it before any edge, as a share of that."""

    width: Fraction | None
    paper: Fraction

    def diameter(self, head: Fraction, grid: Fraction) -> Fraction:
        """How wide it is under a head, where pieces are cut to a grid."""
        return head if self.width is None else nearest_on_grid(self.width, grid)


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


@dataclass(frozen=True, kw_only=True)
class FastenerKind:
    """One kind of fastening; no fact has a value of its own, so that mypy asks for each of them.

    ``required`` and ``refused`` are fields of a design file: any other may be given or left out.
    ``piercing`` is None for what lies between the pieces that it names: it is at one place on the
    first and straight across from that on the others when the work is closed.  ``ends`` are what
    shows on the first piece and behind the last; None if it lies between them.

    ``tools`` are what it is set with (common practice, no source), ``hazards`` what can happen with
    it, beside what can happen with its tools.  ``spread`` is how much of its legs has to reach
    beyond the layers; None if it has no legs to bend.
    """

    required: frozenset[FieldName]
    refused: frozenset[FieldName]
    bought: Bought
    piercing: Piercing | None
    ends: tuple[EndShape, EndShape] | None
    section: SectionShape
    words: Words
    tools: tuple[Tool, ...]
    hazards: tuple[HazardName, ...]
    spread: Fraction | None
    magnetism: Magnetism | None

"""Kinds of fastenings: for each a record that says everything about it.

In: the word that a design file calls a fastening by.  Out: a :class:`FastenerKind` with facts.  How
they are drawn, checked, counted or worded is the stages' own work; no stage asks which kind it has
before it.

A new kind is a record here, a word of ``choices.FasteningKind`` and a line of :func:`kind_of`.

The limits are common practice, no source: a pierced hole of an eighth of an inch, about 3 mm; legs
that reach a quarter of an inch beyond the layers to be spread; round the rim of a hole that is
pulled at, as much paper as the hole is wide; small magnets that hold across a quarter of an inch
(6 mm) of gap and paper, and harm the magnetic strip of a card within three eighths (10 mm).
"""

from fractions import Fraction
from typing import assert_never

from gatherfold.lengths import INCH
from gatherfold.model.choices import FasteningKind
from gatherfold.model.fastenings.kind import (
    Bought as Bought,
    EndShape as EndShape,
    FastenerKind as FastenerKind,
    FieldName as FieldName,
    Magnetism as Magnetism,
    Piercing as Piercing,
    SectionShape as SectionShape,
    Words as Words,
)

#: A head before the layers, two legs through one hole, spread behind them.  A part may turn on it,
#: and a ribbon may be held under its head.
_BRAD = FastenerKind(
    required=frozenset({"head", "leg"}),
    refused=frozenset({"round"}),
    bought=Bought.BY_NUMBER,
    piercing=Piercing(width=INCH / 8, paper=Fraction(1)),
    ends=(EndShape.HEAD, EndShape.LEGS),
    section=SectionShape.HEAD_AND_LEGS,
    words=Words(
        one="one_brad",
        bought="supply_brad",
        section=("draw_head", "draw_legs"),
        setting=("draw_brad_words",),
    ),
    tools=("awl", "piercing_mat"),
    hazards=("small_parts",),
    spread=INCH / 4,
    magnetism=None,
)

#: A tube through a hole as wide as itself, its head, with a rim on both sides: set flat behind.
_EYELET = FastenerKind(
    required=frozenset({"head"}),
    refused=frozenset({"round"}),
    bought=Bought.BY_NUMBER,
    piercing=Piercing(width=None, paper=Fraction(1)),
    ends=(EndShape.RING, EndShape.RING),
    section=SectionShape.TUBE,
    words=Words(
        one="one_eyelet",
        bought="supply_eyelet",
        section=("draw_eyelet", "draw_set_flat"),
        setting=("draw_eyelet_words",),
    ),
    tools=("hole_punch", "eyelet_setter"),
    hazards=("small_parts",),
    spread=None,
    magnetism=None,
)

#: Each is glued to a piece, and the two meet when the work is closed; its head is the diameter of
#: one magnet.  The magnets are among its tools, with their hazards.
_MAGNET_PAIR = FastenerKind(
    required=frozenset({"head"}),
    refused=frozenset({"round"}),
    bought=Bought.BY_NUMBER,
    piercing=None,
    ends=None,
    section=SectionShape.PAIR,
    words=Words(
        one="one_magnet pair",
        bought="supply_magnet pair",
        section=("draw_magnet", "draw_magnet"),
        setting=("draw_magnets", "draw_magnets_try"),
    ),
    tools=("adhesive", "magnets"),
    hazards=(),
    spread=None,
    magnetism=Magnetism(holds_across=INCH / 4, harms_cards_within=Fraction(10)),
)

#: Lengths of a ribbon that other fastenings hold, or one that goes round the work: cut off the roll
#: of a stock, and so neither sold by itself nor counted.  One that is said to go ``through`` pieces
#: has no section of its own: it is drawn and worded as a brad is.
_RIBBON_TIE = FastenerKind(
    required=frozenset({"ribbon", "length"}),
    refused=frozenset({"offer"}),
    bought=Bought.OFF_A_ROLL,
    piercing=None,
    ends=None,
    section=SectionShape.HEAD_AND_LEGS,
    words=Words(
        one="one_ribbon tie",
        bought=None,
        section=("draw_head", "draw_legs"),
        setting=("draw_brad_words",),
    ),
    tools=("scissors",),
    hazards=(),
    spread=None,
    magnetism=None,
)


def kind_of(word: FasteningKind) -> FastenerKind:
    """All that is true of the kind of fastening that a design calls by a word."""
    match word:
        case "brad":
            return _BRAD
        case "eyelet":
            return _EYELET
        case "magnet pair":
            return _MAGNET_PAIR
        case "ribbon tie":
            return _RIBBON_TIE
        case _:
            assert_never(word)

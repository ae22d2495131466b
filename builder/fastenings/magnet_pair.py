"""A pair of magnets: each is glued to a piece, and the two meet when the work is closed.

The limits are common practice, no source: small magnets hold across a quarter of an inch (6 mm) of
gap and paper, and harm the magnetic strip of a card that comes within three eighths (10 mm).
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from builder.fastenings.kind import (
    Bought,
    EndShape,
    FastenerKind,
    FieldName,
    Magnetism,
    Meets,
    Need,
    SectionShape,
    Words,
)
from builder.lengths import INCH
from builder.tool_names import HazardName, Tool

_MAGNETISM = Magnetism(holds_across=INCH / 4, harms_cards_within=Fraction(10))


class MagnetPair(FastenerKind):
    """Its head is the diameter of one magnet; it pierces nothing, and shows on neither side."""

    @property
    def needs(self) -> Mapping[FieldName, Need]:
        return {
            "head": Need.REQUIRED,
            "leg": Need.OPTIONAL,
            "through": Need.OPTIONAL,
            "ribbon": Need.OPTIONAL,
            "length": Need.OPTIONAL,
            "allowance": Need.OPTIONAL,
            "count": Need.OPTIONAL,
            "pivot": Need.OPTIONAL,
            "holds": Need.OPTIONAL,
            "round": Need.REFUSED,
            "offer": Need.OPTIONAL,
        }

    @property
    def bought(self) -> Bought:
        return Bought.BY_NUMBER

    @property
    def meets(self) -> Meets:
        return Meets.FACING

    def hole(self, head: Fraction, grid: Fraction) -> Fraction | None:
        return None

    @property
    def ends(self) -> tuple[EndShape, EndShape] | None:
        return None

    @property
    def section(self) -> SectionShape:
        return SectionShape.PAIR

    @property
    def words(self) -> Words:
        return Words(
            one="one_magnet pair",
            bought="supply_magnet pair",
            section=("draw_magnet", "draw_magnet"),
            setting=("draw_magnets", "draw_magnets_try"),
        )

    @property
    def tools(self) -> tuple[Tool, ...]:
        return "adhesive", "magnets"

    @property
    def hazards(self) -> tuple[HazardName, ...]:
        # The magnets themselves are among its tools, with their hazards.
        return ()

    def paper_round(self, hole: Fraction) -> Fraction:
        # It makes no hole.
        return Fraction(0)

    @property
    def spread(self) -> Fraction | None:
        return None

    @property
    def magnetism(self) -> Magnetism | None:
        return _MAGNETISM

    @property
    def closes_by_itself(self) -> bool:
        return True


MAGNET_PAIR = MagnetPair()

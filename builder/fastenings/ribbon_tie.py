"""A ribbon tie: lengths of a ribbon that other fastenings hold, or one that goes round the work."""

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
from builder.tool_names import HazardName, Tool


class RibbonTie(FastenerKind):
    """Is cut off the roll of a stock, and so neither sold by itself nor counted.

    It pierces nothing.  One that is said to go ``through`` pieces has no section of its own: it is
    drawn and worded as a brad is.
    """

    @property
    def needs(self) -> Mapping[FieldName, Need]:
        return {
            "head": Need.OPTIONAL,
            "leg": Need.OPTIONAL,
            "through": Need.OPTIONAL,
            "ribbon": Need.REQUIRED,
            "length": Need.REQUIRED,
            "allowance": Need.OPTIONAL,
            "count": Need.OPTIONAL,
            "pivot": Need.OPTIONAL,
            "holds": Need.OPTIONAL,
            "round": Need.OPTIONAL,
            "offer": Need.REFUSED,
        }

    @property
    def bought(self) -> Bought:
        return Bought.OFF_A_ROLL

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
        return SectionShape.HEAD_AND_LEGS

    @property
    def words(self) -> Words:
        return Words(
            one="one_ribbon tie",
            bought=None,
            section=("draw_head", "draw_legs"),
            setting=("draw_brad_words",),
        )

    @property
    def tools(self) -> tuple[Tool, ...]:
        return ("scissors",)

    @property
    def hazards(self) -> tuple[HazardName, ...]:
        return ()

    def paper_round(self, hole: Fraction) -> Fraction:
        # It makes no hole.
        return Fraction(0)

    @property
    def spread(self) -> Fraction | None:
        return None

    @property
    def magnetism(self) -> Magnetism | None:
        return None

    @property
    def closes_by_itself(self) -> bool:
        return False


RIBBON_TIE = RibbonTie()

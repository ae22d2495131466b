"""An eyelet: a tube through a hole as wide as itself, with a rim on both sides of the layers.

The limit is common practice, no source: round the rim of a hole that is pulled at, as much paper as
the hole is wide.
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
from builder.tool_names import HazardName, Tool


class Eyelet(FastenerKind):
    """Its head is its whole width; the tube is set flat behind the layers."""

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
        return Meets.PIERCED

    def hole(self, head: Fraction, grid: Fraction) -> Fraction | None:
        return head

    @property
    def ends(self) -> tuple[EndShape, EndShape] | None:
        return EndShape.RING, EndShape.RING

    @property
    def section(self) -> SectionShape:
        return SectionShape.TUBE

    @property
    def words(self) -> Words:
        return Words(
            one="one_eyelet",
            bought="supply_eyelet",
            section=("draw_eyelet", "draw_set_flat"),
            setting=("draw_eyelet_words",),
        )

    @property
    def tools(self) -> tuple[Tool, ...]:
        return "hole_punch", "eyelet_setter"

    @property
    def hazards(self) -> tuple[HazardName, ...]:
        return ("small_parts",)

    def paper_round(self, hole: Fraction) -> Fraction:
        return hole

    @property
    def spread(self) -> Fraction | None:
        return None

    @property
    def magnetism(self) -> Magnetism | None:
        return None

    @property
    def closes_by_itself(self) -> bool:
        return False


EYELET = Eyelet()

"""A brad: a head before the layers, two legs through one hole, spread behind them.

The limits are common practice, no source: a pierced hole of an eighth of an inch, about 3 mm; legs
that reach a quarter of an inch beyond the layers to be spread; round the rim of a hole that is
pulled at, as much paper as the hole is wide.
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
from builder.lengths import INCH, nearest_on_grid
from builder.tool_names import HazardName, Tool

_PIERCED_HOLE = INCH / 8
_LEGS_SPREAD = INCH / 4


class Brad(FastenerKind):
    """Needs both its sizes; a part may turn on it, and a ribbon may be held under its head."""

    @property
    def needs(self) -> Mapping[FieldName, Need]:
        return {
            "head": Need.REQUIRED,
            "leg": Need.REQUIRED,
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
        return nearest_on_grid(_PIERCED_HOLE, grid)

    @property
    def ends(self) -> tuple[EndShape, EndShape] | None:
        return EndShape.HEAD, EndShape.LEGS

    @property
    def section(self) -> SectionShape:
        return SectionShape.HEAD_AND_LEGS

    @property
    def words(self) -> Words:
        return Words(
            one="one_brad",
            bought="supply_brad",
            section=("draw_head", "draw_legs"),
            setting=("draw_brad_words",),
        )

    @property
    def tools(self) -> tuple[Tool, ...]:
        return "awl", "piercing_mat"

    @property
    def hazards(self) -> tuple[HazardName, ...]:
        return ("small_parts",)

    def paper_round(self, hole: Fraction) -> Fraction:
        return hole

    @property
    def spread(self) -> Fraction | None:
        return _LEGS_SPREAD

    @property
    def magnetism(self) -> Magnetism | None:
        return None

    @property
    def closes_by_itself(self) -> bool:
        return False


BRAD = Brad()

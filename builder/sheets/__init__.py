"""Plan rectangles on sheets so that a trimmer can follow the plan.

    plan(pieces, sheets, *, trimmer=None, time_limit=2.0, seed=0) -> Plan

Pieces are ``Rectangle``, sheets ``Sheet``; lengths are integers or Fractions in one unit, the
origin lower left, x to the right and y up. Every cut runs edge to edge through one part. The
plan aims, in this order, at the least cost (the fewest sheets when all cost the same), the
fewest guide settings and cuts, and the largest offcut; it carries a lower bound on the cost
and says whether it is proven minimal. What cannot be done comes back in ``Plan.unplaced`` as
data, each with a code: ``piece-larger-than-sheet``, ``pin-outside-sheet``, ``sheet-unknown``,
``strip-too-narrow``, ``cut-too-long``, ``pins-overlap``, ``not-enough-sheets`` (proven) and
``no-room-found`` (not proven). Bound and cost then speak of the pieces placed.

Pieces kept together are one gross rectangle to the planner, and a piece on the back is a rectangle
mirrored by the caller. ``plan_kits`` plans the pieces of several kits together. The same input and
seed give the same plan. ``verify`` checks a plan by replaying its cuts, and shares no code with the
planner.
"""

from builder.sheets.checker import replay, verify
from builder.sheets.kits import Kits, name_of, pattern_of, plan_kits
from builder.sheets.model import (
    Cut,
    Offcut,
    Pin,
    Placed,
    Plan,
    Problem,
    Rectangle,
    Sheet,
    SheetPlan,
    Trimmer,
)
from builder.sheets.planner import plan

__all__ = [
    "Cut",
    "Kits",
    "Offcut",
    "Pin",
    "Placed",
    "Plan",
    "Problem",
    "Rectangle",
    "Sheet",
    "SheetPlan",
    "Trimmer",
    "name_of",
    "pattern_of",
    "plan",
    "plan_kits",
    "replay",
    "verify",
]

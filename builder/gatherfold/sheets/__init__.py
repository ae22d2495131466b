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
seed give the same plan.

Four cards and a strip from sheets of 12 x 12, with a trimmer marked in eighths:

    >>> from fractions import Fraction
    >>> from gatherfold.sheets import Rectangle, Sheet, Trimmer, plan
    >>> cards = [Rectangle(f"card {n}", 5, Fraction(11, 2), turns=True) for n in range(1, 5)]
    >>> pieces = [*cards, Rectangle("strip", 12, Fraction(3, 4))]
    >>> trimmer = Trimmer(longest_cut=12, guide_step=Fraction(1, 8))
    >>> found = plan(pieces, Sheet("paper", 12, 12), trimmer=trimmer, time_limit=1.0, seed=0)
    >>> len(found.sheets), found.cost, found.bound, found.status
    (1, 1, 1, 'proven minimal')
    >>> for cut in found.sheets[0].cuts:
    ...     print(f"{cut.number}: part {cut.part}, {cut.axis}, {cut.setting} from the {cut.edge}")
    1: part 0, horizontal, 3/4 from the bottom
    2: part 2, vertical, 10 from the left
    3: part 3, horizontal, 11/2 from the bottom
    4: part 6, horizontal, 11/2 from the bottom
    5: part 5, vertical, 5 from the left
    6: part 7, vertical, 5 from the left
"""

# fmt: off
# isort: off
from gatherfold.sheets.cutting import moves as moves
from gatherfold.sheets.kits import (Kits as Kits, name_of as name_of, pattern_of as pattern_of,
    plan_kits as plan_kits)
from gatherfold.sheets.model import (Cut as Cut, Offcut as Offcut, Pin as Pin, Placed as Placed,
    Plan as Plan, Problem as Problem, ProblemCode as ProblemCode, Rectangle as Rectangle,
    Sheet as Sheet, SheetPlan as SheetPlan, Trimmer as Trimmer)
from gatherfold.sheets.pins import sizes as sizes
from gatherfold.sheets.planner import plan as plan, plan_to_count as plan_to_count

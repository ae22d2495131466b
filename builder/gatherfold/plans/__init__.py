"""What lies where on which sheet: the pieces of a design, handed to the planner of sheets.

``places`` says how pieces lie on their sheets and where the print pins them, ``stocks`` plans every
stock and keeps spares from the offcuts, ``strips`` divides strips.  The planner itself,
:mod:`gatherfold.sheets`, knows nothing of designs.
"""

from gatherfold.plans.places import (
    CutOut,
    Size,
    WayRound,
    along_grain,
    as_front_shows,
    edge_of,
    fits_on_sheet,
    grain_axis,
    is_placed_by_print,
    is_quarter_turned,
    motif_corner,
    motif_on_sheet,
    print_of,
    region_box,
    region_on_grid,
    rooms,
    round_motif,
    way_round,
)
from gatherfold.plans.stocks import (
    StockPlan,
    as_planned,
    facing_side,
    one_kit,
    part_sizes,
    plan_stocks,
    recognised_size,
    rectangles_of,
    trimmer_of,
)
from gatherfold.plans.strips import placed_pieces, strip_plan

__all__ = [
    "CutOut",
    "Size",
    "StockPlan",
    "WayRound",
    "along_grain",
    "as_front_shows",
    "as_planned",
    "edge_of",
    "facing_side",
    "fits_on_sheet",
    "grain_axis",
    "is_placed_by_print",
    "is_quarter_turned",
    "motif_corner",
    "motif_on_sheet",
    "one_kit",
    "part_sizes",
    "placed_pieces",
    "plan_stocks",
    "print_of",
    "recognised_size",
    "rectangles_of",
    "region_box",
    "region_on_grid",
    "rooms",
    "round_motif",
    "strip_plan",
    "trimmer_of",
    "way_round",
]

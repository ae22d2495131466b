"""What lies where on which sheet: the pieces of a design, handed to the planner of sheets.

``places`` says how pieces lie on their sheets and where the print pins them, ``stocks`` plans every
stock and keeps spares from the offcuts, ``strips`` divides strips.  The planner itself,
:mod:`gatherfold.sheets`, knows nothing of designs.
"""

# fmt: off
# isort: off
from gatherfold.plans.places import (CutOut as CutOut, Size as Size, along_grain as along_grain,
    as_front_shows as as_front_shows, edge_of as edge_of, grain_axis as grain_axis,
    is_placed_by_print as is_placed_by_print, is_quarter_turned as is_quarter_turned,
    motif_corner as motif_corner, motif_on_sheet as motif_on_sheet, print_of as print_of,
    region_box as region_box, region_on_grid as region_on_grid, rooms as rooms,
    round_motif as round_motif, way_round as way_round)
from gatherfold.plans.stocks import (StockPlan as StockPlan, as_planned as as_planned,
    facing_side as facing_side, part_sizes as part_sizes, plan_stocks as plan_stocks,
    recognised_size as recognised_size, rectangles_of as rectangles_of, trimmer_of as trimmer_of)
from gatherfold.plans.strips import placed_pieces as placed_pieces, strip_plan as strip_plan

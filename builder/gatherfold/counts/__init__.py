"""Counting: a resolved design and its sheet plans → cut list, supplies, tools, hazards, time."""

# fmt: off
# isort: off
from gatherfold.counts.cut_list import (CutRow as CutRow, Feature as Feature,
    FeatureKind as FeatureKind, cut_list as cut_list, features as features)
from gatherfold.counts.effort import (all_minutes as all_minutes, difficulty as difficulty,
    step_minutes as step_minutes)
from gatherfold.counts.photographs import (PhotoPlace as PhotoPlace, PhotoSide as PhotoSide,
    photo_places as photo_places, photo_sizes as photo_sizes, photo_views as photo_views)
from gatherfold.counts.shaping import (is_after_scoring as is_after_scoring,
    piercing_step as piercing_step, shaped_pieces as shaped_pieces, shaping_of as shaping_of)
from gatherfold.counts.substitutes import (NearWeight as NearWeight,
    SheetSubstitute as SheetSubstitute, bound_to_print as bound_to_print,
    near_weight as near_weight, sheet_substitutes as sheet_substitutes)
from gatherfold.counts.supplies import (Amount as Amount, SupplyLine as SupplyLine, Use as Use,
    glued_edges as glued_edges, supplies as supplies, supplies_csv as supplies_csv)
from gatherfold.counts.tools import (all_hazards as all_hazards, all_tools as all_tools,
    counted_hazards as counted_hazards, section_hazards as section_hazards,
    step_hazards as step_hazards, step_supplies as step_supplies, step_tools as step_tools)

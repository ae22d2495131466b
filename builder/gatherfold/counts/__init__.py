"""Counting: a resolved design and its sheet plans → cut list, supplies, tools, hazards, time."""

from gatherfold.counts.cut_list import (
    CutRow,
    Feature,
    FeatureKind,
    cut_list,
    features,
)
from gatherfold.counts.effort import all_minutes, difficulty, step_minutes
from gatherfold.counts.photographs import (
    PhotoPlace,
    PhotoSide,
    photo_places,
    photo_sizes,
    photo_views,
)
from gatherfold.counts.shaping import (
    is_after_scoring,
    piercing_step,
    shaped_pieces,
    shaping_of,
)
from gatherfold.counts.substitutes import (
    NearWeight,
    SheetSubstitute,
    bound_to_print,
    near_weight,
    sheet_substitutes,
)
from gatherfold.counts.supplies import (
    Amount,
    SupplyLine,
    Use,
    glued_edges,
    supplies,
    supplies_csv,
)
from gatherfold.counts.tools import (
    all_hazards,
    all_tools,
    counted_hazards,
    section_hazards,
    step_hazards,
    step_supplies,
    step_tools,
)

__all__ = [
    "Amount",
    "CutRow",
    "Feature",
    "FeatureKind",
    "NearWeight",
    "PhotoPlace",
    "PhotoSide",
    "SheetSubstitute",
    "SupplyLine",
    "Use",
    "all_hazards",
    "all_minutes",
    "all_tools",
    "bound_to_print",
    "counted_hazards",
    "cut_list",
    "difficulty",
    "features",
    "glued_edges",
    "is_after_scoring",
    "near_weight",
    "photo_places",
    "photo_sizes",
    "photo_views",
    "piercing_step",
    "section_hazards",
    "shaped_pieces",
    "shaping_of",
    "sheet_substitutes",
    "step_hazards",
    "step_minutes",
    "step_supplies",
    "step_tools",
    "supplies",
    "supplies_csv",
]

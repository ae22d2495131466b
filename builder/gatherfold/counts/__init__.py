"""Counting: a resolved design and its sheet plans → cut list, supplies, tools, hazards, time."""

from gatherfold.counts.cut_list import CutRow, Feature, FeatureKind, features
from gatherfold.counts.effort import all_minutes, difficulty, step_minutes
from gatherfold.counts.photographs import photo_places
from gatherfold.counts.shaping import is_after_scoring, piercing_step, shaped_pieces, shaping_of
from gatherfold.counts.substitutes import NearWeight, SheetSubstitute, bound_to_print, near_weight
from gatherfold.counts.supplies import Amount, SupplyLine, Use
from gatherfold.counts.tools import (
    all_hazards,
    all_tools,
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
    "SheetSubstitute",
    "SupplyLine",
    "Use",
    "all_hazards",
    "all_minutes",
    "all_tools",
    "bound_to_print",
    "difficulty",
    "features",
    "is_after_scoring",
    "near_weight",
    "photo_places",
    "piercing_step",
    "section_hazards",
    "shaped_pieces",
    "shaping_of",
    "step_hazards",
    "step_minutes",
    "step_supplies",
    "step_tools",
]

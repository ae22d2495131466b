"""What tools and hazards are called in the program; the wording has a title and a text for each.

In: nothing.  Out: two closed sets of words.
"""

from __future__ import annotations

from typing import Literal

Tool = Literal[
    "trimmer", "ruler", "pencil", "scoring_board", "bone_folder", "ink_pad", "adhesive", "awl",
    "piercing_mat", "hole_punch", "eyelet_setter", "magnets", "scissors", "knife", "cutting_mat",
    "corner_rounder", "circle_punch", "hot_glue_gun", "heat_tool",
]  # fmt: skip
#: Hazards that follow from what is counted; a designer may add others.
HazardName = Literal[
    "blade", "scissors", "piercing", "punch", "adhesive", "ink", "solvent", "heat", "magnets",
    "small_parts",
]  # fmt: skip

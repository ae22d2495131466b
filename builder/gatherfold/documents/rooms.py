"""The rooms of figures on a page: what each has where a layout gives it none, and which a map gets.

In: one sheet plan.  Out: the name of its room in ``figures`` of ``layout.yaml``: the more the map
shows, the larger.  Rooms are formulas of the page; ``page.width`` and ``page.height`` stand for the
page within its margins.
"""

from __future__ import annotations

from collections.abc import Mapping

from gatherfold.sheets import SheetPlan

#: What the heading, messages and text of a long step take of a page, in mm.
WORDS_OF_A_STEP = 85.0
#: The room of a figure where a layout says nothing: width x height.
STANDARD_ROOMS: Mapping[str, str] = {
    "cover": "page.width x 150 mm",
    "open": "page.width x 108 mm",
    "closed": "page.width x 88 mm",
    "simple_sheet": "page.width * 3/5 x 98 mm",
    "sheet": "page.width * 3/5 x 98 mm",
    "busy_sheet": "page.width * 3/5 x 98 mm",
    "crowded_sheet": "page.width x 136 mm",
    "piece": "page.width / 2 - 3 mm x 72 mm",
    "large_piece": "page.width x 120 mm",
    "step": "page.width x 76 mm",
    "step_together": f"page.width x max(page.height - {WORDS_OF_A_STEP:g} mm, 25 mm)",
    "step_alone": f"page.width x max(page.height - {WORDS_OF_A_STEP:g} mm, 25 mm)",
    "fastening": "page.width x 70 mm",
    "picture": "page.width x 90 mm",
    "raised": "page.width x 108 mm",
    "folds": "page.width x 130 mm",
    "many_folds": "page.width x 175 mm",
    "flap": "page.width x 75 mm",
    "photos": "page.width x 120 mm",
    "template": "page.width x page.height - 22 mm",
}

#: Maps that have the room of another where a layout gives them none of their own.
LIKE = {"simple_sheet": "sheet", "busy_sheet": "sheet"}

#: The rooms of sheet maps: how many cuts, and how many narrow pieces, each is for at most.  The
#: last is for any number.
SHEET_ROOMS: dict[str, tuple[float, float]] = {
    "simple_sheet": (3, 0),
    "sheet": (10, 2),
    "busy_sheet": (16, 12),
    "crowded_sheet": (float("inf"), float("inf")),
}
#: A piece narrower than this share of its sheet has a note beside a small map.
_NARROW = 8


def sheet_room(plan: SheetPlan) -> str:
    """The first room that is for so many cuts and narrow pieces."""
    longest = max(plan.sheet.width, plan.sheet.height)
    narrow = sum(min(placed.width, placed.height) * _NARROW < longest for placed in plan.placed)
    return next(
        name
        for name, (most_cuts, most_narrow) in SHEET_ROOMS.items()
        if len(plan.cuts) <= most_cuts and narrow <= most_narrow
    )

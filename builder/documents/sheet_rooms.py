"""Which room of a page the map of a sheet gets: the more it shows, the larger.

In: one sheet plan.  Out: the name of its room in ``figures`` of ``layout.yaml``.
"""

from __future__ import annotations

from builder.sheets import SheetPlan

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

"""Maps of sheets with many narrow cuts: sizes of the folio at which placing one mark after another
left leaders crossed, found among 200 random ones (``figure_check --sizes 200``)."""

from __future__ import annotations

import pytest

from gatherfold.documents.page import read_page
from gatherfold.drawings.registry import sheet_room
from gatherfold.drawings.scene_check import overlaps
from gatherfold.drawings.sheet_map.drawing import sheet_scene
from gatherfold.drawings.sheet_map.mapped import MappedSheet
from gatherfold.plans import plan_stocks
from gatherfold.shipped import LAYOUTS
from tests.benchmarks.figure_check import FOLIO, resolved_of

SIZES = (
    {
        "band_lap": "20/16 in",
        "end_flap": "110/16 in x 62/16 in",
        "ease": "0.2 in",
        "side_flap": "92/16 in x 164/16 in",
    },
    {
        "band_lap": "3/4 in",
        "end_photo": "93/16 in x 62/16 in",
        "end_flap": "178 mm x 102 mm",
    },
)


@pytest.mark.parametrize("changed", SIZES, ids=["thirteen cuts", "fourteen cuts"])
@pytest.mark.parametrize("layout", ["pattern", "bench"])
def test_marks_make_room_for_one_another(changed: dict[str, str], layout: str) -> None:
    resolved = resolved_of(FOLIO, "imperial", changed)
    rooms = read_page(LAYOUTS / layout, resolved.edition).rooms
    faults, most = [], 0
    for key, stock_plan in plan_stocks(resolved).items():
        for number, sheet in enumerate(stock_plan.plan.sheets, start=1):
            room = rooms[sheet_room(sheet)]
            scene = sheet_scene(
                MappedSheet(resolved, key, sheet, number, len(stock_plan.plan.sheets)), *room
            )
            faults += overlaps(scene)
            most = max(most, len(sheet.cuts))
    assert faults == []
    assert most >= 13

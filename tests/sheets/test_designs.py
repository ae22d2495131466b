"""Every design's plans, replayed by the independent checker, give exactly what was asked for."""

from dataclasses import replace
from pathlib import Path

import pytest

from gatherfold.native_edition import settle
from gatherfold.plans import plan_stocks, rectangles_of
from gatherfold.reading.read_design import read_design_file
from gatherfold.resolve.edition import EDITIONS, Edition
from gatherfold.sheets import Trimmer
from tests.sheets.checker import verify

ROOT = Path(__file__).parents[2]
DESIGNS = sorted([*(ROOT / "designs").glob("*.yaml"), *(ROOT / "tests" / "designs").glob("*.yaml")])


@pytest.mark.parametrize("kits", [1, 12])
@pytest.mark.parametrize("edition", EDITIONS.values(), ids=lambda each: each.name)
@pytest.mark.parametrize("path", DESIGNS, ids=lambda path: path.stem)
def test_the_cuts_of_a_design_give_exactly_its_pieces(
    path: Path, edition: Edition, kits: int
) -> None:
    resolved = settle(read_design_file(path), edition).resolved
    limits = resolved.trimmer
    trimmer = Trimmer(limits.longest_cut, limits.narrowest_strip, edition.grid)
    plans = plan_stocks(resolved, kits)
    assert plans
    for key, found in plans.items():
        outs = [out for out in resolved.cut_outs.values() if out.stock.key == key]
        kit = [copy for out in outs for copy in rectangles_of(out, edition.grid)]
        later = [replace(p, key=f"{p.key}#kit{n}") for n in range(2, kits + 1) for p in kit]
        assert verify(found.of_one, kit, trimmer) == []
        assert verify(found.plan, kit + later, trimmer) == []
        assert found.plan.unplaced == ()

"""Every design's plans, replayed by the independent checker, give exactly what was asked for:
one kit in both editions, twelve in the designer's own."""

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

import pytest

from gatherfold.plans import StockPlan, plan_stocks, rectangles_of
from gatherfold.resolve.edition import EDITIONS
from gatherfold.resolve.resolved import ResolvedDesign
from gatherfold.sheets import Trimmer
from tests.sheets.checker import verify
from tests.works import checked, native_of

ROOT = Path(__file__).parents[2]
DESIGNS = sorted([*(ROOT / "designs").glob("*.yaml"), *(ROOT / "tests" / "designs").glob("*.yaml")])


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize("path", DESIGNS, ids=lambda path: path.stem)
def test_the_cuts_of_a_kit_give_exactly_its_pieces(path: Path, edition: str) -> None:
    found = checked(path, edition)
    _give_exactly_the_pieces(found.resolved, found.plans, 1)


@pytest.mark.parametrize("path", DESIGNS, ids=lambda path: path.stem)
def test_the_cuts_of_twelve_kits_give_exactly_their_pieces(path: Path) -> None:
    resolved = checked(path, native_of(path)).resolved
    _give_exactly_the_pieces(resolved, plan_stocks(resolved, 12), 12)


def _give_exactly_the_pieces(
    resolved: ResolvedDesign, plans: Mapping[str, StockPlan], kits: int
) -> None:
    limits, grid = resolved.trimmer, resolved.edition.grid
    trimmer = Trimmer(limits.longest_cut, limits.narrowest_strip, grid)
    assert plans
    for key, found in plans.items():
        outs = [out for out in resolved.cut_outs.values() if out.stock.key == key]
        kit = [copy for out in outs for copy in rectangles_of(out, grid)]
        later = [replace(p, key=f"{p.key}#kit{n}") for n in range(2, kits + 1) for p in kit]
        assert verify(found.of_one, kit, trimmer) == []
        assert verify(found.plan, kit + later, trimmer) == []
        assert found.plan.unplaced == ()

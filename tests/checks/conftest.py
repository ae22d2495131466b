"""Plans of sheets that many tests ask for: most mistakes leave most stocks as they were."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cache

import pytest

from gatherfold.plans import stocks
from gatherfold.sheets import Kits, Rectangle, Sheet, Trimmer


@pytest.fixture(scope="session", autouse=True)
def same_sheets_planned_once() -> Iterator[None]:
    """The same rectangles on the same sheets have the same plan, so that each is made once."""
    plan_kits = cache(stocks.plan_kits)

    def planned(
        kit: Sequence[Rectangle], kits: int, sheets: Sequence[Sheet], *, trimmer: Trimmer
    ) -> Kits:
        return plan_kits(tuple(kit), kits, tuple(sheets), trimmer=trimmer)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(stocks, "plan_kits", planned)
        yield

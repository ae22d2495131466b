"""What several stages' tests share: the shipped folio, built once."""

from __future__ import annotations

import pytest

from builder.build import BuildOrder, EditionResult, build_editions
from builder.reading import read_design_file
from builder.resolve.edition import EDITIONS
from builder.shipped import DESIGNS, LAYOUTS

FOLIO = DESIGNS / "observatory-folio.yaml"


def silent(text: str) -> None:
    """Progress that says nothing; a named function, so that it reaches worker processes."""


@pytest.fixture(scope="session")
def built_folio() -> dict[str, EditionResult]:
    """Both editions of the shipped folio in every layout, the pattern first, by edition."""
    layouts = tuple(LAYOUTS / name for name in ("pattern", "handout", "bench"))
    order = BuildOrder(layouts, "0123456789ab", allow_draft=False)
    design = read_design_file(FOLIO)
    results = build_editions(design, list(EDITIONS.values()), order, silent)
    return {result.edition: result for result in results}

"""The shipped and the test designs, each read and resolved once.

In: a file.  Out: the resolved design in its own units.  Nothing here asks the work.
"""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from gatherfold.reading.read_design import read_design_file
from gatherfold.resolve import resolve
from gatherfold.resolve.edition import EDITIONS
from gatherfold.resolve.resolved import ResolvedDesign

ROOT = Path(__file__).parents[2]
TEST_DESIGNS = ROOT / "tests/designs"
DESIGNS = (*sorted((ROOT / "designs").glob("*.yaml")), *sorted(TEST_DESIGNS.glob("*.yaml")))


@lru_cache
def resolved_of(file: Path) -> ResolvedDesign:
    """Read and resolve a design."""
    design = read_design_file(file)
    return resolve(design, EDITIONS[design.native])

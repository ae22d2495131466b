"""An edition: one rendering of a design in one unit system, with its own grid and paper.

Sizes: ISO 216 (A4 210 × 297 mm) and US Letter (8½ × 11 in).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from gatherfold.lengths import IMPERIAL_UNITS, INCH, METRIC_UNITS, UnitSystem
from gatherfold.model import EditionName, PaperName, is_metric


@dataclass(frozen=True)
class Paper:
    """The paper a document is printed on; width and height in mm."""

    name: str
    width: Fraction
    height: Fraction


LETTER = Paper("Letter", Fraction(2159, 10), Fraction(2794, 10))
A4 = Paper("A4", Fraction(210), Fraction(297))
PAPERS: dict[PaperName, Paper] = {"letter": LETTER, "a4": A4}


@dataclass(frozen=True)
class Edition:
    """``grid`` is the cutting step; ``finest`` the step allowed where a half is unavoidable."""

    name: EditionName
    units: UnitSystem
    grid: Fraction
    finest: Fraction
    paper: Paper
    #: The other unit system, as the language of this edition writes it.
    other_units: UnitSystem | None = None

    def with_grid(self, grid: Fraction) -> Edition:
        finest = grid / 2 if is_metric(self.name) else grid
        return replace(self, grid=grid, finest=finest)


IMPERIAL = Edition("imperial", IMPERIAL_UNITS, INCH / 16, INCH / 16, LETTER)
METRIC = Edition("metric", METRIC_UNITS, Fraction(1), Fraction(1, 2), A4)
EDITIONS: dict[EditionName, Edition] = {"imperial": IMPERIAL, "metric": METRIC}

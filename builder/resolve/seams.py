"""A seam: adhesive along an edge of a section that is closed for good, in exact places."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from builder.geometry.edges import EdgeName
from builder.geometry.outline import Point


@dataclass(frozen=True)
class ResolvedSeam:
    """Adhesive along an edge of a section that is closed for good, on the side that folds in:
    stretches of the piece's outline, begun ``dry`` from the section's fold."""

    section: str
    edge: EdgeName
    dry: Fraction
    runs: tuple[tuple[Point, Point], ...]

    @property
    def length(self) -> Fraction:
        """How much adhesive it takes, measured square to the sheet's edges."""
        longest = (max(abs(a.x - b.x), abs(a.y - b.y)) for a, b in self.runs)
        return sum(longest, Fraction(0))

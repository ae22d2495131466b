"""Resolving: a :class:`Design` in one edition → every length exact, every piece an outline, every
layer placed.

``values`` evaluates formulas on the edition's grid, ``pieces`` builds outlines with their
features, ``placement`` puts the faces in space for each state, ``resolve_design`` joins them.
"""

from builder.resolve.edition import Edition
from builder.resolve.resolve_design import resolve
from builder.resolve.resolved import ResolvedDesign

__all__ = ["Edition", "ResolvedDesign", "resolve"]

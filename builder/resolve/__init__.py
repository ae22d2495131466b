"""Resolving: a :class:`Design` in one edition → every length exact, every piece an outline.

``values`` evaluates formulas on the edition's grid, ``pieces`` builds outlines with their
features, ``resolve_design`` joins them.  Where what lies is for ``builder.work`` to say.
"""

from builder.resolve.edition import Edition
from builder.resolve.resolve_design import resolve
from builder.resolve.resolved import ResolvedDesign

__all__ = ["Edition", "ResolvedDesign", "resolve"]

"""Resolving: a :class:`Design` in one edition → every length exact, every piece an outline.

``values`` evaluates formulas on the edition's grid, ``pieces`` builds outlines with their
features, ``resolve_design`` joins them.  Where what lies is for ``gatherfold.work`` to say.
"""

from gatherfold.resolve.edition import Edition
from gatherfold.resolve.resolve_design import resolve
from gatherfold.resolve.resolved import ResolvedDesign

__all__ = ["Edition", "ResolvedDesign", "resolve"]

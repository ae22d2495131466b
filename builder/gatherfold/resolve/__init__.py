"""Resolving: a :class:`Design` in one edition → every length exact, every piece an outline.

``values`` evaluates formulas on the edition's grid, ``pieces`` builds outlines with their
features, ``resolve_design`` joins them.  Where what lies is for ``gatherfold.work`` to say.
"""

from gatherfold.resolve.bought_sizes import sheet_text, size_text
from gatherfold.resolve.edition import EDITIONS, PAPERS, Edition, Paper
from gatherfold.resolve.resolve_design import resolve
from gatherfold.resolve.resolved import ResolvedDesign, ResolvedPiece, ResolvedStock, ResolvedStrip
from gatherfold.resolve.step_parts import named_fastenings, named_pieces, named_strips

__all__ = [
    "EDITIONS",
    "PAPERS",
    "Edition",
    "Paper",
    "ResolvedDesign",
    "ResolvedPiece",
    "ResolvedStock",
    "ResolvedStrip",
    "named_fastenings",
    "named_pieces",
    "named_strips",
    "resolve",
    "sheet_text",
    "size_text",
]

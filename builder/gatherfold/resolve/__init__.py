"""Resolving: a :class:`Design` in one edition → every length exact, every piece an outline.

``values`` evaluates formulas on the edition's grid, ``pieces`` builds outlines with their
features, ``resolve_design`` joins them.  Where what lies is for ``gatherfold.work`` to say.
"""

from gatherfold.resolve.bought_sizes import sheet_text as sheet_text
from gatherfold.resolve.bought_sizes import size_text as size_text
from gatherfold.resolve.edition import EDITIONS as EDITIONS
from gatherfold.resolve.edition import PAPERS as PAPERS
from gatherfold.resolve.edition import Edition as Edition
from gatherfold.resolve.edition import Paper as Paper
from gatherfold.resolve.resolve_design import resolve as resolve
from gatherfold.resolve.resolved import ResolvedDesign as ResolvedDesign
from gatherfold.resolve.resolved import ResolvedPiece as ResolvedPiece
from gatherfold.resolve.resolved import ResolvedStock as ResolvedStock
from gatherfold.resolve.resolved import ResolvedStrip as ResolvedStrip
from gatherfold.resolve.step_parts import named_fastenings as named_fastenings
from gatherfold.resolve.step_parts import named_pieces as named_pieces
from gatherfold.resolve.step_parts import named_strips as named_strips

"""Resolving: a :class:`Design` in one edition → every length exact, every piece an outline.

``values`` evaluates formulas on the edition's grid, ``pieces`` builds outlines with their
features, ``resolve_design`` joins them.  Where what lies is for ``gatherfold.work`` to say.
"""

# fmt: off
# isort: off
from gatherfold.resolve.bought_sizes import (printed_size as printed_size, sheet_text as sheet_text,
    size_text as size_text)
from gatherfold.resolve.edition import (EDITIONS as EDITIONS, PAPERS as PAPERS, Edition as Edition,
    Paper as Paper)
from gatherfold.resolve.resolve_design import resolve as resolve
from gatherfold.resolve.resolved import (REMEMBERED as REMEMBERED, Given as Given, Hole as Hole,
    Offsets as Offsets, ResolvedDesign as ResolvedDesign, ResolvedFastening as ResolvedFastening,
    ResolvedPiece as ResolvedPiece, ResolvedReserve as ResolvedReserve,
    ResolvedSeam as ResolvedSeam, ResolvedSheet as ResolvedSheet, ResolvedStock as ResolvedStock,
    ResolvedStrip as ResolvedStrip, Score as Score, run_length as run_length)
from gatherfold.resolve.step_parts import (closed_by_name as closed_by_name,
    named_fastenings as named_fastenings, named_pieces as named_pieces,
    named_strips as named_strips)
from gatherfold.resolve.tabs import cut_away as cut_away

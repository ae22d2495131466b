"""What lies where, with true outlines: a finding for each place where paper lies over something
that it spoils, stands out, or is never seen again.

In: a resolved design, its steps played.  Out: findings, in the order of the steps.
"""

from __future__ import annotations

from collections.abc import Iterator

from gatherfold.checks.shapes.closed import check_closed
from gatherfold.checks.shapes.cut_away import check_cut_away
from gatherfold.checks.shapes.laid import laid_pieces
from gatherfold.checks.shapes.linings import check_linings
from gatherfold.checks.shapes.outlines import check_outlines
from gatherfold.checks.shapes.overlaps import check_overlaps
from gatherfold.checks.shapes.pockets import check_pockets
from gatherfold.checks.shapes.rolls import check_rolls
from gatherfold.checks.shapes.siblings import check_siblings
from gatherfold.checks.shapes.turn_ins import check_turn_ins
from gatherfold.checks.shapes.windows import check_window_covers, check_windows
from gatherfold.findings import Finding
from gatherfold.resolve import ResolvedDesign
from gatherfold.work import Trouble, work_of


def check_shapes(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Everything about where pieces lie on one another and in the finished work."""
    for laid in laid_pieces(resolved):
        yield from check_outlines(resolved, laid)
        yield from check_window_covers(resolved, laid)
        yield from check_linings(resolved, laid)
    yield from check_overlaps(resolved)
    yield from check_pockets(resolved)
    yield from check_turn_ins(resolved)
    yield from check_cut_away(resolved)
    yield from check_rolls(resolved)
    # Where something cannot come to its place, what is seen of the finished work is not so.
    stuck = (Trouble.CANNOT_TURN, Trouble.CANNOT_GO_IN)
    if not any(each.trouble in stuck for each in work_of(resolved).problems):
        yield from check_closed(resolved)
    yield from check_windows(resolved)
    yield from check_siblings(resolved)

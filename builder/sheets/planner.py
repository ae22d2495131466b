"""The plan of a set of pieces over the sheets of a stock.

In: rectangles, sheets, trimmer. Out: a ``Plan``. The order of work: whole numbers, impossible
demands, a lower bound, one-pass fillings, cheaper choices of sheets one by one until the bound
or the work is reached, then fewer settings and cuts on each sheet.
"""

import time
from collections.abc import Sequence

from builder.sheets.demands import demands
from builder.sheets.finishing import finish
from builder.sheets.model import (
    Length,
    Plan,
    Problem,
    Rectangle,
    Sheet,
    SheetPlan,
    Trimmer,
)
from builder.sheets.packing import Effort
from builder.sheets.scaling import (
    scale_of,
    scale_pieces,
    scale_sheets,
    scale_trimmer,
    unscale_sheet,
)
from builder.sheets.searching import Search
from builder.sheets.shortages import shortage

WORK_PER_SECOND = 700_000


def plan(
    pieces: Sequence[Rectangle],
    sheets: Sheet | Sequence[Sheet],
    *,
    trimmer: Trimmer | None = None,
    time_limit: float = 2.0,
    patience: float = 1.0,
    seed: int = 0,
) -> Plan:
    """Plan the cutting of pieces from sheets; the same input and seed give the same plan.

    The work allowed is counted, in proportion to ``time_limit`` (in seconds); the clock stops
    the search only on a machine too slow for that count, after ``patience`` times as long.
    """
    deadline = time.monotonic() + patience * time_limit
    stock = [sheets] if isinstance(sheets, Sheet) else list(sheets)
    _refuse_nonsense(pieces, stock)
    limits = trimmer or Trimmer()
    scale = scale_of(pieces, stock, limits)
    whole_stock = scale_sheets(stock, scale)
    whole_limits = scale_trimmer(limits, scale)
    wanted = demands(scale_pieces(pieces, scale), whole_stock, whole_limits, scale)
    effort = Effort(int(time_limit * WORK_PER_SECOND), deadline)
    search = Search(wanted, whole_stock, whole_limits, effort, seed)
    result = search.run()
    finished = finish(result.arrangements, wanted.pieces, whole_stock, whole_limits, seed, deadline)
    problems = list(wanted.problems)
    if result.outside:
        placed = [key for one in result.arrangements[0] for key in (p.key for p in one.placed)]
        problems += shortage(
            result.outside,
            [piece for piece in wanted.pieces if piece.key in placed],
            whole_stock,
            whole_limits,
            scale,
            not search.could_be_enough(),
        )
    return assembled(
        [unscale_sheet(one, stock[kind], scale) for kind, one in finished],
        result.bound,
        problems,
    )


def _refuse_nonsense(pieces: Sequence[Rectangle], sheets: Sequence[Sheet]) -> None:
    """A caller's mistakes, as against a design's."""
    if not sheets:
        raise ValueError("there must be at least one sheet")
    keys = [piece.key for piece in pieces]
    if len(set(keys)) != len(keys):
        raise ValueError("every piece needs a key of its own")
    for piece in pieces:
        if piece.width <= 0 or piece.height <= 0:
            raise ValueError(f"piece {piece.key} must have a width and a height above 0")
    for sheet in sheets:
        left, right, bottom, top = sheet.margins
        if sheet.width - left - right <= 0 or sheet.height - bottom - top <= 0:
            raise ValueError(f"sheet {sheet.name} has no usable area")
        if sheet.cost < 0 or min(sheet.margins) < 0:
            raise ValueError(f"sheet {sheet.name} has a negative cost or margin")


def assembled(sheets: Sequence[SheetPlan], bound: Length, problems: Sequence[Problem]) -> Plan:
    """A plan of these sheets, with its cost, its proof and its sums."""
    cost = sum(one.sheet.cost for one in sheets)
    proven = cost == bound
    status = "proven minimal" if proven else f"at most {cost - bound} more than possible"
    return Plan(
        tuple(sheets),
        cost,
        bound,
        proven,
        status,
        sum(len(one.cuts) for one in sheets),
        sum(one.settings for one in sheets),
        tuple(problems),
    )

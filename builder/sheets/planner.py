"""The plan of a set of pieces over the sheets of a stock.

In: rectangles, sheets, trimmer. Out: a ``Plan``. The order of work: whole numbers, impossible
demands, a lower bound, one-pass fillings, cheaper choices of sheets one by one until the bound
or the work is reached, then fewer settings and cuts on each sheet.
"""

import time
from collections.abc import Sequence
from dataclasses import replace

from builder.sheets.arranging import Task
from builder.sheets.finishing import finish
from builder.sheets.model import Length, Plan, Problem, Rectangle, Sheet, SheetPlan, Trimmer
from builder.sheets.packing import Effort
from builder.sheets.problems import Demands, clash, demands, too_few
from builder.sheets.scaling import scale_of, scaled, unscaled
from builder.sheets.searching import Search

WORK_PER_SECOND = 700_000
# What may be spent on how many more sheets would do.
SHORTAGE_WORK, SHORTAGE_SECONDS = 40_000, 0.2


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
    factor = scale_of([*pieces, *stock, limits])
    wanted = demands(pieces, stock, limits)
    effort = Effort(int(time_limit * WORK_PER_SECOND), deadline)
    task = _task(wanted, stock, limits, factor)
    search = Search(task, effort, seed)
    result = search.run()
    finished = finish(result.arrangements, task, seed, deadline)
    problems = list(wanted.problems)
    if result.outside:
        missing = {piece.key for piece in result.outside}
        by_key = {piece.key: piece for piece in wanted.pieces}
        outside = [by_key[piece.key] for piece in result.outside]
        inside = [piece for piece in wanted.pieces if piece.key not in missing]
        problems += _shortage(outside, inside, stock, limits, not search.could_be_enough())
    sheets_cut = [unscaled(one, stock[kind], factor) for kind, one in finished]
    return assembled(sheets_cut, result.bound, problems)


def _task(wanted: Demands, sheets: Sequence[Sheet], trimmer: Trimmer, factor: int) -> Task:
    """What can be cut, in whole numbers."""
    return Task(
        tuple(scaled(piece, factor) for piece in wanted.pieces),
        wanted.kinds,
        tuple(scaled(sheet, factor) for sheet in sheets),
        scaled(trimmer, factor),
    )


def _shortage(
    outside: Sequence[Rectangle],
    inside: Sequence[Rectangle],
    sheets: Sequence[Sheet],
    trimmer: Trimmer,
    is_certain: bool,
) -> list[Problem]:
    """One problem for every pinned piece in another's place, and one for all other pieces."""
    clashes = {piece.key: clash(piece, inside, sheets) for piece in outside}
    problems = [problem for problem in clashes.values() if problem is not None]
    left = [piece for piece in outside if clashes[piece.key] is None]
    if left:
        name, more = _more(left, sheets, trimmer)
        problems.append(too_few(left, sheets, name, more, is_certain))
    return problems


def _more(left: Sequence[Rectangle], sheets: Sequence[Sheet], trimmer: Trimmer) -> tuple[str, int]:
    """The kind of sheet that takes most of the pieces left, and how many more take them."""
    ranks: list[tuple[int, int, str]] = []
    for sheet in sheets:
        endless = [replace(sheet, count=None, cost=1)]
        wanted = demands(left, endless, trimmer)
        if wanted.pieces:
            task = _task(wanted, endless, trimmer, scale_of([*left, *endless, trimmer]))
            effort = Effort(SHORTAGE_WORK, time.monotonic() + SHORTAGE_SECONDS)
            found = Search(task, effort, 0).run()
            ranks.append((-len(wanted.pieces), len(found.arrangements[0]), sheet.name))
    _, more, name = min(ranks)
    return name, more


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

"""The plan of a whole class: all pieces of so many kits together.

In: the pieces of one kit, how many kits, sheets, trimmer. Out: the plan of one kit alone and the
plan of all kits. All kits are planned as one, and kits in small blocks with the blocks repeated;
the cheapest is taken, and of equals the one with the fewest different sheets to learn. Sheets that
give the same pieces are then cut alike.

The copy of a piece in a later kit is called ``KEY#kitN``; ``name_of`` gives the piece's own key.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from builder.sheets.model import Length, Plan, Rectangle, Sheet, SheetPlan, Trimmer
from builder.sheets.planner import assembled, plan

BLOCKS = (1, 2, 3)
# The shares of the time for all kits as one, and for each block.
WHOLE_SHARE, BLOCK_SHARE = 0.8, 0.1
Pattern = tuple[str, tuple[tuple[str, Length, Length, Length, Length], ...]]


@dataclass(frozen=True)
class Kits:
    """The plan of one kit alone, and that of all kits."""

    one: Plan
    all: Plan


def name_of(key: str) -> str:
    """The piece's own key, without the number of the copy or of the kit."""
    return key.partition("#")[0]


def plan_kits(
    kit: Sequence[Rectangle],
    kits: int,
    sheets: Sequence[Sheet],
    *,
    trimmer: Trimmer | None = None,
    time_limit: float = 2.0,
    seed: int = 0,
) -> Kits:
    """Plan so many kits together; the same input and seed give the same plans."""
    one = plan(kit, sheets, trimmer=trimmer, time_limit=time_limit, seed=seed)
    if kits == 1:
        return Kits(one, one)
    whole = plan(
        _copies(kit, 1, kits),
        sheets,
        trimmer=trimmer,
        time_limit=WHOLE_SHARE * time_limit,
        seed=seed,
    )
    found = [whole]
    for size in BLOCKS:
        times, rest = divmod(kits, size)
        if rest or times == 1:
            continue
        stock = [_share(sheet, times) for sheet in sheets]
        block = one
        if size > 1 or stock != list(sheets):
            pieces = _copies(kit, 1, size)
            limit = BLOCK_SHARE * time_limit
            block = plan(pieces, stock, trimmer=trimmer, time_limit=limit, seed=seed)
        if not block.unplaced:
            repeated = _repeated(block, size, times, {sheet.name: sheet for sheet in sheets})
            found.append(assembled(repeated, min(whole.bound, times * block.cost), ()))
    best = min((_alike(each) for each in found), key=_rank)
    return Kits(one, best)


def _copies(kit: Sequence[Rectangle], first: int, last: int) -> list[Rectangle]:
    """The pieces of kits ``first`` to ``last``."""
    return [
        replace(piece, key=_key(piece.key, number))
        for number in range(first, last + 1)
        for piece in kit
    ]


def _key(key: str, kit: int) -> str:
    return key if kit == 1 else f"{key}#kit{kit}"


def _share(sheet: Sheet, times: int) -> Sheet:
    """The part of a limited stock that each of so many blocks may use."""
    return sheet if sheet.count is None else replace(sheet, count=sheet.count // times)


def _repeated(
    block: Plan, size: int, times: int, stock: Mapping[str, Sheet]
) -> tuple[SheetPlan, ...]:
    """The sheets of a block again and again, each time for the next kits."""
    found = []
    for turn in range(times):
        for sheet in block.sheets:
            names = {placed.key: _later(placed.key, turn * size) for placed in sheet.placed}
            found.append(replace(_renamed(sheet, names), sheet=stock[sheet.sheet.name]))
    return tuple(found)


def _later(key: str, kits: int) -> str:
    """The same piece so many kits later."""
    own, mark, number = key.partition("#kit")
    return _key(own, kits + (int(number) if mark else 1))


def _renamed(sheet: SheetPlan, names: Mapping[str, str]) -> SheetPlan:
    """The same sheet with other copies of its pieces."""
    return replace(
        sheet,
        placed=tuple(replace(placed, key=names[placed.key]) for placed in sheet.placed),
        final={part: names[key] for part, key in sheet.final.items()},
    )


def _alike(found: Plan) -> Plan:
    """The plan with sheets that give the same pieces cut in the same way, and side by side."""
    groups: dict[tuple[str, tuple[str, ...]], list[SheetPlan]] = {}
    for sheet in found.sheets:
        pieces = tuple(sorted(name_of(placed.key) for placed in sheet.placed))
        groups.setdefault((sheet.sheet.name, pieces), []).append(sheet)
    sheets = []
    for group in groups.values():
        best = min(group, key=lambda sheet: sheet.settings + len(sheet.cuts))
        sheets += [_as(best, sheet) for sheet in group]
    return assembled(sheets, found.bound, found.unplaced)


def _as(pattern: SheetPlan, sheet: SheetPlan) -> SheetPlan:
    """The pattern with the copies of pieces that come from this sheet."""
    own: dict[str, list[str]] = {}
    for placed in reversed(sheet.placed):
        own.setdefault(name_of(placed.key), []).append(placed.key)
    return _renamed(pattern, {p.key: own[name_of(p.key)].pop() for p in pattern.placed})


def _rank(found: Plan) -> tuple[int, Length, int, int]:
    missing = sum(len(problem.pieces) for problem in found.unplaced)
    return missing, found.cost, len(set(map(pattern_of, found.sheets))), found.settings


def pattern_of(sheet: SheetPlan) -> Pattern:
    """Equal for sheets that are cut alike: what lies where, whichever copies they are."""
    placed = sorted((name_of(p.key), p.x, p.y, p.width, p.height) for p in sheet.placed)
    return sheet.sheet.name, tuple(placed)

"""The plan of a whole class: all pieces of so many kits together.

In: the pieces of one kit, how many kits, sheets, trimmer. Out: the plan of one kit alone and the
plan of all kits. All kits are planned as one, and kits in small blocks with the blocks repeated;
the cheapest is taken, and of equals the one with the fewest cuts and guide settings. Sheets that
give pieces of the same sizes are cut alike, side by side: the guide is set once for all of them.

The copy of a piece in a later kit is called ``KEY#kitN``; ``name_of`` gives the piece's own key.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from gatherfold.sheets.model import Length, Plan, Rectangle, Sheet, SheetPlan, Trimmer
from gatherfold.sheets.planner import assembled, plan

BLOCKS = (1, 2, 3)
# How much longer a busy machine may take: the count of the work ends the search, so that builds
# of one design give one plan.
PATIENCE = 3.0
# The shares of the time for all kits as one, and for each block.
WHOLE_SHARE, BLOCK_SHARE = 0.8, 0.4
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

    def planned(pieces: Sequence[Rectangle], stock: Sequence[Sheet], share: float) -> Plan:
        limit = share * time_limit
        return plan(pieces, stock, trimmer=trimmer, time_limit=limit, patience=PATIENCE, seed=seed)

    one = planned(kit, sheets, 1.0)
    if kits == 1:
        return Kits(one, one)
    pieces = _copies(kit, kits)
    whole = planned(pieces, sheets, WHOLE_SHARE)
    found = [whole]
    by_name = {sheet.name: sheet for sheet in sheets}
    for size in BLOCKS:
        times, rest = divmod(kits, size)
        if rest or times == 1:
            continue
        stock = [_share(sheet, times) for sheet in sheets]
        block = one
        if size > 1 or stock != list(sheets):
            block = planned(_copies(kit, size), stock, BLOCK_SHARE)
        if not block.unplaced:
            own = [replace(sheet, sheet=by_name[sheet.sheet.name]) for sheet in block.sheets]
            found.append(assembled(own * times, min(whole.bound, times * block.cost), ()))
    likeness = _likeness(kit)
    best = min((_alike(each, pieces, likeness) for each in found), key=_rank)
    return Kits(one, best)


def _likeness(kit: Sequence[Rectangle]) -> dict[str, str]:
    """For each piece the first that it cannot be told from on a sheet."""
    first: dict[Rectangle, str] = {}
    names: dict[str, str] = {}
    for piece in kit:
        name = name_of(piece.key)
        names.setdefault(name, first.setdefault(replace(piece, key=""), name))
    return names


def _copies(kit: Sequence[Rectangle], kits: int) -> list[Rectangle]:
    """The pieces of so many kits."""
    later = [
        replace(piece, key=f"{piece.key}#kit{number}")
        for number in range(2, kits + 1)
        for piece in kit
    ]
    return [*kit, *later]


def _share(sheet: Sheet, times: int) -> Sheet:
    """The part of a limited stock that each of so many blocks may use."""
    return sheet if sheet.count is None else replace(sheet, count=sheet.count // times)


def _renamed(sheet: SheetPlan, names: Mapping[str, str]) -> SheetPlan:
    """The same sheet with other copies of its pieces."""
    return replace(
        sheet,
        placed=tuple(replace(placed, key=names[placed.key]) for placed in sheet.placed),
        final={part: names[key] for part, key in sheet.final.items()},
    )


def _alike(found: Plan, pieces: Sequence[Rectangle], likeness: Mapping[str, str]) -> Plan:
    """The plan with sheets that give the same pieces cut in the same way, and side by side.

    Pieces of one size stand for one another, so copies are dealt out until sheets agree.
    """
    missing = {key for problem in found.unplaced for key in problem.pieces}
    left: dict[str, dict[str, list[str]]] = {}
    for piece in pieces:
        if piece.key not in missing:
            name = name_of(piece.key)
            left.setdefault(likeness[name], {}).setdefault(name, []).append(piece.key)
    groups: dict[tuple[str, tuple[str, ...]], list[SheetPlan]] = {}
    for sheet in found.sheets:
        alike = tuple(sorted(likeness[name_of(placed.key)] for placed in sheet.placed))
        groups.setdefault((sheet.sheet.name, alike), []).append(sheet)
    sheets: list[SheetPlan] = []
    for group in sorted(groups.values(), key=len, reverse=True):
        best = min(group, key=lambda sheet: sheet.settings + len(sheet.cuts))
        dealt: list[dict[str, str]] = [{} for _ in group]
        for placed in best.placed:
            stacks = left[likeness[name_of(placed.key)]]
            for names_here in dealt:
                # The piece of which most copies are left lasts for the most sheets.
                stack = _lasting(stacks, len(group), dealt[0].get(placed.key))
                names_here[placed.key] = stack.pop()
        made = [_renamed(best, names_here) for names_here in dealt]
        sheets += sorted(made, key=pattern_of)
    return assembled(sheets, found.bound, found.unplaced)


def _lasting(stacks: Mapping[str, list[str]], sheets: int, first: str | None) -> list[str]:
    """The copies to take from: those of the piece on the first sheet while there are any."""
    if first is not None and stacks[name_of(first)]:
        return stacks[name_of(first)]
    enough = [stack for stack in stacks.values() if len(stack) >= sheets]
    return max(enough or list(stacks.values()), key=len)


def _rank(found: Plan) -> tuple[int, Length, int, int]:
    """Smaller is better: the work of sheets cut alike counts a guide setting once for all."""
    missing = sum(len(problem.pieces) for problem in found.unplaced)
    settings = {pattern_of(sheet): sheet.settings for sheet in found.sheets}
    return missing, found.cost, found.cuts + sum(settings.values()), len(settings)


def pattern_of(sheet: SheetPlan) -> Pattern:
    """Equal for sheets that are cut alike: what lies where, whichever copies they are."""
    placed = sorted((name_of(p.key), p.x, p.y, p.width, p.height) for p in sheet.placed)
    return sheet.sheet.name, tuple(placed)

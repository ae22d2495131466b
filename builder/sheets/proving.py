"""Proof: a bound beyond inequalities, and often the plan that reaches it.

In: an arrangement and a bound below its price. Out: an arrangement no dearer and a bound no lower.
Two sheets are tried as one; else the bound is that of a plan in fractions of patterns or of a cover
by listed sets, and what these leave out is filled in by the search.
"""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from builder.sheets.arranging import Arrangement, Arranger, bins_of
from builder.sheets.bounds import round_up
from builder.sheets.guillotine import Node, empty, renamed
from builder.sheets.listing import Listing, one_sheet, prove
from builder.sheets.model import Length
from builder.sheets.packing import Effort, Filling
from builder.sheets.pins import Frame, room_of, usable
from builder.sheets.pricing import priced

# The part of the work left that joining parts into one sheet may take.
JOINING_PART = 3
# The part of all work that a plan in fractions may take.
PRICING_PART = 6
# The part of the work left that listing by kinds may take, and what one step of it costs.
KINDS_PART = 8
LISTING_COST = 4
# How many sheets beyond a cover of the largest kinds are tried for all pieces.
MOST_BEYOND = 3
# How much of a bound in floating point is not to be relied on.
DOUBT = 1e-5


def proved(arranger: Arranger, best: Arrangement, bound: Length) -> tuple[Arrangement, Length]:
    """A better bound, and perhaps a better plan."""
    if arranger.pinned:
        return best, bound
    if len(arranger.sheets) == 1 and len(best.frames) == 2:
        answer = one_sheet(
            arranger.packer.items,
            *room_of(arranger.sheets[0]),
            arranger.effort.work // JOINING_PART,
            arranger.effort.deadline,
        )
        arranger.effort.spend(answer.work)
        if answer.tree is None and answer.settled:
            return best, arranger.cost(best)
        if answer.tree is not None and arranger.task.longest is None:
            single = (Frame(0, (), (usable(arranger.sheets[0]),)),)
            found = Arrangement(single, Filling(bins_of(single), [answer.tree]))
            return found, max(bound, arranger.cost(found))
    best, bound = _in_fractions(arranger, best, bound)
    if bound < arranger.cost(best):
        best, bound = _by_kinds(arranger, best, bound)
    return best, bound


def _raised(arranger: Arranger, best: Arrangement, bound: Length, least: float) -> Length:
    """The bound when a price in floating point cannot be gone below either."""
    sure = round_up(Fraction(least - DOUBT * max(1.0, least)), arranger.sheets)
    return min(arranger.cost(best), max(bound, sure))


def _in_fractions(
    arranger: Arranger, best: Arrangement, bound: Length
) -> tuple[Arrangement, Length]:
    """The bound of a plan in fractions of patterns, and the plan that rounding it gives."""
    sheets = arranger.sheets
    budget = arranger.allowed // PRICING_PART
    effort = Effort(budget, arranger.effort.deadline)
    found = priced(arranger.members, arranger.rooms, effort)
    arranger.effort.spend(budget - effort.work)
    if found is None:
        return best, bound
    bound = _raised(arranger, best, bound, found.bound)
    # A pattern knows nothing of a longest cut.
    if len(sheets) == 1 and arranger.task.longest is None and bound < arranger.cost(best):
        (one,) = bins_of([Frame(0, (), (usable(sheets[0]),))])
        firsts = [alike[0] for alike in arranger.members.values()]
        for pattern in found.patterns:
            arranger.patterns.hold(one, pattern.kinds, renamed(pattern.tree, firsts.__getitem__))
        rounded = _rounded(arranger, int(bound / sheets[0].cost))
        if rounded.complete and arranger.cost(rounded) < arranger.cost(best):
            best = rounded
    return best, bound


def _rounded(arranger: Arranger, number: int) -> Arrangement:
    """So many sheets filled with the best patterns held, and what is left on more of them."""
    packer = arranger.packer
    frames = [Frame(0, (), (usable(arranger.sheets[0]),))] * arranger.most[0]
    bins = bins_of(frames)
    filled = arranger.patterns.best(bins[:number], arranger.effort)
    queue = sorted(filled.outside, key=lambda item: -packer.areas[item])
    rest = packer.build(bins[number : number + len(queue)], queue, 0, 0.0)
    roots = [*filled.roots, *rest.roots]
    filling = Filling(bins[: len(roots)], roots, rest.outside)
    return Arrangement(tuple(frames[: len(roots)]), filling).used()


def _by_kinds(arranger: Arranger, best: Arrangement, bound: Length) -> tuple[Arrangement, Length]:
    """The bound and the plan of a cover by listed sets: of the largest kinds, as many as can be.

    What the listing leaves out goes into the gaps of the cover, and on sheets beyond it.
    """
    kinds = sorted(arranger.members, key=lambda kind: -kind.area)
    budget = arranger.effort.work // KINDS_PART
    last: tuple[Listing, list[int]] | None = None
    before, growth = 1, 1.0
    for number in range(1, len(kinds) + 1):
        chosen = [item for kind in kinds[:number] for item in arranger.members[kind]]
        effort = Effort(budget, arranger.effort.deadline)
        listing = Listing([arranger.packer.items[i] for i in chosen], arranger.rooms, effort)
        spent, budget = budget - effort.work, effort.work
        arranger.effort.spend(LISTING_COST * spent)
        if not listing.complete:
            break
        last = listing, chosen
        before, growth = max(1, spent), max(1, spent) / before
        if before * growth > budget:
            break
    proof = None if last is None else prove(last[0])
    if last is None or proof is None:
        return best, bound
    bound = _raised(arranger, best, bound, proof.bound)
    if proof.sheets is not None and arranger.task.longest is None:
        cover = _covered(arranger, proof.sheets, last[1])
        best = _filled_up(arranger, cover, best, bound)
    return best, bound


def _covered(
    arranger: Arranger, sheets: Sequence[tuple[int, Node]], names: Sequence[int]
) -> Arrangement:
    """The arrangement of a cover by listed items, which ``names`` numbers."""
    frames = tuple(Frame(j, (), (usable(arranger.sheets[j]),)) for j, _ in sheets)
    trees = [renamed(tree, lambda item: names[item]) for _, tree in sheets]
    held = set(names)
    rest = [item for item in range(len(arranger.free)) if item not in held]
    return Arrangement(frames, Filling(bins_of(frames), trees, rest))


def _filled_up(
    arranger: Arranger, cover: Arrangement, best: Arrangement, bound: Length
) -> Arrangement:
    """A cover of the largest pieces with all others, if that costs less than the best."""
    costs = [(sheet.cost, j) for j, sheet in enumerate(arranger.sheets) if sheet.cost > 0]
    cheapest = min(costs, default=(0, 0))[1]
    more = Frame(cheapest, (), (usable(arranger.sheets[cheapest]),))
    found = cover
    for _ in range(MOST_BEYOND):
        if arranger.cost(found) >= arranger.cost(best):
            break
        if arranger.cost(found) >= bound:
            filling = arranger.improved(found.filling, max(1, arranger.effort.work // 2))
            found = replace(found, filling=filling)
            if found.complete:
                return found.used()
        if sum(one.kind == cheapest for one in found.frames) >= arranger.most[cheapest]:
            break
        bins, filling = bins_of([more]), found.filling
        roots = [*filling.roots, *(empty(one.width, one.height) for one in bins)]
        filling = Filling([*filling.bins, *bins], roots, filling.outside)
        found = replace(found, frames=(*found.frames, more), filling=filling)
    return best

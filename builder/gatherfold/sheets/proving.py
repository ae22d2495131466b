"""Proof: a bound beyond inequalities, and often the plan that reaches it.

In: an arrangement and a bound below its price. Out: an arrangement no dearer and a bound no lower.
Two sheets are tried as one; else the bound is that of a cover by listed sets and, for pieces in
many copies, of a plan in fractions of patterns. The search is given the patterns of both.
"""

from fractions import Fraction

from gatherfold.sheets.arranging import Arrangement, Arranger, bins_of
from gatherfold.sheets.bounds import round_up
from gatherfold.sheets.guillotine import renamed
from gatherfold.sheets.listing import Listing, one_sheet, prove
from gatherfold.sheets.model import Length
from gatherfold.sheets.packing import Effort, Filling
from gatherfold.sheets.pins import Frame, room_of, usable
from gatherfold.sheets.pricing import priced

# The part of the work left that joining parts into one sheet may take.
JOINING_PART = 3
# The part of all work that a plan in fractions may take.
PRICING_PART = 6
# The part of the work left that listing by kinds may take, of pieces in copies and of others, and
# what one step of it costs.
KINDS_PART, SINGLES_PART = 8, 48
LISTING_COST = 4
# How much of a bound in floating point is not to be relied on.
DOUBT = 1e-5


def proved(arranger: Arranger, best: Arrangement, bound: Length) -> tuple[Arrangement, Length]:
    """A better bound, and perhaps a better plan."""
    if arranger.pinned:
        return best, bound
    if len(arranger.sheets) == 1 and len(best.frames) == 2:
        budget = arranger.effort.work // JOINING_PART
        effort = Effort(budget, arranger.effort.deadline)
        room = room_of(arranger.sheets[0])
        answer = one_sheet(arranger.packer.items, *room, effort)
        arranger.effort.spend(budget - effort.work)
        if answer.tree is None and answer.settled:
            return best, arranger.cost(best)
        if answer.tree is not None and arranger.task.longest is None:
            single = (Frame(0, (), (usable(arranger.sheets[0]),)),)
            found = Arrangement(single, Filling(bins_of(single), [answer.tree]))
            return found, max(bound, arranger.cost(found))
    cost = arranger.cost(best)
    # Patterns in fractions say little of pieces that there are one of.
    for proof in (_in_fractions, _by_kinds) if arranger.in_copies else (_by_kinds,):
        if bound < cost:
            # A price in floating point is not to be relied on to the last figure.
            least = proof(arranger)
            sure = round_up(Fraction(least - DOUBT * max(1.0, least)), arranger.sheets)
            bound = min(cost, max(bound, sure))
    return best, bound


def _in_fractions(arranger: Arranger) -> float:
    """The price of a plan in fractions of patterns, which are held."""
    budget = arranger.allowed // PRICING_PART
    effort = Effort(budget, arranger.effort.deadline)
    found = priced(arranger.members, arranger.rooms, effort)
    arranger.effort.spend(budget - effort.work)
    if found is None:
        return 0.0
    firsts = [alike[0] for alike in arranger.members.values()]
    for pattern in found.patterns:
        arranger.hold(pattern.room, renamed(pattern.tree, firsts.__getitem__))
    return found.bound


def _by_kinds(arranger: Arranger) -> float:
    """The price of a cover by listed sets of the largest kinds; the sets are held."""
    kinds = sorted(arranger.members, key=lambda kind: -kind.area)
    budget = arranger.effort.work // (KINDS_PART if arranger.in_copies else SINGLES_PART)
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
        return 0.0
    for room, tree in proof.sheets or ():
        arranger.hold(room, renamed(tree, last[1].__getitem__))
    return proof.bound

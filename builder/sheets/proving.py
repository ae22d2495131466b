"""Proof: a bound beyond inequalities, and often the plan that reaches it.

In: an arrangement and a bound below its price. Out: an arrangement no dearer and a bound no lower.
What one sheet can give is listed where that can be done; pieces in many copies are planned in
fractions of patterns, and two sheets are tried as one.
"""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from math import comb

from builder.sheets.arranging import Arrangement, Arranger
from builder.sheets.exact import Listing, Room, prove
from builder.sheets.guillotine import empty, items_of
from builder.sheets.joining import one_sheet
from builder.sheets.model import Length
from builder.sheets.packing import Bin, Effort, Filling
from builder.sheets.pins import Frame, usable
from builder.sheets.pricing import priced
from builder.sheets.stock import round_up

# More sets than this are not listed; which shares of the pieces are, the largest first.
MOST_LISTED = 100_000
LISTED_SHARES = (1.0, 0.8, 0.65)
# The part of the work left that a listing may take, and what one step of it costs.
LISTING_PART = 24
LISTING_COST = 4
# The part of all work that a plan in fractions may take, and that of the work left that listing
# pieces in many copies by kinds may take.
PRICING_PART = 6
KINDS_PART = 8
# How many sheets beyond a cover of the largest kinds are tried for all pieces.
MOST_BEYOND = 3
# The part of the work left that joining parts into one sheet may take.
JOINING_PART = 3


class Prover:
    """Bounds for the arrangements of one arranger."""

    def __init__(self, arranger: Arranger) -> None:
        self.arranger = arranger

    def proved(self, best: Arrangement, bound: Length) -> tuple[Arrangement, Length]:
        """A better bound, and perhaps a better plan, by listing all that a sheet can give.

        Where all pieces are too many to list, the largest alone still give a bound.
        """
        if self.arranger.pinned:
            return best, bound
        if len(self.arranger.sheets) == 1 and len(best.frames) == 2:
            best, bound, settled = self._on_one(best, bound)
            if settled:
                return best, bound
        if self.arranger.in_copies:
            best, bound = self._in_fractions(best, bound)
            if bound == self.arranger.cost(best):
                return best, bound
            return self._by_kinds(best, bound)
        largest = sorted(
            range(len(self.arranger.free)), key=lambda item: -self.arranger.packer.areas[item]
        )
        for share in LISTED_SHARES:
            chosen = largest[: int(len(largest) * share)]
            listing = self._listing(chosen, max(1, len(best.frames) - 1))
            if listing is None or not listing.complete:
                continue
            proof = prove(listing)
            if proof is None:
                break
            least = round_up(Fraction(proof.bound - self._doubt(proof.bound)), self.arranger.sheets)
            bound = min(self.arranger.cost(best), max(bound, least))
            if share == 1 and proof.sheets is not None and self.arranger.longest is None:
                found = self._covered(listing, proof.sheets, chosen)
                if self.arranger.cost(found) < self.arranger.cost(best):
                    best = found
            break
        return best, bound

    def _on_one(self, best: Arrangement, bound: Length) -> tuple[Arrangement, Length, bool]:
        """Settle whether two sheets can be one."""
        _, _, width, height = usable(self.arranger.sheets[0])
        work = self.arranger.effort.work // JOINING_PART
        answer = one_sheet(
            self.arranger.packer.items, width, height, work, self.arranger.effort.deadline
        )
        self.arranger.effort.spend(answer.work)
        if answer.tree is None:
            return best, self.arranger.cost(best) if answer.settled else bound, answer.settled
        if self.arranger.longest is not None:
            return best, bound, False
        single = Frame(0, (), (usable(self.arranger.sheets[0]),))
        bins, owner = self.arranger.bins_of([single])
        found = Arrangement((single,), tuple(owner), Filling(bins, [answer.tree]))
        return found, max(bound, self.arranger.cost(found)), True

    @staticmethod
    def _doubt(bound: float) -> float:
        """How much of a bound in floating point is not to be relied on."""
        return 1e-5 * max(1.0, bound)

    def _listing(self, chosen: Sequence[int], sheets: int) -> Listing | None:
        """A listing of the items chosen, or None when there are hopelessly many sets."""
        if not chosen:
            return None
        items = [self.arranger.packer.items[item] for item in chosen]
        held = -(-len(chosen) // sheets)
        kinds = len(set(items))
        sets = min(comb(len(chosen), held), comb(kinds + held - 1, held))
        if 2 * held < len(chosen) and sets > MOST_LISTED:
            return None
        allowed_work = self.arranger.effort.work // LISTING_PART
        listing = Listing(items, self._rooms(), allowed_work, self.arranger.effort.deadline)
        self.arranger.effort.spend(LISTING_COST * (allowed_work - listing.work))
        return listing

    def _in_fractions(self, best: Arrangement, bound: Length) -> tuple[Arrangement, Length]:
        """The bound of a plan in fractions of patterns, and the plan that rounding it gives."""
        arranger = self.arranger
        patterns, sheets = arranger.patterns, arranger.sheets
        budget = arranger.allowed // PRICING_PART
        effort = Effort(budget, arranger.effort.deadline)
        demand = [len(members) for members in patterns.members]
        found = priced(patterns.kinds, demand, self._rooms(), effort)
        arranger.effort.spend(budget - effort.work)
        if found is None:
            return best, bound
        least = round_up(Fraction(found.bound - self._doubt(found.bound)), sheets)
        bound = min(arranger.cost(best), max(bound, least))
        if arranger.longest is not None:
            return best, bound
        for j, kinds, tree in found.patterns:
            _, _, width, height = usable(sheets[j])
            patterns.hold(Bin(width, height, j), kinds, tree)
        if len(sheets) == 1:
            rounded = self._rounded(int(bound / sheets[0].cost))
            if rounded is not None and arranger.cost(rounded) < arranger.cost(best):
                best = rounded
        return best, bound

    def _rounded(self, number: int) -> Arrangement | None:
        """So many sheets filled with the best patterns held, and what is left on more of them."""
        arranger = self.arranger
        packer, (sheet,) = arranger.packer, arranger.sheets
        frames = [Frame(0, (), (usable(sheet),)) for _ in range(arranger.most[0])]
        bins, owner = arranger.bins_of(frames)
        everything = sum(packer.areas)
        filled = arranger.patterns.best(bins[:number], everything, arranger.effort, exactly=True)
        if filled is None:
            return None
        queue = sorted(filled.outside, key=lambda item: -packer.areas[item])
        rest = packer.build(bins[number : number + len(queue)], queue, 0, 0.0)
        roots = [*filled.roots, *rest.roots]
        count = len(roots)
        filling = Filling(bins[:count], roots, rest.outside)
        found = Arrangement(tuple(frames[:count]), tuple(owner[:count]), filling)
        return arranger.used(found) if found.complete else None

    def _by_kinds(self, best: Arrangement, bound: Length) -> tuple[Arrangement, Length]:
        """The same for pieces in many copies: the largest kinds are listed, as many as can be.

        What the listing leaves out goes into the gaps of the cover, and on sheets beyond it.
        """
        kinds = sorted(set(self.arranger.packer.items), key=lambda item: -item.area)
        budget = self.arranger.effort.work // KINDS_PART
        last: tuple[Listing, list[int]] | None = None
        before, growth = 1, 1.0
        for number in range(1, len(kinds) + 1):
            listed = set(kinds[:number])
            chosen = [i for i, item in enumerate(self.arranger.packer.items) if item in listed]
            items = [self.arranger.packer.items[i] for i in chosen]
            listing = Listing(items, self._rooms(), budget, self.arranger.effort.deadline)
            self.arranger.effort.spend(LISTING_COST * (budget - listing.work))
            spent, budget = budget - listing.work, listing.work
            if not listing.complete:
                break
            last = listing, chosen
            before, growth = max(1, spent), max(1, spent) / before
            if before * growth > budget:
                break
        proof = None if last is None else prove(last[0])
        if last is None or proof is None:
            return best, bound
        least = round_up(Fraction(proof.bound - self._doubt(proof.bound)), self.arranger.sheets)
        bound = min(self.arranger.cost(best), max(bound, least))
        if proof.sheets is not None and self.arranger.longest is None:
            best = self._filled_up(self._covered(last[0], proof.sheets, last[1]), best, bound)
        return best, bound

    def _filled_up(self, cover: Arrangement, best: Arrangement, bound: Length) -> Arrangement:
        """A cover of the largest pieces with all others, if that costs less than the best."""
        held = {item for root in cover.filling.roots for item in items_of(root)}
        rest = [item for item in range(len(self.arranger.free)) if item not in held]
        filling = replace(cover.filling, outside=rest)
        cheapest = min(
            (j for j, sheet in enumerate(self.arranger.sheets) if sheet.cost > 0),
            key=lambda j: self.arranger.sheets[j].cost,
            default=0,
        )
        frames = list(cover.frames)
        for _ in range(MOST_BEYOND):
            found = Arrangement(tuple(frames), tuple(range(len(frames))), filling)
            if self.arranger.cost(found) >= self.arranger.cost(best):
                break
            if self.arranger.cost(found) >= bound:
                filling = self.arranger.improved(filling, self.arranger.effort.work // 2)
                found = replace(found, filling=filling)
                if found.complete:
                    return self.arranger.used(found)
            if sum(one.kind == cheapest for one in frames) >= self.arranger.most[cheapest]:
                break
            frames.append(Frame(cheapest, (), (usable(self.arranger.sheets[cheapest]),)))
            bins, _ = self.arranger.bins_of(frames[-1:])
            roots = [*filling.roots, empty(bins[0].width, bins[0].height)]
            filling = Filling([*filling.bins, *bins], roots, filling.outside)
        return best

    def _covered(
        self,
        listing: Listing,
        sheets: Sequence[tuple[int, tuple[int, ...]]],
        names: Sequence[int],
    ) -> Arrangement:
        """The arrangement of a cover by listed items, which ``names`` numbers."""
        frames = tuple(Frame(j, (), (usable(self.arranger.sheets[j]),)) for j, _ in sheets)
        bins, owner = self.arranger.bins_of(frames)
        trees = [listing.tree(items, j, names) for j, items in sheets]
        return Arrangement(frames, tuple(owner), Filling(bins, trees))

    def _rooms(self) -> list[Room]:
        """The sheets as the proofs see them."""
        return [
            Room(*usable(sheet)[2:], float(sheet.cost), most)
            for sheet, most in zip(self.arranger.sheets, self.arranger.most, strict=True)
        ]

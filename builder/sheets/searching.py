"""The search for the cheapest choice of sheets that takes all pieces.

In: the pieces that can be cut, sheets, trimmer, work allowed. Out: layouts (what lies where on
each sheet), the pieces that found no room on a limited stock, and the lower bound.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import comb
from random import Random

from builder.sheets.demands import Demands
from builder.sheets.exact import Listing, Room, prove
from builder.sheets.guillotine import empty, items_of, place
from builder.sheets.inequalities import inequalities, lying
from builder.sheets.joining import one_sheet
from builder.sheets.model import Length, Placed, Rectangle, Sheet, Trimmer
from builder.sheets.packing import Bin, Effort, Filling, Item, Packer
from builder.sheets.pins import Frame, frame, only_place, overlap, usable
from builder.sheets.stock import Choice, choices, least_price, price, round_up

# How many ways of laying the pinned pieces are tried.
FRAME_TRIES = 12
FRAME_TRIES_IN_COPIES = 3
# From here on only the quickest one-pass fillings are made.
MANY_PIECES = 300
MANY_PIECES_IN_COPIES = 100
# More sets than this are not listed; which shares of the pieces are, the largest first.
MOST_LISTED = 100_000
LISTED_SHARES = (1.0, 0.8, 0.65)
# The part of the work left that a listing may take, and what one step of it costs.
LISTING_PART = 24
LISTING_COST = 4
# Pieces in so many copies each on average are listed by kinds, which takes this part of the work.
MANY_COPIES = 3
KINDS_PART = 8
# How many sheets beyond a cover of the largest kinds are tried for all pieces.
MOST_BEYOND = 3
# The part of the work left that joining parts into one sheet may take.
JOINING_PART = 3
# The most work at one price, and in the search for what a short stock can still give.
WORK_PER_PIECE = 100_000
SHORT_WORK_PER_PIECE = 10_000
MOST_ARRANGEMENTS = 6
MOST_TARGETS = 6


@dataclass(frozen=True)
class Layout:
    """What lies on one copy of a sheet; ``regions`` are the rectangles filled by the search."""

    kind: int
    placed: tuple[Placed, ...]
    regions: tuple[tuple[int, int, int, int], ...]


@dataclass(frozen=True)
class Result:
    """Layouts of one cost to choose from, the pieces outside, the bound for those inside."""

    arrangements: tuple[tuple[Layout, ...], ...]
    outside: tuple[Rectangle, ...]
    bound: Length


@dataclass(frozen=True)
class Arrangement:
    """Frames with their bins filled: bin i is a region of frame ``owner[i]``."""

    frames: tuple[Frame, ...]
    owner: tuple[int, ...]
    filling: Filling
    pinned_outside: tuple[Rectangle, ...] = ()

    @property
    def complete(self) -> bool:
        """Whether every piece found room."""
        return not self.filling.outside and not self.pinned_outside


class Search:
    """One planning of one stock."""

    def __init__(
        self,
        wanted: Demands,
        sheets: Sequence[Sheet],
        trimmer: Trimmer,
        effort: Effort,
        seed: int,
    ) -> None:
        self.sheets = sheets
        self.longest = None if trimmer.longest_cut is None else int(trimmer.longest_cut)
        self.effort = effort
        self.wanted = wanted
        everywhere = frozenset(range(len(sheets)))
        self.kinds = {p.key: k for p, k in zip(wanted.pieces, wanted.kinds, strict=True)}
        self.free = [p for p in wanted.pieces if p.pin is None]
        self.pinned = [p for p in wanted.pieces if p.pin is not None]
        self.spots = {
            (p.key, j): only_place(p, sheets[j]) for p in self.pinned for j in self.kinds[p.key]
        }
        items = [
            Item(
                lying(p, self.kinds[p.key], sheets),
                None if self.kinds[p.key] == everywhere else self.kinds[p.key],
            )
            for p in self.free
        ]
        self.in_copies = len(items) >= MANY_COPIES * max(1, len(set(items)))
        self.packer = Packer(items, self.longest, seed, effort)
        self.chance = Random(seed)
        self.seen: list[Arrangement] = []
        self.most = [
            len(wanted.pieces) if sheet.count is None else min(sheet.count, len(wanted.pieces))
            for sheet in sheets
        ]

    def run(self) -> Result:
        """Search until the bound is reached or the work is spent."""
        if not self.wanted.pieces:
            return Result(((),), (), 0)
        self.needs = inequalities(self.wanted.pieces, self.kinds, self.sheets)
        best = self._first()
        if not best.complete:
            return self._short(best)
        cost = self._cost(best)
        bound = least_price(self.sheets, self.needs, self.most, cost)
        if bound < cost:
            best, bound = self._proved(best, bound)
        best = self._cheaper(best, bound)
        cost = self._cost(best)
        bound = max(bound, least_price(self.sheets, self.needs, self.most, cost))
        equal = [one for one in self.seen if one is not best and self._cost(one) == cost]
        equal.sort(key=self._rank)
        arrangements = [self._layouts(one) for one in [best, *equal[:MOST_ARRANGEMENTS]]]
        return Result(tuple(arrangements), (), bound)

    # -- first plans ---------------------------------------------------------------------

    def _first(self) -> Arrangement:
        """The best of the one-pass fillings over generous choices of sheets."""
        best: Arrangement | None = None
        for choice in self._generous():
            found = self._attempt(choice, 0)
            if found is None:
                continue
            found = self._used(found)
            if best is None or self._rank(found) < self._rank(best):
                best = found
        assert best is not None
        return best

    def _generous(self) -> Iterator[Choice]:
        """Choices with more than enough: each paid kind with all that is free, then all."""
        count = len(self.sheets)
        free = [m if s.cost == 0 else 0 for s, m in zip(self.sheets, self.most, strict=True)]
        for j in range(count):
            if self.sheets[j].cost > 0 or count == 1:
                most = self.most[j]
                number = min(most, 2 * self._fewest(j) + 4 + len(self.pinned))
                yield tuple(number if i == j else free[i] for i in range(count))
        if count > 1 or self.most[0] > 2 * self._fewest(0) + 4:
            yield tuple(self.most)

    def _fewest(self, kind: int) -> int:
        found = [-(-need.total // need.offers[kind]) for need in self.needs if need.offers[kind]]
        return max(found, default=1)

    def _rank(self, found: Arrangement) -> tuple[int, Length, int]:
        filling = found.filling
        outside = self.packer.loss(filling.outside)
        outside += sum(int(p.width * p.height) for p in found.pinned_outside)
        return outside, self._cost(found), -self.packer.room(filling)

    # -- proof by listing ----------------------------------------------------------------

    def _proved(self, best: Arrangement, bound: Length) -> tuple[Arrangement, Length]:
        """A better bound, and perhaps a better plan, by listing all that a sheet can give.

        Where all pieces are too many to list, the largest alone still give a bound.
        """
        if self.pinned:
            return best, bound
        if len(self.sheets) == 1 and len(best.frames) == 2:
            best, bound, settled = self._on_one(best, bound)
            if settled:
                return best, bound
        if self.in_copies:
            return self._by_kinds(best, bound)
        largest = sorted(range(len(self.free)), key=lambda item: -self.packer.areas[item])
        for share in LISTED_SHARES:
            chosen = largest[: int(len(largest) * share)]
            listing = self._listing(chosen, max(1, len(best.frames) - 1))
            if listing is None or not listing.complete:
                continue
            proof = prove(listing)
            if proof is None:
                break
            least = round_up(Fraction(proof.bound - self._doubt(proof.bound)), self.sheets)
            bound = min(self._cost(best), max(bound, least))
            if share == 1 and proof.sheets is not None and self.longest is None:
                found = self._covered(listing, proof.sheets, chosen)
                if self._cost(found) < self._cost(best):
                    best = found
            break
        return best, bound

    def _on_one(self, best: Arrangement, bound: Length) -> tuple[Arrangement, Length, bool]:
        """Settle whether two sheets can be one."""
        _, _, width, height = usable(self.sheets[0])
        work = self.effort.work // JOINING_PART
        answer = one_sheet(self.packer.items, width, height, work, self.effort.deadline)
        self.effort.spend(answer.work)
        if answer.tree is None:
            return best, self._cost(best) if answer.settled else bound, answer.settled
        if self.longest is not None:
            return best, bound, False
        single = Frame(0, (), (usable(self.sheets[0]),))
        bins, owner = self._bins([single])
        found = Arrangement((single,), tuple(owner), Filling(bins, [answer.tree]))
        return found, max(bound, self._cost(found)), True

    @staticmethod
    def _doubt(bound: float) -> float:
        """How much of a bound in floating point is not to be relied on."""
        return 1e-5 * max(1.0, bound)

    def _listing(self, chosen: Sequence[int], sheets: int) -> Listing | None:
        """A listing of the items chosen, or None when there are hopelessly many sets."""
        if not chosen:
            return None
        items = [self.packer.items[item] for item in chosen]
        held = -(-len(chosen) // sheets)
        kinds = len(set(items))
        sets = min(comb(len(chosen), held), comb(kinds + held - 1, held))
        if 2 * held < len(chosen) and sets > MOST_LISTED:
            return None
        allowed_work = self.effort.work // LISTING_PART
        rooms = [
            Room(*usable(sheet)[2:], float(sheet.cost), most)
            for sheet, most in zip(self.sheets, self.most, strict=True)
        ]
        listing = Listing(items, rooms, allowed_work, self.effort.deadline)
        self.effort.spend(LISTING_COST * (allowed_work - listing.work))
        return listing

    def _by_kinds(self, best: Arrangement, bound: Length) -> tuple[Arrangement, Length]:
        """The same for pieces in many copies: the largest kinds are listed, as many as can be.

        What the listing leaves out goes into the gaps of the cover, and on sheets beyond it.
        """
        kinds = sorted(set(self.packer.items), key=lambda item: -item.area)
        budget = self.effort.work // KINDS_PART
        rooms = [
            Room(*usable(sheet)[2:], float(sheet.cost), most)
            for sheet, most in zip(self.sheets, self.most, strict=True)
        ]
        last: tuple[Listing, list[int]] | None = None
        before, growth = 1, 1.0
        for number in range(1, len(kinds) + 1):
            listed = set(kinds[:number])
            chosen = [i for i, item in enumerate(self.packer.items) if item in listed]
            items = [self.packer.items[i] for i in chosen]
            listing = Listing(items, rooms, budget, self.effort.deadline)
            self.effort.spend(LISTING_COST * (budget - listing.work))
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
        least = round_up(Fraction(proof.bound - self._doubt(proof.bound)), self.sheets)
        bound = min(self._cost(best), max(bound, least))
        if proof.sheets is not None and self.longest is None:
            best = self._filled_up(self._covered(last[0], proof.sheets, last[1]), best, bound)
        return best, bound

    def _filled_up(self, cover: Arrangement, best: Arrangement, bound: Length) -> Arrangement:
        """A cover of the largest pieces with all others, if that costs less than the best."""
        held = {item for root in cover.filling.roots for item in items_of(root)}
        rest = [item for item in range(len(self.free)) if item not in held]
        filling = replace(cover.filling, outside=rest)
        cheapest = min(
            (j for j, sheet in enumerate(self.sheets) if sheet.cost > 0),
            key=lambda j: self.sheets[j].cost,
            default=0,
        )
        frames = list(cover.frames)
        for _ in range(MOST_BEYOND):
            found = Arrangement(tuple(frames), tuple(range(len(frames))), filling)
            if self._cost(found) >= self._cost(best):
                break
            if self._cost(found) >= bound:
                filling = self.packer.improve(filling, max(1, self.effort.work // 2))
                found = replace(found, filling=filling)
                if found.complete:
                    return self._used(found)
            if sum(one.kind == cheapest for one in frames) >= self.most[cheapest]:
                break
            frames.append(Frame(cheapest, (), (usable(self.sheets[cheapest]),)))
            bins, _ = self._bins(frames[-1:])
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
        frames = tuple(Frame(j, (), (usable(self.sheets[j]),)) for j, _ in sheets)
        bins, owner = self._bins(frames)
        trees = [listing.tree(items, j, names) for j, items in sheets]
        return Arrangement(frames, tuple(owner), Filling(bins, trees))

    # -- cheaper plans -------------------------------------------------------------------

    def _cheaper(self, best: Arrangement, bound: Length) -> Arrangement:
        """Go down the prices while a choice at the price can be filled."""
        while self._cost(best) > bound and self.effort.spend(1):
            better = self._below(self._cost(best))
            if better is None:
                break
            best = better
        return best

    def _below(self, cost: Length) -> Arrangement | None:
        """A complete arrangement at a lower price, the nearest first, if the search finds one."""
        found, _ = choices(self.sheets, self.needs, self.most, cost)
        if not found:
            return None
        found.sort(key=lambda choice: price(self.sheets, choice), reverse=True)
        # With one kind to pay for, fewer sheets than too few need not be tried.
        paid = sum(1 for sheet in self.sheets if sheet.cost > 0)
        targets = found[: MOST_TARGETS if paid > 1 else 1]
        for number, choice in enumerate(targets):
            part = min(2, len(targets) - number)
            share = min(self.effort.work // part, WORK_PER_PIECE * len(self.wanted.pieces))
            better = self._attempt(choice, max(1, share))
            if better is not None and better.complete:
                return self._used(better)
        return None

    # -- filling a choice ----------------------------------------------------------------

    def _attempt(self, choice: Choice, share: int) -> Arrangement | None:
        """Fill a choice of sheets; None when even the pinned pieces find no place."""
        best: Arrangement | None = None
        tries = 1
        if self.pinned:
            tries = FRAME_TRIES_IN_COPIES if self.in_copies else FRAME_TRIES
        for _ in range(tries):
            frames, outside = self._frames(choice)
            bins, owner = self._bins(frames)
            fillings = self._builds(bins)
            filling = fillings[0]
            if filling.outside and share:
                filling = self.packer.improve(filling, share // tries)
            found = Arrangement(tuple(frames), tuple(owner), filling, tuple(outside))
            if not outside:
                self.seen += [
                    self._used(replace(found, filling=one)) for one in fillings if not one.outside
                ]
            if best is None or self._rank(found) < self._rank(best):
                best = found
            if (share and best.complete) or not self.effort.spend(1):
                break
        return best

    def _builds(self, bins: list[Bin]) -> list[Filling]:
        """One-pass fillings in several orders, the best first."""
        packer = self.packer
        many = len(self.free) > (MANY_PIECES_IN_COPIES if self.in_copies else MANY_PIECES)
        fillings: list[Filling] = []
        for order in packer.orders[: 2 if many else None]:
            queue = sorted(range(len(self.free)), key=lambda item: -order[item])
            for rule in (0, 3) if many else (0, 1, 2, 3):
                if not fillings or self.effort.spend(1):
                    fillings.append(packer.build(bins, queue, rule, 0.0))

        def rank(filling: Filling) -> tuple[int, int, int]:
            used = sum(1 for root in filling.roots if root.children)
            return packer.loss(filling.outside), used, -packer.room(filling)

        return sorted(fillings, key=rank)

    def _frames(self, choice: Choice) -> tuple[list[Frame], list[Rectangle]]:
        """Copies of the chosen sheets with the pinned pieces laid on them."""
        copies = [j for j, number in enumerate(choice) for _ in range(number)]
        copies.sort(key=lambda j: (self.sheets[j].cost, j))
        held: list[list[Rectangle]] = [[] for _ in copies]
        frames = [Frame(j, (), (usable(self.sheets[j]),)) for j in copies]
        outside: list[Rectangle] = []
        queue = list(self.pinned)
        self.chance.shuffle(queue)
        for piece in queue:
            for index, kind in enumerate(copies):
                if kind not in self.kinds[piece.key] or self._clash(piece, held[index], kind):
                    continue
                together = self._frame(kind, [*held[index], piece])
                if together is not None:
                    held[index].append(piece)
                    frames[index] = together
                    break
            else:
                outside.append(piece)
        return frames, outside

    def _clash(self, piece: Rectangle, held: Sequence[Rectangle], kind: int) -> bool:
        """Whether a piece's only place on a sheet is taken."""
        spot = self.spots[piece.key, kind]
        return any(overlap(spot, self.spots[other.key, kind]) != (0, 0) for other in held)

    def _frame(self, kind: int, pinned: Sequence[Rectangle]) -> Frame | None:
        for _ in range(8):
            found = frame(self.sheets[kind], kind, pinned, self.longest, self.chance)
            if found is not None:
                return found
        return None

    @staticmethod
    def _bins(frames: Sequence[Frame]) -> tuple[list[Bin], list[int]]:
        bins: list[Bin] = []
        owner: list[int] = []
        for index, one in enumerate(frames):
            for _, _, width, height in one.regions:
                bins.append(Bin(width, height, one.kind))
                owner.append(index)
        return bins, owner

    # -- results -------------------------------------------------------------------------

    def _used(self, found: Arrangement) -> Arrangement:
        """The arrangement without the sheets that nothing lies on."""
        filled = {
            o for o, root in zip(found.owner, found.filling.roots, strict=True) if root.children
        }
        keep = [i for i, one in enumerate(found.frames) if one.placed or i in filled]
        index = {old: new for new, old in enumerate(keep)}
        bins = [i for i, owner in enumerate(found.owner) if owner in index]
        filling = found.filling
        return Arrangement(
            tuple(found.frames[i] for i in keep),
            tuple(index[found.owner[i]] for i in bins),
            Filling(
                [filling.bins[i] for i in bins], [filling.roots[i] for i in bins], filling.outside
            ),
            found.pinned_outside,
        )

    def _cost(self, found: Arrangement) -> Length:
        return sum(self.sheets[one.kind].cost for one in found.frames)

    def _layouts(self, found: Arrangement) -> tuple[Layout, ...]:
        placed = [list(one.placed) for one in found.frames]
        for number, (owner, root) in enumerate(zip(found.owner, found.filling.roots, strict=True)):
            first = found.owner.index(owner)
            x, y, _, _ = found.frames[owner].regions[number - first]
            for item, left, bottom, width, height in place(root, x, y):
                piece = self.free[item]
                turned = (width, height) != (piece.width, piece.height)
                placed[owner].append(Placed(piece.key, left, bottom, width, height, turned))
        return tuple(
            Layout(one.kind, tuple(pieces), one.regions)
            for one, pieces in zip(found.frames, placed, strict=True)
        )

    # -- limited stock -------------------------------------------------------------------

    def _short(self, best: Arrangement) -> Result:
        """The stock is limited and pieces lie outside: try harder, then report them."""
        share = min(self.effort.work // 2, SHORT_WORK_PER_PIECE * len(self.wanted.pieces))
        better = self._attempt(tuple(self.most), share)
        if better is not None and self._rank(better) < self._rank(best):
            best = self._used(better)
        outside = [self.free[item] for item in best.filling.outside] + list(best.pinned_outside)
        missing = {piece.key for piece in outside}
        inside = [piece for piece in self.wanted.pieces if piece.key not in missing]
        cost = self._cost(best)
        bound: Length = 0
        if inside:
            found = inequalities(inside, self.kinds, self.sheets)
            bound = least_price(self.sheets, found, self.most, cost)
        return Result((self._layouts(best),), tuple(outside), bound)

    def could_be_enough(self) -> bool:
        """Whether no inequality rules out that all pieces come from the sheets there are."""
        return all(
            sum(o * n for o, n in zip(need.offers, self.most, strict=True)) >= need.total
            for need in self.needs
        )

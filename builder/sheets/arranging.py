"""Choices of sheets, with pinned pieces laid on them and the rest filled by the search.

In: the pieces that can be cut, sheets, trimmer, work allowed. Out: for a choice of sheets the best
arrangement found, and what lies where on each of its sheets.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from random import Random

from builder.sheets.demands import Demands
from builder.sheets.guillotine import place
from builder.sheets.inequalities import lying
from builder.sheets.model import Length, Placed, Rectangle, Sheet, Trimmer
from builder.sheets.packing import Bin, Cooling, Effort, Filling, Item, Packer
from builder.sheets.patterns import Patterns
from builder.sheets.pins import Frame, frame, only_place, overlap, usable
from builder.sheets.stock import Choice

# How many ways of laying the pinned pieces are tried.
FRAME_TRIES = 12
FRAME_TRIES_IN_COPIES = 3
# From here on only the quickest one-pass fillings are made.
MANY_PIECES = 300
MANY_PIECES_IN_COPIES = 100
# So many copies of each piece on average are many.
MANY_COPIES = 3
# The search at one price is done in so many rounds; after some the patterns are chosen exactly.
ROUNDS = 10
EXACT_ROUNDS = (2, 5, 8)


@dataclass(frozen=True)
class Layout:
    """What lies on one copy of a sheet; ``regions`` are the rectangles filled by the search."""

    kind: int
    placed: tuple[Placed, ...]
    regions: tuple[tuple[int, int, int, int], ...]


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


class Arranger:
    """Fills choices of sheets with the pieces of one planning."""

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
        self.allowed = effort.work
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
        self.patterns = Patterns(items, self.longest, seed)
        self.chance = Random(seed)
        self.seen: list[Arrangement] = []
        self.most = [
            len(wanted.pieces) if sheet.count is None else min(sheet.count, len(wanted.pieces))
            for sheet in sheets
        ]

    def rank(self, found: Arrangement) -> tuple[int, Length, int]:
        filling = found.filling
        outside = self.packer.loss(filling.outside)
        outside += sum(int(p.width * p.height) for p in found.pinned_outside)
        return outside, self.cost(found), -self.packer.room(filling)

    def attempt(self, choice: Choice, share: int) -> Arrangement | None:
        """Fill a choice of sheets; None when even the pinned pieces find no place."""
        best: Arrangement | None = None
        tries = 1
        if self.pinned:
            tries = FRAME_TRIES_IN_COPIES if self.in_copies else FRAME_TRIES
        for _ in range(tries):
            frames, outside = self._frames(choice)
            bins, owner = self.bins_of(frames)
            fillings = self._builds(bins)
            filling = fillings[0]
            if filling.outside and share:
                filling = self.improved(filling, share // tries)
            found = Arrangement(tuple(frames), tuple(owner), filling, tuple(outside))
            if not outside:
                self.seen += [
                    self.used(replace(found, filling=one)) for one in fillings if not one.outside
                ]
            if best is None or self.rank(found) < self.rank(best):
                best = found
            if (share and best.complete) or not self.effort.spend(1):
                break
        return best

    def improved(self, filling: Filling, share: int) -> Filling:
        """The search in rounds, between which the best patterns it came past are put together."""
        packer, patterns, effort = self.packer, self.patterns, self.effort
        patterns.aim(filling.bins)
        packer.watch = patterns.note
        cooling = Cooling(effort.work, effort.work - share)
        best = state = filling
        outside = packer.loss(best.outside)
        for number in range(ROUNDS):
            found, state = packer.improve(state, max(1, share // ROUNDS), cooling)
            if packer.loss(found.outside) < outside:
                best, outside = found, packer.loss(found.outside)
            if not outside or not effort.spend(1) or effort.work <= cooling.end:
                break
            together = patterns.best(best.bins, outside, effort, number in EXACT_ROUNDS)
            if together is not None and packer.loss(together.outside) < outside:
                best = state = together
                outside = packer.loss(together.outside)
        packer.watch = None
        return best

    def _builds(self, bins: list[Bin]) -> list[Filling]:
        """One-pass fillings in several orders, the best first."""
        packer = self.packer
        many = len(self.free) > (MANY_PIECES_IN_COPIES if self.in_copies else MANY_PIECES)
        fillings: list[Filling] = []
        enough = self.effort.work // 2
        for order in packer.orders[: 2 if many else None]:
            queue = sorted(range(len(self.free)), key=lambda item: -order[item])
            for rule in (0, 3) if many else (0, 1, 2, 3):
                if not fillings or (self.effort.work > enough and self.effort.spend(1)):
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
    def bins_of(frames: Sequence[Frame]) -> tuple[list[Bin], list[int]]:
        bins: list[Bin] = []
        owner: list[int] = []
        for index, one in enumerate(frames):
            for _, _, width, height in one.regions:
                bins.append(Bin(width, height, one.kind))
                owner.append(index)
        return bins, owner

    def used(self, found: Arrangement) -> Arrangement:
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

    def cost(self, found: Arrangement) -> Length:
        return sum(self.sheets[one.kind].cost for one in found.frames)

    def layouts(self, found: Arrangement) -> tuple[Layout, ...]:
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

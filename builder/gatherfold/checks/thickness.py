"""What lies between two parallel faces of a folded piece must fit into the gap they leave.

A spine, gusset or hinge with two folds holds its outer faces apart when it is closed.  The layers
that lie between them there, one upon the other, may not be thicker than the clear room between
its scores, which is less than their distance by the bend of its own card.  Inserts count as often
as there are of them, and every photo mat carries a photograph.  Calipers are those of the stocks,
indicative where the design does not give them; glue adds nothing.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache, partial

from gatherfold.checks.report import Condition, finding_kind, tenth
from gatherfold.findings import Finding
from gatherfold.geometry import Box, Layer, around, common, thickest
from gatherfold.lengths import INCH, up_to_grid
from gatherfold.model import Trait
from gatherfold.resolve import REMEMBERED, ResolvedDesign, ResolvedPiece
from gatherfold.work import FaceKey, Look, from_far_to_near, lying, seen_box, work_of

#: Thickness of a printed photograph (common practice, no source).
PHOTOGRAPH = Fraction(1, 4)
#: A single fold that holds more than this gapes (common practice, no source).
_SINGLE_FOLD_HOLDS = INCH * 3 / 32

#: π from above, right to six decimals, so that what is compared with it errs to the safe side.
_PI = Fraction(355, 113)


@dataclass(frozen=True)
class Gap:
    """A folded piece that encloses layers when it is closed; all lengths in mm.

    ``gap`` is the distance of its outer faces (0 for a single fold), ``pile`` the thickest pile
    between them, ``needed`` the distance that pile asks for, ``photographs`` how many more fit.
    """

    piece: str
    gap: Fraction
    pile: Fraction
    needed: Fraction
    photographs: int


@lru_cache(maxsize=REMEMBERED)
def gaps(resolved: ResolvedDesign) -> tuple[Gap, ...]:
    """Every folded piece whose faces lie over one another when closed, in design order."""
    pile = ClosedLayers(resolved)
    own = {key: [f for f in pile.ordered if f.piece == key] for key in resolved.pieces}
    return tuple(
        _gap(piece, pile, own[key])
        for key, piece in resolved.pieces.items()
        if len(own[key]) > 1 and piece.scores
    )


class ClosedLayers:
    """The closed work laid down: its faces that lie flat, from the lowest to the highest."""

    def __init__(self, resolved: ResolvedDesign) -> None:
        work = work_of(resolved)
        self.resolved, self.assembly, self.scale = resolved, lying(work.closed), work.scale
        self.ordered = from_far_to_near(self.assembly, Look(2, 1))
        self._boxes = {key: seen_box(self.assembly.plates[key], self.scale) for key in self.ordered}

    def height(self, face: FaceKey) -> Fraction:
        """How high a face lies."""
        return Fraction(self.assembly.plates[face].plane) / self.scale

    def box(self, face: FaceKey) -> Box:
        """What a face covers, seen from above."""
        return self._boxes[face]

    def between(self, lower: FaceKey, upper: FaceKey) -> dict[FaceKey, Layer]:
        """The layers between two faces: what lies neither behind the lower one nor before the upper
        one, as far as both reach with what they are laid on."""
        behind = self.assembly.beyond([lower], is_up=False)
        before = self.assembly.beyond([upper], is_up=True)
        area = common(around([*map(self.box, behind)]), around([*map(self.box, before)]))
        if area is None:
            return {}
        heights = self.assembly.plates[lower].plane, self.assembly.plates[upper].plane
        found = {}
        for key in self.ordered:
            if not heights[0] <= self.assembly.plates[key].plane <= heights[1]:
                continue
            shared = common(self.box(key), area)
            if shared is not None and key not in behind and key not in before:
                piece = self.resolved.pieces[key.piece]
                photograph = PHOTOGRAPH if piece.source.has(Trait.CARRIES_PHOTOGRAPH) else 0
                thickness = piece.stock.caliper * piece.source.count + photograph
                found[key] = Layer(shared, thickness)
        return found


def bend_allowance(thickness: Fraction) -> Fraction:
    """How much of the distance of two scores the bends of a card by 90° at both of them take up.

    The bend allowance of sheet material is ``angle · (r + K · t)`` for inner radius ``r``,
    thickness ``t`` and the neutral line at ``K`` of the thickness.  Scored card folds sharply
    (r = 0); K = ½ puts the neutral line in its middle (K from memory; the formula is that of
    sheet-metal handbooks).  Each score is the middle of its bend: half of either lies between them.
    """
    return _PI / 2 * thickness / 2


def _gap(piece: ResolvedPiece, closed: ClosedLayers, own: Sequence[FaceKey]) -> Gap:
    """What lies between the outermost faces of a piece; or where they lie in one plane, the most
    between two that hang on one another."""
    gap = closed.height(own[-1]) - closed.height(own[0])
    pairs = [(own[0], own[-1])] if gap else _folded_pairs(closed, own)
    piles = (thickest(closed.between(*pair).values()) for pair in pairs)
    thickness = max(piles, default=Fraction(0))
    caliper = piece.stock.caliper
    room = gap - bend_allowance(caliper) - thickness
    return Gap(
        piece=piece.key,
        gap=gap,
        pile=thickness,
        needed=thickness + bend_allowance(caliper),
        photographs=max(0, (room / PHOTOGRAPH).__floor__()),
    )


def _folded_pairs(closed: ClosedLayers, own: Sequence[FaceKey]) -> list[tuple[FaceKey, FaceKey]]:
    """The two sides of each fold of a piece that is closed right over, the lower one first."""
    found = []
    for fold, crease in closed.assembly.creases.items():
        if closed.assembly.angle(fold) == 180 and {crease.staying, crease.hanging} <= set(own):
            sides = (crease.staying, crease.hanging)
            is_over = closed.assembly.is_above(*sides)
            found.append(sides if is_over else sides[::-1])
    return found


def thickness_conditions(resolved: ResolvedDesign, measured: Iterable[Gap]) -> Iterator[Condition]:
    """For each piece that leaves a gap when closed: the room that remains in it."""
    for gap in measured:
        if gap.gap > 0 and gap.pile > 0:
            too_thick = partial(_too_thick, resolved, gap)
            yield Condition(("gap-too-small", gap.piece), gap.gap - gap.needed, too_thick)


def _too_thick(resolved: ResolvedDesign, gap: Gap) -> Finding:
    piece, pile = resolved.pieces[gap.piece], tenth(gap.pile)
    wanted = up_to_grid(gap.needed, resolved.edition.grid)
    if gap.gap == 0:
        return finding_kind("fold-gapes").found(resolved, piece, pile=pile, wanted=wanted)
    return finding_kind("gap-too-small").found(
        resolved, piece, pile=pile, gap=gap.gap, wanted=wanted
    )


def check_single_folds(resolved: ResolvedDesign, measured: Iterable[Gap]) -> Iterator[Finding]:
    """One score alone cannot close round a thick pile."""
    for gap in measured:
        if gap.gap <= 0 and gap.pile > _SINGLE_FOLD_HOLDS:
            yield _too_thick(resolved, gap)

"""What lies between two parallel faces of a folded piece must fit into the gap they leave.

A spine, gusset or hinge with two folds holds its outer faces apart when it is closed.  The layers
that lie between them there, one upon the other, may not be thicker than the clear room between
its scores, which is less than their distance by the bend of its own card.  Inserts count as often
as there are of them, and every photo mat carries a photograph.  Calipers are those of the stocks,
indicative where the design does not give them; glue adds nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from builder.checks.condition import Condition, Rule
from builder.checks.placed import placed_box
from builder.checks.report import found, tenth
from builder.findings import Finding, Severity
from builder.geometry.bends import clear_between, scores_around
from builder.geometry.stacks import Layer, thickest
from builder.lengths import INCH, up_to_grid
from builder.piece_kinds import Trait
from builder.resolve.resolved import PlacedFace, ResolvedDesign, ResolvedPiece

#: Thickness of a printed photograph (common practice, no source).
PHOTOGRAPH = Fraction(1, 4)
#: A single fold that holds more than this gapes (common practice, no source).
_SINGLE_FOLD_HOLDS = INCH * 3 / 32


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


def gaps(resolved: ResolvedDesign) -> Iterator[Gap]:
    """Every folded piece whose faces lie over one another when closed, in design order."""
    faces = resolved.states["closed"].faces
    of_piece: dict[str, list[PlacedFace]] = {}
    for face in faces:
        if face.pose.normal[2] != 0:
            of_piece.setdefault(face.piece, []).append(face)
    for key, own in of_piece.items():
        if len(own) > 1 and resolved.pieces[key].scores:
            yield _gap(resolved, resolved.pieces[key], own)


def _gap(resolved: ResolvedDesign, piece: ResolvedPiece, own: list[PlacedFace]) -> Gap:
    lower = min(own, key=lambda face: face.order)
    upper = max(own, key=lambda face: face.order)
    gap = abs(upper.pose.shift[2] - lower.pose.shift[2])
    pile = thickest(layers_between(resolved, lower, upper))
    thickness = Fraction(0) if pile is None else pile.thickness
    caliper = piece.stock.caliper
    room = clear_between(gap, caliper) - thickness
    return Gap(
        piece=piece.key,
        gap=gap,
        pile=thickness,
        needed=scores_around(thickness, caliper),
        photographs=max(0, (room / PHOTOGRAPH).__floor__()),
    )


def layers_between(resolved: ResolvedDesign, lower: PlacedFace, upper: PlacedFace) -> list[Layer]:
    """The layers that come between two placed faces when all is closed, seen from the front.

    The order of layers decides, not their planes: what closes later lies in front even where its
    gusset is too narrow for that.
    """
    return [
        Layer(face.piece, placed_box(resolved, face), _thickness(resolved.pieces[face.piece]))
        for face in resolved.states["closed"].faces
        if face.pose.normal[2] != 0 and lower.order < face.order < upper.order
    ]


def _thickness(piece: ResolvedPiece) -> Fraction:
    """What one placed piece adds to a pile, with the photograph that a photo mat carries."""
    photograph = PHOTOGRAPH if piece.source.has(Trait.CARRIES_PHOTOGRAPH) else 0
    return piece.stock.caliper * piece.source.count + photograph


def thickness_conditions(resolved: ResolvedDesign, measured: Iterable[Gap]) -> Iterator[Condition]:
    """For each piece that leaves a gap when closed: the room that remains in it."""
    for gap in measured:
        if gap.gap > 0 and gap.pile > 0:
            yield Condition(
                ("gap-too-small", gap.piece),
                gap.gap - gap.needed,
                Rule.NOT_NEGATIVE,
                lambda gap=gap: _too_thick(resolved, gap),  # type: ignore[misc]
            )


def _too_thick(resolved: ResolvedDesign, gap: Gap) -> Finding:
    units = resolved.edition.units
    wanted = up_to_grid(gap.needed, resolved.edition.grid)
    return found(
        resolved,
        Severity.ERROR,
        "gap-too-small",
        resolved.pieces[gap.piece].source.position,
        f"closed, '{gap.piece}' leaves a gap of {units.text(gap.gap)}, and the layers in it come "
        f"to {tenth(gap.pile)} mm",
        f"Make the gap at least {units.text(wanted)}, or take layers out.",
        gap=gap.gap,
        wanted=wanted,
    )


def check_single_folds(resolved: ResolvedDesign, measured: Iterable[Gap]) -> Iterator[Finding]:
    """One score alone cannot close round a thick pile."""
    for gap in measured:
        if gap.gap > 0 or gap.pile <= _SINGLE_FOLD_HOLDS:
            continue
        units = resolved.edition.units
        wanted = up_to_grid(gap.needed, resolved.edition.grid)
        yield found(
            resolved,
            Severity.ADVICE,
            "fold-gapes",
            resolved.pieces[gap.piece].source.position,
            f"'{gap.piece}' closes by a single fold over layers that come to {tenth(gap.pile)} mm",
            f"Fold it by two scores {units.text(wanted)} apart.",
            wanted=wanted,
        )

"""What can be marked, held and folded: lengths on the cutting grid, strips and scores not too near.

The limits of what hands and a trimmer can do are common practice, no source: a trimmer holds a
strip of a quarter of an inch (6 mm), and two parallel folds need four thicknesses of the card
between them.
"""

from collections.abc import Iterator
from fractions import Fraction
from functools import partial
from itertools import pairwise

from gatherfold.checks.report import Condition, Rule, finding_kind
from gatherfold.findings import Finding
from gatherfold.geometry import AXES, Axis, is_vertical
from gatherfold.lengths import INCH, down_to_grid, is_on_grid, nearest_on_grid, up_to_grid
from gatherfold.resolve import ResolvedDesign, ResolvedPiece

_NARROWEST_STRIP = INCH / 4
_FOLD_THICKNESSES = 4


def grid_conditions(resolved: ResolvedDesign) -> Iterator[Condition]:
    """Each length that is cut or scored is a whole number of the finest steps."""
    finest = resolved.edition.finest
    for piece in resolved.pieces.values():
        for what, length in _marked_lengths(piece):
            off_grid = partial(_off_grid, resolved, piece, what, length)
            yield Condition(("off-grid", piece.key, what), length, off_grid, Rule.WHOLE, finest)


def _off_grid(
    resolved: ResolvedDesign, piece: ResolvedPiece, what: str, length: Fraction
) -> Finding:
    """The length is written to the thousandth of its unit, as a proportion nobody can mark."""
    grid, units = resolved.edition.grid, resolved.edition.units
    return finding_kind("off-grid").found(
        resolved,
        piece,
        what=what,
        written=f"{float(length / units.size):.3f} {units.unit}",
        grid=units.text(grid),
        length=length,
        nearest=nearest_on_grid(length, grid),
    )


def check_half_steps(resolved: ResolvedDesign) -> Iterator[Finding]:
    """A half step can be marked where it cannot be avoided, and then it is named."""
    edition = resolved.edition
    grid = edition.units.text(edition.grid)
    for piece in resolved.pieces.values():
        for what, length in _marked_lengths(piece):
            if is_on_grid(length, edition.finest) and not is_on_grid(length, edition.grid):
                yield finding_kind("half-step").found(
                    resolved, piece, what=what, length=length, grid=grid
                )


def _marked_lengths(piece: ResolvedPiece) -> Iterator[tuple[str, Fraction]]:
    yield "the width", piece.width
    yield "the height", piece.height
    for axis in AXES:
        what = "from the left" if is_vertical(axis) else "from the bottom"
        for number, at in enumerate(_scores(piece, axis), start=1):
            yield f"score {number} {what}", at


def _scores(piece: ResolvedPiece, axis: Axis) -> list[Fraction]:
    return sorted({score.at for score in piece.scores if score.axis == axis})


def check_handling(resolved: ResolvedDesign) -> Iterator[Finding]:
    """What hands and a trimmer cannot do: strips too narrow to hold, scores too close to fold."""
    grid = resolved.edition.grid
    least = down_to_grid(_NARROWEST_STRIP, grid)
    for piece in resolved.pieces.values():
        width = min(piece.width, piece.height)
        if width < least:
            yield finding_kind("narrow-strip").found(resolved, piece, width=width, least=least)
        needed = _FOLD_THICKNESSES * piece.stock.caliper
        for axis in AXES:
            for first, second in pairwise(_scores(piece, axis)):
                if second - first < needed:
                    wanted = up_to_grid(needed, grid)
                    apart = second - first
                    yield finding_kind("scores-too-close").found(
                        resolved, piece, apart=apart, wanted=wanted
                    )

"""What hands and a trimmer cannot do: strips too narrow to hold, scores too close to fold.

Both limits are common practice, no source: a trimmer holds a strip of a quarter of an inch
(6 mm), and two parallel folds need four thicknesses of the card between them.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from builder.checks.report import found
from builder.findings import Finding, Severity
from builder.geometry.edges import AXES
from builder.lengths import INCH, down_to_grid, up_to_grid
from builder.resolve.resolved import ResolvedDesign, ResolvedPiece

_NARROWEST_STRIP = INCH / 4
_FOLD_THICKNESSES = 4


def check_handling(resolved: ResolvedDesign) -> Iterator[Finding]:
    for piece in resolved.pieces.values():
        yield from _narrow(resolved, piece)
        yield from _close_scores(resolved, piece)


def _narrow(resolved: ResolvedDesign, piece: ResolvedPiece) -> Iterator[Finding]:
    units = resolved.edition.units
    least = down_to_grid(_NARROWEST_STRIP, resolved.edition.grid)
    narrow = min(piece.width, piece.height)
    if narrow < least:
        yield found(
            resolved,
            Severity.WARNING,
            "narrow-strip",
            piece.source.position,
            f"'{piece.key}' is only {units.text(narrow)} wide; a trimmer hardly holds it",
            f"Make it at least {units.text(least)}.",
            width=narrow,
            least=least,
        )


def _close_scores(resolved: ResolvedDesign, piece: ResolvedPiece) -> Iterator[Finding]:
    units = resolved.edition.units
    least = _FOLD_THICKNESSES * piece.stock.caliper
    for axis in AXES:
        places = sorted({score.at for score in piece.scores if score.axis == axis})
        for first, second in pairwise(places):
            if second - first < least:
                wanted = up_to_grid(least, resolved.edition.grid)
                yield found(
                    resolved,
                    Severity.ERROR,
                    "scores-too-close",
                    piece.source.position,
                    f"two scores of '{piece.key}' are {units.text(second - first)} apart, too "
                    "close for its card to fold at both",
                    f"Leave at least {units.text(wanted)} between them.",
                    apart=second - first,
                    wanted=wanted,
                )

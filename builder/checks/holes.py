"""Holes keep enough paper round them: to cut edges of every shape, to windows, to each other.

The limits are common practice, no source: how much paper a fastening needs that pulls at its hole
is said by its kind; a plain hole keeps half its diameter round its rim, and never less than an
eighth of an inch (3 mm).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from itertools import combinations

from builder.checks.report import FindingKind
from builder.choices import is_hole
from builder.findings import Finding, Severity
from builder.geometry.clearance import clears, is_in_paper, room_around, squared
from builder.lengths import INCH, nearest_on_grid, up_to_grid
from builder.resolve.resolved import Hole, ResolvedDesign, ResolvedPiece

_LEAST_PAPER = INCH / 8
#: Distances are told to a quarter of the grid's step, never larger than they are.
_TOLD = 4

_NEAR_EDGE = FindingKind(
    "hole-near-edge",
    "{hole} {distance} from its edge; the paper may tear",
    "Keep the centre at least {wanted} from every edge, corners and windows too.",
)
_NEAR_HOLE = FindingKind(
    "hole-near-hole",
    "{hole} too near another hole; the paper between them may tear",
    "Keep the two centres at least {wanted} apart.",
)


def check_holes(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Every hole of every piece, against edges and other holes."""
    for piece in resolved.pieces.values():
        for hole in piece.holes:
            yield from _near_edge(resolved, piece, hole)
        for first, second in combinations(piece.holes, 2):
            yield from _near_hole(resolved, piece, first, second)


def _paper(resolved: ResolvedDesign, hole: Hole) -> Fraction:
    """How much paper a hole keeps between its rim and an edge."""
    if hole.fastening is not None:
        piercing = resolved.fastenings[hole.fastening].source.fastener.piercing
        return Fraction(0) if piercing is None else piercing.paper * hole.diameter
    return max(hole.diameter / 2, nearest_on_grid(_LEAST_PAPER, resolved.edition.grid))


def _near_edge(resolved: ResolvedDesign, piece: ResolvedPiece, hole: Hole) -> Iterator[Finding]:
    least = hole.diameter / 2 + _paper(resolved, hole)
    edges = [edge for outline in (piece.outline, *piece.windows) for edge in outline.edges]
    distance = Fraction(0)
    if is_in_paper(piece.outline, piece.windows, hole.centre):
        if all(clears(edge, hole.centre, least) for edge in edges):
            return
        distance = room_around(edges, hole.centre, resolved.edition.grid / _TOLD, least)
    yield _told(_NEAR_EDGE, resolved, piece, hole, least, distance=distance)


def _near_hole(
    resolved: ResolvedDesign, piece: ResolvedPiece, first: Hole, second: Hole
) -> Iterator[Finding]:
    """Two holes about one centre are one hole, such as a punched one that a brad goes through."""
    paper = max(_paper(resolved, first), _paper(resolved, second))
    least = (first.diameter + second.diameter) / 2 + paper
    apart = squared(first.centre, second.centre)
    if 0 < apart < least**2:
        pierced = second if second.fastening is not None else first
        yield _told(_NEAR_HOLE, resolved, piece, pierced, least)


def _told(
    kind: FindingKind,
    resolved: ResolvedDesign,
    piece: ResolvedPiece,
    hole: Hole,
    least: Fraction,
    **told: Fraction,
) -> Finding:
    """Where a fastening pulls at the hole it is an error, else a warning."""
    wanted = up_to_grid(least, resolved.edition.grid)
    if hole.fastening is not None:
        fastening = resolved.fastenings[hole.fastening]
        named = f"'{hole.fastening}' pierces '{piece.key}'"
        return kind.found(resolved, fastening, hole=named, **told, wanted=wanted)
    openings = [opening for opening in piece.source.openings if is_hole(opening.shape)]
    plain = [each for each in piece.holes if each.fastening is None]
    position, named = openings[plain.index(hole)].position, f"a hole of '{piece.key}' lies"
    warning = replace(kind, severity=Severity.WARNING)
    return warning.found(resolved, position, hole=named, **told, wanted=wanted)

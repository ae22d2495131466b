"""Holes keep enough paper round them: to cut edges of every shape, to windows, to each other.

The limits are common practice, no source: how much paper a fastening needs that pulls at its hole
is said by its kind; a plain hole keeps half its diameter round its rim, and never less than an
eighth of an inch (3 mm).
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import combinations

from builder.checks.report import found
from builder.choices import is_hole
from builder.findings import Finding, Position, Severity
from builder.geometry.clearance import clears, is_in_paper, room_around, squared
from builder.geometry.outline import Edge
from builder.lengths import INCH, nearest_on_grid, up_to_grid
from builder.resolve.resolved import Hole, ResolvedDesign, ResolvedPiece

_LEAST_PAPER = INCH / 8
#: Distances are told to a quarter of the grid's step, never larger than they are.
_TOLD = 4


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
    if not is_in_paper(piece.outline, piece.windows, hole.centre):
        distance = Fraction(0)
    elif all(clears(edge, hole.centre, least) for edge in edges):
        return
    else:
        distance = _told_distance(resolved, edges, hole, least)
    units = resolved.edition.units
    wanted = up_to_grid(least, resolved.edition.grid)
    yield found(
        resolved,
        _severity(hole),
        "hole-near-edge",
        _position(resolved, piece, hole),
        f"{_named(hole, piece)} {units.text(distance)} from its edge; the paper may tear",
        f"Keep the centre at least {units.text(wanted)} from every edge, corners and windows too.",
        distance=distance,
        wanted=wanted,
    )


def _told_distance(
    resolved: ResolvedDesign, edges: list[Edge], hole: Hole, most: Fraction
) -> Fraction:
    return room_around(edges, hole.centre, resolved.edition.grid / _TOLD, most)


def _near_hole(
    resolved: ResolvedDesign, piece: ResolvedPiece, first: Hole, second: Hole
) -> Iterator[Finding]:
    """Two holes about one centre are one hole, such as a punched one that a brad goes through."""
    paper = max(_paper(resolved, first), _paper(resolved, second))
    least = (first.diameter + second.diameter) / 2 + paper
    apart = squared(first.centre, second.centre)
    if apart == 0 or apart >= least**2:
        return
    pierced = second if second.fastening is not None else first
    units = resolved.edition.units
    wanted = up_to_grid(least, resolved.edition.grid)
    yield found(
        resolved,
        _severity(pierced),
        "hole-near-hole",
        _position(resolved, piece, pierced),
        f"{_named(pierced, piece)} too near another hole; the paper between them may tear",
        f"Keep the two centres at least {units.text(wanted)} apart.",
        wanted=wanted,
    )


def _severity(hole: Hole) -> Severity:
    return Severity.WARNING if hole.fastening is None else Severity.ERROR


def _named(hole: Hole, piece: ResolvedPiece) -> str:
    if hole.fastening is None:
        return f"a hole of '{piece.key}' lies"
    return f"'{hole.fastening}' pierces '{piece.key}'"


def _position(resolved: ResolvedDesign, piece: ResolvedPiece, hole: Hole) -> Position:
    if hole.fastening is not None:
        return resolved.fastenings[hole.fastening].source.position
    openings = [opening for opening in piece.source.openings if is_hole(opening.shape)]
    plain = [each for each in piece.holes if each.fastening is None]
    return openings[plain.index(hole)].position

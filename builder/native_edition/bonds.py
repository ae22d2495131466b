"""Bonds: what is exactly so in the designer's own edition and must be so in the other.

Strips and mats that fill a panel side by side still meet, an edge that lies flush stays flush, a
centred piece stays centred, and two alike pieces on one face stay alike.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from builder.checks.condition import Condition, Rule
from builder.checks.layout import lying_box, sharing_a_face
from builder.checks.report import found
from builder.design import EDGES
from builder.findings import Finding, Severity
from builder.resolve.resolved import ResolvedDesign, ResolvedPiece

_ENDS = {"across": ("left", "right"), "upward": ("bottom", "top")}
_EXTENTS = {"across": "width", "upward": "height"}


@dataclass(frozen=True)
class Bond:
    """``kind`` is flush (a piece, an edge), centred (a piece, a direction), meeting or alike (two
    pieces, a direction)."""

    kind: str
    names: tuple[str, ...]

    def difference(self, pieces: Mapping[str, ResolvedPiece]) -> Fraction:
        """How far from exact, in mm."""
        first = pieces[self.names[0]]
        if self.kind == "flush":
            return _offset(first, self.names[1])
        low, high = _ENDS[self.names[-1]]
        if self.kind == "centred":
            return _offset(first, low) - _offset(first, high)
        second = pieces[self.names[1]]
        if self.kind == "meeting":
            begins: Fraction = getattr(lying_box(second), low)
            return begins - Fraction(getattr(lying_box(first), high))
        extent = _EXTENTS[self.names[-1]]
        return Fraction(getattr(first, extent) - getattr(second, extent))


def _offset(piece: ResolvedPiece, edge: str) -> Fraction:
    return Fraction(getattr(piece.offsets, edge))


def bonds(own: ResolvedDesign) -> Iterator[Bond]:
    """Every bond that the designer's own edition keeps."""
    candidates = [*_of_single_pieces(own), *_of_neighbours(own)]
    return (bond for bond in candidates if bond.difference(own.pieces) == 0)


def _of_single_pieces(own: ResolvedDesign) -> Iterator[Bond]:
    for key, piece in own.pieces.items():
        if piece.offsets is not None:
            yield from (Bond("flush", (key, edge)) for edge in EDGES)
            yield from (Bond("centred", (key, direction)) for direction in _ENDS)


def _of_neighbours(own: ResolvedDesign) -> Iterator[Bond]:
    """Of pieces that share a face: those that meet, and those of one kind that are alike."""
    for pieces in sharing_a_face(own):
        for direction, (low, _) in _ENDS.items():
            in_order = sorted(pieces, key=lambda piece: getattr(lying_box(piece), low))
            for first, second in pairwise(in_order):
                yield Bond("meeting", (first.key, second.key, direction))
            for first, second in pairwise(sorted(pieces, key=lambda piece: piece.source.kind)):
                if first.source.kind == second.source.kind:
                    yield Bond("alike", (first.key, second.key, direction))


def bond_condition(bond: Bond, resolved: ResolvedDesign) -> Condition:
    """The bond in the other edition."""
    return Condition(
        ("sum-opens", bond.kind, *bond.names),
        bond.difference(resolved.pieces),
        Rule.ZERO,
        lambda: _opened(bond, resolved),
    )


_SENTENCES = {
    "flush": "'{0}' lies flush with the {1} edge of its host in your own edition, and here {2} off",
    "centred": "'{0}' lies in the middle {1} in your own edition, and here its two borders differ "
    "by {2}",
    "meeting": "'{0}' and '{1}' meet {2} in your own edition, and here they are {3} apart or over "
    "one another",
    "alike": "'{0}' and '{1}' are equal {2} in your own edition, and here they differ by {3}",
}


def _opened(bond: Bond, resolved: ResolvedDesign) -> Finding:
    units = resolved.edition.units
    difference = abs(bond.difference(resolved.pieces))
    return found(
        resolved,
        Severity.ERROR,
        "sum-opens",
        resolved.pieces[bond.names[0]].source.position,
        _SENTENCES[bond.kind].format(*bond.names, units.text(difference)),
        f"Compute one of their sizes from the others, or give a measure '{resolved.edition.name}:' "
        "a value of its own.",
        difference=difference,
    )

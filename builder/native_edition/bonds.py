"""Bonds: what is exactly so in the designer's own edition and must be so in the other.

Strips and mats that fill a panel side by side still meet, an edge that lies flush stays flush, a
centred piece stays centred, and two alike pieces on one face stay alike.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import partial
from itertools import pairwise
from typing import Literal

from builder.checks.layout import lying_box, sharing_a_face
from builder.checks.report import Condition, FindingKind, Rule
from builder.choices import Trait
from builder.findings import Finding
from builder.geometry.edges import EDGES, Axis, EdgeName, axis_of, is_upright, opposite
from builder.resolve.resolved import ResolvedDesign, ResolvedPiece

BondKind = Literal["flush", "centred", "meeting", "alike"]
#: What an extent is called that lies between two edges which run this way.
_DIRECTIONS: dict[Axis, str] = {"vertical": "across", "horizontal": "upward"}


@dataclass(frozen=True)
class Bond:
    """A piece ``flush`` with an edge of its host, or ``centred`` between two of them; two pieces
    that are ``meeting``, or ``alike``.  ``edge`` is that edge, or the near one of the two."""

    kind: BondKind
    pieces: tuple[str, ...]
    edge: EdgeName

    @property
    def names(self) -> tuple[str, ...]:
        """The pieces, and the edge or the direction."""
        match self.kind:
            case "flush":
                return *self.pieces, self.edge
            case "centred" | "meeting" | "alike":
                return *self.pieces, _DIRECTIONS[axis_of(self.edge)]

    def difference(self, pieces: Mapping[str, ResolvedPiece]) -> Fraction:
        """How far from exact, in mm."""
        first, last = pieces[self.pieces[0]], pieces[self.pieces[-1]]
        far = opposite(self.edge)
        match self.kind:
            case "flush":
                return _offset(first, self.edge)
            case "centred":
                return _offset(first, self.edge) - _offset(first, far)
            case "meeting":
                return lying_box(last).edge(self.edge) - lying_box(first).edge(far)
            case "alike":
                upright = is_upright(self.edge)
                return first.width - last.width if upright else first.height - last.height


def _offset(piece: ResolvedPiece, edge: EdgeName) -> Fraction:
    assert piece.offsets is not None
    return piece.offsets.at(edge)


#: The first of two edges across from each other, in each direction.
_NEAR_EDGES: tuple[EdgeName, ...] = ("left", "bottom")


def bonds(own: ResolvedDesign) -> Iterator[Bond]:
    """Every bond that the designer's own edition keeps."""
    candidates = [*_of_single_pieces(own), *_of_neighbours(own)]
    return (bond for bond in candidates if bond.difference(own.pieces) == 0)


def _of_single_pieces(own: ResolvedDesign) -> Iterator[Bond]:
    for key, piece in own.pieces.items():
        if piece.offsets is not None:
            yield from (Bond("flush", (key,), edge) for edge in EDGES)
            yield from (Bond("centred", (key,), edge) for edge in _NEAR_EDGES)


def _of_neighbours(own: ResolvedDesign) -> Iterator[Bond]:
    """Of pieces that share a face: those that meet, and those of one kind that are alike."""
    for pieces in sharing_a_face(own, Trait.SIDE_BY_SIDE):
        for edge in _NEAR_EDGES:
            in_order = sorted(pieces, key=partial(_begins, edge))
            for first, second in pairwise(in_order):
                yield Bond("meeting", (first.key, second.key), edge)
            for first, second in pairwise(sorted(pieces, key=lambda piece: piece.source.kind)):
                if first.source.kind == second.source.kind:
                    yield Bond("alike", (first.key, second.key), edge)


def _begins(edge: EdgeName, piece: ResolvedPiece) -> Fraction:
    return lying_box(piece).edge(edge)


def bond_condition(bond: Bond, resolved: ResolvedDesign) -> Condition:
    """The bond in the other edition."""
    key = ("sum-opens", bond.kind, *bond.names)
    finding = partial(_opened, bond, resolved)
    return Condition(key, bond.difference(resolved.pieces), finding, Rule.ZERO)


_OPENS = FindingKind(
    "sum-opens",
    "{what}",
    "Compute one of their sizes from the others, or give a measure '{edition}:' a value of its "
    "own.",
)
_SENTENCES: dict[BondKind, str] = {
    "flush": "'{0}' lies flush with the {1} edge of its host in your own edition, and here {2} off",
    "centred": "'{0}' lies in the middle {1} in your own edition, and here its two borders differ "
    "by {2}",
    "meeting": "'{0}' and '{1}' meet {2} in your own edition, and here they are {3} apart or over "
    "one another",
    "alike": "'{0}' and '{1}' are equal {2} in your own edition, and here they differ by {3}",
}


def _opened(bond: Bond, resolved: ResolvedDesign) -> Finding:
    difference = abs(bond.difference(resolved.pieces))
    text = resolved.edition.units.text(difference)
    return _OPENS.found(
        resolved,
        resolved.pieces[bond.pieces[0]],
        what=_SENTENCES[bond.kind].format(*bond.names, text),
        edition=resolved.edition.name,
        difference=difference,
    )

"""Pieces made ready for the work: faces as flat regions, folds, and adhesive, in whole numbers.

In: a resolved design.  Out: its parts, and the number of units to a millimetre with which every
straight corner of it is a whole number.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from builder.design import EDGES
from builder.geometry.outline import Arc, Box, Outline, flattened
from builder.resolve.lying import lying_pose
from builder.resolve.resolved import ResolvedDesign, ResolvedPiece
from builder.work.assembly import Assembly, Crease, FoldKey
from builder.work.plates import FaceKey, Plate
from builder.work.regions import Bounds, Region, Ring, rectangle_region
from builder.work.space import AT_REST, Exact, Rigid, Spot, as_rigid, whole

#: How far the chords of an arc may lie inside of it, in mm, and to which part of a mm they end.
_CHORD_TOLERANCE = 0.02
_CHORD_STEP = 1000


@dataclass(frozen=True)
class Part:
    """A piece with its faces and folds; the faces' regions are in the piece's own coordinates."""

    piece: ResolvedPiece
    regions: Mapping[FaceKey, Region]
    creases: tuple[Crease, ...]

    @property
    def by(self) -> FaceKey:
        """The face that it lies by."""
        return FaceKey(self.piece.key, self.piece.by)

    def loose(self) -> Assembly:
        """The piece alone, flat, its front up."""
        plates = {key: Plate(key, region, AT_REST) for key, region in self.regions.items()}
        return Assembly(self.by, plates, {crease.key: crease for crease in self.creases})


@dataclass(frozen=True, eq=False)
class Parts:
    """All pieces of a design; ``scale`` is the number of units to a millimetre."""

    resolved: ResolvedDesign
    scale: int
    pieces: Mapping[str, Part]

    @cached_property
    def tolerance(self) -> float:
        """How far a hand-cut edge may lie from its place, in units."""
        return float(self.resolved.tolerance * self.scale)

    def box(self, box: Box) -> Bounds:
        """A rectangle in whole units."""
        ends = (box.left, box.bottom, box.right, box.top)
        return Bounds(*(whole(end, self.scale) for end in ends))

    def motion_to_host(self, key: str, plates: Mapping[FaceKey, Plate]) -> Rigid:
        """The motion that brings a piece, and what it is joined to, to its place on its host."""
        part = self.pieces[key]
        placement = part.piece.source.placement
        assert placement is not None
        lying = lying_pose(part.piece, self.resolved.pieces[placement.host])
        host = plates[FaceKey(placement.host, part.piece.host_face)].pose
        return host.then(as_rigid(lying, self.scale)).then(plates[part.by].pose.undone())


def parts_of(resolved: ResolvedDesign) -> Parts:
    """Make all pieces of a design ready."""
    scale = _scale(resolved)
    pieces = {key: _part(piece, scale) for key, piece in resolved.pieces.items()}
    return Parts(resolved, scale, pieces)


def _scale(resolved: ResolvedDesign) -> int:
    lengths = (length for piece in resolved.pieces.values() for length in _lengths(piece))
    return 2 * math.lcm(_CHORD_STEP, *{length.denominator for length in lengths})


def _lengths(piece: ResolvedPiece) -> Iterator[Fraction]:
    for outline in (piece.outline, *piece.windows):
        for corner in outline.corners:
            yield from (corner.x, corner.y)
    for face in piece.faces:
        yield from (face.box.left, face.box.right, face.box.bottom, face.box.top)
    if piece.offsets is not None:
        yield from (piece.offsets.left, piece.offsets.bottom, piece.raised)


def _part(piece: ResolvedPiece, scale: int) -> Part:
    rings = [_ring(outline, scale) for outline in (piece.outline, *piece.windows)]
    regions = {}
    for face in piece.faces:
        ends = (face.box.left, face.box.bottom, face.box.right, face.box.top)
        box = Bounds(*(whole(end, scale) for end in ends))
        clipped = [_clipped(ring, box) for ring in rings] if len(piece.faces) > 1 else rings
        kept = tuple(ring for ring in clipped if len(ring) > 2)
        region = Region(kept) if kept else rectangle_region(box)
        regions[FaceKey(piece.key, face.name)] = region
    return Part(piece, regions, tuple(_creases(piece, scale)))


def _creases(piece: ResolvedPiece, scale: int) -> Iterator[Crease]:
    for staying, hanging, score in piece.folds_outward():
        yield Crease(
            key=FoldKey(piece.key, hanging),
            staying=FaceKey(piece.key, staying),
            axis=score.axis,
            at=whole(score.at, scale),
            sense=score.fold,
            closed=score.closed,
            is_beyond=score.sides[1] == hanging,
            ends=(whole(score.start, scale), whole(score.end, scale)),
        )


def _ring(outline: Outline, scale: int) -> Ring:
    """The corners of an outline, arcs as chords inside of them."""
    if not any(isinstance(edge, Arc) for edge in outline.edges):
        return tuple((whole(p.x, scale), whole(p.y, scale)) for p in outline.corners)
    exact = {
        (float(corner.x), float(corner.y)): (whole(corner.x, scale), whole(corner.y, scale))
        for corner in outline.corners
    }
    chords = flattened(outline, _chords(outline))
    return tuple(exact.get(spot) or _near(spot, scale) for spot in chords)


def _chords(outline: Outline) -> int:
    """How many chords to a quarter circle keep within the tolerance of its widest arc."""
    arcs = [edge for edge in outline.edges if isinstance(edge, Arc)]
    radius = max(
        math.hypot(float(a.start.x - a.centre.x), float(a.start.y - a.centre.y)) for a in arcs
    )
    half = math.acos(max(1 - _CHORD_TOLERANCE / radius, 0.0))
    return max(2, math.ceil(math.pi / 4 / half))


def _near(spot: tuple[float, float], scale: int) -> Spot:
    first, second = (Fraction(round(end * _CHORD_STEP), _CHORD_STEP) for end in spot)
    return whole(first, scale), whole(second, scale)


def _clipped(ring: Ring, box: Bounds) -> Ring:
    """What of a ring lies within an upright rectangle, side after side."""
    found: Iterable[Spot] = ring
    for along, place, keeps_high in (
        (0, box.low0, True), (0, box.high0, False), (1, box.low1, True), (1, box.high1, False)
    ):  # fmt: skip
        found = _cut(tuple(found), along, place, keeps_high)
    return _plain(tuple(found))


def _plain(ring: Ring) -> Ring:
    """A ring without corners that turn nothing: where it runs straight on, or there and back."""
    spots = list(ring)
    index, unchanged = 0, 0
    while len(spots) > 2 and unchanged < len(spots):
        before, spot, after = spots[index - 1], spots[index], spots[(index + 1) % len(spots)]
        first = (spot[0] - before[0], spot[1] - before[1])
        second = (after[0] - spot[0], after[1] - spot[1])
        if first[0] * second[1] == first[1] * second[0]:
            del spots[index]
            index, unchanged = (index - 1) % len(spots), 0
        else:
            index, unchanged = (index + 1) % len(spots), unchanged + 1
    return tuple(spots)


def _cut(ring: Ring, along: int, place: Exact, keeps_high: bool) -> Iterator[Spot]:
    def is_kept(spot: Spot) -> bool:
        return spot[along] >= place if keeps_high else spot[along] <= place

    for start, end in zip(ring, (*ring[1:], ring[0]), strict=True) if ring else ():
        if is_kept(start):
            yield start
        if is_kept(start) != is_kept(end) and start[along] != place != end[along]:
            share = Fraction(place - start[along]) / (end[along] - start[along])
            other = start[1 - along] + (end[1 - along] - start[1 - along]) * share
            plain = other.numerator if other.denominator == 1 else other
            yield (place, plain) if along == 0 else (plain, place)


def edge_strips(box: Bounds, edges: Iterable[str], depth: Exact) -> tuple[Bounds, ...]:
    """Strips so deep along some edges of a rectangle."""
    low0, low1, high0, high1 = box
    strips = {
        "left": Bounds(low0, low1, min(high0, low0 + depth), high1),
        "right": Bounds(max(low0, high0 - depth), low1, high0, high1),
        "bottom": Bounds(low0, low1, high0, min(high1, low1 + depth)),
        "top": Bounds(low0, max(low1, high1 - depth), high0, high1),
    }
    return tuple(strips[edge] for edge in EDGES if edge in set(edges))

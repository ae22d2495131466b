"""Pieces made ready for the work: faces as flat regions, folds, and adhesive, in whole numbers.

In: a resolved design.  Out: its parts, the number of units to a millimetre with which every
straight corner of it is a whole number, and what has to be glued: the adhesive of placements,
seams, tabs and further joins, with what it has to meet.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from typing import assert_never

from gatherfold.geometry import EDGES, Arc, Box, Outline, Pose, flattened, flipped, shifted, turned
from gatherfold.model import JoinRelation, Relation
from gatherfold.resolve import ResolvedDesign, ResolvedPiece, ResolvedSeam
from gatherfold.work.adhesive import Demand
from gatherfold.work.assembly import Adhesive, Assembly, Crease, FoldKey, Pair
from gatherfold.work.regions import Bounds, FaceKey, Plate, Region, Ring, rectangle_region
from gatherfold.work.space import AT_REST, Exact, Rigid, Sense, Spot, as_rigid, size, whole

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
        return _bounds(box, self.scale)

    def motion_to_host(self, key: str, plates: Mapping[FaceKey, Plate]) -> Rigid:
        """The motion that brings a piece, and what it is joined to, to its place on its host."""
        part = self.pieces[key]
        placement = part.piece.source.placement
        assert placement is not None
        lying = lying_pose(part.piece, self.resolved.pieces[placement.host])
        host = plates[FaceKey(placement.host, part.piece.host_face)].pose
        return host.then(as_rigid(lying, self.scale)).then(plates[part.by].pose.undone())


def _bounds(box: Box, scale: int) -> Bounds:
    return Bounds(*(whole(end, scale) for end in box))


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
        box = _bounds(face.box, scale)
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
        (0, box.left, True), (0, box.right, False), (1, box.bottom, True), (1, box.top, False)
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


#: How wide adhesive along an edge is where the design names no tape (common practice, no source).
_STRIP = Fraction(6)


def tape_width(resolved: ResolvedDesign) -> Fraction:
    """The narrowest tape of the design, in mm."""
    tapes = (key for key, supply in resolved.design.supplies.items() if supply.kind == "tape")
    widths = (resolved.supply_sizes[key][0] for key in tapes)
    return min((width for width in widths if width), default=_STRIP)


def glued_side(relation: Relation | JoinRelation) -> Sense:
    """Which side of a piece lies against what it lies on: 1 is its front."""
    match relation:
        case "on" | "inside" | "on_back":
            return -1
        case "behind" | "facing":
            return 1
        case _:
            assert_never(relation)


def host_side(relation: Relation | JoinRelation) -> Sense:
    """Which side of its host a piece lies on: 1 is the front.

    What lies inside a pocket lies behind the pocket's own piece.
    """
    match relation:
        case "on" | "facing":
            return 1
        case "behind" | "on_back" | "inside":
            return -1
        case _:
            assert_never(relation)


def placement_demands(parts: Parts, part: Part) -> Iterator[Demand]:
    """The adhesive with which a piece is laid down: one demand for each of its glued faces; it
    joins whatever it meets."""
    piece = part.piece
    placement = piece.source.placement
    dry = tuple(rectangle_region(parts.box(box)) for box in piece.glue.keep_off)
    for name in piece.glued:
        assert placement is not None, "what lies on nothing is glued to nothing"
        key = FaceKey(piece.key, name)
        spread = _spread(parts, part, key, piece.glue.edges)
        adhesive = Adhesive(key, glued_side(placement.relation), spread, dry)
        yield Demand(adhesive, (), piece.key)


def closing_demands(parts: Parts, part: Part, section: str) -> Iterator[Demand]:
    """The adhesive of a section that a step closes: along its seams, or, turned right over, all
    over its inner side; a tab all over its outer side."""
    piece = part.piece
    crease = next((each for each in part.creases if each.hanging.face == section), None)
    if crease is None or any(join.face == section for join in piece.joins):
        return
    inner = crease.inner
    seams = [seam for seam in piece.seams if seam.section == section]
    key = crease.hanging
    if seams:
        strips = tuple(_seam_strip(parts, piece, seam) for seam in seams)
        spread = tuple(region for regions in strips for region in regions)
        yield Demand(Adhesive(key, inner, spread), (), piece.key)
    elif section in {tab.name for tab in piece.source.tabs}:
        outer: Sense = -1 if inner == 1 else 1
        side = inner if crease.closed == 180 else outer
        yield Demand(Adhesive(key, side, (part.regions[key],)), (), piece.key)
    elif crease.closed == 180 and not _is_dry(part, crease):
        yield Demand(Adhesive(key, inner, (part.regions[key],)), (), piece.key)


def _is_dry(part: Part, crease: Crease) -> bool:
    """Whether a section beside a fold is said to close without glue."""
    beside = {crease.hanging.face, crease.staying.face}
    return not beside.isdisjoint(part.piece.source.dry_sections)


def further_demands(parts: Parts) -> Iterator[Demand]:
    """The adhesive of each further join, and the face that it has to meet."""
    for part in parts.pieces.values():
        for join in part.piece.joins:
            key = FaceKey(part.piece.key, join.face)
            spread = _spread(parts, part, key, join.edges)
            adhesive = Adhesive(key, glued_side(join.relation), spread)
            yield Demand(adhesive, (FaceKey(join.host, join.host_face),), part.piece.key)


def tucks_of(parts: Parts) -> dict[Pair, Sense]:
    """Faces that further joins bring together, which are tucked in by hand where they come in
    their own plane: on which side of each the other lies."""
    found: dict[Pair, Sense] = {}
    for part in parts.pieces.values():
        for join in part.piece.joins:
            own, host = FaceKey(part.piece.key, join.face), FaceKey(join.host, join.host_face)
            found[own, host] = glued_side(join.relation)
            found[host, own] = host_side(join.relation)
    return found


def under_of(parts: Parts) -> dict[FaceKey, FaceKey]:
    """The sections that are tucked in when they close, each with what lies over it then."""
    return {
        FaceKey(key, tuck.section): FaceKey(tuck.host, tuck.host_face)
        for key, part in parts.pieces.items()
        for tuck in part.piece.source.tucks
    }


def section_folds(part: Part, section: str) -> Iterator[Crease]:
    """The fold of a section, and those of the tabs on it.

    The face that the piece lies by hangs on nothing: its fold is that to the section before it.
    """
    tabs = {tab.name for tab in part.piece.source.tabs}
    if section == part.by.face:
        yield from (crease for crease in part.creases if _begins(part, crease, section))
        return
    for crease in part.creases:
        is_tab = crease.hanging.face in tabs and crease.staying.face == section
        if crease.hanging.face == section or is_tab:
            yield crease


def _begins(part: Part, crease: Crease, section: str) -> bool:
    """Whether a section begins at a fold, seen from the left or from the bottom."""
    beside = {crease.hanging.face, crease.staying.face}
    return any(
        set(score.sides) == beside and score.sides[1] == section for score in part.piece.scores
    )


def _spread(parts: Parts, part: Part, key: FaceKey, edges: Iterable[str]) -> tuple[Region, ...]:
    named = tuple(edges)
    if not named or "all" in named:
        return (part.regions[key],)
    box, depth = part.piece.face(key.face).box, tape_width(parts.resolved)
    strips = (box.strip(edge, min(depth, box.across(edge))) for edge in EDGES if edge in named)
    return tuple(rectangle_region(parts.box(strip)) for strip in strips)


def _seam_strip(parts: Parts, piece: ResolvedPiece, seam: ResolvedSeam) -> Iterator[Region]:
    """Strips as wide as the tape along the stretches of a seam, on the face's side of them."""
    depth = whole(tape_width(parts.resolved), parts.scale)
    box = parts.box(piece.face(seam.section).box)
    middle = box.centre
    for run in seam.runs:
        (x0, y0), (x1, y1) = ((whole(p.x, parts.scale), whole(p.y, parts.scale)) for p in run)
        if size(x1 - x0) > size(y1 - y0):
            way: Exact = depth if middle.y > Fraction(y0 + y1) / 2 else -depth
            yield Region((((x0, y0), (x1, y1), (x1, y1 + way), (x0, y0 + way)),))
        else:
            way = depth if middle.x > Fraction(x0 + x1) / 2 else -depth
            yield Region((((x0, y0), (x1, y1), (x1 + way, y1), (x0 + way, y0)),))


def lying_pose(child: ResolvedPiece, host: ResolvedPiece) -> Pose:
    """Give the pose of a piece within its host's plane."""
    placement = child.source.placement
    assert child.offsets is not None and placement is not None
    face = child.face(child.by).box
    host_box = host.face(child.host_face).box
    in_place = _turned_to_origin(face, placement.turned)
    left, bottom = host_box.left + child.offsets.left, host_box.bottom + child.offsets.bottom
    up = child.raised if placement.relation in ("on", "inside") else -child.raised
    if placement.relation == "on_back":
        # Seen from the back, the host's right edge is on the left.
        left, in_place = host_box.right - child.offsets.left, flipped().then(in_place)
    return shifted(left, bottom, up).then(in_place)


def _turned_to_origin(box: Box, degrees: int) -> Pose:
    """Turn about the origin, then move so that the box's lower left corner is the origin."""
    turn = turned(degrees)
    corners = [turn.apply((x, y, 0)) for x in (box.left, box.right) for y in (box.bottom, box.top)]
    return shifted(-min(c[0] for c in corners), -min(c[1] for c in corners)).then(turn)

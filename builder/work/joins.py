"""What has to be glued, from the design: the adhesive of placements, seams, tabs and further joins.

In: the parts of a design.  Out: demands: adhesive on a side of a face, and what it has to meet.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction
from typing import assert_never

from builder.choices import JoinRelation, Relation
from builder.resolve.resolved import ResolvedDesign, ResolvedPiece, ResolvedSeam
from builder.work.adhesive import Demand
from builder.work.assembly import Adhesive, Crease, Pair
from builder.work.parts import Part, Parts, edge_strips
from builder.work.plates import FaceKey
from builder.work.regions import Region, rectangle_region
from builder.work.space import Exact, Sense, size, whole

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
    if placement is None:
        return
    dry = tuple(rectangle_region(parts.box(box)) for box in piece.glue.keep_off)
    for name in piece.glued:
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
    inner: Sense = 1 if crease.sense == "valley" else -1
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
    box = parts.box(part.piece.face(key.face).box)
    depth = whole(tape_width(parts.resolved), parts.scale)
    return tuple(rectangle_region(strip) for strip in edge_strips(box, named, depth))


def _seam_strip(parts: Parts, piece: ResolvedPiece, seam: ResolvedSeam) -> Iterator[Region]:
    """Strips as wide as the tape along the stretches of a seam, on the face's side of them."""
    depth = whole(tape_width(parts.resolved), parts.scale)
    box = parts.box(piece.face(seam.section).box)
    middle = (Fraction(box.low0 + box.high0) / 2, Fraction(box.low1 + box.high1) / 2)
    for run in seam.runs:
        (x0, y0), (x1, y1) = ((whole(p.x, parts.scale), whole(p.y, parts.scale)) for p in run)
        if size(x1 - x0) > size(y1 - y0):
            way: Exact = depth if middle[1] > Fraction(y0 + y1) / 2 else -depth
            yield Region((((x0, y0), (x1, y1), (x1, y1 + way), (x0, y0 + way)),))
        else:
            way = depth if middle[0] > Fraction(x0 + x1) / 2 else -depth
            yield Region((((x0, y0), (x1, y1), (x1 + way, y1), (x0 + way, y0)),))

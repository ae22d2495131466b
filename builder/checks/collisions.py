"""Closed, no flat part may pass through a standing one: a mat through a gusset.

In: the placed faces of the closed state, rectangles at right angles to one another.  Out: one
finding for each pair of pieces.  Faces that only touch do not collide, nor does a piece that
passes through another's window.  Places are compared by rank, and only faces whose plane lies
within the other's reach are looked at.

Two gussets that hang on opposite faces collide as well where they stand in one place: neither
has room behind or before the other.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations

from builder.checks.placed import placed_box
from builder.checks.report import found
from builder.findings import Finding, Severity
from builder.geometry.areas import Slab, crosses, placed
from builder.geometry.outline import Box, bounds
from builder.lengths import up_to_grid
from builder.resolve.placement import folds_outward
from builder.resolve.resolved import PlacedFace, ResolvedDesign

_Ranks = tuple[int, int, int]


@dataclass(frozen=True)
class _Ranked:
    """A placed face with its corners in space, and those corners by rank."""

    placed: PlacedFace
    slab: Slab
    low: _Ranks
    high: _Ranks


def check_collisions(resolved: ResolvedDesign) -> Iterator[Finding]:
    reported: set[frozenset[str]] = set()
    faces = _ranked(resolved)
    for first, second in _crossing(faces):
        pair = frozenset((first.placed.piece, second.placed.piece))
        if pair not in reported and not _through_window(resolved, first, second):
            reported.add(pair)
            yield _collision(resolved, first, second)
    for first, second in _in_one_place(resolved, faces):
        pair = frozenset((first.placed.piece, second.placed.piece))
        if pair not in reported:
            reported.add(pair)
            yield _one_place(resolved, first, second)


def check_folding_order(resolved: ResolvedDesign) -> Iterator[Finding]:
    """What folds in later lies in front, so its plane may not lie behind what it covers."""
    planes: dict[Fraction, list[tuple[PlacedFace, Box]]] = {}
    reported: set[frozenset[str]] = set()
    lying = {(at.piece, at.face): at.pose for at in resolved.states["flat"].faces}
    for face in resolved.states["closed"].faces:
        if face.pose.normal[2] == 0:
            continue
        height, box = face.pose.shift[2], placed_box(resolved, face)
        has_moved = lying[face.piece, face.face] != face.pose
        above = [each for z, faces in planes.items() if has_moved and z > height for each in faces]
        for other, other_box in above:
            pair = frozenset((face.piece, other.piece))
            if pair not in reported and crosses(box, other_box):
                reported.add(pair)
                yield _behind(resolved, face, other)
        planes.setdefault(height, []).append((face, box))


def _behind(resolved: ResolvedDesign, later: PlacedFace, earlier: PlacedFace) -> Finding:
    units = resolved.edition.units
    deeper = earlier.pose.shift[2] - later.pose.shift[2]
    return found(
        resolved,
        Severity.ERROR,
        "folds-through",
        resolved.pieces[later.piece].source.position,
        f"'{later.piece}' folds in after '{earlier.piece}' and covers it, but closes "
        f"{units.text(deeper)} deeper",
        f"Make its gusset {units.text(deeper)} deeper, or close it first ('closing:').",
        deeper=deeper,
    )


def _ranked(resolved: ResolvedDesign) -> list[_Ranked]:
    faces = resolved.states["closed"].faces
    slabs = [resolved.slab(at) for at in faces]
    ranks = [_ranks(slabs, axis) for axis in range(3)]

    def ranked(place: Sequence[Fraction]) -> _Ranks:
        return ranks[0][place[0]], ranks[1][place[1]], ranks[2][place[2]]

    return [
        _Ranked(at, slab, ranked(slab.low), ranked(slab.high))
        for at, slab in zip(faces, slabs, strict=True)
    ]


def _ranks(slabs: Sequence[Slab], axis: int) -> Mapping[Fraction, int]:
    places = sorted({place for slab in slabs for place in (slab.low[axis], slab.high[axis])})
    return {place: rank for rank, place in enumerate(places)}


def _crossing(faces: Sequence[_Ranked]) -> Iterator[tuple[_Ranked, _Ranked]]:
    """Pairs of faces of two pieces of which each passes through the inside of the other."""
    across: dict[int, list[_Ranked]] = {0: [], 1: [], 2: []}
    for face in faces:
        across[face.slab.axis].append(face)
    for axis, other in combinations(range(3), 2):
        third = 3 - axis - other
        planes = sorted(across[axis], key=lambda face: face.low[axis])
        places = [face.low[axis] for face in planes]
        for face in across[other]:
            start = bisect_right(places, face.low[axis])
            end = bisect_left(places, face.high[axis])
            for plane in planes[start:end]:
                if (
                    plane.low[other] < face.low[other] < plane.high[other]
                    and plane.low[third] < face.high[third]
                    and face.low[third] < plane.high[third]
                    and plane.placed.piece != face.placed.piece
                ):
                    yield plane, face


def _is_gusset(resolved: ResolvedDesign, face: _Ranked) -> bool:
    """A standing face between two folds; an end panel only lies against what stands there."""
    scores = resolved.pieces[face.placed.piece].scores
    is_between = sum(face.placed.face in score.sides for score in scores) > 1
    return face.slab.axis != 2 and is_between


def _in_one_place(
    resolved: ResolvedDesign, faces: Sequence[_Ranked]
) -> Iterator[tuple[_Ranked, _Ranked]]:
    """Pairs of standing faces in one plane, over one another, that fold up from different heights.

    What folds up from the same height is nested, as a lining is; so is what lies on a host.
    """
    planes: dict[tuple[int, int], list[tuple[_Ranked, Fraction]]] = {}
    for face in faces:
        height = _folds_at(resolved, face) if _is_gusset(resolved, face) else None
        if height is not None:
            plane = (face.slab.axis, face.low[face.slab.axis])
            planes.setdefault(plane, []).append((face, height))
    for standing in planes.values():
        for (first, low), (second, high) in combinations(standing, 2):
            axes = [axis for axis in range(3) if axis != first.slab.axis]
            if (
                low != high
                and all(first.low[k] < second.high[k] for k in axes)
                and all(second.low[k] < first.high[k] for k in axes)
                and first.placed.piece != second.placed.piece
            ):
                yield first, second


def _folds_at(resolved: ResolvedDesign, face: _Ranked) -> Fraction | None:
    """How high the fold lies that a standing face hangs on; None for a face laid on a host."""
    piece = resolved.pieces[face.placed.piece]
    for _, hanging, score in folds_outward(piece):
        if hanging == face.placed.face:
            ends = (score.at, score.start), (score.start, score.at)
            return face.placed.pose.apply(*ends[not score.is_vertical])[2]
    return None


def _through_window(resolved: ResolvedDesign, first: _Ranked, second: _Ranked) -> bool:
    """Whether the line in which the two meet lies within a window of one of them."""
    low = tuple(max(a, b) for a, b in zip(first.slab.low, second.slab.low, strict=True))
    high = tuple(min(a, b) for a, b in zip(first.slab.high, second.slab.high, strict=True))
    for face in (first.placed, second.placed):
        for window in resolved.pieces[face.piece].windows:
            slab = placed(face.pose, bounds(window))
            axes = [axis for axis in range(3) if axis != slab.axis]
            if all(slab.low[k] <= low[k] and high[k] <= slab.high[k] for k in axes):
                return True
    return False


def _collision(resolved: ResolvedDesign, first: _Ranked, second: _Ranked) -> Finding:
    """The one that lies flat passes through the other; of two that stand, the one added later."""
    keys = list(resolved.pieces)
    flat, standing = sorted(
        (first, second),
        key=lambda face: (face.slab.axis != 2, -keys.index(face.placed.piece)),
    )
    through = min(*_reach(flat.slab, standing.slab), *_reach(standing.slab, flat.slab))
    wanted = up_to_grid(through, resolved.edition.grid)
    units, place = resolved.edition.units, standing.placed
    is_whole = len(resolved.pieces[place.piece].faces) == 1
    part = f"'{place.piece}'" if is_whole else f"the {_words(place.face)} of '{place.piece}'"
    return found(
        resolved,
        Severity.ERROR,
        "collides",
        resolved.pieces[flat.placed.piece].source.position,
        f"closed, '{flat.placed.piece}' passes through {part}, by {units.text(through)} at least",
        f"Make one of them {units.text(wanted)} smaller, or move it as far.",
        through=through,
        wanted=wanted,
    )


def _one_place(resolved: ResolvedDesign, first: _Ranked, second: _Ranked) -> Finding:
    """Two gussets in one place: how much of their height they share."""
    shared = min(first.slab.high[2], second.slab.high[2]) - max(
        first.slab.low[2], second.slab.low[2]
    )
    wanted = up_to_grid(shared, resolved.edition.grid)
    units = resolved.edition.units
    names = [f"the {_words(at.placed.face)} of '{at.placed.piece}'" for at in (first, second)]
    return found(
        resolved,
        Severity.ERROR,
        "collides",
        resolved.pieces[second.placed.piece].source.position,
        f"closed, {names[0]} and {names[1]} stand in one place, {units.text(shared)} deep",
        f"Make one of them {units.text(wanted)} narrower, or what holds them apart as much wider.",
        shared=shared,
        wanted=wanted,
    )


def _reach(slab: Slab, other: Slab) -> tuple[Fraction, Fraction]:
    """How far a face reaches to either side of the plane of another."""
    return other.plane - slab.low[other.axis], slab.high[other.axis] - other.plane


def _words(face: str) -> str:
    return face.replace("_", " ")

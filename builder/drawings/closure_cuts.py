"""What closes the work, and the cut that shows each closure.

In: a resolved design.  Out: the keys of its closures; for each the line of the cut, the layers it
meets and the fastenings in it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from builder.drawings.closed_stack import Bar, Cut, Stack, cut_through
from builder.geometry.outline import Point
from builder.resolve.resolved import REMEMBERED, ResolvedDesign, ResolvedFastening
from builder.work import FaceKey, work_of
from builder.work.assembly import Assembly
from builder.work.finished import Hold, holds
from builder.work.regions import Along

#: How much of the work is shown on either side of the closing part, in mm of the work.
_AROUND = 12.0
_UP = 2


@dataclass(frozen=True)
class Closure:
    """What closes: ``part`` is the piece that laps over or runs round; ``fastenings`` are those
    in the cut, each with its place along it and the pieces it goes through or lies between."""

    key: str
    title: str
    part: str
    stack: Stack
    cut: Cut
    fastenings: tuple[tuple[ResolvedFastening, float], ...]


def closures(resolved: ResolvedDesign) -> tuple[str, ...]:
    """The keys of what holds the closed work shut: tabs that turn on a brad, magnet pairs, brads
    that hold a ribbon (the first of each ribbon), bands, and what seals a closed fold."""
    found = []
    ribbons: set[str] = set()
    for key, fastening in resolved.fastenings.items():
        source = fastening.source
        if fastening.point is None or not source.through:
            continue
        holds_ribbon = source.holds in resolved.fastenings
        if holds_ribbon and source.holds in ribbons:
            continue
        if holds_ribbon and source.holds is not None:
            ribbons.add(source.holds)
        holds_piece = source.pivot and source.holds
        if source.fastener.closes_by_itself or holds_ribbon or holds_piece:
            found.append(key)
    return (*found, *_holds(resolved))


@lru_cache(maxsize=REMEMBERED)
def _holds(resolved: ResolvedDesign) -> dict[str, Hold]:
    return {hold.piece: hold for hold in holds(work_of(resolved))}


def closure_of(resolved: ResolvedDesign, key: str) -> Closure:
    """The cut for one closure, and what it meets."""
    fastening = resolved.fastenings.get(key)
    piece = resolved.pieces[key if fastening is None else fastening.source.through[0]]
    own = FaceKey(piece.key, piece.by)
    if fastening is not None and fastening.point is not None:
        own = next(
            FaceKey(piece.key, face.name)
            for face in piece.faces
            if face.box.contains(fastening.point)
        )
    work = work_of(resolved)
    assembly = work.closed
    if assembly.plates[own].axis != _UP:
        assembly = assembly.seen_from(own)
    if fastening is None:
        title, cut = piece.title, _across_fold(assembly, work.scale, _holds(resolved)[key])
    else:
        title, cut = fastening.source.title, _through(assembly, work.scale, own, fastening)
    stack = cut_through(resolved, assembly, work.scale, cut)
    found = tuple(_in_cut(resolved, assembly, cut))
    return Closure(key, title, piece.key, stack, cut, found)


def _across_fold(assembly: Assembly, scale: int, hold: Hold) -> Cut:
    """A cut along all of a piece, across the fold that it holds."""
    plates = [plate for key, plate in assembly.plates.items() if key.piece == hold.piece]
    along: Along = 1 if assembly.lines[hold.fold].axis == 0 else 0
    low = min(plate.extent(along)[0] for plate in plates)
    high = max(plate.extent(along)[1] for plate in plates)
    ends = [end for plate in plates for end in plate.extent(1 - along)]
    at = Fraction(min(ends) + max(ends)) / 2 / scale
    return Cut(along, at, float(Fraction(low) / scale) - _AROUND, float(high) / scale + _AROUND)


def _through(assembly: Assembly, scale: int, own: FaceKey, fastening: ResolvedFastening) -> Cut:
    """A cut through the middle of a fastening: along the longer side of what turns on it, else a
    little to its left and right."""
    assert fastening.point is not None
    place, plate = _place(assembly, scale, own, fastening.point), assembly.plates[own]
    if not fastening.source.pivot:
        reach = 3 * fastening.head
        low, high = float(place[0] - reach), float(place[0] + reach)
        return Cut(0, place[1], low - _AROUND, high + _AROUND)
    sizes = [plate.extent(axis)[1] - plate.extent(axis)[0] for axis in (0, 1)]
    along: Along = 0 if sizes[0] >= sizes[1] else 1
    low, high = (float(end) / scale for end in plate.extent(along))
    return Cut(along, place[1 - along], low - _AROUND, high + _AROUND)


def _place(
    assembly: Assembly, scale: int, face: FaceKey, point: Point
) -> tuple[Fraction, Fraction]:
    """Where a point of a piece lies, in mm."""
    x, y, _ = assembly.plates[face].pose.apply((point.x * scale, point.y * scale, 0))
    return Fraction(x) / scale, Fraction(y) / scale


def _in_cut(
    resolved: ResolvedDesign, assembly: Assembly, cut: Cut
) -> Iterator[tuple[ResolvedFastening, float]]:
    """The fastenings whose centre lies on the cut, with their places along it."""
    scale = work_of(resolved).scale
    for fastening in resolved.fastenings.values():
        for key, plate in assembly.plates.items():
            if fastening.point is None or (key.piece,) != fastening.source.through[:1]:
                continue
            box = resolved.pieces[key.piece].face(key.face).box
            if plate.axis != _UP or not box.contains(fastening.point):
                continue
            place = _place(assembly, scale, key, fastening.point)
            if place[1 - cut.along] == cut.at and cut.low < place[cut.along] < cut.high:
                yield fastening, float(place[cut.along])


def pierced_bars(closure: Closure, fastening: ResolvedFastening, at: float) -> list[Bar]:
    """The layers that a fastening goes through, from the back: of a folded piece only the face
    that its hole is in."""
    found = []
    for bar in closure.stack.bars:
        mark = fastening.marks.get(bar.piece.key)
        if mark is not None and bar.piece.face(bar.face.face).box.contains(mark):
            found.append(bar)
    return sorted(found, key=lambda bar: bar.level)

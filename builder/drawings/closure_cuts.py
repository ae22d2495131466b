"""What closes the work, and the cut that shows each closure.

In: a resolved design.  Out: the keys of its closures; for each the line of the cut, the layers it
meets and the fastenings in it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from builder.drawings.closed_stack import (
    Bar,
    Cut,
    Stack,
    closed_faces,
    cut_through,
)
from builder.drawings.pivots import is_on
from builder.geometry.areas import placed
from builder.piece_kinds import Trait
from builder.resolve.resolved import (
    PlacedFace,
    ResolvedDesign,
    ResolvedFastening,
    ResolvedPiece,
)

#: How much of the work is shown on either side of the closing part, in mm of the work.
_AROUND = 12.0


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
    that hold a ribbon (the first of each ribbon), bands, and tags that are there only when closed.
    """
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
    there = {face.piece for face in closed_faces(resolved)} if resolved.pieces else set()
    found += [
        key
        for key, piece in resolved.pieces.items()
        if key in there and piece.source.present == "closed" and _closes(piece)
    ]
    return tuple(found)


def _closes(piece: ResolvedPiece) -> bool:
    """Whether a piece that is there only when the work is closed holds it shut."""
    is_folded_round = piece.source.has(Trait.GOES_ROUND) and bool(piece.scores)
    return is_folded_round or piece.source.has(Trait.SEALS_EDGE)


def closure_of(resolved: ResolvedDesign, key: str) -> Closure:
    """The cut for one closure, and what it meets."""
    faces = closed_faces(resolved)
    if key in resolved.pieces:
        piece = resolved.pieces[key]
        own = next(f for f in faces if (f.piece, f.face) == (key, piece.by))
        return _cut_at(resolved, key, piece.title, key, faces, own, None)
    fastening = resolved.fastenings[key]
    first = fastening.source.through[0]
    own = next(f for f in faces if f.piece == first and is_on(resolved, fastening, f))
    return _cut_at(resolved, key, fastening.source.title, first, faces, own, fastening)


def _cut_at(
    resolved: ResolvedDesign,
    key: str,
    title: str,
    part: str,
    faces: Sequence[PlacedFace],
    own: PlacedFace,
    fastening: ResolvedFastening | None,
) -> Closure:
    """A cut along the longer side of the closing part; a band's goes all the way round."""
    piece = resolved.pieces[part]
    seen = placed(own.pose, piece.face(own.face).box).seen
    point = None if fastening is None else fastening.point
    if point is not None:
        x, y, _ = own.pose.apply(point.x, point.y)
        centre = x, y
    else:
        centre = seen.centre.x, seen.centre.y
    is_wrapped = bool(piece.scores)
    along = 0 if seen.width >= seen.height or is_wrapped else 1
    if is_wrapped:
        along = 0 if piece.scores[0].is_vertical else 1
    low, high = (seen.left, seen.right) if along == 0 else (seen.bottom, seen.top)
    if piece.source.has(Trait.SEALS_EDGE):
        # Across the edge that a seal holds down, not along it.
        along, low, high = 1, seen.bottom, seen.top
    is_small = fastening is not None and not fastening.source.pivot
    if is_small:
        assert fastening is not None
        along, reach = 0, 3 * fastening.head
        low, high = centre[0] - reach, centre[0] + reach
    cut = Cut(along, centre[1 - along], float(low) - _AROUND, float(high) + _AROUND)
    stack = cut_through(resolved, faces, cut)
    return Closure(key, title, part, stack, cut, tuple(_in_cut(resolved, faces, cut)))


def _in_cut(
    resolved: ResolvedDesign, faces: Sequence[PlacedFace], cut: Cut
) -> list[tuple[ResolvedFastening, float]]:
    """The fastenings whose centre lies on the cut, with their places along it."""
    found = []
    for fastening in resolved.fastenings.values():
        for face in faces:
            through = fastening.source.through[:1]
            if fastening.point is None or (face.piece,) != through:
                continue
            if face.pose.normal[2] == 0 or not is_on(resolved, fastening, face):
                continue
            place = face.pose.apply(fastening.point.x, fastening.point.y)
            at = float(place[cut.along])
            if place[1 - cut.along] == cut.at and cut.low < at < cut.high:
                found.append((fastening, at))
    return found


def pierced_bars(closure: Closure, fastening: ResolvedFastening, at: float) -> list[Bar]:
    """The layers that a fastening goes through, from the back: of a folded piece only the face
    that its hole is in."""
    found = []
    for bar in closure.stack.bars:
        mark = fastening.marks.get(bar.piece.key)
        if mark is not None and bar.piece.face(bar.face[1]).box.contains(mark):
            found.append(bar)
    return sorted(found, key=lambda bar: bar.level)

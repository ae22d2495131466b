"""How many pictures of which size the finished work takes, and where each goes.

In: a resolved design.  Out: one row per place, numbered from the top left as the open work is
looked at, and one row per size with its total.  A place is a photo mat; the picture is the
largest that fits on it, on the edition's grid.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from builder.choices import SIDES, SideName, is_front, side_seen
from builder.geometry.areas import Slab
from builder.lengths import down_to_grid
from builder.piece_kinds import Trait
from builder.resolve.placement import Tree, main_body, tree_of
from builder.resolve.resolved import ResolvedDesign, ResolvedPiece
from builder.resolve.turns import flat_faces


@dataclass(frozen=True)
class PhotoPlace:
    """A place for pictures: ``width`` and ``height`` of the largest that fits, as it lies in the
    open work; ``count`` is how many such mats there are.

    ``body`` is the piece that the place's part of the work is built on, ``side`` the side of the
    open work that it is seen from.
    """

    number: int
    piece: ResolvedPiece
    on: ResolvedPiece | None
    width: Fraction
    height: Fraction
    count: int
    body: str
    side: SideName


@dataclass(frozen=True)
class PhotoSize:
    """All pictures of one size, upright or lying: the shorter length is ``width``."""

    width: Fraction
    height: Fraction
    count: int
    numbers: tuple[int, ...]


def photo_places(resolved: ResolvedDesign) -> tuple[PhotoPlace, ...]:
    """Every place for a picture: the main body's first, seen from the front, then from behind,
    then those of loose pieces."""
    tree = tree_of(resolved)
    if not tree.roots:
        return ()
    main = main_body(tree)
    roots = (main, *(root for root in tree.roots if root != main))
    found = [place for root in roots for place in _places_of(resolved, tree, root)]
    return tuple(replace(place, number=number) for number, place in enumerate(found, start=1))


def _places_of(resolved: ResolvedDesign, tree: Tree, root: str) -> Iterator[PhotoPlace]:
    seen: list[tuple[Slab, PhotoPlace]] = []
    for face in flat_faces(resolved, root):
        piece = resolved.pieces[face.piece]
        if not piece.source.has(Trait.CARRIES_PHOTOGRAPH):
            continue
        slab = resolved.slab(face)
        host = piece.source.placement.host if piece.source.placement else None
        grid = resolved.edition.grid
        place = PhotoPlace(
            number=0,
            piece=piece,
            on=None if host is None else resolved.pieces[host],
            width=down_to_grid(slab.seen.width, grid),
            height=down_to_grid(slab.seen.height, grid),
            count=_copies(tree, piece.key),
            body=root,
            side=side_seen(face.pose.normal[2] > 0),
        )
        seen.append((slab, place))
    for side in SIDES:
        on_side = [each for each in seen if each[1].side == side]
        for row in _rows(on_side):
            yield from (place for _, place in sorted(row, key=lambda each: _across(*each)))


def _rows(places: list[tuple[Slab, PhotoPlace]]) -> list[list[tuple[Slab, PhotoPlace]]]:
    """From the top down; what begins above the middle of a row's highest belongs to that row."""
    rows: list[list[tuple[Slab, PhotoPlace]]] = []
    for each in sorted(places, key=lambda each: -each[0].high[1]):
        if rows and each[0].high[1] > rows[-1][0][0].seen.centre.y:
            rows[-1].append(each)
        else:
            rows.append([each])
    return rows


def _across(slab: Slab, place: PhotoPlace) -> Fraction:
    return slab.low[0] if is_front(place.side) else -slab.high[0]


def _copies(tree: Tree, key: str) -> int:
    """How many of a piece there are: as often as it, and what it lies on, is cut."""
    piece = tree.pieces[key]
    placement = piece.source.placement
    carriers = _copies(tree, placement.host) if placement and placement.host in tree.pieces else 1
    return piece.source.count * carriers


def photo_sizes(places: tuple[PhotoPlace, ...]) -> tuple[PhotoSize, ...]:
    """The totals, the largest size first."""
    found: dict[tuple[Fraction, Fraction], list[PhotoPlace]] = {}
    for place in places:
        size = min(place.width, place.height), max(place.width, place.height)
        found.setdefault(size, []).append(place)
    return tuple(
        PhotoSize(*size, sum(p.count for p in same), tuple(p.number for p in same))
        for size, same in sorted(found.items(), key=lambda item: -item[0][0] * item[0][1])
    )

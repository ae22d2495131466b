"""Every inequality that the sheets of a plan must satisfy.

In: pieces, the kinds of sheet each may come from, the sheets. Out: ``Need`` inequalities: those
of the dual-feasible functions over all pieces, the same over the pieces that only some kinds
of sheet can give, and one for pinned pieces that lie over one another.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from builder.sheets.bounds import Need, Size, needs
from builder.sheets.model import Rectangle, Sheet
from builder.sheets.pins import Region, only_place, overlap, sizes, usable

Kinds = Mapping[str, frozenset[int]]


def lying(piece: Rectangle, kinds: frozenset[int], sheets: Sequence[Sheet]) -> tuple[Size, ...]:
    """The sizes a piece may be laid in that fit some sheet it may come from."""
    rooms = [usable(sheets[j])[2:] for j in sorted(kinds)]
    return tuple(
        (w, h) for w, h, _ in sizes(piece) if any(w <= room[0] and h <= room[1] for room in rooms)
    )


def inequalities(pieces: Sequence[Rectangle], kinds: Kinds, sheets: Sequence[Sheet]) -> list[Need]:
    """What any choice of sheets for the pieces must satisfy."""
    rooms = [usable(sheet)[2:] for sheet in sheets]
    everywhere = frozenset(range(len(sheets)))
    groups = {kinds[piece.key] for piece in pieces} | {everywhere}
    found: list[Need] = []
    for group in sorted(groups, key=sorted):
        bound = [piece for piece in pieces if kinds[piece.key] <= group]
        if bound:
            laid = [lying(piece, kinds[piece.key], sheets) for piece in bound]
            found += [_only(need, group) for need in needs(laid, rooms)]
    return found + _over_one_another(pieces, kinds, sheets)


def _only(need: Need, group: frozenset[int]) -> Need:
    """The inequality when the other kinds of sheet offer nothing to its pieces."""
    return replace(need, offers=tuple(o if j in group else 0 for j, o in enumerate(need.offers)))


def _over_one_another(
    pieces: Sequence[Rectangle], kinds: Kinds, sheets: Sequence[Sheet]
) -> list[Need]:
    """The largest set found of pieces of which a sheet can give one at most."""
    pinned = [piece for piece in pieces if piece.pin is not None]
    places = {
        piece.key: {j: only_place(piece, sheets[j]) for j in kinds[piece.key]} for piece in pinned
    }
    largest: list[Rectangle] = []
    for first in pinned:
        together = [first]
        for piece in pinned:
            if piece is not first and all(
                _exclude(places[piece.key], places[other.key]) for other in together
            ):
                together.append(piece)
        if len(together) > len(largest):
            largest = together
    if len(largest) < 2:
        return []
    group = frozenset[int]().union(*(kinds[piece.key] for piece in largest))
    return [Need(len(largest), tuple(int(j in group) for j in range(len(sheets))))]


def _exclude(one: Mapping[int, Region | None], other: Mapping[int, Region | None]) -> bool:
    """Whether no sheet can give both."""
    return all(overlap(one[kind], other[kind]) != (0, 0) for kind in one.keys() & other.keys())

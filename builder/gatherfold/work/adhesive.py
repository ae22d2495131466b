"""Where adhesive lies on a face, and which faces it meets.

In: an assembly, a face of it, the side with adhesive on it and where that is.  Out: the faces that
lie next to the adhesive, and how much of it each of them meets.
Areas are measured along lines half way between neighbouring corners, so that they are exact where
all edges are upright or level.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

from gatherfold.work.assembly import Adhesive, Assembly, Pair
from gatherfold.work.regions import FaceKey, Interval, Plate, Region
from gatherfold.work.space import Exact


@dataclass(frozen=True)
class Contact:
    """What adhesive meets: areas in square units, by face.

    ``pairs`` says in which pairs of faces: the first is the adhesive's own, or what lies over that
    in its own stack.
    """

    adhesive: Adhesive
    pairs: Mapping[Pair, Exact]

    @cached_property
    def met(self) -> Mapping[FaceKey, Exact]:
        """The faces that it meets."""
        found: dict[FaceKey, Exact] = {}
        for (_, other), area in self.pairs.items():
            found[other] = found.get(other, 0) + area
        return found


@dataclass(frozen=True)
class Demand:
    """Adhesive that has to meet something when folds are closed: one of ``targets``, or anything
    where there are none.  ``joins`` names the piece whose join it is."""

    adhesive: Adhesive
    targets: tuple[FaceKey, ...]
    joins: str

    @property
    def faces(self) -> tuple[FaceKey, ...]:
        """Its own face, and those that it has to meet."""
        return (self.adhesive.face, *self.targets)


def unmet_demands(assembly: Assembly, demands: Sequence[Demand]) -> tuple[Demand, ...]:
    """The adhesive that meets nothing that it should."""
    return tuple(demand for demand in demands if not is_met(assembly, demand))


def is_met(assembly: Assembly, demand: Demand) -> bool:
    """Whether adhesive meets one of its targets, or anything where it has none."""
    if demand.adhesive.face not in assembly.plates:
        return False
    met = contact(assembly, demand.adhesive).met
    return any(key in met for key in demand.targets) if demand.targets else bool(met)


def contact(
    assembly: Assembly,
    adhesive: Adhesive,
    within: Region | None = None,
    own: Collection[FaceKey] = (),
) -> Contact:
    """Find the faces that lie next to adhesive; ``within`` narrows it to a region of the plane.

    ``own`` are faces that are laid down together with the adhesive's: it is then on the outermost
    of them.
    """
    plate = assembly.plates[adhesive.face]
    is_up = adhesive.side == plate.facing
    spread, dry = (_in_space(plate, regions) for regions in (adhesive.spread, adhesive.dry))
    limits = [plate.region, *([within] if within is not None else [])]
    beyond = {
        key: assembly.plates[key].region
        for key in assembly.in_plane(plate.axis, plate.plane)
        if assembly.is_above(adhesive.face, key) is is_up
    }
    pairs: dict[Pair, Exact] = {}
    for low, high in pairwise(_cuts([*spread, *dry, *limits, *beyond.values()], spread)):
        stretch = low, high
        free = _spans(spread, stretch)
        for limit in limits:
            free = _common(free, _spans((limit,), stretch))
        free = _without(free, _spans(dry, stretch))
        if not free:
            continue
        sides = {key: _spans((region,), stretch) for key, region in beyond.items()}
        for pair, length in _nearest(assembly, adhesive.face, free, sides, is_up, own):
            pairs[pair] = pairs.get(pair, 0) + length * (high - low)
    return Contact(adhesive, pairs)


def glued_down(assembly: Assembly) -> frozenset[FaceKey]:
    """The faces that are glued down all over: nothing goes between them and what they lie on."""
    return frozenset(
        bond.first
        for bond in assembly.bonds
        if bond.adhesive is not None and assembly.plates[bond.first].own in bond.adhesive.spread
    )


def _in_space(plate: Plate, regions: Iterable[Region]) -> tuple[Region, ...]:
    return tuple(Region(tuple(plate.ring(ring) for ring in region.rings)) for region in regions)


def _cuts(regions: Sequence[Region], spread: Sequence[Region]) -> list[Exact]:
    low = min((region.bounds.low1 for region in spread), default=0)
    high = max((region.bounds.high1 for region in spread), default=0)
    inner = {
        place
        for region in regions
        for strip in region.strips(1)
        for place in (strip.low, strip.high)
        if low < place < high
    }
    return sorted({low, high, *inner})


def _spans(regions: Iterable[Region], stretch: Interval) -> list[Interval]:
    """What is inside of any of some regions along the line half way between two corners that
    follow each other, joined where it meets."""
    found = sorted(
        ends
        for region in regions
        for strip in region.strips(1)
        if _holds(strip[:2], stretch)
        for ends in strip.halfway(stretch)
    )
    joined: list[Interval] = []
    for near, far in found:
        if joined and near <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(joined[-1][1], far))
        else:
            joined.append((near, far))
    return joined


def _common(first: Sequence[Interval], second: Sequence[Interval]) -> list[Interval]:
    shared = ((max(a, c), min(b, d)) for a, b in first for c, d in second)
    return [(near, far) for near, far in shared if near < far]


def _without(spans: Sequence[Interval], taken: Sequence[Interval]) -> list[Interval]:
    left = list(spans)
    for near, far in taken:
        left = [
            part
            for start, end in left
            for part in ((start, min(end, near)), (max(start, far), end))
            if part[0] < part[1]
        ]
    return left


def _nearest(
    assembly: Assembly,
    face: FaceKey,
    free: Sequence[Interval],
    sides: Mapping[FaceKey, Sequence[Interval]],
    is_up: bool,
    own: Collection[FaceKey],
) -> Iterator[tuple[Pair, Exact]]:
    """Along one line: the lengths at which pairs of faces meet."""
    places = {end for spans in (free, *sides.values()) for span in spans for end in span}
    for near, far in pairwise(sorted(places)):
        part = near, far
        there = [key for key, spans in sides.items() if any(_holds(s, part) for s in spans)]
        over = [key for key in there if key not in own]
        if over and any(_holds(span, part) for span in free):
            outermost = _first(assembly, [face, *(k for k in there if k in own)], not is_up)
            yield (outermost, _first(assembly, over, is_up)), far - near


def _first(assembly: Assembly, faces: Sequence[FaceKey], is_up: bool) -> FaceKey:
    """The nearest of some faces over one place, looking up, or down."""
    return next(
        (key for key in faces if not any(assembly.is_above(k, key) is is_up for k in faces)),
        faces[0],
    )


def _holds(span: Interval, part: Interval) -> bool:
    return span[0] <= part[0] and part[1] <= span[1]

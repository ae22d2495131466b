"""Where adhesive lies on a face, and which faces it meets.

In: an assembly, a face of it, the side with adhesive on it and where that is.  Out: the faces that
lie next to the adhesive, and how much of it each of them meets.
Areas are measured along lines half way between neighbouring corners, so that they are exact where
all edges are upright or level.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from gatherfold.work.assembly import Adhesive, Assembly, Pair
from gatherfold.work.regions import FaceKey, Region
from gatherfold.work.space import Exact


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
    met = {other for _, other in contact(assembly, demand.adhesive)}
    return not met.isdisjoint(demand.targets) if demand.targets else bool(met)


def contact(
    assembly: Assembly,
    adhesive: Adhesive,
    within: Region | None = None,
    own: Collection[FaceKey] = (),
) -> Mapping[Pair, Exact]:
    """Find the pairs of faces that adhesive brings together, and over how many square units: the
    first is its own face, or what lies over that in its own stack.

    ``within`` narrows it to a region of the plane.  ``own`` are faces that are laid down together
    with the adhesive's: it is then on the outermost of them.
    """
    plate = assembly.plates[adhesive.face]
    is_up = adhesive.side == plate.facing
    spread, dry = ([*map(plate.in_space, each)] for each in (adhesive.spread, adhesive.dry))
    limits = [plate.region, *([within] if within is not None else [])]
    beyond = {
        key: assembly.plates[key].region
        for key in assembly.in_plane(plate.axis, plate.plane)
        if assembly.is_above(adhesive.face, key) is is_up
    }
    pairs: dict[Pair, Exact] = {}
    for area, covering in _cells([*spread, *dry, *limits, *beyond.values()], spread):
        is_spread = any(region in covering for region in spread)
        is_free = is_spread and all(limit in covering for limit in limits)
        if not is_free or any(region in covering for region in dry):
            continue
        there = [key for key, region in beyond.items() if region in covering]
        over = [key for key in there if key not in own]
        if over:
            stack = [adhesive.face, *(key for key in there if key in own)]
            pair = _first(assembly, stack, not is_up), _first(assembly, over, is_up)
            pairs[pair] = pairs.get(pair, 0) + area
    return pairs


def glued_down(assembly: Assembly) -> frozenset[FaceKey]:
    """The faces that are glued down all over: nothing goes between them and what they lie on."""
    return frozenset(
        bond.first
        for bond in assembly.bonds
        if bond.adhesive is not None and assembly.plates[bond.first].own in bond.adhesive.spread
    )


def _cells(
    regions: Sequence[Region], spread: Sequence[Region]
) -> Iterator[tuple[Exact, Sequence[Region]]]:
    """The plane as far as adhesive is spread, divided at all corners and sides of some regions: the
    area of each part, and the regions that cover it."""
    least = min((region.bounds.bottom for region in spread), default=0)
    most = max((region.bounds.top for region in spread), default=0)
    ends = {place for region in regions for part in region.trapezoids(1) for place in part[:2]}
    cuts = sorted({least, most, *(place for place in ends if least < place < most)})
    for low, high in pairwise(cuts):
        spans = [(region, region.spans_at(1, Fraction(low + high) / 2)) for region in regions]
        sides = {side for _, found in spans for span in found for side in span}
        for near, far in pairwise(sorted(sides)):
            covering = [
                region
                for region, found in spans
                if any(start <= near and far <= end for start, end in found)
            ]
            yield (far - near) * (high - low), covering


def _first(assembly: Assembly, faces: Sequence[FaceKey], is_up: bool) -> FaceKey:
    """The nearest of some faces over one place, looking up, or down."""
    return next(
        (key for key in faces if not any(assembly.is_above(k, key) is is_up for k in faces)),
        faces[0],
    )

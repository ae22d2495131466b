"""Where adhesive lies on a face, and which faces it meets.

In: an assembly, a face of it, the side with adhesive on it and where that is.  Out: the faces that
lie next to the adhesive, and how much of it each of them meets.
Areas are measured along lines half way between neighbouring corners, so that they are exact where
all edges are upright or level.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from gatherfold.geometry import common
from gatherfold.work.assembly import Adhesive, Assembly, Pair
from gatherfold.work.regions import Bounds, FaceKey, Interval, Region
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
    over = _within_reach(assembly, adhesive.face, is_up, [each.bounds for each in spread], own)
    pairs: dict[Pair, Exact] = {}
    if not over:
        return pairs
    for area, covering in _cells(
        spread, [*dry, *limits, *(assembly.plates[k].region for k in over)]
    ):
        is_dry, is_within = any(covering[: len(dry)]), all(covering[len(dry) : -len(over)])
        there = [
            key for key, is_there in zip(over, covering[-len(over) :], strict=True) if is_there
        ]
        others = [key for key in there if key not in own]
        if others and is_within and not is_dry:
            stack = [adhesive.face, *(key for key in there if key in own)]
            pair = _first(assembly, stack, not is_up), _first(assembly, others, is_up)
            pairs[pair] = pairs.get(pair, 0) + area
    return pairs


def _within_reach(
    assembly: Assembly,
    face: FaceKey,
    is_up: bool,
    spread: Sequence[Bounds],
    own: Collection[FaceKey],
) -> list[FaceKey]:
    """What lies over a face, but for what lies beyond another layer that covers all adhesive."""
    plate = assembly.plates[face]
    beside = assembly.in_plane(plate.axis, plate.plane)
    over = [key for key in beside if assembly.is_above(face, key) is is_up]
    whole = [
        key
        for key in over
        if key not in own
        and (region := assembly.plates[key].region).is_upright_rectangle
        and all(common(region.bounds, each) == each for each in spread)
    ]
    nearest = _first(assembly, whole, is_up) if whole else face
    return [key for key in over if not whole or assembly.is_above(nearest, key) is not is_up]


def glued_down(assembly: Assembly) -> frozenset[FaceKey]:
    """The faces that are glued down all over: nothing goes between them and what they lie on."""
    return frozenset(
        bond.first
        for bond in assembly.bonds
        if bond.adhesive is not None and assembly.plates[bond.first].own in bond.adhesive.spread
    )


def _cells(
    spread: Sequence[Region], others: Sequence[Region]
) -> Iterator[tuple[Exact, list[bool]]]:
    """The plane where adhesive is spread, divided at all corners and sides of some regions: the
    area of each part, and which of the others cover it."""
    regions = [*spread, *others]
    least = min((region.bounds.bottom for region in spread), default=0)
    most = max((region.bounds.top for region in spread), default=0)
    ends = {place for region in regions for part in region.trapezoids(1) for place in part[:2]}
    cuts = sorted({least, most, *(place for place in ends if least < place < most)})
    for low, high in pairwise(cuts):
        spans = [region.spans_between(1, low, high) for region in regions]
        glued, covers = spans[: len(spread)], spans[len(spread) :]
        sides = {side for found in spans for span in found for side in span}
        for near, far in pairwise(sorted(sides)):
            if any(_is_covered(found, near, far) for found in glued):
                covering = [_is_covered(found, near, far) for found in covers]
                yield (far - near) * (high - low), covering


def _is_covered(spans: Sequence[Interval], near: Exact, far: Exact) -> bool:
    return any(start <= near and far <= end for start, end in spans)


def _first(assembly: Assembly, faces: Sequence[FaceKey], is_up: bool) -> FaceKey:
    """The nearest of some faces over one place, looking up, or down."""
    return next(
        (key for key in faces if not any(assembly.is_above(k, key) is is_up for k in faces)),
        faces[0],
    )

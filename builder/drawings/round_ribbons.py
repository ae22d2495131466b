"""Ribbons that go round closed work that stands, under it and over it, and are tied on top.

In: the work and an assembly of it that is closed.  Out: for an oblique picture from
above the ribbon up the near side and over the top, and its bow; for one straight from above or
below, what of it lies there.  The ribbon's width and place are true; the bow is a sign for tying,
not measured.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from builder.drawings.axonometric import PLAN, Point, Projection
from builder.drawings.raised_view import RaisedFace, Ring, Strip
from builder.drawings.sight import Sight
from builder.drawings.stock_tints import SideKey
from builder.drawings.styles import Fill, Line, Tint
from builder.resolve.resolved import ResolvedDesign, ResolvedFastening
from builder.work import Assembly, Work
from builder.work.plates import Plate
from builder.work.space import AXES, as_pose

#: Of the bow, in widths of the ribbon: a loop's length and half its width, its opening as a share
#: of the loop, how far a tail reaches aside and towards the viewer, and half the knot.
_LOOP, _LOOP_HALF, _OPENING, _TAIL_ASIDE, _TAIL_OUT, _KNOT = 1.3, 0.5, 0.5, 0.8, 1.6, 0.3
_STEPS = 12
#: Where across a ribbon it is looked what lies before it.
_SHARES = (0.1, 0.5, 0.9)
#: The axis that what lies flat looks along.
_UPWARD = 2

Fills = Mapping[SideKey, Fill | Tint]


@dataclass(frozen=True)
class _Way:
    """Where a ribbon goes: its middle runs at ``x`` up the near ``sides``, each at its place with
    its lower and upper end, and over the top at ``height`` from the near edge to the far one; the
    bow is at ``knot`` along it."""

    x: float
    sides: tuple[tuple[float, float, float], ...]
    near: float
    far: float
    height: float
    knot: float
    width: float


def goes_round_work(fastening: ResolvedFastening) -> bool:
    """Whether it is a ribbon that is laid round the closed work."""
    return fastening.source.round is not None and fastening.point is not None


def round_ties(resolved: ResolvedDesign) -> tuple[str, ...]:
    """The ribbons that are laid round the closed work, in design order."""
    return tuple(key for key, each in resolved.fastenings.items() if goes_round_work(each))


def round_ribbons(
    work: Work,
    tie: str,
    assembly: Assembly,
    faces: Sequence[RaisedFace],
    projection: Projection,
    fills: Fills,
) -> tuple[Strip, ...]:
    """A ribbon among the ``faces`` of a picture, on the near side and the top of the closed work,
    and its bow.  None where the piece that it goes over is not there or does not lie."""
    way = _way_of(work, tie, assembly, projection)
    if way is None:
        return ()
    fill = fills[work.parts.resolved.fastenings[tie].source.stock or "", "front"]
    sight = Sight(tuple(faces), projection)
    bands = [(sight.first_before(_middles(band)), band) for band in _bands(way)]
    strips: list[tuple[int, tuple[Ring, ...]]] = [
        (at, (tuple(projection(place) for place in band),)) for at, band in bands
    ]
    strips += [(len(faces), rings) for rings in _bow(way, projection)]
    return tuple(Strip(at, rings, fill, Line.FAINT) for at, rings in strips)


def ribbons_in_plan(
    work: Work, assembly: Assembly, from_front: bool, fills: Fills
) -> tuple[Strip, ...]:
    """Every ribbon round the closed work as it is seen from above with its bow, or from below."""
    strips: list[Strip] = []
    resolved = work.parts.resolved
    for tie in round_ties(resolved):
        way = _way_of(work, tie, assembly, PLAN)
        if way is not None:
            level = replace(way, sides=())
            bands = [(tuple(PLAN(place) for place in band),) for band in _bands(level)]
            rings = [*bands, *(_bow(level, PLAN) if from_front else ())]
            fill = fills[resolved.fastenings[tie].source.stock or "", "front"]
            strips += [Strip(len(assembly.plates), each, fill, Line.FAINT) for each in rings]
    return tuple(strips)


def _way_of(work: Work, tie: str, assembly: Assembly, projection: Projection) -> _Way | None:
    resolved = work.parts.resolved
    fastening = resolved.fastenings[tie]
    point = fastening.point
    own = next(
        (
            plate
            for key, plate in assembly.plates.items()
            if key.piece == fastening.source.round and plate.axis == _UPWARD
        ),
        None,
    )
    if own is None or point is None:
        return None
    x, y, z = (float(part) for part in as_pose(own.pose, work.scale).apply(point.x, point.y))
    slabs = [_reach(plate, work.scale) for plate in assembly.plates.values()]
    towards = 1 if projection.viewer[1] > 0 else -1
    ends = sorted(end for slab in slabs for end in slab[1])
    far, near = (ends[0], ends[-1]) if towards > 0 else (ends[-1], ends[0])
    walls = [(y0, *up) for (left, right), (y0, y1), up in slabs if y0 == y1 and left <= x <= right]
    width = float(resolved.stocks[fastening.source.stock or ""].ribbon_width)
    return _Way(x, tuple(_sides(walls, towards)), near, far, z, y, width)


def _reach(plate: Plate, scale: int) -> list[tuple[float, float]]:
    """From where to where a plate reaches along each axis, in mm."""
    return [(float(low / scale), float(high / scale)) for low, high in map(plate.extent, AXES)]


def _sides(
    walls: Sequence[tuple[float, float, float]], towards: int
) -> Iterator[tuple[float, float, float]]:
    """The walls nearest to the viewer, from the lowest height to the highest; those that lie in one
    plane, as a wall and its mat do, are one."""
    heights = sorted({height for _, low, high in walls for height in (low, high)})
    found: list[tuple[float, float, float]] = []
    for low, high in pairwise(heights):
        places = [at for at, bottom, top in walls if bottom <= low and high <= top]
        if not places:
            continue
        at = max(places, key=lambda at: towards * at)
        if found and found[-1][0] == at and found[-1][2] == low:
            _, low, _ = found.pop()
        found.append((at, low, high))
    yield from found


def _bands(way: _Way) -> Iterator[tuple[Point, ...]]:
    """The outline in space of each part of the ribbon that goes on without a break: up a wall, and
    from the uppermost over the top."""
    left, right = way.x - way.width / 2, way.x + way.width / 2
    chains = [[(at, low), (at, high)] for at, low, high in way.sides]
    top = [(way.near, way.height), (way.far, way.height)]
    if chains and chains[-1][-1] == top[0]:
        chains[-1].append(top[1])
    else:
        chains.append(top)
    for chain in chains:
        yield (*((left, y, z) for y, z in chain), *((right, y, z) for y, z in reversed(chain)))


def _middles(band: Sequence[Point]) -> list[Point]:
    """Places on a band, along the lines from one side to the other."""
    lines = zip(band, reversed(band), strict=True)
    return [(a[0] + share * (b[0] - a[0]), a[1], a[2]) for a, b in lines for share in _SHARES]


def _bow(way: _Way, projection: Projection) -> Iterator[tuple[Ring, ...]]:
    """Two tails towards the viewer, two loops across the ribbon, and the knot."""
    towards = 1 if way.near > way.far else -1

    def at(aside: float, out: float) -> tuple[float, float]:
        x, y = way.x + way.width * aside, way.knot + towards * way.width * out
        return projection((x, y, way.height))

    for side in (-1, 1):
        tip = [(-0.35, 0.0), (0.0, -0.3), (0.35, 0.0)]
        ends = [at(side * _TAIL_ASIDE + u, _TAIL_OUT + v) for u, v in tip]
        yield ((at(-0.25, 0.0), at(0.25, 0.0), *reversed(ends)),)
    for side in (-1, 1):
        yield tuple(
            tuple(at(side * along, bulge) for along, bulge in _loop(size))
            for size in (1.0, _OPENING)
        )
    knot = ((-_KNOT, -_KNOT), (_KNOT, -_KNOT), (_KNOT, _KNOT), (-_KNOT, _KNOT))
    yield (tuple(at(u, v) for u, v in knot),)


def _loop(size: float) -> Iterator[tuple[float, float]]:
    """Round a loop and back: how far along it, and how far it bulges."""
    start = 0.0 if size == 1.0 else _LOOP * (1 - size) / 2 + 0.15
    for step in range(2 * _STEPS):
        share = step / _STEPS if step <= _STEPS else 2 - step / _STEPS
        sign = 1 if step < _STEPS else -1
        bulge = sign * _LOOP_HALF * math.sin(math.pi * share**1.3)
        yield start + size * _LOOP * share, size * bulge

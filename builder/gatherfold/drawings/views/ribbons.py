"""Ribbons on closed work: laid round it and tied on top, or held by fastenings and tied at an edge.

In: the work and an assembly of it that is closed.  Out: for a picture the ribbons among its faces,
each with its bow.  Their width and place are true; a bow is a sign for tying, not measured.
"""

import math
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from gatherfold.drawings.kernel.axonometric import Point, Projection
from gatherfold.drawings.kernel.plane import Place, Rect
from gatherfold.drawings.kernel.stock_tints import SideKey
from gatherfold.drawings.kernel.styles import Fill, Line, Tint
from gatherfold.drawings.views.raised_view import LaidStrip, RaisedFace, Ring
from gatherfold.drawings.views.sight import Sight
from gatherfold.resolve import ResolvedDesign, ResolvedFastening
from gatherfold.work import AXES, Assembly, FaceKey, Work, as_pose

#: The axis that what lies flat looks along.
_UPWARD = 2
#: Where across a ribbon, or a face, it is looked what lies before it.
_SHARES = (0.1, 0.3, 0.5, 0.7, 0.9)

Fills = Mapping[SideKey, Fill | Tint]


def goes_round_work(fastening: ResolvedFastening) -> bool:
    """Whether it is a ribbon that is laid round the closed work."""
    return fastening.source.round is not None and fastening.point is not None


def round_ties(resolved: ResolvedDesign) -> tuple[str, ...]:
    """The ribbons that are laid round the closed work, in design order."""
    return tuple(key for key, each in resolved.fastenings.items() if goes_round_work(each))


def ribbons_of(
    work: Work,
    ties: Iterable[str],
    assembly: Assembly,
    faces: Sequence[RaisedFace],
    projection: Projection,
    fills: Fills,
) -> tuple[LaidStrip, ...]:
    """Ribbons tied round the work, or by their ends, among the faces of a picture."""
    resolved, strips = work.parts.resolved, []
    for tie in ties:
        source = resolved.fastenings[tie].source
        stock = resolved.stocks[source.stock or ""]
        width, fill = float(stock.ribbon_width), fills[stock.key, "front"]
        if source.round is not None:
            parts = _round_work(work, tie, assembly, Sight(tuple(faces), projection), width)
        else:
            parts = _tied_at_edge(list(_ends(work, tie, assembly)), faces, projection, width)
        strips += [LaidStrip(after, rings, fill, Line.FAINT) for after, rings in parts]
    return tuple(strips)


#: Rings that are painted when so many faces are.
_Part = tuple[int, tuple[Ring, ...]]


_STEPS = 12
#: A bow of size 1 in widths of its ribbon: the length of a loop, half its height, how far a tail
#: reaches out and along; and of every bow how far a loop leans outwards to its length, half the
#: ends of the tails and the notch in them, and half the knot.
_LOOP, _LOOP_HALF, _TAIL_OUT, _TAIL_ALONG = 4.5, 1.5, 4.5, 2.4
_LEAN, _TAIL_HALF, _NOTCH, _KNOT = 0.2, 0.35, 0.3, 0.35
#: The opening of a loop: where along it it begins, and how large it is.
_OPENING_FROM, _OPENING = 0.35, 0.5
#: The sizes of bows off an edge and on top, where they must not hide what they lie on.
_AT_EDGE, _ON_TOP = 1.0, 0.3
#: How far the knot stands off an edge, in widths of the ribbon.
_OFF_EDGE = 0.6


def _bow(at: Callable[[float, float], Place], size: float) -> Iterator[tuple[Ring, ...]]:
    """Two tails, two loops with their openings, and the knot: ``at`` is the place so far along the
    loops and so far out from the middle of the knot."""
    tip = ((-_TAIL_HALF, 0.0), (0.0, -_NOTCH), (_TAIL_HALF, 0.0))
    root = 2 / 3 * _KNOT
    for way in (-1, 1):
        ends = [at(size * way * _TAIL_ALONG + u, size * _TAIL_OUT + v) for u, v in tip]
        yield ((at(-root, 0.0), at(root, 0.0), *reversed(ends)),)
    for way in (-1, 1):
        loops = _loop(size, 0.0, 1.0), _loop(size, _OPENING_FROM, _OPENING)
        yield tuple(tuple(at(way * u, v) for u, v in loop) for loop in loops)
    yield (tuple(at(u, v) for u, v in Rect(-_KNOT, -_KNOT, _KNOT, _KNOT).ring),)


def _loop(size: float, start: float, part: float) -> Iterator[Place]:
    """Round a loop and back, from a share of it and so large a part of it."""
    for step in range(2 * _STEPS):
        share = 1 - abs(1 - step / _STEPS)
        along = size * _LOOP * (start + part * share)
        bulge = (1 if step < _STEPS else -1) * math.sin(math.pi * share**1.4)
        yield along, _LEAN * along + size * part * _LOOP_HALF * bulge


def _round_work(
    work: Work, tie: str, assembly: Assembly, sight: Sight, width: float
) -> Iterator[_Part]:
    """A ribbon up the near side and over the top of the closed work, and its bow, where the side
    that it is tied on is up.  None where the piece that it goes over is not there or does not lie.
    """
    fastening, projection = work.parts.resolved.fastenings[tie], sight.projection
    plates = assembly.plates
    lying = (key for key in plates if plates[key].axis == _UPWARD)
    own = next((key for key in lying if key.piece == fastening.source.round), None)
    if own is None or fastening.point is None:
        return
    pose = as_pose(plates[own].pose, work.scale)
    x, y, height = (float(part) for part in pose.apply((fastening.point.x, fastening.point.y, 0)))
    reaches = [
        [(float(low / work.scale), float(high / work.scale)) for low, high in map(p.extent, AXES)]
        for p in plates.values()
    ]
    lows, highs = zip(*(up for _, _, up in reaches), strict=True)
    is_up = 2 * height >= min(lows) + max(highs)
    level = height if is_up else max(highs)
    towards = 1 if projection.viewer[1] > 0 else -1
    ends = [end for _, away, _ in reaches for end in away]
    far, near = (pick(ends, key=lambda at: towards * at) for pick in (min, max))
    walls = [
        (y0, *up) for (left, right), (y0, y1), up in reaches if y0 == y1 and left <= x <= right
    ]
    sides = list(_near_sides(walls, towards)) if projection.viewer[1] else []
    for chain in _unbroken(sides, ((near, level), (far, level))):
        left, right = x - width / 2, x + width / 2
        band = [*((left, *at) for at in chain), *((right, *at) for at in reversed(chain))]
        yield sight.first_before(_across(band)), (tuple(map(projection, band)),)

    def at(along: float, out: float) -> Place:
        return projection((x + width * along, y + towards * width * out, height))

    for rings in _bow(at, _ON_TOP) if is_up else ():
        yield len(sight.faces), rings


def _near_sides(
    walls: Sequence[tuple[float, float, float]], towards: int
) -> Iterator[tuple[float, float, float]]:
    """The walls nearest to the viewer, each at its place with its lower and upper end, from the
    lowest height to the highest; those that lie in one plane, as a wall and its mat do, are one."""
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


def _unbroken(
    sides: Sequence[tuple[float, float, float]], top: tuple[Place, Place]
) -> list[list[Place]]:
    """The middle of each part of a ribbon that goes on without a break, across and up: up a wall,
    and from the uppermost over the top."""
    chains = [[(at, low), (at, high)] for at, low, high in sides]
    if chains and chains[-1][-1] == top[0]:
        chains[-1].append(top[1])
    else:
        chains.append([*top])
    return chains


def _across(band: Sequence[Point]) -> list[Point]:
    """Places on a band, along the lines from one side to the other."""
    lines = zip(band, reversed(band), strict=True)
    return [(a[0] + share * (b[0] - a[0]), a[1], a[2]) for a, b in lines for share in _SHARES]


@dataclass(frozen=True)
class _End:
    """Where one end is held: its place, the layer it lies on and that layer's outside (1 for up),
    and the edge it runs off: across ``axis``, to the side of ``sign``, at ``edge``."""

    layer: FaceKey
    place: Point
    outside: int
    axis: int
    sign: int
    edge: float

    @property
    def across(self) -> float:
        return self.place[1 - self.axis]

    def in_space(self, outwards: float, across: float, z: float | None = None) -> Point:
        z = self.place[2] if z is None else z
        return (outwards, across, z) if self.axis == 0 else (across, outwards, z)


def _ends(work: Work, tie: str, assembly: Assembly) -> Iterator[_End]:
    """Where two ends or more are held, of those whose layer lies flat in an assembly."""
    holders = [
        fastening
        for fastening in work.parts.resolved.fastenings.values()
        if fastening.source.holds == tie and work.pierced.get(fastening.key)
    ]
    for fastening in holders if len(holders) > 1 else ():
        first, *others = work.pierced[fastening.key]
        plate = assembly.plates.get(first)
        if plate is None or plate.axis != _UPWARD or fastening.point is None:
            continue
        pose = as_pose(plate.pose, work.scale)
        x, y, z = map(float, pose.apply((fastening.point.x, fastening.point.y, 0)))
        place = x, y, z
        is_covered = any(assembly.is_above(first, other) for other in others)
        number, edge = min(
            enumerate(float(end / work.scale) for end in plate.bounds),
            key=lambda side: abs(place[side[0] % 2] - side[1]),
        )
        outside, sign = -1 if is_covered else 1, 1 if number >= 2 else -1
        yield _End(first, place, outside, number % 2, sign, edge)


def _tied_at_edge(
    ends: Sequence[_End], faces: Sequence[RaisedFace], projection: Projection, width: float
) -> Iterator[_Part]:
    """The ribbons from a little behind their fastenings off the nearer edge, and the bow where all
    run off one side."""
    for end in ends:
        own = [index for index, face in enumerate(faces) if face.key == end.layer]
        if own:
            start, half = end.place[end.axis] - end.sign * width, width / 2
            corners = ((start, -half), (end.edge, -half), (end.edge, half), (start, half))
            ring = tuple(projection(end.in_space(u, end.across + v)) for u, v in corners)
            yield own[-1] + 1 if end.outside > 0 else own[0], (ring,)
    if len({(end.axis, end.sign) for end in ends}) == 1:
        is_near = ends[0].sign * projection.viewer[ends[0].axis] > 0
        for rings in _bow_at_edge(ends, projection, width):
            yield len(faces) if is_near else 0, rings


def _bow_at_edge(
    ends: Sequence[_End], projection: Projection, width: float
) -> Iterator[tuple[Ring, ...]]:
    """From the edges to a knot half way between the ends, and the bow."""
    first = ends[0]
    sign = first.sign
    edge = max((end.edge for end in ends), key=lambda e: sign * e)
    across = sum(end.across for end in ends) / len(ends)
    z = sum(end.place[2] for end in ends) / len(ends)

    def at(along: float, out: float) -> Place:
        outwards = edge + sign * width * (_OFF_EDGE + out)
        return projection(first.in_space(outwards, across + width * along, z))

    for end in ends:
        aside = (end.across - across) / width
        rim = (end.in_space(end.edge, across + width * (aside + v)) for v in (-0.5, 0.5))
        yield ((*(projection(place) for place in rim), at(0.5, 0.0), at(-0.5, 0.0)),)
    yield from _bow(at, _AT_EDGE)


def parted(
    faces: Sequence[RaisedFace], pieces: Collection[str]
) -> tuple[tuple[RaisedFace, ...], tuple[RaisedFace, ...]]:
    """The faces, and apart from them those of ``pieces`` that nothing else lies before: what goes
    round the work when a ribbon is tied already."""
    under: list[RaisedFace] = []
    over: list[RaisedFace] = []
    before: BaseGeometry = Polygon()
    for face in reversed(faces):
        is_other = face.piece.key not in pieces
        if is_other:
            before = before.union(face.shape)
        is_under = is_other or face.shape.intersection(before).area > _TOUCHING
        (under if is_under else over).append(face)
    return tuple(reversed(under)), tuple(reversed(over))


#: What less than this, in square mm, lies before a face only touches it.
_TOUCHING = 0.5

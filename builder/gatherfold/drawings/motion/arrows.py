"""The ways that arrows show, and where it was that moved: what folds, is put on or turns.

In: where faces are before and after a movement.  Out: for each fold the ways in space that its
arrow may take, from where the far edge of what moves lay to where it comes to lie, and the one
along which it is freest: out of sight or over the work it would seem to show something else; and
the outlines of faces in space where they were.
"""

import math
from collections.abc import Collection, Iterator, Mapping, Sequence
from fractions import Fraction
from itertools import groupby, pairwise, product

import numpy as np

from gatherfold.drawings.kernel.axonometric import Point, Projection
from gatherfold.drawings.kernel.plane import Place
from gatherfold.drawings.motion.movements import Move, move_is_to_and_fro
from gatherfold.drawings.views.sight import Sight
from gatherfold.geometry import Exact
from gatherfold.model import is_valley
from gatherfold.work import (
    ACROSS,
    AXES,
    FaceKey,
    Place as SpacePlace,
    Plate,
    SpaceLine,
    Work,
    along,
    as_pose,
    size,
)

Plates = Mapping[FaceKey, Plate]
Way = list[Point]
Ring = tuple[Place, ...]

#: Where along the far edge an arrow may start, as shares of its length: in its middle, beyond
#: either end of it, or between.
_STARTS = tuple(Fraction(step, 100) for step in (50, -4, 104, 25, 75))
#: What it costs an arrow to be out of sight at one of its places, or to lie there over what moved
#: or over something else.
_OUT_OF_SIGHT, _OVER_MOVED, _OVER_OTHER = 3, 3, 1
#: How far beside what is put on its arrows stand, as a share of its size.
_BESIDE = 1 / 16
_ARC_STEPS, _SWING_STEPS = 16, 24
#: The axis that what lies flat looks along.
_UPWARD = 2
#: White between the ends of an arc and the part, as a share of its reach; what may be cut off the
#: arc for it at either end.
_CLEAR, _MOST_TRIMMED = 0.08, 0.2
#: What moves less than this, in mm, lies on the fold.
_STILL = 0.01


def former_outlines(was: Plate, now: Plate, scale: int) -> Iterator[Way]:
    """The outline of a face where it was, without what of it did not move."""
    before, after = (
        [_in_mm(plate.pose.apply((x, y, 0)), scale) for x, y in plate.own.rings[0]]
        for plate in (was, now)
    )
    is_still = [math.dist(*places) < _STILL for places in zip(before, after, strict=True)]
    # From a place that lies still, so that a line is not divided where the ring begins.
    first = is_still.index(True) if any(is_still) else 0
    ring = [*range(first, len(before)), *range(first + 1)]
    for lies, run in groupby(pairwise(ring), lambda ends: is_still[ends[0]] and is_still[ends[1]]):
        if not lies:
            (start, end), *others = run
            yield [before[start], before[end], *(before[last] for _, last in others)]


def fold_ways(move: Move, was: Plates, now: Plates, scale: int) -> list[list[Way]]:
    """For each line that something folds on, in order, the ways from places along the far edge of
    what lies in one plane with the fold: arcs, or straight ones of a strip that is pushed
    together."""
    moved = {key for key in was if key in now and was[key].pose != now[key].pose}
    is_pushed = move_is_to_and_fro(move)
    ways: dict[SpaceLine, list[Way]] = {}
    for turn in move.turns:
        crease = turn.before.creases[turn.fold]
        beside = [key for key in crease.faces if key in moved]
        if len(beside) != 1:
            continue
        (moving,) = beside
        # What opens goes back as it would close.
        is_back = not turn.is_closing and not is_pushed
        first, last = (now, was) if is_back else (was, now)
        line = crease.line(first[moving].pose)
        if line in ways:
            continue
        own = moved & turn.moved if moving in turn.moved else moved
        far, places = _far_edge(first[moving], [first[key] for key in sorted(own)], line)
        after = last[far.key]
        motion = after.pose.then(far.pose.undone())
        ends = [(_in_mm(place, scale), _in_mm(motion.apply(place), scale)) for place in places]
        towards = first[moving].pose.direction((0, 0, 1 if is_valley(crease.sense) else -1))
        found = [[*each] for each in ends] if is_pushed else _arcs(ends, line, towards, far, after)
        if found:
            ways[line] = [way[::-1] for way in found] if is_back else found
    return list(ways.values())


def _far_edge(
    moving: Plate, moved: Sequence[Plate], line: SpaceLine
) -> tuple[Plate, list[SpacePlace]]:
    """Of what lies in one plane with a fold, the face with the edge farthest from that, the longest
    of several, and the places on it where an arrow may start."""
    (across,) = set(AXES) - {moving.axis, line.axis}
    fold = line.at[ACROSS[line.axis].index(across)]

    def reach(plate: Plate) -> tuple[Exact, Exact]:
        low, high = plate.extent(line.axis)
        return max(size(end - fold) for end in plate.extent(across)), high - low

    far = max((plate for plate in moved if plate.axis == moving.axis), key=reach)
    edge = max(far.extent(across), key=lambda end: size(end - fold))
    low, high = far.extent(line.axis)
    ats = {across: edge, moving.axis: far.plane}
    places = [[ats.get(k, low + share * (high - low)) for k in AXES] for share in _STARTS]
    return far, [(x, y, z) for x, y, z in places]


def _arcs(
    ends: Sequence[tuple[Point, Point]],
    line: SpaceLine,
    towards: Point,
    before: Plate,
    after: Plate,
) -> list[Way]:
    """The ways of places on a face that folds about a line, first to the side of ``towards``."""
    is_over = before.axis == after.axis and before.facing != after.facing
    if is_over and after.axis != _UPWARD:
        # Beside a wall that it is folded down against is the outside of the work.
        ends = [each for each, share in zip(ends, _STARTS, strict=True) if 0 < share < 1]
    degrees, about = 180 if is_over else 90, _in_mm(along(line.axis, 1))
    return [swing(start, end, about, degrees, towards) for start, end in ends if start != end]


def clearest(ways: Sequence[Way], sight: Sight, moved: Collection[FaceKey]) -> Ring:
    """What is seen on paper of the way along which least is out of sight or lies over the work,
    the first of equals; ``sight`` shows the work after the motion."""
    best, least = ways[0], math.inf
    for way in ways:
        cost = _cost(way, sight, moved)
        if cost < least:
            best, least = way, cost
        if not least:
            break
    return max(sight.seen_runs(best), key=_length, default=tuple(map(sight.projection, best)))


def _cost(way: Way, sight: Sight, moved: Collection[FaceKey]) -> int:
    """What it costs to take a way; that it ends on something is what it is for."""
    found = 0
    for place in way[1:]:
        if sight.is_hidden(place):
            found += _OUT_OF_SIGHT
        elif place is not way[-1] and sight.is_over(place):
            found += _OVER_MOVED if sight.is_over(place, moved) else _OVER_OTHER
    return found


def _length(run: Ring) -> float:
    return sum(math.dist(a, b) for a, b in pairwise(run))


def swing(start: Point, end: Point, along: Point, degrees: int, towards: Point) -> list[Point]:
    """The way of a point of a part that folds, from ``start`` to ``end``.

    It is an arc of ``degrees`` about an axis parallel to ``along`` that sets out to the side of
    ``towards``.  For a fold of several creases it is the arc that joins both ends, not the exact
    way.
    """
    first, chord = np.array(start), np.subtract(end, start)
    lift = 0.5 / math.tan(math.radians(degrees) / 2) if degrees < 180 else 0.0
    way = np.array(along) / np.linalg.norm(along)
    turns = []
    for axis in (way, -way):
        centre = first + chord / 2 + lift * np.cross(axis, chord)
        turns.append((centre, first - centre, np.cross(axis, first - centre)))
    # A quarter turn the other way round sets out at a right angle, which is not quite 0.
    centre, radius, across = max(turns, key=lambda turn: float(np.dot(turn[2], towards)))
    angles = np.radians(degrees) * np.arange(_SWING_STEPS + 1) / _SWING_STEPS
    places = centre + np.outer(np.cos(angles), radius) + np.outer(np.sin(angles), across)
    return [(x, y, z) for x, y, z in places.tolist()]


def _in_mm(place: SpacePlace, scale: int = 1) -> Point:
    x, y, z = (float(at / scale) for at in place)
    return x, y, z


def straight_ways(
    placed: Sequence[Plate], out: SpacePlace, scale: int, projection: Projection
) -> tuple[Ring, ...]:
    """The straight ways on the plane of projection of what is put on: ``placed`` is how it lies
    then, ``out`` is how it came off.

    What is lowered has one on either side of it, what is slid one from the middle of its rear edge.
    """
    reaches = np.array([[each.extent(k) for k in AXES] for each in placed], dtype=float) / scale
    low, high, away = reaches[..., 0].min(0), reaches[..., 1].max(0), np.array(_in_mm(out, scale))
    middle = (low + high) / 2
    if not out[2]:
        rear = np.where(away > 0, high, np.where(away < 0, low, middle))
        rear[2] = high[2]
        return ((projection(rear + away), projection(rear)),)
    beside = _BESIDE * max(high - low)
    dx, dy = projection(away)
    sides = ((low[k] - beside, high[k] + beside) for k in (0, 1))
    corners = [projection((x, y, middle[2])) for x, y in product(*sides)]
    outer = [pick(corners, key=lambda at: at[0] * dy - at[1] * dx) for pick in (min, max)]
    return tuple(((x + dx, y + dy), (x, y)) for x, y in outer)


def swing_way(
    work: Work, move: Move, was: Plates, now: Plates
) -> tuple[Way, tuple[Point, ...]] | None:
    """Of a part that turned on a fastening the way of its far end, from beside where it was to
    beside where it is, and its corners in both places."""
    if move.swing is None:
        return None
    key = work.pierced[move.swing.fastening][0]
    before, after = was[key], now[key]
    point = work.parts.resolved.fastenings[move.swing.fastening].point
    if before.pose.rotation == after.pose.rotation or point is None:
        return None
    corners = tuple(
        _in_mm(plate.pose.apply((x, y, 0)), work.scale)
        for plate in (before, after)
        for x, y in plate.own.bounds.ring
    )
    box = work.parts.resolved.pieces[key.piece].face(key.face).box
    pin = point.x, point.y
    middles = [(box.left, pin[1]), (box.right, pin[1]), (pin[0], box.bottom), (pin[0], box.top)]
    end = max(middles, key=lambda place: math.dist(place, pin))
    poses = [as_pose(plate.pose, work.scale) for plate in (before, after)]
    ends = [_in_mm(pose.apply((*end, 0))) for pose in poses]
    clear = float(min(box.width, box.height)) / 2
    return _arc(_in_mm(poses[0].apply((*pin, 0))), ends, clear), corners


def _arc(pin: Point, ends: Sequence[Point], clear: float) -> Way:
    """The way round a fastening, kept clear of the part itself at both ends."""
    (x, y), (low, high) = pin[:2], (end[2] for end in ends)
    first, last = (math.atan2(end[1] - y, end[0] - x) for end in ends)
    reach = math.dist(ends[0][:2], (x, y))
    sweep = (last - first) % math.tau
    if sweep > math.pi + 0.01:
        sweep -= math.tau
    trimmed = min((clear / reach + _CLEAR) / abs(sweep), _MOST_TRIMMED)
    shares = np.linspace(trimmed, 1 - trimmed, _ARC_STEPS + 1)
    angles = first + sweep * shares
    places = x + reach * np.cos(angles), y + reach * np.sin(angles), low + (high - low) * shares
    return [(a, b, c) for a, b, c in np.transpose(places).tolist()]

"""The finished work: what comes off it and goes round it, and how it lies.

In: a work.  Out: the work as it lies open, without what only shuts it; what is put on without glue
and goes round the rest; where a part on a fastening may lie when what it holds has closed; the
motion that lays the work down as a maker would, and its extent in mm.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from gatherfold.geometry import Box, Point
from gatherfold.work.assembly import Assembly
from gatherfold.work.closing import Turn
from gatherfold.work.layers import seen_box
from gatherfold.work.moments import Moment, Placing, Tie, Work
from gatherfold.work.piercing import faces_of, setting_of
from gatherfold.work.putting import Way
from gatherfold.work.regions import FaceKey, extent
from gatherfold.work.space import ACROSS, AT_REST, AXES, Rigid, SpaceLine, quarter_turn
from gatherfold.work.turning import Swing, quarters
from gatherfold.work.visible import Look, is_nearer

#: What is less thick than this share of its shorter side is flat work, and does not stand on edge.
FLAT = Fraction(1, 4)
_UPRIGHT = 2


# ---- what comes off


def wrapped_round(moments: Iterable[Moment], closed: Assembly) -> frozenset[str]:
    """The pieces that come off the closed work again because they were only laid there, and folded
    round it: a band with all that is glued to it, but no lid and nothing that is slid in."""
    loose: set[str] = set()
    found: set[str] = set()
    for moment in moments:
        match moment.motion:
            case Placing(piece=piece, is_glued=False):
                loose.add(piece)
            case Turn(fold=fold) if fold.piece in loose and fold.piece not in found:
                found |= _coming_off(closed, fold.piece)
            case _:
                pass
    return frozenset(found)


def _coming_off(closed: Assembly, piece: str) -> frozenset[str]:
    """A piece with all that is joined to it; nothing where that is the work itself."""
    block = closed.block_of(piece)
    return frozenset() if closed.base in block else frozenset(key.piece for key in block)


def goes_inside(placing: Placing, may_touch: bool = False) -> bool:
    """Whether something that is lowered goes into what is there, and not over it; as wide as that,
    it does neither, unless it ``may_touch``."""
    after, before = placing.put.after.plates, placing.before.plates
    own = extent(plate for key, plate in after.items() if key not in before)
    rest = extent(before.values())
    return all(
        (first <= low and high <= last) if may_touch else (first < low and high < last)
        for (low, high), (first, last), along in zip(own, rest, placing.put.out, strict=True)
        if not along
    )


def lying_open(work: Work) -> Assembly:
    """Find the work as it lies open: as it was before what shuts it at last, folds that open again,
    lids, and what is wrapped round it."""
    moments, at_rest, closed = work.moments, work.opened, work.closed
    off = wrapped_round(moments, closed).union(
        *(
            _coming_off(closed, motion.piece)
            for motion in (moment.motion for moment in moments)
            if isinstance(motion, Placing) and _is_lid(motion)
        )
    )
    there = [(moment.assembly, *moment.others) for moment in moments]
    last = len(moments) - 1
    number = max((n for n, each in enumerate(there) if at_rest in each), default=last)
    while number >= 0 and _only_shuts(moments[number], off, closed):
        number -= 1
    then = there[number] if number >= 0 else ()
    found = next((each for each in then if closed.base in each.plates), at_rest)
    # What is put on only when all is closed may be the base: it is not there while that is open.
    is_all_there = set(closed.pieces) - off <= set(found.pieces)
    return found if is_all_there else max(found, at_rest, key=lambda each: len(each.pieces))


def is_lowered_into(placing: Placing) -> bool:
    """Whether something is lowered, without glue, between what stands there or against it."""
    return _is_lowered(placing) and goes_inside(placing, may_touch=True)


def _is_lid(placing: Placing) -> bool:
    return _is_lowered(placing) and not goes_inside(placing)


def _is_lowered(placing: Placing) -> bool:
    return placing.put.way is Way.LOWERED and not placing.is_glued


def _only_shuts(moment: Moment, off: frozenset[str], closed: Assembly) -> bool:
    """Whether a moment only closes what opens again, or makes or puts on what comes off."""
    match moment.motion:
        case Turn() as turn:
            is_open = turn.fold in closed.creases and not closed.is_locked(turn.fold)
            return turn.fold.piece in off or (turn.is_closing and is_open)
        case Placing() as placing:
            return placing.piece in off or placing.host.piece in off
        case Tie():
            return True
        case Swing():
            return False
        case None:
            ends = {face.piece for bond in moment.bonds for face in bond.faces}
            return bool(ends) and ends <= off


# ---- what goes round it, without glue


def wraps(work: Work) -> Iterator[tuple[str, frozenset[str]]]:
    """Pieces laid on without glue whose standing faces reach past what they lie on, when all is
    closed, and what that was joined to when they came."""
    for moment in work.moments:
        placing = moment.motion
        if not isinstance(placing, Placing) or placing.is_glued:
            continue
        if _reaches_round(work.closed, placing.piece, placing.host):
            yield placing.piece, frozenset(placing.before.pieces)


def _reaches_round(closed: Assembly, piece: str, host: FaceKey) -> bool:
    rests = (bond for bond in closed.bonds if bond.kind == "rest" and bond.joins == piece)
    by = next((bond.first for bond in rests if bond.second == host), None)
    folds = [crease for fold, crease in closed.creases.items() if fold.piece == piece]
    if by is None or any(closed.angle(crease.key) != crease.closed for crease in folds):
        return False
    own = closed.plates[by]
    extents = [
        plate.extent(own.axis)
        for key, plate in closed.plates.items()
        if key.piece == piece and plate.axis != own.axis
    ]
    if is_nearer(closed, by, host, Look(own.axis, 1)):
        return any(high > own.plane for _, high in extents)
    below = is_nearer(closed, by, host, Look(own.axis, -1))
    return below and any(low < own.plane for low, _ in extents)


# ---- how it lies


def laying_down(assembly: Assembly) -> Rigid:
    """The motion that lays flat work down which stands on edge: what was on the left of its base
    comes up, or else what was at the top.

    A book whose spine was at rest comes to lie on its back cover.  Anything else stays as it is.
    """
    sizes = [high - low for low, high in extent(assembly.plates.values())]
    thin = min(AXES, key=lambda axis: (sizes[axis], axis != _UPRIGHT))
    if thin == _UPRIGHT or sizes[thin] >= FLAT * min(sizes[k] for k in AXES if k != thin):
        return AT_REST
    across = SpaceLine(1, (0, 0)) if thin == 0 else SpaceLine(0, (0, 0))
    return quarter_turn(across, 1)


def lying(assembly: Assembly) -> Assembly:
    """An assembly as it lies on the table."""
    motion = laying_down(assembly)
    return assembly if motion == AT_REST else assembly.all_moved(motion)


def lowest_face(assembly: Assembly) -> FaceKey:
    """The largest of the faces that lie lowest: what the work rests on."""
    flat = [plate for plate in assembly.plates.values() if plate.axis == _UPRIGHT]
    low = min(plate.plane for plate in flat)
    lowest = (plate for plate in flat if plate.plane == low)
    return max(lowest, key=lambda plate: plate.bounds.area).key


def finished_size(work: Work) -> tuple[Fraction, Fraction, Fraction] | None:
    """Width, height and depth of the closed work as it lies, in mm, without what is wrapped round
    it; None where nothing is placed.

    Faces are planes here: the thickness of card is not counted.
    """
    off = wrapped_round(work.moments, work.closed)
    plates = {key: plate for key, plate in work.closed.plates.items() if key.piece not in off}
    rest = replace(work.closed, plates=plates)
    if not rest.plates:
        return None
    width, height, depth = (
        Fraction(high - low) / work.scale for low, high in extent(lying(rest).plates.values())
    )
    return width, height, depth


@dataclass(frozen=True)
class Swings:
    """A part as it was set, carried along by what it turns on, in mm.

    ``turns`` are its boxes as it is turned by quarters about ``centre``; ``before`` are those of
    what lies flat over its own level, by piece.
    """

    centre: Point
    turns: tuple[Box, ...]
    before: Mapping[str, list[Box]]


def swings_of(work: Work, fastening: str) -> Swings | None:
    """Find where a part may be turned to; None where it does not lie on what it turns on."""
    own, setting = work.parts.resolved.fastenings[fastening], setting_of(work, fastening)
    faces = faces_of(work, setting, fastening)
    if len(faces) < 2 or own.point is None:
        return None
    face, anchor = faces[:2]
    then = _when_held(work, own.source.holds or "", anchor)
    if not {face, anchor} <= setting.plates.keys() & then.plates.keys():
        return None
    carried = then.plates[anchor].pose.then(setting.plates[anchor].pose.undone())
    plate = setting.plates[face].moved(carried)
    point = plate.place_of(own.point, work.scale)
    x, y = (Fraction(point[axis]) / work.scale for axis in ACROSS[plate.axis])
    # Seen from what it turns on: on its front, unless it is known to lie on its back.
    is_on_front = setting.side_of(anchor, face) != -1
    is_up = is_on_front == (then.plates[anchor].facing > 0)
    turned = (plate.moved(motion) for motion in quarters(work.scale, plate, own))
    turns = tuple(seen_box(each, work.scale) for each in turned)
    return Swings(Point(x, y), turns, _before(then, anchor, is_up, work.scale))


def _when_held(work: Work, held: str, anchor: FaceKey) -> Assembly:
    """The work just after what is held has closed over what the part turns on."""
    for motion in reversed(work.closing):
        if not isinstance(motion, Turn) or anchor in motion.moved:
            continue
        if any(key.piece == held for key in motion.moved):
            return motion.after
    return work.closed


def _before(then: Assembly, anchor: FaceKey, is_up: bool, scale: int) -> dict[str, list[Box]]:
    """What lies flat over the level of a part, away from what it turns on."""
    found: dict[str, list[Box]] = {}
    own = then.plates[anchor]
    for key, plate in then.plates.items():
        height = plate.plane - own.plane if is_up else own.plane - plate.plane
        is_over = height > 0 or (height == 0 and then.is_above(anchor, key) is is_up)
        if plate.axis == own.axis and is_over:
            found.setdefault(key.piece, []).append(seen_box(plate, scale))
    return found

"""Layers worked out with lists alone, as one writes them down while laying papers on one another.

In: the moments of a work.  Out: for every plane of every moment the faces in it, from its negative
to its positive end, or nothing where a list cannot tell.

A plane has one list.  What is laid down goes to the end of the list on its side; what is slid in
goes beside its host; what is folded over goes to the end from which it comes, in its own order.  A
list that is turned over is read backwards.  No pair of faces is asked for, and no overlap.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from gatherfold.model.choices import Relation
from gatherfold.work.assembly import Assembly
from gatherfold.work.closing import Turn
from gatherfold.work.moments import Moment, Motion, Placing, Tie, Work
from gatherfold.work.putting import Way
from gatherfold.work.regions import FaceKey, Plate
from gatherfold.work.space import ACROSS, AT_REST, Exact, SpaceAxis
from gatherfold.work.turning import Quarter, Swing

PlaneKey = tuple[SpaceAxis, Exact]
#: A list of faces in one plane; None where it is not known in which order they lie.
Layers = list[FaceKey] | None
Lists = dict[PlaneKey, Layers]
#: How each piece lies on its host.
Relations = Mapping[str, Relation]


@dataclass(frozen=True, eq=False)
class Listed:
    """An assembly at a moment, with the lists of its planes."""

    moment: Moment
    lists: Lists


def listed(work: Work) -> Iterator[Listed]:
    """The lists of the assembly worked on, moment by moment."""
    known: dict[frozenset[FaceKey], tuple[Assembly, Lists]] = {}
    relations = {
        key: part.piece.source.placement.relation
        for key, part in work.parts.pieces.items()
        if part.piece.source.placement is not None
    }
    for moment in work.moments:
        after = moment.assembly
        before, own = _gathered(known, after)
        lists = _with_motion(moment.motion, own, before, after, relations)
        known[frozenset(after.plates)] = after, lists
        yield Listed(moment, lists)


def _gathered(
    known: dict[frozenset[FaceKey], tuple[Assembly, Lists]], after: Assembly
) -> tuple[list[Assembly], list[Lists]]:
    """What was known of the assemblies that an assembly consists of, largest first."""
    left = set(after.plates)
    found: list[tuple[Assembly, Lists]] = []
    for keys in sorted(known, key=len, reverse=True):
        if keys <= left:
            found.append(known[keys])
            left -= keys
    for piece in dict.fromkeys(key.piece for key in after.plates if key in left):
        # A piece alone lies flat: nothing of it lies over another part of it.
        faces = [key for key in after.plates if key.piece == piece]
        plates = {key: Plate(key, after.plates[key].own, AT_REST) for key in faces}
        found.append((Assembly(faces[0], plates, {}), {(2, 0): faces}))
    return [each for each, _ in found], [lists for _, lists in found]


def _with_motion(
    motion: Motion | None,
    lists: list[Lists],
    before: list[Assembly],
    after: Assembly,
    relations: Relations,
) -> Lists:
    match motion:
        case Placing():
            return _placed(motion, lists, before, after, relations)
        case Turn():
            now, own = motion.before, _carried(lists[0], before[0], motion.before)
            for quarter in motion.quarters:
                own = _turned(own, now, quarter)
                now = quarter.after
            return own
        case Swing():
            return _without(_carried(lists[0], before[0], after), motion.moved, after)
        case Tie() | None:
            if len(lists) != 1:
                return dict.fromkeys(after.planes)
            return _carried(lists[0], before[0], after)


def _carried(lists: Lists, old: Assembly, new: Assembly) -> Lists:
    """Lists where an assembly has been moved as a whole, or parts of it unseen: then unknown."""
    found: Lists = {}
    for plane, faces in lists.items():
        if faces is None:
            for key in old.planes[plane]:
                found[_plane_of(new, key)] = None
            continue
        where = {_plane_of(new, key) for key in faces}
        turns = {new.plates[key].facing * old.plates[key].facing for key in faces}
        if len(where) == 1 and len(turns) == 1:
            (place,) = where
            found[place] = faces if turns == {1} else faces[::-1]
        else:
            found.update((place, None) for place in where)
    return found


def _plane_of(assembly: Assembly, key: FaceKey) -> PlaneKey:
    plate = assembly.plates[key]
    return plate.axis, plate.plane


def _placed(
    motion: Placing,
    lists: list[Lists],
    before: list[Assembly],
    after: Assembly,
    relations: Relations,
) -> Lists:
    if len(lists) != 2:
        return dict.fromkeys(after.planes)
    base = 0 if motion.host in before[0].plates else 1
    found = _carried(lists[base], before[base], after)
    new = _carried(lists[1 - base], before[1 - base], after)
    host = after.plates[motion.host]
    relation = relations[motion.piece]
    is_up = (relation == "on") == (host.facing > 0)
    for plane, faces in new.items():
        there = found.get(plane, [])
        if faces is None or there is None:
            found[plane] = None
        elif not there or plane[0] != host.axis:
            # Of two that stand against one another a list of what is laid down tells nothing.
            found[plane] = faces if not there else None
        elif motion.put.way is Way.SLID:
            glued = set() if relation == "inside" else _glued_on(motion)
            found[plane] = _slid(there, faces, motion.host, is_up, glued)
        else:
            found[plane] = [*there, *faces] if is_up else [*faces, *there]
    return found


def _glued_on(motion: Placing) -> set[FaceKey]:
    """The papers that have been glued on a host."""
    return {
        bond.first
        for bond in motion.before.bonds
        if bond.kind == "glue"
        and bond.second == motion.host
        and bond.first.piece != motion.host.piece
    }


def _slid(
    there: list[FaceKey], faces: list[FaceKey], host: FaceKey, is_up: bool, glued: set[FaceKey]
) -> Layers:
    """What is slid in lies next to its host; on what is glued on that, if it is in no pocket."""
    if host not in there:
        return None
    upwards = there if is_up else there[::-1]
    at = max(index for index, key in enumerate(upwards) if key == host or key in glued) + 1
    merged = [*upwards[:at], *(faces if is_up else faces[::-1]), *upwards[at:]]
    return merged if is_up else merged[::-1]


def _turned(lists: Lists, before: Assembly, quarter: Quarter) -> Lists:
    """The lists after a quarter turn: those that move are laid on those that stay."""
    found: Lists = {}
    moving: list[tuple[PlaneKey, Layers]] = []
    for plane, faces in lists.items():
        keys = list(before.planes[plane])
        gone = [key for key in keys if key in quarter.moved]
        stay = [key for key in keys if key not in quarter.moved]
        if stay:
            found[plane] = None if faces is None else [key for key in faces if key in stay]
        if gone:
            place = _plane_of(quarter.after, gone[0])
            own = None if faces is None else [key for key in faces if key in gone]
            turned = quarter.after.plates[gone[0]].facing != before.plates[gone[0]].facing
            moving.append((place, own[::-1] if own and turned else own))
    for place, faces in moving:
        there = found.get(place, [])
        way = _comes_from(quarter, faces or [])
        if faces is None or there is None or (there and not way):
            found[place] = None
        else:
            found[place] = [*there, *faces] if way > 0 else [*faces, *there]
    return found


def _comes_from(quarter: Quarter, faces: Iterable[FaceKey]) -> int:
    """From which end of their axis faces arrive that all lie on one side of the line; else 0.

    A point at (u, v) from the line goes, by the right-hand rule, along (−v, u).
    """
    found: set[int] = set()
    first, second = ACROSS[quarter.line.axis]
    for key in faces:
        plate = quarter.after.plates[key]
        if plate.axis == quarter.line.axis:
            return 0
        along = second if plate.axis == first else first
        start = quarter.line.at[0 if along == first else 1]
        low, high = (end - start for end in plate.extent(along))
        if low < 0 < high:
            return 0
        out = 1 if low >= 0 else -1
        going = out if plate.axis == second else -out
        # It comes from where it is going away from.
        found.add(-going * quarter.sense)
    return found.pop() if len(found) == 1 else 0


def _without(lists: Lists, moved: frozenset[FaceKey], after: Assembly) -> Lists:
    """A part that turns on a fastening: the planes that it leaves and comes to are not known."""
    touched = {_plane_of(after, key) for key in moved}
    return {
        plane: None if plane in touched or faces is None or moved & set(faces) else faces
        for plane, faces in {**dict.fromkeys(after.planes), **lists}.items()
        if plane in after.planes
    }

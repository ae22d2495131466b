"""The motions of a work done again with other sizes: what lies over what stays as it was found.

In: a work and another resolved edition of the same design.  Out: the same moments with every face
where it then lies.  No way is tested and no order is searched: a size that is chosen is played.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from gatherfold.resolve import ResolvedDesign
from gatherfold.work.assembly import Assembly, Crease, FoldKey
from gatherfold.work.closing import Turn
from gatherfold.work.moments import Motion, Placing, Tie, Work
from gatherfold.work.parts import Parts, parts_of
from gatherfold.work.regions import FaceKey, Plate
from gatherfold.work.space import Rigid, SpaceLine, quarter_turn
from gatherfold.work.turning import Swing


def replayed(work: Work, resolved: ResolvedDesign) -> Work:
    """Do the motions of a work again with the sizes of another edition."""
    return _Replay(work, parts_of(resolved)).work()


class _Replay:
    """Where every face lies now."""

    def __init__(self, work: Work, parts: Parts) -> None:
        self._work, self._parts = work, parts
        self._plates: dict[FaceKey, Plate] = {}
        self._creases: dict[FoldKey, Crease] = {}
        for part in parts.pieces.values():
            loose = part.loose()
            self._plates.update(loose.plates)
            self._creases.update(loose.creases)

    def work(self) -> Work:
        """The whole work again: only its states at rest and closed have new places."""
        closing = self._work.closing
        motions = [moment.motion for moment in self._work.moments if moment.motion is not None]
        noted = {id(motion) for motion in motions}
        opened = None
        for motion in (*motions, *(each for each in closing if id(each) not in noted)):
            # It is open until the first motion that closes it for the last time.
            if closing and motion is closing[0]:
                opened = self._again(self._work.opened)
            self._do(motion)
        opened = opened or self._again(self._work.opened)
        closed = self._again(self._work.closed)
        return replace(self._work, parts=self._parts, opened=opened, closed=closed)

    def _again(self, assembly: Assembly) -> Assembly:
        """An assembly as it was, every face where it lies now."""
        plates: Mapping[FaceKey, Plate] = {key: self._plates[key] for key in assembly.plates}
        creases = {key: self._creases[key] for key in assembly.creases}
        return replace(assembly, plates=plates, creases=creases)

    def _do(self, motion: Motion) -> None:
        match motion:
            case Turn():
                for quarter in motion.quarters:
                    line = self._line(motion.fold, quarter.moved)
                    self._move(quarter.moved, quarter_turn(line, quarter.sense))
            case Placing():
                self._place(motion)
            case Swing():
                self._swing(motion)
            case Tie():
                pass

    def _move(self, faces: frozenset[FaceKey], motion: Rigid) -> None:
        for key in faces:
            self._plates[key] = self._plates[key].moved(motion)

    def _line(self, fold: FoldKey, moved: frozenset[FaceKey]) -> SpaceLine:
        """Where a fold lies, by the face beside it that stays."""
        crease = self._creases[fold]
        rest = crease.hanging if crease.staying in moved else crease.staying
        return crease.line(self._plates[rest].pose)

    def _place(self, placing: Placing) -> None:
        motion = self._parts.motion_to_host(placing.piece, self._plates)
        new = placing.put.after.plates.keys() - placing.before.plates.keys()
        self._move(frozenset(new), motion)

    def _swing(self, swing: Swing) -> None:
        """Turn a part by as much as before, about its point, to the plane of what it lay on."""
        own = next(iter(swing.moved))
        before, after = swing.before.plates[own].pose, swing.after.plates[own].pose
        turn = after.then(before.undone())
        # Its place in its own plane hardly matters here: what it lies over is known.
        plane = next(
            (
                self._plates[key].plane
                for key, plate in swing.after.plates.items()
                if key not in swing.moved and plate.shares_plane(swing.after.plates[own])
            ),
            self._plates[own].plane,
        )
        now = self._plates[own]
        turned = Rigid(turn.rotation, (0, 0, 0)).then(now.pose)
        shift = list(now.pose.shift)
        shift[now.axis] = plane
        target = Rigid(turned.rotation, (shift[0], shift[1], shift[2]))
        self._move(swing.moved, target.then(now.pose.undone()))

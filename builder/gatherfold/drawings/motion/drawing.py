"""Movements as pictures, one after the other: what is there after each, and where it was before.

In: the sequence of a step or of the closing, the room on paper.  Out: a scene of small multiples in
isometric projection.  What is drawn is the work after each movement, nothing else, turned so that
what moves is seen to go, and lying as it will lie when all is done.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import cached_property, lru_cache

from gatherfold.drawings.kernel.axonometric import ISOMETRIC
from gatherfold.drawings.kernel.scene import Scene, Sized
from gatherfold.drawings.kernel.stock_tints import drawing_tints
from gatherfold.drawings.motion.arrows import (
    Plates,
    clearest,
    fold_ways,
    former_outlines,
    straight_ways,
    swing_way,
)
from gatherfold.drawings.motion.cropping import broken_off, shown_part
from gatherfold.drawings.motion.frames import Detail, MotionFrame, frames_drawn, size_of_frames
from gatherfold.drawings.motion.movements import Move, Movements
from gatherfold.drawings.motion.words import caption_of, equivalent_of, start_words, title_of
from gatherfold.drawings.views.detail_circles import circle_round
from gatherfold.drawings.views.raised_view import (
    LaidStrip,
    RaisedFace,
    raised_work,
    shown_parts,
    visible_faces,
)
from gatherfold.drawings.views.ribbons import parted, ribbons_of
from gatherfold.drawings.views.sight import Sight
from gatherfold.geometry import holds
from gatherfold.resolve import ResolvedDesign
from gatherfold.work import (
    AT_REST,
    TURNED_OVER,
    Assembly,
    Bounds,
    FaceKey,
    Look,
    Place as SpacePlace,
    Plate,
    Rigid,
    Tie,
    Work,
    is_seen,
    laying_down,
    lowest_face,
    shifted_by,
    visible_parts,
    work_of,
)

#: So many sequences are remembered as they are drawn: all of a design's.
_REMEMBERED = 64
#: How far the circle round a part that turns reaches beyond it, as a share of its radius.
_ROUND_A_TURN = 0.05
#: How far something is shown off its place, as a share of what brings it just clear.
_CLEAR = Fraction(5, 4)
#: Views that show so nearly as much as the best are as good: the first of them is taken.
_NEARLY = 0.8
#: The axis that what lies flat looks along.
_UPWARD = 2
#: Turned half round on the table.
_HALF_ROUND = Rigid(((-1, 0, 0), (0, -1, 0), (0, 0, 1)), (0, 0, 0))


def motion_scene(sequence: Movements, max_width: float, max_height: float) -> Scene:
    """A sequence as small multiples, within ``max_width`` x ``max_height`` mm."""
    canvas = frames_drawn(sequence.resolved, motion_frames(sequence), max_width, max_height)
    return canvas.scene(sequence.key, title_of(sequence), motion_equivalent(sequence))


def expected_motion(sequence: Movements, max_width: float, max_height: float) -> Sized:
    """About how large the scene comes out."""
    return size_of_frames(motion_frames(sequence), max_width, max_height)


def motion_equivalent(sequence: Movements) -> str:
    """A sequence in words."""
    return equivalent_of(sequence.resolved, motion_frames(sequence))


@lru_cache(maxsize=_REMEMBERED)
def motion_frames(sequence: Movements) -> tuple[MotionFrame, ...]:
    """The pictures of a sequence: before it, where that says more, and after each movement; the
    room that they get on paper changes nothing of them."""
    resolved, found = sequence.resolved, []
    for run in sequence.runs:
        view, glued = _view_of(resolved, run), _glued_all_over(work_of(resolved), run)
        # Of one assembly after another each is named.
        turned = dict.fromkeys(t.fold.piece for t in (*run[0].turns, *run[0].alike))
        names = turned if len(sequence.runs) > 1 else ()
        frames = [view.start(run[0], names)] if _has_start(run[0]) else []
        frames += map(view.moved, run)
        found += [replace(each, glued=glued) for each in frames]
    return tuple(found)


def _has_start(move: Move) -> bool:
    """Whether it has to be seen how the work is before a movement: what is put on is seen off its
    place in the picture itself."""
    return move.placing is None and not move.tie


def _glued_all_over(work: Work, run: Sequence[Move]) -> frozenset[tuple[FaceKey, bool]]:
    """The sides, True for the front, of what a run of movements glues all over."""
    spreads = [bond.adhesive for move in run for bond in move.glued if bond.adhesive is not None]
    regions = {key: work.parts.pieces[key.piece].regions[key] for key in {s.face for s in spreads}}
    return frozenset(
        (each.face, each.side > 0) for each in spreads if each.spread == (regions[each.face],)
    )


def _view_of(resolved: ResolvedDesign, run: Sequence[Move]) -> _MotionView:
    """How a run of movements is seen: turned over, or half round on the table, where clearly more
    of what moves shows then.

    Most of the work lies as it lies when it is closed; a part of it on its own base.
    """
    first, whole = run[0].before, set(work_of(resolved).closed.pieces)
    view = _MotionView(resolved, first.base, first.plates[first.base].pose)
    for move in run:
        down = laying_down(move.after)
        there = set(move.after.pieces) & whole
        if down != AT_REST and 2 * len(there) > len(whole):
            lying = move.after.all_moved(down)
            face = lowest_face(lying)
            if face in first.plates:
                view = _MotionView(resolved, face, lying.plates[face].pose)
            break
    over = replace(view, place=TURNED_OVER.then(view.place), is_turned=True)
    round_about = (replace(each, place=_HALF_ROUND.then(each.place)) for each in (view, over))
    views, shown = (view, over, *round_about), []
    for each in views:
        shown.append(sum(each.shows(move) for move in run))
        # No other can show clearly more than all.
        if shown[-1] >= _NEARLY * len(run):
            break
    return next(v for v, share in zip(views, shown, strict=False) if share >= _NEARLY * max(shown))


@dataclass(frozen=True, eq=False)
class _MotionView:
    """How a run of movements is seen: one face stays where it is on the table.

    ``is_turned`` says that the work is turned over for them.
    """

    resolved: ResolvedDesign
    face: FaceKey
    place: Rigid
    is_turned: bool = False
    #: Assemblies as they are seen: what is one after a movement is one before the next.
    _shown: dict[Assembly, Assembly] = field(init=False, default_factory=dict)

    @cached_property
    def _work(self) -> Work:
        return work_of(self.resolved)

    def shown(self, assembly: Assembly) -> Assembly:
        """An assembly as it is seen."""
        if assembly not in self._shown:
            motion = self.place.then(assembly.plates[self.face].pose.undone())
            self._shown[assembly] = assembly.all_moved(motion)
        return self._shown[assembly]

    def shows(self, move: Move) -> float:
        """How much shows of what a movement moves, when it is done, as a share."""
        before, after = self.shown(move.before).plates, self.shown(move.after)
        kept = after.plates.keys() & before
        moved = {key for key in kept if before[key].pose != after.plates[key].pose}
        if move.placing is not None:
            moved = set(after.plates.keys() - move.placing.before.plates)
        shown = shown_parts(self._raised(after), moved)
        areas = [(part.area, face.shape.area) for face, part in shown]
        seen, whole = (sum(each) for each in zip(*areas, strict=True)) if areas else (0.0, 1.0)
        return float(seen / whole)

    def hidden(self, move: Move) -> tuple[str, ...]:
        """The pieces that are seen from above before folds turn, and not after."""
        if not move.turns:
            return ()
        before, after = (_seen_from_above(self.shown(each)) for each in (move.before, move.after))
        return tuple(key for key in self.resolved.pieces if key in before - after)

    def start(self, move: Move, pieces: Iterable[str]) -> MotionFrame:
        """The work before the first movement, with the names of ``pieces``."""
        before = self.shown(move.before)
        faces = self._raised(before)
        caption = start_words(self.resolved, before, self.is_turned, pieces)
        return MotionFrame(faces, caption, strips=self._ribbons(before, faces, move.tied))

    def moved(self, move: Move) -> MotionFrame:
        """The work after a movement, with where it was before and the ways that it went."""
        after = self.shown(move.after)
        before, out = self._before(move, after)
        was, now = before.plates, after.plates
        moved = {key for key in now if key in was and was[key].pose != now[key].pose}
        folded = {turn.fold.piece for turn in move.turns}
        folded |= {move.placing.piece, move.placing.host.piece} if move.placing else set()
        part = shown_part(before, after, moved, folded)
        scale = self._work.scale
        faces = self._raised(after, part)
        bold = _outermost([was[key] for key in moved])
        left = {key: plate for key, plate in was.items() if key in bold}
        former = self._raised(replace(before, plates=left))
        sight = Sight((*faces, *former), ISOMETRIC)
        frame = MotionFrame(
            faces=faces,
            caption=caption_of(self.resolved, move, self.face),
            move=move,
            hidden=self.hidden(move),
            bold=bold,
            breaks=broken_off(after, part, scale, ISOMETRIC) if part else (),
            ghosts=tuple(
                run
                for key in sorted(visible_faces(former))
                for line in former_outlines(was[key], now[key], scale)
                for run in sight.seen_runs(line)
            ),
        )
        # What cannot come to its place, in a draft, has no way that it came.
        if any(out) and moved:
            ways = straight_ways([now[key] for key in moved], out, scale, ISOMETRIC)
            frame = replace(frame, arrows=ways)
        else:
            frame = self._turned(frame, move, was, now)
        return self._tied(frame, move, after)

    def _turned(self, frame: MotionFrame, move: Move, was: Plates, now: Plates) -> MotionFrame:
        """A picture with the ways of what turns, on a fold or a fastening."""
        sight = Sight(frame.faces, ISOMETRIC)
        moved = {key for key in now if was[key].pose != now[key].pose}
        folds = fold_ways(move, was, now, self._work.scale)
        details: tuple[Detail, ...] = ()
        if swung := swing_way(self._work, move, was, now):
            way, corners = (tuple(map(ISOMETRIC, places)) for places in swung)
            details = (Detail(circle_round([*corners, *way], _ROUND_A_TURN), (way,)),)
        arrows = tuple(clearest(ways, sight, moved) for ways in folds)
        return replace(frame, arrows=arrows, details=details)

    def _before(self, move: Move, after: Assembly) -> tuple[Assembly, SpacePlace]:
        """The work before a movement, and the way out of its place of what is put there."""
        placing = move.placing
        if placing is None:
            return self.shown(move.before), (0, 0, 0)
        turn = after.plates[placing.host].pose.then(move.after.plates[placing.host].pose.undone())
        x, y, z = Rigid(turn.rotation, (0, 0, 0)).apply(placing.put.out)
        out = x * _CLEAR, y * _CLEAR, z * _CLEAR
        plates = {
            key: plate if key in placing.before.plates else plate.moved(shifted_by(out))
            for key, plate in after.plates.items()
        }
        return replace(after, plates=plates), out

    def _tied(self, frame: MotionFrame, move: Move, after: Assembly) -> MotionFrame:
        """A picture with the ribbons that are tied by then, under what is put round them later."""
        if not move.tied:
            return frame
        there = {
            piece
            for moment in self._work.moments
            if isinstance(moment.motion, Tie) and moment.motion.fastening in move.tied
            for piece in moment.assembly.pieces
        }
        later = set(after.pieces) - there if there else set()
        faces, over = parted(frame.faces, later)
        strips = self._ribbons(after, faces, move.tied)
        details = list(frame.details)
        if move.tie and strips and self.resolved.fastenings[move.tie].source.round is None:
            own = self._ribbons(after, faces, [move.tie])
            if places := [place for strip in own for ring in strip.rings for place in ring]:
                details.append(Detail(circle_round(places, _ROUND_A_TURN), ()))
        return replace(frame, faces=(*faces, *over), strips=strips, details=tuple(details))

    def _raised(self, assembly: Assembly, part: Bounds | None = None) -> tuple[RaisedFace, ...]:
        return raised_work(self.resolved, assembly, self._work.scale, ISOMETRIC, part)

    def _ribbons(
        self, assembly: Assembly, faces: Sequence[RaisedFace], ties: Sequence[str]
    ) -> tuple[LaidStrip, ...]:
        fills = drawing_tints(self.resolved).fills
        return ribbons_of(self._work, ties, assembly, faces, ISOMETRIC, fills)


@lru_cache(maxsize=_REMEMBERED)
def _seen_from_above(assembly: Assembly) -> frozenset[str]:
    parts = visible_parts(assembly, Look(_UPWARD, 1))
    return frozenset(key.piece for key, part in parts.items() if is_seen(part))


def _outermost(plates: Sequence[Plate]) -> frozenset[FaceKey]:
    """The faces that do not lie on a larger one: their edges are those of the whole."""
    return frozenset(
        plate.key
        for plate in plates
        if not any(
            other.shares_plane(plate)
            and other.bounds != plate.bounds
            and holds(other.bounds, plate.bounds)
            for other in plates
        )
    )

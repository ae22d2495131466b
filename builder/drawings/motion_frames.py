"""Movements as pictures, one after the other: what is there after each, and where it was before.

In: a resolved design, the sequence of a step or of the closing, the room on paper.  Out: a scene of
small multiples in isometric projection.  What is drawn is the work after each movement, nothing
else, turned so that what moves is seen to go, and lying as it will lie when all is done.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from collections.abc import Sequence as Many
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property

from builder.drawings.axonometric import ISOMETRIC, Projection
from builder.drawings.cropping import broken_off, shown_part
from builder.drawings.detail_circles import circle_round
from builder.drawings.folding_arrows import clearest, fold_ways, straight_ways, swing_ways
from builder.drawings.former_outlines import former_outline, outline_in_space
from builder.drawings.frames import Detail, Frame, frames_scene
from builder.drawings.motion_words import (
    caption_of,
    equivalent_of,
    start_words,
    title_of,
)
from builder.drawings.motions import Move, Sequence, sequence_of, sequences
from builder.drawings.plane import Place
from builder.drawings.raised_view import (
    RaisedFace,
    Ring,
    Strip,
    raised_faces,
    raised_work,
    slab_of,
)
from builder.drawings.ribbons import parted, ribbons_of
from builder.drawings.scene import Scene
from builder.drawings.sight import Sight
from builder.drawings.stock_tints import drawing_tints
from builder.resolve.resolved import ResolvedDesign
from builder.resolve.step_parts import named_fastenings
from builder.work import Assembly, FaceKey, PlacedFace, Work, work_of
from builder.work.finished import laying_down, lowest_face
from builder.work.moments import Placing
from builder.work.putting import Way
from builder.work.space import AT_REST, Rigid, as_pose, shifted_by
from builder.work.visible import Look, is_seen, visible_parts

#: How far the circle round a part that turns reaches beyond it, as a share of its radius.
_ROUND_A_TURN = 0.05
#: How far something is shown off its place, as a share of what brings it just clear.
_CLEAR = Fraction(5, 4)
#: Areas that differ by a smaller share are alike.
_ALIKE = 0.01
#: The axis that what lies flat looks along.
_UPWARD = 2
#: How far from the middle of a face to its corners it is looked at.
_TOWARDS_CORNERS = 0.8
#: Turned half round on the table.
_HALF_ROUND = Rigid(((-1, 0, 0), (0, -1, 0), (0, 0, 1)), (0, 0, 0))
#: Turned over sideways, as the page of a book is.
_TURNED_OVER = Rigid(((-1, 0, 0), (0, 1, 0), (0, 0, -1)), (0, 0, 0))


def motion_scene(
    resolved: ResolvedDesign, sequence: Sequence, max_width: float, max_height: float
) -> Scene:
    """A sequence as small multiples, within ``max_width`` x ``max_height`` mm."""
    shown = _Pictures(resolved, sequence)
    return frames_scene(
        resolved,
        sequence.key,
        title_of(resolved, sequence),
        [frame for frame, _ in shown.frames()],
        shown.words(),
        max_width,
        max_height,
    )


def motion_equivalent(resolved: ResolvedDesign, sequence: Sequence, has_angles: bool = True) -> str:
    """A sequence in words, with the angle of each fold unless it is told without."""
    return _Pictures(resolved, sequence).words(has_angles)


def motion_frames(
    resolved: ResolvedDesign, sequence: Sequence, projection: Projection = ISOMETRIC
) -> tuple[Frame, ...]:
    """The pictures of a sequence: before it, where that says more, and after each movement."""
    return tuple(frame for frame, _ in _Pictures(resolved, sequence, projection).frames())


def step_motion_scene(
    resolved: ResolvedDesign, step: int, max_width: float, max_height: float
) -> Scene | None:
    """The movements of a step, if it has any, in the words of its pictures."""
    sequence = sequence_of(resolved, step)
    if sequence is None:
        return None
    scene = motion_scene(resolved, sequence, max_width, max_height)
    return replace(scene, text_equivalent=motion_equivalent(resolved, sequence, has_angles=False))


def tying_scene(resolved: ResolvedDesign, tie: str, max_width: float, max_height: float) -> Scene:
    """The movements with which a ribbon is tied that a step ties."""
    sequence = next(s for s in sequences(resolved) if any(move.tie == tie for move in s.moves))
    return motion_scene(resolved, sequence, max_width, max_height)


@dataclass(frozen=True, eq=False)
class _Held:
    """How a run of movements is seen: one face stays where it is on the table."""

    face: FaceKey
    place: Rigid

    def shown(self, assembly: Assembly) -> Assembly:
        """An assembly as it is seen."""
        return assembly.all_moved(self.place.then(assembly.plates[self.face].pose.undone()))


def _held(work: Work, run: Many[Move]) -> tuple[_Held, bool]:
    """What stays at rest in a run of movements, and whether the work is turned over for them: where
    more of what closes comes to lie below what it hangs on than above it.

    Most of the work lies as it lies when it is closed; a part of it on its own base.
    """
    first = run[0].before
    held = _Held(first.base, first.plates[first.base].pose)
    for move in run:
        down = laying_down(move.after)
        if down != AT_REST and _is_most(work, move.after):
            lying = move.after.all_moved(down)
            face = lowest_face(lying)
            if face in first.plates:
                held = _Held(face, lying.plates[face].pose)
            break
    is_turned = sum(_rise(move, held) for move in run) < 0
    return (_Held(held.face, _TURNED_OVER.then(held.place)) if is_turned else held), is_turned


def _is_most(work: Work, assembly: Assembly) -> bool:
    """Whether more than half of the pieces of the work are in an assembly."""
    return 2 * len(set(assembly.pieces) & set(work.closed.pieces)) > len(work.closed.pieces)


def _rise(move: Move, held: _Held) -> int:
    """How much more of what closes, or is put in its place, is above what it is on than below."""
    if move.placing is not None:
        return _faces_viewer(held.shown(move.after), move.placing)
    found = 0
    for turn in move.turns:
        after = held.shown(turn.after)
        was = held.shown(turn.before)
        crease = turn.before.creases[turn.fold]
        ends = crease.staying, crease.hanging
        for still, moving in (ends, ends[::-1]):
            if was.plates[still].pose == after.plates[still].pose and turn.is_closing:
                found += _is_higher(after, still, moving)
    return found


def _faces_viewer(after: Assembly, placing: Placing) -> int:
    """1 where what is put in its place is seen better from above, -1 from below; where that hides
    it, or shows it from both sides alike, the side that shows more of what it is put on."""
    host = placing.host
    if placing.put.way is Way.LOWERED or after.plates[host].axis != _UPWARD:
        return 1
    above, below = (visible_parts(after, Look(_UPWARD, way)) for way in (1, -1))
    own = [key for key in above if key not in placing.before.plates]
    for keys in (own, [host]):
        more = sum(above[key].area - below[key].area for key in keys)
        if abs(more) > _ALIKE * sum(above[key].area + below[key].area for key in keys):
            return 1 if more > 0 else -1
    return 1


def _is_higher(assembly: Assembly, first: FaceKey, second: FaceKey) -> int:
    """1 where the second of two faces is above the first, -1 where below, else 0."""
    a, b = (assembly.plates[key] for key in (first, second))
    if a.axis == b.axis == _UPWARD and a.plane == b.plane:
        is_above = assembly.is_above(first, second)
        return 0 if is_above is None else (1 if is_above else -1)
    heights = [sum(plate.extent(_UPWARD)) for plate in (a, b)]
    return (heights[1] > heights[0]) - (heights[1] < heights[0])


class _Pictures:
    """The frames of one sequence, each with the movement that it shows."""

    def __init__(
        self, resolved: ResolvedDesign, sequence: Sequence, projection: Projection = ISOMETRIC
    ) -> None:
        self._words = resolved
        self._work: Work = work_of(resolved)
        self._sequence, self._projection = sequence, projection
        self._drawn = _pierced_so_far(resolved, sequence.step)

    @property
    def _scale(self) -> int:
        return self._work.scale

    def _held(self, run: Many[Move]) -> tuple[_Held, bool]:
        """How a run is seen, turned half round on the table where more of what moves shows then."""
        held, is_turned = _held(self._work, run)
        if all(self._shows(move, held) for move in run):
            return held, is_turned
        round_about = replace(held, place=_HALF_ROUND.then(held.place))
        shown = [sum(self._shows(move, each) for move in run) for each in (held, round_about)]
        return (round_about if shown[1] > shown[0] else held), is_turned

    def _shows(self, move: Move, held: _Held) -> bool:
        """Whether something of what a fold moves is seen after it, of what stands upright then:
        what lies is seen as well or badly from all sides."""
        before, after = held.shown(move.before), held.shown(move.after)
        moved = {key for key in move.turned if before.plates[key].pose != after.plates[key].pose}
        if not moved or any(after.plates[key].axis == _UPWARD for key in moved):
            return True
        faces = self._raised(after)
        return any(
            any(not any(nearer.holds(p) for nearer in faces[index + 1 :]) for p in _places_on(face))
            for index, face in enumerate(faces)
            if face.key in moved
        )

    def words(self, has_angles: bool = True) -> str:
        told: list[tuple[str, Move | None, tuple[str, ...]]] = []
        for run in self._sequence.runs:
            held, is_turned = self._held(run)
            if _has_start(run[0]):
                before = held.shown(run[0].before)
                told.append((start_words(self._words, before, is_turned), None, ()))
            told += [
                (caption_of(self._words, move), move, self._hidden(move, held)) for move in run
            ]
        return equivalent_of(self._words, told, has_angles)

    def _hidden(self, move: Move, held: _Held) -> tuple[str, ...]:
        """The pieces that are seen from above before folds turn, and not after."""
        if not move.turns:
            return ()
        before, after = (_seen_from_above(held.shown(each)) for each in (move.before, move.after))
        return tuple(key for key in self._words.pieces if key in before - after)

    def frames(self) -> Iterator[tuple[Frame, Move | None]]:
        return iter(self._frames)

    @cached_property
    def _frames(self) -> list[tuple[Frame, Move | None]]:
        found: list[tuple[Frame, Move | None]] = []
        for run in self._sequence.runs:
            held, is_turned = self._held(run)
            glued = _glued_all_over(self._work, run)
            first = run[0]
            if _has_start(first):
                before = held.shown(first.before)
                caption = start_words(self._words, before, is_turned)
                faces = self._raised(before)
                strips = self._ribbons(before, faces, first.tied)
                found.append((Frame(faces, caption, glued=glued, strips=strips), None))
            for move in run:
                frame = self._moved(move, held)
                found.append((replace(frame, glued=glued), move))
        return found

    def _raised(self, assembly: Assembly) -> tuple[RaisedFace, ...]:
        return raised_work(self._drawn, assembly, self._scale, self._projection)

    def _placed(self, assembly: Assembly) -> dict[FaceKey, PlacedFace]:
        return {
            key: PlacedFace(key.piece, key.face, as_pose(plate.pose, self._scale), 0)
            for key, plate in assembly.plates.items()
        }

    def _ribbons(
        self, assembly: Assembly, faces: Many[RaisedFace], ties: Iterable[str]
    ) -> tuple[Strip, ...]:
        fills = drawing_tints(self._drawn).fills
        return tuple(
            strip
            for tie in ties
            for strip in ribbons_of(self._work, tie, assembly, faces, self._projection, fills)
        )

    def _moved(self, move: Move, held: _Held) -> Frame:
        """The work after a movement, with where it was before."""
        work, after = self._drawn, held.shown(move.after)
        before, out = self._before(move, held, after)
        was, now = self._placed(before), self._placed(after)
        moved = {key for key, face in now.items() if key in was and was[key].pose != face.pose}
        there = [was[key] for key in moved]
        bold = outermost(work, there)
        left = [face for face in there if face.key in bold]
        folded = {turn.fold.piece for turn in move.turns}
        folded |= {move.placing.piece, move.placing.host.piece} if move.placing else set()
        part = shown_part(work, list(was.values()), list(now.values()), moved, folded)
        faces = raised_work(work, after, self._scale, self._projection, part)
        sight = Sight(faces, self._projection)
        frame = Frame(
            faces=faces,
            caption=caption_of(self._words, move),
            bold=bold,
            breaks=broken_off(work, list(now.values()), part, self._projection) if part else (),
        )
        # What cannot come to its place, in a draft, has no way that it came.
        if out is not None and moved and any(out):
            ways = straight_ways([slab_of(work, now[key]) for key in moved], out, self._projection)
            off = foremost(raised_faces(work, left, self._projection))
            if out[2]:
                ghosts = tuple((*face.rings[0], face.rings[0][0]) for face in off)
                return self._tied(replace(frame, ghosts=ghosts, arrows=ways), move, after)
            seen = tuple(
                run for face in off for run in sight.seen_runs(outline_in_space(work, face.placed))
            )
            return self._tied(replace(frame, over=seen, arrows=ways), move, after)
        turning = {key for swing in move.swings for key in swing.moved}
        runs: list[Ring] = []
        for face in left:
            for line in former_outline(work, face, now[face.key].pose):
                on_paper = tuple(self._projection(place) for place in line)
                runs += [on_paper] if face.key in turning else sight.seen_runs(line)
        turns = [
            clearest(each, sight, moved) for each in fold_ways(work, move, was, now, self._scale)
        ]
        details = tuple(
            self._detail(way, corners) for way, corners in swing_ways(self._work, move, was, now)
        )
        return self._tied(
            replace(frame, over=tuple(runs), arrows=tuple(turns), details=details), move, after
        )

    def _before(
        self, move: Move, held: _Held, after: Assembly
    ) -> tuple[Assembly, tuple[Fraction, Fraction, Fraction] | None]:
        """The work before a movement, and the way out of its place of what is put there."""
        placing = move.placing
        if placing is None:
            return held.shown(move.before), None
        turn = after.plates[placing.host].pose.then(move.after.plates[placing.host].pose.undone())
        x, y, z = Rigid(turn.rotation, (0, 0, 0)).apply(placing.put.out)
        far = x * _CLEAR, y * _CLEAR, z * _CLEAR
        off = shifted_by(far)
        plates = {
            key: plate if key in placing.before.plates else plate.moved(off)
            for key, plate in after.plates.items()
        }
        a, b, c = (Fraction(length) / self._scale for length in far)
        return replace(after, plates=plates), (a, b, c)

    def _tied(self, frame: Frame, move: Move, after: Assembly) -> Frame:
        """A picture with the ribbons that are tied by then, under what is put round them later."""
        if not move.tied:
            return frame
        there = {key for tie in move.tied for key in _there_when_tied(self._work, tie)}
        later = set(after.pieces) - there if there else set()
        faces, over = parted(frame.faces, later)
        strips = self._ribbons(after, faces, move.tied)
        details = list(frame.details)
        round_work = self._words.fastenings[move.tie].source.round if move.tie else None
        if move.tie and strips and round_work is None:
            own = self._ribbons(after, faces, [move.tie])
            places = [place for strip in own for ring in strip.rings for place in ring]
            if places:
                details.append(Detail(circle_round(places, _ROUND_A_TURN), ()))
        return replace(frame, faces=(*faces, *over), strips=strips, details=tuple(details))

    def _detail(self, way: Many[tuple[float, float, float]], corners: Many[object]) -> Detail:
        """The circle that a part turns in, and the way it turns."""
        run = tuple(self._projection(place) for place in way)
        ends: list[Place] = [self._projection(corner) for corner in corners]  # type: ignore[arg-type]
        return Detail(circle_round([*ends, *run], _ROUND_A_TURN), (run,))


def _places_on(face: RaisedFace) -> list[Place]:
    """Some places on a face: its middle, and places near its corners."""
    x, y = face.extent.centre
    share = _TOWARDS_CORNERS
    near = [(x + share * (a - x), y + share * (b - y)) for a, b in face.rings[0]]
    return [place for place in [(x, y), *near] if face.holds(place)]


def _has_start(move: Move) -> bool:
    """Whether it has to be seen how the work is before a movement: what is put on is seen off its
    place in the picture itself."""
    return move.placing is None and not move.tie


def _seen_from_above(assembly: Assembly) -> frozenset[str]:
    parts = visible_parts(assembly, Look(_UPWARD, 1))
    return frozenset(key.piece for key, part in parts.items() if is_seen(part))


def _there_when_tied(work: Work, tie: str) -> tuple[str, ...]:
    """The pieces of the assembly in which a ribbon was tied."""
    for moment in work.moments:
        if getattr(moment.motion, "fastening", "") == tie:
            return moment.assembly.pieces
    return ()


def _glued_all_over(work: Work, run: Many[Move]) -> frozenset[tuple[FaceKey, bool]]:
    """The sides, True for the front, of what a run of movements glues all over."""
    found = set()
    for move in run:
        for bond in move.glued:
            spread = bond.adhesive
            if spread is None:
                continue
            whole = work.parts.pieces[spread.face.piece].regions[spread.face]
            if spread.spread == (whole,):
                found.add((spread.face, spread.side > 0))
    return frozenset(found)


def _pierced_so_far(resolved: ResolvedDesign, step: int) -> ResolvedDesign:
    """The design before the holes are pierced of fastenings that later steps set."""
    if not step:
        return resolved
    later = {
        key for each in resolved.design.steps[step:] for key in named_fastenings(each, resolved)
    }
    pieces = {
        key: replace(piece, holes=tuple(h for h in piece.holes if h.fastening not in later))
        for key, piece in resolved.pieces.items()
        if any(hole.fastening in later for hole in piece.holes)
    }
    return replace(resolved, pieces={**resolved.pieces, **pieces}) if pieces else resolved


def foremost(faces: Many[RaisedFace]) -> tuple[RaisedFace, ...]:
    """The faces whose middle no nearer one covers."""
    return tuple(
        face
        for index, face in enumerate(faces)
        if not any(other.holds(face.extent.centre) for other in faces[index + 1 :])
    )


def outermost(resolved: ResolvedDesign, faces: Many[PlacedFace]) -> frozenset[FaceKey]:
    """The faces that do not lie on a larger one: their edges are those of the whole."""
    slabs = [slab_of(resolved, face) for face in faces]
    return frozenset(
        face.key
        for face, slab in zip(faces, slabs, strict=True)
        if not any(other != slab and other.contains(slab) for other in slabs)
    )

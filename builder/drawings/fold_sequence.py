"""How a structure is folded, frame by frame: from flat to closed, one movement at a time.

In: a resolved design and the key of a sequence, the room on paper.  Out: a scene of small
multiples in isometric projection.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from builder.choices import is_valley
from builder.drawings.axonometric import ISOMETRIC, Projection
from builder.drawings.cropping import broken_off, shown_part
from builder.drawings.detail_circles import circle_round
from builder.drawings.folding_arrows import Poses, arrow_ways, clearest, poses_of
from builder.drawings.former_outlines import former_outline
from builder.drawings.frames import Detail, Frame, frames_scene
from builder.drawings.movements import (
    CLOSING,
    Movement,
    boxes_folded,
    movements,
)
from builder.drawings.pivots import (
    PivotTurn,
    holding_pivots,
    part_of,
    pivot_turns,
    turned_aside,
    turned_over,
)
from builder.drawings.put_on import is_box, lids, straight_ways, taken_off, way_off
from builder.drawings.raised_view import RaisedFace, Ring, Strip, raised_faces
from builder.drawings.ribbons import parted, tied_ribbons
from builder.drawings.round_ribbons import round_ribbons, round_ties
from builder.drawings.scene import Scene
from builder.drawings.sight import Sight
from builder.drawings.stock_tints import drawing_tints
from builder.drawings.wording import named, words_of
from builder.resolve.closed_for_good import slid_in
from builder.resolve.placement import (
    FaceKey,
    folds_outward,
    main_body,
    tree_of,
)
from builder.resolve.resolved import (
    PlacedFace,
    ResolvedDesign,
    ResolvedPiece,
)
from builder.resolve.turns import (
    Angles,
    folded_faces,
    folded_stages,
    in_layer_order,
    only,
)

#: How far the circle round a part that turns reaches beyond it, as a share of its radius.
_ROUND_A_TURN = 0.05


def glued_tabs(piece: ResolvedPiece) -> frozenset[tuple[FaceKey, bool]]:
    """The side of each tab, True for its front, that meets the inside of the wall beside it: a
    tab that folds towards the front meets it with its back."""
    tabs = {tab.name: tab.fold for tab in piece.source.tabs}
    return frozenset(((piece.key, name), not is_valley(fold)) for name, fold in tabs.items())


def fold_frames(
    resolved: ResolvedDesign, key: str, projection: Projection = ISOMETRIC
) -> tuple[Frame, ...]:
    """The pictures of a sequence: flat, then after each movement."""
    is_whole = key == CLOSING
    root = main_body(tree_of(resolved)) if is_whole else key
    return _frames(resolved, root, movements(resolved, key), projection, is_whole)


def _frames(
    resolved: ResolvedDesign,
    root: str,
    steps: Sequence[Movement],
    projection: Projection,
    is_whole: bool,
) -> tuple[Frame, ...]:
    begun = boxes_folded(resolved) if is_whole else {}
    folded = _folded(resolved, root, [begun, *(step.motion for step in steps)])
    first, *rest = stages = _swung(resolved, folded, steps)
    glued = frozenset() if is_whole else glued_tabs(resolved.pieces[root])
    later = set(_carried(resolved, steps[0]))
    there = [key for key in steps[0].pieces if key not in later]
    faces = raised_faces(resolved, only(first, there), projection)
    frames = [Frame(faces, _first_words(resolved, begun), glued=glued)]
    ribbons: dict[str, Movement] = {}
    for step, before, after in zip(steps, stages, rest, strict=False):
        # What a movement brings along is there before it, flat.
        earlier = [key for key in step.pieces if key not in step.added]
        was, now = only(before, earlier), only(after, step.pieces)
        if step.put_on:
            carried = _carried(resolved, step)
            way = way_off(resolved, now, step.put_on, carried)
            was = taken_off(only(now, earlier), carried, way)
        frame = moved_frame(resolved, was, now, step, projection, is_cropped=is_whole)
        ribbons |= dict.fromkeys(step.tied, step)
        frame = _with_ribbons(resolved, frame, now, step, ribbons, projection)
        frames.append(replace(frame, glued=glued))
    return tuple(frames)


def _folded(
    resolved: ResolvedDesign, root: str, motions: Sequence[Angles]
) -> list[tuple[PlacedFace, ...]]:
    """The work after each motion.  Where something is slid in under what is closed already, each
    stage is folded anew, in the order that gives its layers."""
    if not slid_in(resolved):
        return list(folded_stages(resolved, root, motions)[1:])
    return [
        folded_faces(resolved, root, in_layer_order(resolved, motions[:number]))
        for number in range(1, len(motions) + 1)
    ]


def _carried(resolved: ResolvedDesign, step: Movement) -> tuple[str, ...]:
    """What is put on whole in a movement: the piece and all that lies on it."""
    if not step.put_on:
        return ()
    below = set(tree_of(resolved).below(step.put_on))
    return tuple(key for key in step.pieces if key in below)


def _first_words(resolved: ResolvedDesign, begun: Angles) -> str:
    """What lies there before the first movement: all flat, or boxes folded."""
    wording = words_of(resolved)
    lid_keys = lids(resolved)
    boxes = [
        key
        for key in dict.fromkeys(piece for piece, _ in begun)
        if key not in lid_keys and is_box(resolved, resolved.pieces[key])
    ]
    if not boxes:
        return wording.phrase("draw_state_flat")
    return wording.phrase(
        "draw_folded", names=wording.listed(named(resolved.pieces[key]) for key in boxes)
    )


def _with_ribbons(
    resolved: ResolvedDesign,
    frame: Frame,
    after: Sequence[PlacedFace],
    step: Movement,
    ribbons: Mapping[str, Movement],
    projection: Projection,
) -> Frame:
    """The ribbons that are tied by now, under what is put round the work later."""
    if not ribbons:
        return frame
    there = {key for tied in ribbons.values() for key in tied.pieces}
    faces, over = parted(frame.faces, set(step.pieces) - there)
    strips: list[Strip] = []
    details = list(frame.details)
    for tie in ribbons:
        if tie in round_ties(resolved):
            fills = drawing_tints(resolved).fills
            strips += round_ribbons(resolved, tie, after, faces, projection, fills)
            continue
        ribbon = tied_ribbons(resolved, tie, after, faces, projection)
        if ribbon and tie in step.tied:
            places = [place for strip in ribbon for ring in strip.rings for place in ring]
            details.append(Detail(circle_round(places, _ROUND_A_TURN), ()))
        strips += ribbon
    return replace(frame, faces=(*faces, *over), strips=tuple(strips), details=tuple(details))


def _swung(
    resolved: ResolvedDesign, stages: Sequence[tuple[PlacedFace, ...]], steps: Sequence[Movement]
) -> list[tuple[PlacedFace, ...]]:
    """The stages with the parts that turn on a brad aside while what they hold folds in, then
    over it."""
    found = list(stages)
    for pivot in holding_pivots(resolved):
        aside = next((n for n, step in enumerate(steps, 1) if pivot.key in step.aside), len(stages))
        over = next((n for n, step in enumerate(steps, 1) if pivot.key in step.over), len(stages))
        for number in range(aside, over):
            found[number] = turned_aside(resolved, found[number], pivot, stages[aside])
        for number in range(over, len(stages)):
            found[number] = turned_over(resolved, found[number], pivot)
    return found


def moved_frame(
    resolved: ResolvedDesign,
    before: Sequence[PlacedFace],
    after: Sequence[PlacedFace],
    step: Movement,
    projection: Projection,
    is_cropped: bool = False,
) -> Frame:
    """The work after a movement, with where it was before; ``is_cropped`` leaves out what the
    movement does not need."""
    was, now = poses_of(before), poses_of(after)
    moved = {face for face, pose in now.items() if was.get(face, pose) != pose}
    there = [face for face in before if (face.piece, face.face) in moved]
    bold = outermost(resolved, there)
    part = shown_part(resolved, before, after, moved) if is_cropped else None
    faces = raised_faces(resolved, after, projection, part)
    left = [face for face in there if (face.piece, face.face) in bold]
    sight = Sight(faces, projection)
    return Frame(
        faces=faces,
        caption=step.caption,
        bold=bold,
        ghosts=_taken_from(resolved, left, projection) if step.put_on else (),
        over=() if step.put_on else _folded_from(resolved, left, now, sight),
        arrows=_arrows(resolved, before, after, step, sight),
        breaks=broken_off(resolved, after, part, projection) if part else (),
        details=tuple(_detail(turn, projection) for turn in pivot_turns(resolved, before, after)),
    )


def _taken_from(
    resolved: ResolvedDesign, faces: Sequence[PlacedFace], projection: Projection
) -> tuple[Ring, ...]:
    """The outlines of what is put on, off the work."""
    ghosts = foremost(raised_faces(resolved, faces, projection))
    return tuple((*ghost.rings[0], ghost.rings[0][0]) for ghost in ghosts)


def _folded_from(
    resolved: ResolvedDesign, faces: Sequence[PlacedFace], now: Poses, sight: Sight
) -> tuple[Ring, ...]:
    """What is seen of the outlines of parts where they were; of a part that turned on a brad,
    all of it."""
    turning = {part_of(pivot) for pivot in holding_pivots(resolved)}
    runs: list[Ring] = []
    for face in faces:
        for line in former_outline(resolved, face, now[face.piece, face.face]):
            if face.piece in turning:
                runs.append(tuple(sight.projection(place) for place in line))
            else:
                runs.extend(sight.seen_runs(line))
    return tuple(runs)


def _arrows(
    resolved: ResolvedDesign,
    before: Sequence[PlacedFace],
    after: Sequence[PlacedFace],
    step: Movement,
    sight: Sight,
) -> tuple[Ring, ...]:
    """The ways that parts fold, where they are freest; or that something is put on."""
    was, now = poses_of(before), poses_of(after)
    if step.put_on:
        base = (step.put_on, resolved.pieces[step.put_on].by)
        x, y, z = (a - b for a, b in zip(was[base].shift, now[base].shift, strict=True))
        carried = _carried(resolved, step)
        return tuple(straight_ways(resolved, after, carried, (x, y, z), sight.projection))
    moved = {face for face, pose in now.items() if was.get(face, pose) != pose}
    return tuple(
        clearest(ways, sight, moved) for ways in arrow_ways(resolved, was, now, step.motion)
    )


def _detail(turn: PivotTurn, projection: Projection) -> Detail:
    """The circle that a part turns in, and the way it turns."""
    way = tuple(projection(place) for place in turn.way)
    corners = [projection(corner) for corner in turn.corners]
    return Detail(circle_round([*corners, *way], _ROUND_A_TURN), (way,))


def foremost(faces: Sequence[RaisedFace]) -> tuple[RaisedFace, ...]:
    """The faces whose middle no nearer one covers."""
    return tuple(
        face
        for index, face in enumerate(faces)
        if not any(other.holds(face.extent.centre) for other in faces[index + 1 :])
    )


def outermost(resolved: ResolvedDesign, faces: Sequence[PlacedFace]) -> frozenset[FaceKey]:
    """The faces that do not lie on a larger one: their edges are those of the whole."""
    slabs = [resolved.slab(f) for f in faces]
    return frozenset(
        (face.piece, face.face)
        for face, slab in zip(faces, slabs, strict=True)
        if not any(other != slab and other.contains(slab) for other in slabs)
    )


def fold_scene(resolved: ResolvedDesign, key: str, max_width: float, max_height: float) -> Scene:
    """A sequence as small multiples, within ``max_width`` x ``max_height`` mm."""
    is_whole = key == CLOSING
    root = main_body(tree_of(resolved)) if is_whole else key
    steps = movements(resolved, key)
    frames = _frames(resolved, root, steps, ISOMETRIC, is_whole)
    name = resolved.design.title if is_whole else resolved.pieces[key].title
    title = words_of(resolved).phrase("draw_closing" if is_whole else "draw_folding", name=name)
    words = fold_equivalent(resolved, key)
    return frames_scene(resolved, f"folds-{key}", title, frames, words, max_width, max_height)


def fold_equivalent(resolved: ResolvedDesign, key: str, has_angles: bool = True) -> str:
    """The sequence in words, with the angle of each fold unless it is told without."""
    wording, steps = words_of(resolved), movements(resolved, key)
    begun = boxes_folded(resolved) if key == CLOSING else {}
    sentences = [wording.phrase("draw_frame_flat")]
    if begun:
        caption = _first_words(resolved, begun)
        sentences = [wording.phrase("draw_frame_turned", letter="a", caption=caption)]
    for letter, step in zip("bcdefghijklmnopqrstuvwxyz", steps, strict=False):
        motion, caption = {} if step.put_on or not has_angles else step.motion, step.caption
        folds = _angle_words(resolved, motion)
        name = "draw_frame" if folds else "draw_frame_turned"
        sentences.append(wording.phrase(name, letter=letter, caption=caption, folds=folds))
    return " ".join(sentences)


def _angle_words(resolved: ResolvedDesign, motion: Angles) -> str:
    """``valley folds to 90 degrees``, by kind and angle."""
    found: dict[tuple[str, int], int] = {}
    for (key, hanging), angle in motion.items():
        fold = next(s.fold for _, h, s in folds_outward(resolved.pieces[key]) if h == hanging)
        found[fold, angle] = found.get((fold, angle), 0) + 1
    wording = words_of(resolved)
    return wording.listed(
        wording.counted(f"draw_{fold}_to", count, angle=angle)
        for (fold, angle), count in found.items()
    )

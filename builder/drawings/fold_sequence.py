"""How a structure is folded, frame by frame: from flat to closed, one movement at a time.

In: a resolved design and the key of a sequence, the room on paper.  Out: a scene of small
multiples in isometric projection.  A box is folded tabs first, then the walls that carry them,
then the walls that close against the tabs; the flaps of other work close in the design's order.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from builder.drawings.axonometric import ISOMETRIC, Projection
from builder.drawings.folding_arrows import arrow_ways, poses_of
from builder.drawings.frames import Frame, frames_scene
from builder.drawings.pivots import (
    held_by,
    holding_pivots,
    is_held_in,
    part_of,
    pivot_ways,
    turned_aside,
    turned_over,
)
from builder.drawings.raised_view import raised_faces
from builder.drawings.scene import Scene
from builder.drawings.wording import named, words_of
from builder.geometry.areas import placed
from builder.resolve.placement import (
    FaceKey,
    closed_angles,
    folds_outward,
    main_body,
    piece_tree,
)
from builder.resolve.resolved import (
    PlacedFace,
    ResolvedDesign,
    ResolvedFastening,
    ResolvedPiece,
)
from builder.resolve.turns import (
    Angles,
    Turn,
    closing_entries,
    folded_stages,
    moved_faces,
    only,
    turns,
)
from builder.wording import Wording

#: The sequence of the whole work, as against that of one box-like piece.
CLOSING = "closing"
#: So many walls that stand up round a base make a box.
_FEWEST_WALLS = 3


@dataclass(frozen=True)
class Movement:
    """One frame's motion: the folds with their new angles, the pieces there, and its words.

    Parts that turn on a brad are turned ``aside`` for it, or then ``over`` what they hold, and
    stay over it: both are names of fastenings.  ``added`` are pieces put on after the motion.
    """

    motion: Angles
    pieces: tuple[str, ...]
    caption: str
    aside: tuple[str, ...] = ()
    over: tuple[str, ...] = ()
    added: tuple[str, ...] = ()


def fold_sequences(resolved: ResolvedDesign) -> tuple[str, ...]:
    """The keys of the sequences that a design needs: its box-like pieces, and ``closing`` when
    parts close one over another."""
    boxes = tuple(key for key, piece in resolved.pieces.items() if _is_box(resolved, piece))
    return (*boxes, CLOSING) if len(_closing_turns(resolved)) > 1 else boxes


def _is_box(resolved: ResolvedDesign, piece: ResolvedPiece) -> bool:
    """Whether at least three walls stand up round the face that it lies by."""
    if (piece.key, "") not in closing_entries(resolved):
        return False
    walls = [s for staying, _, s in folds_outward(piece) if staying == piece.by and s.closed == 90]
    return len(walls) >= _FEWEST_WALLS


def _closing_turns(resolved: ResolvedDesign) -> tuple[Turn, ...]:
    """The movements of the whole work, box-like pieces left out."""
    return tuple(
        turn
        for turn in turns(resolved)
        if not any(_is_box(resolved, resolved.pieces[key]) for key, _ in turn.entries)
    )


def movements(resolved: ResolvedDesign, key: str) -> tuple[Movement, ...]:
    """The motions of a sequence, in an order in which nothing is in the way."""
    if key == CLOSING:
        return _closing_movements(resolved)
    return _box_movements(resolved, resolved.pieces[key])


def _closing_movements(resolved: ResolvedDesign) -> tuple[Movement, ...]:
    tree = piece_tree(resolved.pieces)
    body = list(tree.below(main_body(tree)))
    sequence, wording = _closing_turns(resolved), words_of(resolved)
    found = []
    there = {key for key in body if resolved.pieces[key].source.present != "closed"}
    for number, turn in enumerate(sequence, start=1):
        before = set(there)
        for key, _ in turn.entries:
            if resolved.pieces[key].source.present == "closed":
                there.update(tree.below(key))
        caption = turn_words(resolved, turn)
        if there != before:
            caption = wording.phrase("draw_add_and", movement=caption)
        added: tuple[str, ...] = ()
        if number == len(sequence):
            last = [k for k in body if resolved.pieces[k].source.present != "open"]
            added = tuple(k for k in last if k not in there)
            if added:
                names = wording.listed(named(resolved.pieces[k]) for k in added)
                caption = wording.phrase("draw_then_add", movement=caption, names=names)
            there.update(last)
        pieces = tuple(key for key in body if key in there)
        pivots = [p for p in holding_pivots(resolved) if is_held_in(p, turn)]
        aside = tuple(pivot.key for pivot in pivots)
        if pivots:
            caption = aside_words(resolved, pivots, caption)
        found.append(Movement(turn.angles, pieces, caption, aside, added=added))
        if pivots:
            found.append(Movement({}, pieces, over_words(resolved, pivots), over=aside))
    return tuple(found)


def aside_words(
    resolved: ResolvedDesign, pivots: Sequence[ResolvedFastening], movement: str
) -> str:
    wording = words_of(resolved)
    parts = wording.listed(named(resolved.pieces[part_of(pivot)]) for pivot in pivots)
    return wording.phrase("draw_turn_aside", parts=parts, movement=movement)


def over_words(resolved: ResolvedDesign, pivots: Sequence[ResolvedFastening]) -> str:
    wording, pieces = words_of(resolved), resolved.pieces
    return wording.listed(
        wording.phrase(
            "draw_turn_over", part=named(pieces[part_of(p)]), held=named(pieces[held_by(p)])
        )
        for p in pivots
    )


def _box_movements(resolved: ResolvedDesign, piece: ResolvedPiece) -> tuple[Movement, ...]:
    """Tabs first, then what carries tabs, then the rest."""
    tree = piece_tree(resolved.pieces)
    shown = (piece.source.present, "always")
    pieces = tuple(k for k in tree.below(piece.key) if resolved.pieces[k].source.present in shown)
    tabs = {tab.name for tab in piece.source.tabs}
    carriers = {staying for staying, hanging, _ in folds_outward(piece) if hanging in tabs}
    groups: dict[str, dict[FaceKey, int]] = {"tabs": {}, "carriers": {}, "others": {}}
    for face, angle in closed_angles(piece).items():
        group = "tabs" if face in tabs else "carriers" if face in carriers else "others"
        groups[group][piece.key, face] = angle
    return tuple(
        Movement(motion, pieces, _box_words(piece, name, motion, words_of(resolved)))
        for name, motion in groups.items()
        if motion
    )


def _box_words(piece: ResolvedPiece, group: str, motion: Angles, wording: Wording) -> str:
    if group == "tabs":
        return wording.counted("draw_bend_tabs", len(motion), code=piece.code)
    faces = wording.listed(face_words(face) for _, face in motion)
    closes_on_tabs = group == "others" and piece.source.tabs
    name = "draw_fold_over_tabs" if closes_on_tabs else "draw_fold_faces"
    return wording.phrase(name, code=piece.code, faces=faces)


def glued_tabs(piece: ResolvedPiece) -> frozenset[tuple[FaceKey, bool]]:
    """The side of each tab, True for its front, that meets the inside of the wall beside it: a
    tab that folds towards the front meets it with its back."""
    tabs = {tab.name: tab.fold for tab in piece.source.tabs}
    return frozenset(((piece.key, name), fold == "mountain") for name, fold in tabs.items())


def face_words(face: str) -> str:
    return face.replace("_", " ")


def turn_words(resolved: ResolvedDesign, turn: Turn) -> str:
    """What a movement closes: the largest piece that moves, or the sections of a piece."""
    sections: dict[str, list[str]] = {}
    names = []
    for key, section in turn.entries:
        if section:
            sections.setdefault(key, []).append(face_words(section))
        else:
            names.append(_largest_moved(resolved, key))
    for key, faces in sorted(sections.items(), key=lambda item: resolved.pieces[item[0]].code):
        names.append(f"{resolved.pieces[key].code} {words_of(resolved).listed(faces)}")
    return words_of(resolved).phrase("draw_close", names=words_of(resolved).listed(names))


def _largest_moved(resolved: ResolvedDesign, key: str) -> str:
    tree = piece_tree(resolved.pieces)
    moved = moved_faces(tree, resolved.pieces[key])
    pieces = [resolved.pieces[k] for k in tree.below(key) if any(k == m for m, _ in moved)]
    # The first of equals: what carries the others.
    largest = max(pieces, key=lambda p: (p.width * p.height, -pieces.index(p)))
    return named(largest)


def fold_frames(
    resolved: ResolvedDesign, key: str, projection: Projection = ISOMETRIC
) -> tuple[Frame, ...]:
    """The pictures of a sequence: flat, then after each movement."""
    root = main_body(piece_tree(resolved.pieces)) if key == CLOSING else key
    return _frames(resolved, root, movements(resolved, key), projection)


def _frames(
    resolved: ResolvedDesign, root: str, steps: Sequence[Movement], projection: Projection
) -> tuple[Frame, ...]:
    folded = folded_stages(resolved, root, [step.motion for step in steps])
    flat, *rest = stages = _swung(resolved, folded, steps)
    begun = raised_faces(resolved, only(flat, steps[0].pieces), projection)
    glued = glued_tabs(resolved.pieces[root])
    frames = [Frame(begun, words_of(resolved).phrase("draw_state_flat"), glued=glued)]
    for step, before, after in zip(steps, stages, rest, strict=False):
        # What a movement brings along is there before it, flat.
        earlier = [key for key in step.pieces if key not in step.added]
        there = only(before, earlier), only(after, step.pieces)
        frame = moved_frame(resolved, *there, step, projection)
        frames.append(replace(frame, glued=glued))
    return tuple(frames)


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
) -> Frame:
    """The work after a movement, with where it was before."""
    was, now = poses_of(before), poses_of(after)
    moved = {face for face, pose in now.items() if was.get(face, pose) != pose}
    there = [face for face in before if (face.piece, face.face) in moved]
    bold = outermost(resolved, there)
    ghosts = raised_faces(
        resolved, [face for face in there if (face.piece, face.face) in bold], projection
    )
    ways = [*arrow_ways(resolved, was, now, step.motion), *pivot_ways(resolved, before, after)]
    return Frame(
        faces=raised_faces(resolved, after, projection),
        caption=step.caption,
        bold=bold,
        ghosts=tuple(ghost.rings[0] for ghost in ghosts),
        arrows=tuple(tuple(projection(place) for place in way) for way in ways),
    )


def outermost(resolved: ResolvedDesign, faces: Sequence[PlacedFace]) -> frozenset[FaceKey]:
    """The faces that do not lie on a larger one: their edges are those of the whole."""
    slabs = [placed(f.pose, resolved.pieces[f.piece].face(f.face).box) for f in faces]
    return frozenset(
        (face.piece, face.face)
        for face, slab in zip(faces, slabs, strict=True)
        if not any(other != slab and other.contains(slab) for other in slabs)
    )


def fold_scene(resolved: ResolvedDesign, key: str, max_width: float, max_height: float) -> Scene:
    """A sequence as small multiples, within ``max_width`` x ``max_height`` mm."""
    is_whole = key == CLOSING
    root = main_body(piece_tree(resolved.pieces)) if is_whole else key
    steps = movements(resolved, key)
    frames = _frames(resolved, root, steps, ISOMETRIC)
    name = resolved.design.title if is_whole else resolved.pieces[key].title
    title = words_of(resolved).phrase("draw_closing" if is_whole else "draw_folding", name=name)
    words = _words(resolved, steps)
    return frames_scene(resolved, f"folds-{key}", title, frames, words, max_width, max_height)


def fold_equivalent(resolved: ResolvedDesign, key: str) -> str:
    """The sequence in words, with the angle of each fold."""
    return _words(resolved, movements(resolved, key))


def _words(resolved: ResolvedDesign, steps: Sequence[Movement]) -> str:
    wording = words_of(resolved)
    sentences = [wording.phrase("draw_frame_flat")]
    for letter, step in zip("bcdefghijklmnopqrstuvwxyz", steps, strict=False):
        folds, caption = _angle_words(resolved, step.motion), step.caption
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

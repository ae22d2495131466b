"""Flaps and pockets open, half way and closed, with what lies beneath them.

In: a resolved design and a flap or an insert, the room on paper.  Out: a scene of three frames in
isometric projection.  A flap is whatever moves in one movement of the closing; a frame shows what
it hangs on, with the flaps that close before it shut and those of other parts left out.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache

from builder.drawings.axonometric import ISOMETRIC, Projection
from builder.drawings.fold_sequence import moved_frame
from builder.drawings.frames import Frame, frames_scene
from builder.drawings.layers_apart import held_words, pile
from builder.drawings.movements import (
    CLOSING,
    Movement,
    aside_words,
    boxes_folded,
    fold_sequences,
    makers_turns,
    over_words,
    turn_words,
)
from builder.drawings.pivots import holding_pivots, is_held_in, turned_aside, turned_over
from builder.drawings.plane import Place
from builder.drawings.put_on import goes_round, in_space
from builder.drawings.raised_view import raised_faces, visible_keys
from builder.drawings.scene import Scene
from builder.drawings.wording import named, words_in, words_of
from builder.geometry.areas import travel
from builder.geometry.edges import EdgeName, outward
from builder.geometry.pose import shifted
from builder.resolve.closed_for_good import closed_for_good, slid_in
from builder.resolve.placement import FaceKey, folds_outward, main_body, tree_of
from builder.resolve.resolved import REMEMBERED, PlacedFace, ResolvedDesign
from builder.resolve.turns import Turn, flat_faces, fold_line, folded_faces, in_layer_order
from builder.work.plates import FaceKey as WorkFace

#: The edges that an insert may slide in over, the likeliest first.
_EDGES: tuple[EdgeName, ...] = ("top", "right", "left", "bottom")


def moving_flaps(resolved: ResolvedDesign) -> tuple[str, ...]:
    """The keys of the movements that turn a part over, in closing order: each is the first piece
    of the movement, with its section if it is one."""
    others = {key for key in fold_sequences(resolved) if key != CLOSING}
    others |= {key for key, piece in resolved.pieces.items() if goes_round(piece)}
    folded = boxes_folded(resolved).keys()
    return tuple(
        flap_key(turn)
        for turn in makers_turns(resolved)
        if not any(k in others for k, _ in turn.entries) and not turn.angles.keys() <= folded
    )


def flap_key(turn: Turn) -> str:
    """``top_hinge``, or ``envelope.left_flap``."""
    piece, section = turn.entries[0]
    return f"{piece}.{section}" if section else piece


def flap_stages(resolved: ResolvedDesign, key: str) -> tuple[tuple[PlacedFace, ...], ...]:
    """What is shown of the work with the flap open, half way and closed."""
    return _stages(resolved, *_turn_of(resolved, key))


def _turn_of(resolved: ResolvedDesign, key: str) -> tuple[Turn, tuple[Turn, ...]]:
    """The movement of a flap, and those before it."""
    sequence = makers_turns(resolved)
    number = next(n for n, turn in enumerate(sequence) if flap_key(turn) == key)
    return sequence[number], sequence[:number]


def _stages(
    resolved: ResolvedDesign, turn: Turn, earlier: Sequence[Turn]
) -> tuple[tuple[PlacedFace, ...], ...]:
    tree = tree_of(resolved)
    main, shown = main_body(tree), _shown_with(resolved, turn, earlier)
    done = [before.angles for before in earlier]
    opened, half, closed = (
        folded_faces(resolved, main, in_layer_order(resolved, motions))
        for motions in (done, [*done, turn.half(tree)], [*done, turn.angles])
    )
    swung = []
    for stage in (opened, half, closed):
        for pivot in holding_pivots(resolved):
            if is_held_in(pivot, turn):
                stage = turned_aside(resolved, stage, pivot, closed)
            elif any(is_held_in(pivot, before) for before in earlier):
                stage = turned_over(resolved, stage, pivot)
        swung.append(stage)
    return tuple(
        tuple(face for face in stage if (face.piece, face.face) in shown) for stage in swung
    )


def _shown_with(resolved: ResolvedDesign, turn: Turn, earlier: Sequence[Turn]) -> set[FaceKey]:
    """The faces joined to the flap without passing a fold that is still open elsewhere; what is
    glued over a fold that is passed goes with both its sides."""
    own = {key for key, _ in turn.entries}
    if own <= set(slid_in(resolved)):
        # It is folded before it is slid in, by itself.
        return _faces_below(resolved, own)
    closed = {face for before in (*earlier, turn) for face in before.angles}
    is_extra = any(resolved.pieces[key].source.present == "closed" for key in own)
    contacts: dict[FaceKey, list[FaceKey]] = {}
    for key, piece in resolved.pieces.items():
        if piece.source.present == "closed" and not is_extra:
            continue
        pairs = [
            ((key, staying), (key, hanging))
            for staying, hanging, _ in folds_outward(piece)
            if key in own or (key, hanging) in closed or _lies_over(resolved, (key, hanging), own)
        ]
        if piece.source.placement is not None:
            pairs.append(((key, piece.by), (piece.source.placement.host, piece.host_face)))
        for first, second in pairs:
            contacts.setdefault(first, []).append(second)
            contacts.setdefault(second, []).append(first)
    start = (turn.entries[0][0], resolved.pieces[turn.entries[0][0]].by)
    found, waiting = {start}, [start]
    while waiting:
        for other in contacts.get(waiting.pop(), ()):
            if other not in found:
                found.add(other)
                waiting.append(other)
    is_for_good = set(closed_for_good(resolved)).issuperset(turn.entries)
    return found - _faces_below(resolved, slid_in(resolved) if is_for_good else ())


def _lies_over(resolved: ResolvedDesign, hanging: FaceKey, pieces: Collection[str]) -> bool:
    """Whether the fold that a face hangs on lies on one of the piece that its own lies on, if that
    is among ``pieces``."""
    placement = resolved.pieces[hanging[0]].source.placement
    if placement is None or placement.host not in pieces:
        return False
    lines = _fold_lines(resolved)
    ends = (face for face in lines if face[0] == placement.host)
    return hanging in lines and any(lines[face] == lines[hanging] for face in ends)


@lru_cache(maxsize=REMEMBERED)
def _fold_lines(resolved: ResolvedDesign) -> Mapping[FaceKey, frozenset[tuple[int, Fraction]]]:
    """The line in the flat work of the fold that each face hangs on."""
    tree = tree_of(resolved)
    poses = {(f.piece, f.face): f.pose for f in flat_faces(resolved, main_body(tree))}
    return {
        (key, hanging): fold_line(score, poses[key, hanging])
        for key in {piece for piece, _ in poses}
        for _, hanging, score in folds_outward(resolved.pieces[key])
    }


def _faces_below(resolved: ResolvedDesign, keys: Iterable[str]) -> set[FaceKey]:
    tree = tree_of(resolved)
    pieces = (resolved.pieces[below] for key in keys for below in tree.below(key))
    return {(piece.key, face.name) for piece in pieces for face in piece.faces}


def flap_scene(resolved: ResolvedDesign, key: str, max_width: float, max_height: float) -> Scene:
    """A flap open, half way and closed, within ``max_width`` x ``max_height`` mm."""
    turn, earlier = _turn_of(resolved, key)
    stages = _stages(resolved, turn, earlier)
    frames = _flap_frames(resolved, turn, stages, ISOMETRIC)
    words = turn_words(resolved, turn)
    movement = f"{words[0].upper()}{words[1:]}"
    title = words_of(resolved).phrase("draw_flap_title", movement=movement)
    equivalent = _flap_words(resolved, turn, stages)
    name = f"flap-{key.replace('.', '-')}"
    return frames_scene(resolved, name, title, frames, equivalent, max_width, max_height)


def _flap_frames(
    resolved: ResolvedDesign,
    turn: Turn,
    stages: Sequence[Sequence[PlacedFace]],
    projection: Projection,
) -> tuple[Frame, ...]:
    opened, half, closed = stages
    wording = words_of(resolved)
    half_way = wording.phrase("draw_half_way")
    way = Movement(turn.half(tree_of(resolved)), (), half_way)
    rest = Movement(turn.angles, (), wording.phrase("draw_state_closed"))
    pivots = [pivot for pivot in holding_pivots(resolved) if is_held_in(pivot, turn)]
    caption = wording.phrase("draw_state_open")
    frames = [
        Frame(
            raised_faces(resolved, opened, projection),
            aside_words(resolved, pivots, caption) if pivots else caption,
        ),
        moved_frame(resolved, opened, half, way, projection),
        moved_frame(resolved, half, closed, rest, projection),
    ]
    if pivots:
        held = closed
        for pivot in pivots:
            held = turned_over(resolved, held, pivot)
        last = Movement({}, (), over_words(resolved, pivots))
        frames.append(moved_frame(resolved, closed, held, last, projection))
    return tuple(frames)


def flap_equivalent(resolved: ResolvedDesign, key: str) -> str:
    """What moves, what it hides when it is closed, and what only then is seen."""
    turn, earlier = _turn_of(resolved, key)
    return _flap_words(resolved, turn, _stages(resolved, turn, earlier))


def _flap_words(
    resolved: ResolvedDesign, turn: Turn, stages: Sequence[Sequence[PlacedFace]]
) -> str:
    opened, _, closed = (visible_keys(raised_faces(resolved, stage, ISOMETRIC)) for stage in stages)
    hidden = [k for k in resolved.pieces if k in opened and k not in closed]
    shown = [k for k in resolved.pieces if k in closed and k not in opened]
    wording = words_of(resolved)
    sentences = [wording.phrase("draw_flap_words", movement=turn_words(resolved, turn))]
    pivots = [pivot for pivot in holding_pivots(resolved) if is_held_in(pivot, turn)]
    if pivots:
        words = over_words(resolved, pivots)
        sentences.append(wording.phrase("draw_at_last", movement=words))
    for keys, name in ((hidden, "draw_hides"), (shown, "draw_shows")):
        if keys:
            names = wording.listed(named(resolved.pieces[key]) for key in keys)
            sentences.append(wording.phrase(name, names=names))
    return " ".join(sentences)


def filled_pockets(resolved: ResolvedDesign) -> tuple[str, ...]:
    """The inserts that slide into a pocket of the main body, in the order of the design; none that
    does not lie within what its pocket is glued to, which a check speaks of."""
    tree = tree_of(resolved)
    body = set(tree.below(main_body(tree))) if tree.roots else set()
    return tuple(
        key
        for key, piece in resolved.pieces.items()
        if key in body
        and piece.is_in_pocket
        and piece.source.placement is not None
        and mouth_of(resolved, key)
        and _lies_within(resolved, key, piece.source.placement.host)
    )


def _lies_within(resolved: ResolvedDesign, insert: str, pocket: str) -> bool:
    layers = pile(resolved, WorkFace(*_ground(resolved, pocket)))
    return {insert, pocket} <= {layer.placed.piece for layer in layers}


def mouth_of(resolved: ResolvedDesign, insert: str) -> EdgeName | None:
    """The edge of its pocket, as the flat work lies, that an insert slides in over, if any.

    Of several free edges it is the one that the insert looks out of farthest.
    """
    piece = resolved.pieces[insert]
    offsets = piece.offsets
    assert piece.source.placement is not None and offsets is not None
    glue = resolved.pieces[piece.source.placement.host].glue
    free = [edge for edge in _EDGES if edge not in glue.edges and not glue.is_all_over]
    return min(free, key=offsets.at, default=None)


def pocket_stages(resolved: ResolvedDesign, insert: str) -> tuple[tuple[PlacedFace, ...], ...]:
    """The pocket on what it is glued to, with the insert before it, half in and in."""
    tree = tree_of(resolved)
    placement = resolved.pieces[insert].source.placement
    assert placement is not None
    layers = pile(resolved, WorkFace(*_ground(resolved, placement.host)))
    carried = set(tree.below(insert))
    pocket = next(layer for layer in layers if layer.placed.piece == placement.host)
    own = next(layer for layer in layers if layer.placed.piece == insert)
    mouth = mouth_of(resolved, insert)
    assert mouth is not None
    edge = in_space(pocket.placed, mouth)
    way = travel(own.box, edge, pocket.box)
    x, y = outward(edge)
    return tuple(
        tuple(
            _moved(layer.placed, x * out, y * out)
            if layer.placed.piece in carried
            else layer.placed
            for layer in layers
        )
        for out in (way, way / 2, Fraction(0))
    )


def _ground(resolved: ResolvedDesign, pocket: str) -> FaceKey:
    """The largest face that the pocket lies on, by its hosts, each within the next."""
    tree = tree_of(resolved)
    faces = {(f.piece, f.face): resolved.slab(f) for f in flat_faces(resolved, main_body(tree))}
    ground = (pocket, resolved.pieces[pocket].by)
    while (placement := resolved.pieces[ground[0]].source.placement) is not None:
        host = (placement.host, resolved.pieces[ground[0]].host_face)
        if ground[1] != resolved.pieces[ground[0]].by or not faces[host].contains(faces[ground]):
            break
        ground = host
    return ground


def _moved(face: PlacedFace, dx: Fraction, dy: Fraction) -> PlacedFace:
    return replace(face, pose=shifted(dx, dy).then(face.pose))


def pocket_frames(
    resolved: ResolvedDesign, insert: str, projection: Projection = ISOMETRIC
) -> tuple[Frame, ...]:
    bold = frozenset((insert, face.name) for face in resolved.pieces[insert].faces)
    stages = pocket_stages(resolved, insert)
    wording = words_of(resolved)
    captions = [wording.phrase(name) for name in ("draw_out", "draw_half_in", "draw_in")]
    middles = [_middle(resolved, stage, insert, projection) for stage in stages]
    found = []
    for number, (stage, caption) in enumerate(zip(stages, captions, strict=True)):
        ways = ((middles[number], middles[number + 1]),) if number < 2 else ()
        faces = raised_faces(resolved, stage, projection)
        found.append(Frame(faces, caption, bold, arrows=ways))
    return tuple(found)


def _middle(
    resolved: ResolvedDesign, stage: Sequence[PlacedFace], piece: str, projection: Projection
) -> Place:
    face = next(face for face in stage if face.piece == piece)
    middle = resolved.pieces[piece].face(face.face).box.centre
    x, y, z = face.pose.apply(middle.x, middle.y)
    return projection((float(x), float(y), float(z)))


def pocket_scene(
    resolved: ResolvedDesign, insert: str, max_width: float, max_height: float
) -> Scene:
    """An insert before its pocket, half in and in, within ``max_width`` x ``max_height`` mm."""
    piece = resolved.pieces[insert]
    title = words_of(resolved).phrase("draw_pocket_title", piece=piece.title)
    words = pocket_equivalent(resolved, insert)
    frames = pocket_frames(resolved, insert)
    return frames_scene(resolved, f"pocket-{insert}", title, frames, words, max_width, max_height)


def pocket_equivalent(resolved: ResolvedDesign, insert: str) -> str:
    piece = resolved.pieces[insert]
    assert piece.source.placement is not None and piece.offsets is not None
    host, units = resolved.pieces[piece.source.placement.host], resolved.edition.units
    edge = mouth_of(resolved, insert)
    assert edge is not None
    out = -piece.offsets.at(edge)
    wording = words_in(units)
    name = "draw_looks_out" if out > 0 else "draw_lies_below"
    return wording.phrase(
        "draw_pocket",
        piece=named(piece),
        edge=wording.places[edge],
        host=named(host),
        held=held_words(resolved, host),
        reach=wording.phrase(name, length=units.text(abs(out))),
    )

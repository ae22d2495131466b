"""Movements in words: what a maker is told beside each picture, and what is read out of it.

In: a resolved design and its movements.  Out: captions and text equivalents, from the same facts
that the pictures are drawn from.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from fractions import Fraction
from string import ascii_lowercase
from typing import Literal

from gatherfold.drawings.kernel.wording import face_of, face_words, named, words_of
from gatherfold.drawings.motion.frames import MotionFrame
from gatherfold.drawings.motion.movements import Move, Movements, is_tab, move_is_to_and_fro
from gatherfold.geometry import EdgeName, Exact, edge_towards
from gatherfold.model import is_valley
from gatherfold.resolve import ResolvedDesign
from gatherfold.wording import Wording
from gatherfold.work import (
    Assembly,
    FaceKey,
    Place,
    Placing,
    Turn,
    Way,
    Work,
    goes_inside,
    size,
    work_of,
)

#: The angle of a fold that turns something right over.
_TURNED_OVER = 180
#: So many sections that move together are named; of more it is said how many they are.
_MOST_SECTIONS = 4


def caption_of(resolved: ResolvedDesign, move: Move, still: FaceKey) -> str:
    """What is done in a movement, as it is seen where one face stays ``still``."""
    wording = words_of(resolved)
    if move.tie:
        return _tie_words(resolved, move.tie)
    if move.placing is not None:
        return _placing_words(resolved, move.placing)
    if move.swing is None:
        return _turn_words(resolved, move, still)
    source = resolved.fastenings[move.swing.fastening].source
    part = named(resolved.pieces[source.through[0]])
    if move.swing.is_aside:
        return wording.phrase("draw_swing_aside", part=part)
    held = named(resolved.pieces[source.holds or ""])
    return wording.phrase("draw_turn_over", part=part, held=held)


def _turn_words(resolved: ResolvedDesign, move: Move, still: FaceKey) -> str:
    wording = words_of(resolved)
    turns = (*move.turns, *move.alike)
    pieces = dict.fromkeys(turn.fold.piece for turn in turns)
    codes = wording.listed(resolved.pieces[key].code for key in pieces)
    glued = {bond.adhesive.face for bond in move.glued if bond.adhesive is not None}
    is_glued = all(turn.fold.face in glued for turn in move.turns)
    if all(is_tab(resolved, turn.fold) for turn in turns) and not is_glued:
        return _bend_words(resolved, turns, codes)
    called = _sections_of(resolved, turns, still)
    names = wording.listed(_names_of(resolved, called))
    if not move.turns[0].is_closing:
        return wording.phrase("draw_open", names=names)
    if all(len(turn.quarters) == 1 for turn in turns) and len(pieces) == len(turns) > 1:
        return wording.phrase("draw_stand_up", names=names)
    if move_is_to_and_fro(move):
        named_all = wording.listed(named(resolved.pieces[key]) for key in pieces)
        return wording.phrase("draw_to_and_fro", names=named_all)
    words = wording.phrase("draw_close", names=names)
    if under := _tucked_under(move):
        tucked = wording.listed(_face_beside(resolved, key, called) for key in under)
        words = wording.phrase("draw_tuck_under", movement=words, names=tucked)
    return _glued_words(resolved, move, called, words) if glued else words


def _glued_words(
    resolved: ResolvedDesign, move: Move, called: Mapping[str, Sequence[str]], words: str
) -> str:
    """A movement with where its tabs are glued, what else it brings to glue, or that it is for
    good."""
    wording = words_of(resolved)
    glued = {bond.adhesive.face for bond in move.glued if bond.adhesive is not None}
    is_glued = all(turn.fold.face in glued for turn in move.turns)
    ends = {None} if is_glued else {_end_of(work_of(resolved), move.after, face) for face in glued}
    if len(ends) == 1 and None not in ends:
        return wording.counted(f"draw_tabs_{ends.pop()}", len(glued), movement=words)
    stuck = () if is_glued else _glued_elsewhere(move, called)
    if stuck:
        names = wording.listed(_face_beside(resolved, key, called) for key in stuck)
        return wording.phrase("draw_glue_down", movement=words, names=names)
    count = sum(len(faces) or 1 for faces in called.values())
    return wording.counted("draw_close_for_good", count, movement=words)


def _face_beside(resolved: ResolvedDesign, key: FaceKey, called: Mapping[str, object]) -> str:
    """A face by name, after its piece has been named or not."""
    words = _section_words(words_of(resolved), key.face)
    return words if key.piece in called else face_of(resolved, key)


def _section_words(wording: Wording, section: str) -> str:
    """A section by name; by a letter alone it would be taken for a picture."""
    words = face_words(section)
    return wording.phrase("draw_lettered_section", section=words) if len(words) == 1 else words


def _tucked_under(move: Move) -> tuple[FaceKey, ...]:
    """What lies over faces when their folds have closed them over what they hang on, and did not
    before: the outermost of it."""
    found: dict[FaceKey, None] = {}
    for turn in move.turns:
        before, after, own = turn.before, turn.after, turn.fold.face
        way = after.is_above(before.creases[turn.fold].staying, own)
        others = after.plates.keys() - turn.moved if way is not None else ()
        met = [key for key in after.plates if key in others and before.side_of(own, key) is None]
        over = [key for key in met if after.is_above(own, key) is way]
        found |= {k: None for k in over if all(after.is_above(k, other) != way for other in over)}
    return tuple(found)


def _bend_words(resolved: ResolvedDesign, turns: Sequence[Turn], codes: str) -> str:
    """That tabs are bent, and which face of them is glued."""
    wording, work = words_of(resolved), work_of(resolved)
    words = wording.counted("draw_bend_tabs", len(turns), codes=codes)
    found = (_end_of(work, turn.before, turn.fold.face) for turn in turns)
    ends = {end for end in found if end is not None}
    if not ends:
        return words
    faces = {"inside": "draw_glue_outer_face", "outside": "draw_glue_inner_face"}
    name = faces[ends.pop()] if len(ends) == 1 else "draw_glue_hatched_face"
    return wording.counted(name, len(turns), movement=words)


def _glued_elsewhere(move: Move, called: Mapping[str, Sequence[str]]) -> tuple[FaceKey, ...]:
    """The faces that a movement brings to glue, where they are others than it is called by."""
    moved = {key for turn in move.turns for key in turn.moved}
    stuck = {key: None for bond in move.glued for key in bond.faces if key in moved}
    own = (key for key in stuck if key.piece in called)
    is_called = all(key.face in (called[key.piece] or [key.face]) for key in own)
    return () if is_called else tuple(stuck)


def _end_of(work: Work, assembly: Assembly, tab: FaceKey) -> Literal["inside", "outside"] | None:
    """On which side of what it meets a face comes to lie that stands off a fold, by the side of it
    that is glued: its outer face meets a wall from inside.  None where it is not glued so."""
    crease = next((c for c in assembly.creases.values() if c.hanging == tab), None)
    sides = {
        bond.adhesive.side
        for moment in work.moments
        for bond in moment.bonds
        if bond.adhesive is not None and bond.adhesive.face == tab
    }
    if crease is None or crease.closed == _TURNED_OVER or len(sides) != 1:
        return None
    return "outside" if is_valley(crease.sense) == (sides == {1}) else "inside"


def _names_of(resolved: ResolvedDesign, called: Mapping[str, Sequence[str]]) -> Iterator[str]:
    """What moves, by name: whole pieces, and sections with all pieces that have them alike."""
    wording = words_of(resolved)
    owners: dict[tuple[str, ...], list[str]] = {}
    for piece, faces in called.items():
        owners.setdefault(tuple(faces), []).append(named(resolved.pieces[piece]))
    for faces, pieces in owners.items():
        if not faces:
            yield from pieces
            continue
        is_many = len(faces) > _MOST_SECTIONS
        words = (_section_words(wording, face) for face in faces)
        listed = str(len(faces)) if is_many else wording.listed(words)
        phrase = "draw_many_sections" if is_many else "draw_sections"
        yield wording.phrase(phrase, sections=listed, pieces=wording.listed(pieces))


def _sections_of(
    resolved: ResolvedDesign, turns: Sequence[Turn], still: FaceKey
) -> dict[str, tuple[str, ...]]:
    """The pieces that turns are seen to move where one face stays, each with its sections that they
    are called by, of folds that carry one another the largest; with none where all of it is meant.
    """
    seen = [(turn, _seen_to_move(turn, still)) for turn in turns]
    sections: dict[str, dict[str, None]] = {}
    turned: dict[str, set[str]] = {}
    for turn, moved in seen:
        chain = [_called(*each) for each in seen if each[1] & moved]
        key = max(chain, key=lambda found: found[1])[0]
        sections.setdefault(key.piece, {})[key.face] = None
        turned.setdefault(key.piece, set()).add(turn.fold.hanging)
    counts = {piece: len(resolved.pieces[piece].faces) for piece in sections}
    return {
        piece: () if counts[piece] in (1, len(turned[piece]) + 1) else tuple(faces)
        for piece, faces in sections.items()
    }


def _seen_to_move(turn: Turn, still: FaceKey) -> frozenset[FaceKey]:
    """What a fold moves, where one face stays: the other side of it, if it would move that."""
    return frozenset(turn.before.plates) - turn.moved if still in turn.moved else turn.moved


def _called(turn: Turn, moved: frozenset[FaceKey]) -> tuple[FaceKey, Exact]:
    """What a turn is called by, with its area: the largest face that it moves, or the section that
    hangs on the fold, where no other piece is larger."""
    areas = {key: turn.before.plates[key].bounds.area for key in moved}
    largest = [key for key, area in areas.items() if area == max(areas.values())]
    own = [key for key in largest if key.piece == turn.fold.piece]
    if own and turn.fold.face in moved:
        own = [turn.fold.face]
    found = min(own or largest)
    return found, areas[found]


def _placing_words(resolved: ResolvedDesign, placing: Placing) -> str:
    """How something goes on or in: lowered, slid on round what is there, or into it."""
    wording = words_of(resolved)
    part, held = (named(resolved.pieces[key]) for key in (placing.piece, placing.host.piece))
    after = placing.put.after
    own = [key for key in after.plates if key not in placing.before.plates]
    if placing.put.way is Way.LOWERED:
        return wording.phrase(
            "draw_lower_into" if goes_inside(placing) else "draw_lower", part=part, held=held
        )
    sides = {after.is_above(placing.host, key) for key in own} - {None}
    name = "draw_slide_on" if len(sides) > 1 else "draw_slide_into"
    return wording.phrase(name, part=part, held=held)


def _tie_words(resolved: ResolvedDesign, tie: str) -> str:
    """Where a ribbon goes round the closed work, or that its ends are tied."""
    fastening, wording = resolved.fastenings[tie], words_of(resolved)
    if fastening.source.round is None or fastening.point is None:
        return wording.phrase("draw_tie", name=fastening.source.title)
    stock = resolved.stocks[fastening.source.stock or ""].source.title
    over = resolved.pieces[fastening.source.round]
    is_left = 2 * fastening.point.x <= over.width
    edge: EdgeName = "left" if is_left else "right"
    place = fastening.point.x if is_left else over.width - fastening.point.x
    return wording.phrase(
        "draw_tie_round",
        name=wording.within_sentence(stock),
        piece=over.code,
        distance=resolved.edition.units.text(place),
        edge=wording.places[edge],
    )


def title_of(sequence: Movements) -> str:
    """The name of a sequence: that of its step, or of the closing."""
    design, wording = sequence.resolved.design, words_of(sequence.resolved)
    if not sequence.step:
        return wording.phrase("draw_closing", name=design.title)
    title = design.steps[sequence.step - 1].title
    return wording.phrase("draw_step_moves", number=sequence.step, title=title)


def start_words(
    resolved: ResolvedDesign, assembly: Assembly, is_turned_over: bool, pieces: Iterable[str]
) -> str:
    """How the work is before the first movement; ``pieces`` are what else would be taken for it."""
    wording = words_of(resolved)
    is_level = len({plate.axis for plate in assembly.plates.values()}) == 1
    is_folded = any(assembly.angle(f) and not assembly.is_locked(f) for f in assembly.creases)
    words = wording.phrase("draw_state_flat" if is_level and not is_folded else "draw_so_far")
    if is_turned_over:
        words = wording.phrase("draw_turned_over", state=words)
    codes = wording.listed(resolved.pieces[key].code for key in pieces)
    return wording.phrase("draw_state_of", codes=codes, state=words) if codes else words


def equivalent_of(resolved: ResolvedDesign, frames: Iterable[MotionFrame]) -> str:
    """A sequence in words: of each frame its caption and movement, and the pieces that it hides."""
    wording, sentences = words_of(resolved), []
    for letter, frame in zip(ascii_lowercase, frames, strict=False):
        move = frame.move
        folds = _angle_words(resolved, move) if move is not None else ""
        name = "draw_frame" if folds else "draw_frame_turned"
        sentences.append(wording.phrase(name, letter=letter, caption=frame.caption, folds=folds))
        if move is not None and move.placing is not None and any(move.placing.put.out):
            sentences += _reach_words(resolved, move.placing)
        if frame.hidden:
            names = wording.listed(named(resolved.pieces[key]) for key in frame.hidden)
            sentences.append(wording.phrase("draw_hides", names=names))
    return " ".join(sentences)


def _angle_words(resolved: ResolvedDesign, move: Move) -> str:
    """``2 valley folds to 90 degrees``, by kind and angle."""
    found: dict[tuple[str, int], int] = {}
    for turn in (*move.turns, *move.alike):
        each = turn.before.creases[turn.fold].sense, turn.after.angle(turn.fold)
        found[each] = found.get(each, 0) + 1
    wording = words_of(resolved)
    return wording.listed(
        wording.counted(f"draw_{fold}_to", count, angle=angle)
        for (fold, angle), count in found.items()
    )


def _reach_words(resolved: ResolvedDesign, placing: Placing) -> Iterator[str]:
    """Over which edge of its host something slides in, and how far it looks out there or lies below
    that edge."""
    after, host = placing.put.after, placing.host
    plate = after.plates[host]
    home = plate.pose.undone()
    x, y, z = home.direction(_signs(placing.put.out))
    if placing.put.way is not Way.SLID or z:
        return
    own = [p.moved(home) for key, p in after.plates.items() if key not in placing.before.plates]
    axis, way = (0, x) if x else (1, y)
    ends = [max(way * end for end in each.extent(axis)) for each in (*own, plate.moved(home))]
    out = max(ends[:-1]) - ends[-1]
    units, wording = resolved.edition.units, words_of(resolved)
    name = "draw_looks_out" if out > 0 else "draw_lies_below"
    length = units.text(Fraction(size(out)) / work_of(resolved).scale)
    yield wording.phrase(
        "draw_pocket",
        piece=named(resolved.pieces[placing.piece]),
        edge=wording.places[edge_towards(x, y)],
        host=named(resolved.pieces[host.piece]),
        reach=wording.phrase(name, length=length),
    )


def _signs(way: Place) -> tuple[int, int, int]:
    x, y, z = ((length > 0) - (length < 0) for length in way)
    return x, y, z

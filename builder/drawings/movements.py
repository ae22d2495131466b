"""What is moved to fold a piece or to close the whole work, one movement at a time, and its words.

In: a resolved design and the key of a sequence.  Out: :class:`Movement` values in an order in which
nothing is in the way.  A box is folded tabs first, then the walls that carry them, then the walls
that close against the tabs; the flaps of other work close in the design's order, ribbons are tied
when nothing that they hold moves any more, bands are slid on and lids go down on their boxes.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal, assert_never

from builder.drawings.pivots import (
    held_by,
    holding_pivots,
    is_held_in,
    part_of,
)
from builder.drawings.put_on import is_box, lids, slid_on
from builder.drawings.ribbons import tied_after
from builder.drawings.round_ribbons import round_ties
from builder.drawings.wording import face_words, named, words_of
from builder.geometry.edges import EdgeName
from builder.resolve.closed_for_good import closed_for_good, slid_in, there_when_closed
from builder.resolve.placement import (
    FaceKey,
    closed_angles,
    folds_outward,
    main_body,
    tree_of,
)
from builder.resolve.resolved import (
    ResolvedDesign,
    ResolvedFastening,
    ResolvedPiece,
)
from builder.resolve.turns import (
    Angles,
    Turn,
    moved_faces,
    turns,
)
from builder.wording import Wording

#: The sequence of the whole work, as against that of one box-like piece.
CLOSING = "closing"


@dataclass(frozen=True)
class Movement:
    """One frame's motion: the folds with their new angles, the pieces there, and its words.

    Parts that turn on a brad are turned ``aside`` for it, or then ``over`` what they hold, and
    stay over it: both are names of fastenings.  ``added`` are pieces put on after the motion,
    ``put_on`` a lid or band that goes on whole with all that lies on it, whatever the motion, and
    ``tied`` ribbons that are tied.
    """

    motion: Angles
    pieces: tuple[str, ...]
    caption: str
    aside: tuple[str, ...] = ()
    over: tuple[str, ...] = ()
    added: tuple[str, ...] = ()
    put_on: str = ""
    tied: tuple[str, ...] = ()


def fold_sequences(resolved: ResolvedDesign) -> tuple[str, ...]:
    """The keys of the sequences that a design needs: its box-like pieces, and ``closing`` when
    parts close one over another or a lid goes on."""
    boxes = tuple(key for key, piece in resolved.pieces.items() if is_box(resolved, piece))
    closes = len(_closing_turns(resolved)) > 1 or lids(resolved)
    return (*boxes, CLOSING) if closes else boxes


def _closing_turns(resolved: ResolvedDesign) -> tuple[Turn, ...]:
    """The movements of the whole work, boxes left out with what stands up in them before."""
    folded = boxes_folded(resolved)
    return tuple(turn for turn in makers_turns(resolved) if not turn.angles.keys() <= folded.keys())


def makers_turns(resolved: ResolvedDesign) -> tuple[Turn, ...]:
    """The movements in the order in which the maker's hands do them: sections that a step closes
    for good come first.  The layers are always those of the design's own closing order."""
    return tuple(sorted(turns(resolved), key=lambda turn: not _is_for_good(resolved, turn)))


def _is_for_good(resolved: ResolvedDesign, turn: Turn) -> bool:
    return set(closed_for_good(resolved)).issuperset(turn.entries)


def _is_glued_down(resolved: ResolvedDesign, turn: Turn) -> bool:
    """Whether a step closes sections for good, and glues them."""
    glued = {(key, seam.section) for key, _ in turn.entries for seam in resolved.pieces[key].seams}
    return _is_for_good(resolved, turn) and not glued.isdisjoint(turn.entries)


def _is_slid_in(resolved: ResolvedDesign, turn: Turn) -> bool:
    inserts = slid_in(resolved)
    return all(key in inserts for key, _ in turn.entries)


def boxes_folded(resolved: ResolvedDesign) -> Angles:
    """The angles of the boxes, which are folded before the whole work closes, and of what stands up
    in them before."""
    boxes = [key for key, piece in resolved.pieces.items() if is_box(resolved, piece)]
    return {
        face: angle
        for turn in turns(resolved)
        if any(key in boxes for key, _ in turn.entries)
        or any(turn in _standing_in(resolved, key) for key in boxes)
        for face, angle in turn.angles.items()
    }


def _standing_in(resolved: ResolvedDesign, box: str) -> tuple[Turn, ...]:
    """The movements before that of a box, of what lies on it and is no box: dividers stand up
    before the walls do."""
    below = set(tree_of(resolved).below(box)) - {box}
    sequence = turns(resolved)
    own = next((n for n, turn in enumerate(sequence) if (box, "") in turn.entries), 0)
    return tuple(
        turn
        for turn in sequence[:own]
        if all(k in below and not is_box(resolved, resolved.pieces[k]) for k, _ in turn.entries)
    )


def movements(resolved: ResolvedDesign, key: str) -> tuple[Movement, ...]:
    """The motions of a sequence, in an order in which nothing is in the way."""
    if key == CLOSING:
        return _closing_movements(resolved)
    return _box_movements(resolved, resolved.pieces[key])


def _closing_movements(resolved: ResolvedDesign) -> tuple[Movement, ...]:
    tree = tree_of(resolved)
    body = list(tree.below(main_body(tree)))
    inserts, wording = slid_in(resolved), words_of(resolved)
    sequence = [t for t in _closing_turns(resolved) if not _is_slid_in(resolved, t)]
    tied, found = tied_after(resolved, sequence), []
    shut = sum(_is_for_good(resolved, turn) for turn in sequence)
    lid_pieces = {below for key in lids(resolved) for below in tree.below(key)}
    body = [key for key in body if key not in lid_pieces]
    later = {below for key in inserts for below in tree.below(key)}
    there = {key for key in body if resolved.pieces[key].source.present != "closed"} - later
    for number, turn in enumerate(sequence, start=1):
        before = set(there)
        for key, _ in turn.entries:
            if resolved.pieces[key].source.present == "closed":
                there.update(tree.below(key))
        slid = slid_on(resolved, turn)
        caption = turn_words(resolved, turn)
        if _is_glued_down(resolved, turn):
            caption = wording.phrase("draw_close_for_good", movement=caption)
        if slid:
            caption = wording.phrase("draw_slide_on", part=named(resolved.pieces[slid]))
        elif there != before:
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
        found.append(Movement(turn.angles, pieces, caption, aside, added=added, put_on=slid))
        if pivots:
            found.append(Movement({}, pieces, over_words(resolved, pivots), over=aside))
        for tie in (key for key, last in tied.items() if last == number):
            caption = wording.phrase("draw_tie", name=resolved.fastenings[tie].source.title)
            found.append(Movement({}, pieces, caption, tied=(tie,)))
        for key in inserts if number == shut else ():
            there.update(tree.below(key))
            found.append(_sliding_in(resolved, key, tuple(k for k in body if k in there)))
    return (*found, *_lowering(resolved, body))


def _sliding_in(resolved: ResolvedDesign, key: str, pieces: tuple[str, ...]) -> Movement:
    """What is slid, folded shut if it folds, into a pocket that is closed for good."""
    motions = [t.angles for t in turns(resolved) if any(piece == key for piece, _ in t.entries)]
    folds = {face: angle for motion in motions for face, angle in motion.items() if face[0] == key}
    name = "draw_close_and_slide_into" if folds else "draw_slide_into"
    caption = words_of(resolved).phrase(name, part=named(resolved.pieces[key]))
    return Movement(folds, pieces, caption, put_on=key)


def _lowering(resolved: ResolvedDesign, body: Sequence[str]) -> Iterator[Movement]:
    """The lids of boxes, which go on when all else is closed, and the ribbons round them."""
    tree, pieces = tree_of(resolved), resolved.pieces
    there = [key for key in body if pieces[key].source.present != "open"]
    for key in lids(resolved):
        there += [k for k in tree.below(key) if pieces[k].source.present != "open"]
        host = pieces[key].source.placement
        held = named(pieces[host.host]) if host else ""
        caption = words_of(resolved).phrase("draw_lower", part=named(pieces[key]), held=held)
        yield Movement({}, tuple(there), caption, put_on=key)
    for tie in round_ties(resolved):
        yield Movement({}, tuple(there), _round_words(resolved, tie), tied=(tie,))


def _round_words(resolved: ResolvedDesign, tie: str) -> str:
    """Where a ribbon goes round the closed work."""
    fastening, wording = resolved.fastenings[tie], words_of(resolved)
    stock = resolved.stocks[fastening.source.stock or ""].source.title
    over = resolved.pieces[fastening.source.round or ""]
    assert fastening.point is not None
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
    """What stands up in it first, then tabs, what carries tabs and the rest; on it is what is there
    by then."""
    tree, there = tree_of(resolved), there_when_closed(resolved, piece.key)
    shown = (piece.source.present, "always")
    pieces = tuple(
        key
        for key in tree.below(piece.key)
        if resolved.pieces[key].source.present in shown
        and (there is None or key in there or key == piece.key)
    )
    tabs = {tab.name for tab in piece.source.tabs}
    carriers = {staying for staying, hanging, _ in folds_outward(piece) if hanging in tabs}
    groups: dict[_Group, dict[FaceKey, int]] = {"tabs": {}, "carriers": {}, "others": {}}
    for face, angle in closed_angles(piece).items():
        group: _Group = "tabs" if face in tabs else "carriers" if face in carriers else "others"
        groups[group][piece.key, face] = angle
    wording = words_of(resolved)
    inner = [turn for turn in _standing_in(resolved, piece.key) if _is_among(turn, pieces)]
    standing = []
    if inner:
        names = wording.listed(resolved.pieces[k].code for turn in inner for k, _ in turn.entries)
        motion = {face: angle for turn in inner for face, angle in turn.angles.items()}
        standing = [Movement(motion, pieces, wording.phrase("draw_stand_up", names=names))]
    folding = (
        Movement(motion, pieces, _box_words(piece, name, motion, wording))
        for name, motion in groups.items()
        if motion
    )
    return (*standing, *folding)


def _is_among(turn: Turn, pieces: Collection[str]) -> bool:
    return all(key in pieces for key, _ in turn.entries)


#: The faces of a box in the order in which they are folded: tabs, what carries them, the rest.
_Group = Literal["tabs", "carriers", "others"]


def _box_words(piece: ResolvedPiece, group: _Group, motion: Angles, wording: Wording) -> str:
    faces = wording.listed(face_words(face) for _, face in motion)
    match group:
        case "tabs":
            return wording.counted("draw_bend_tabs", len(motion), code=piece.code)
        case "others" if piece.source.tabs:
            return wording.phrase("draw_fold_over_tabs", code=piece.code, faces=faces)
        case "carriers" | "others":
            return wording.phrase("draw_fold_faces", code=piece.code, faces=faces)
        case _:
            assert_never(group)


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
    tree = tree_of(resolved)
    moved = moved_faces(tree, resolved.pieces[key])
    pieces = [resolved.pieces[k] for k in tree.below(key) if any(k == m for m, _ in moved)]
    # The first of equals: what carries the others.
    largest = max(pieces, key=lambda p: (p.width * p.height, -pieces.index(p)))
    return named(largest)

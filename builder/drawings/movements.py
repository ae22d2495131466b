"""What is moved to fold a piece or to close the whole work, one movement at a time, and its words.

In: a resolved design and the key of a sequence.  Out: :class:`Movement` values in an order in which
nothing is in the way.  A box is folded tabs first, then the walls that carry them, then the walls
that close against the tabs; the flaps of other work close in the design's order, ribbons are tied
when nothing that they hold moves any more, bands are slid on and lids go down on their boxes.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from builder.drawings.pivots import (
    held_by,
    holding_pivots,
    is_held_in,
    part_of,
)
from builder.drawings.put_on import is_box, lids, slid_on
from builder.drawings.ribbons import tied_after
from builder.drawings.wording import named, words_of
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
    """The movements of the whole work, box-like pieces left out."""
    return tuple(
        turn
        for turn in turns(resolved)
        if not any(is_box(resolved, resolved.pieces[key]) for key, _ in turn.entries)
    )


def boxes_folded(resolved: ResolvedDesign) -> Angles:
    """The angles of the boxes, which are folded before the whole work closes."""
    return {
        face: angle
        for turn in turns(resolved)
        if any(is_box(resolved, resolved.pieces[key]) for key, _ in turn.entries)
        for face, angle in turn.angles.items()
    }


def movements(resolved: ResolvedDesign, key: str) -> tuple[Movement, ...]:
    """The motions of a sequence, in an order in which nothing is in the way."""
    if key == CLOSING:
        return _closing_movements(resolved)
    return _box_movements(resolved, resolved.pieces[key])


def _closing_movements(resolved: ResolvedDesign) -> tuple[Movement, ...]:
    tree = tree_of(resolved)
    body = list(tree.below(main_body(tree)))
    sequence, wording = _closing_turns(resolved), words_of(resolved)
    tied, found = tied_after(resolved, sequence), []
    lid_pieces = {below for key in lids(resolved) for below in tree.below(key)}
    body = [key for key in body if key not in lid_pieces]
    there = {key for key in body if resolved.pieces[key].source.present != "closed"}
    for number, turn in enumerate(sequence, start=1):
        before = set(there)
        for key, _ in turn.entries:
            if resolved.pieces[key].source.present == "closed":
                there.update(tree.below(key))
        slid = slid_on(resolved, turn)
        caption = turn_words(resolved, turn)
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
    return (*found, *_lowering(resolved, body))


def _lowering(resolved: ResolvedDesign, body: Sequence[str]) -> Iterator[Movement]:
    """The lids of boxes, which go on when all else is closed."""
    tree, pieces = tree_of(resolved), resolved.pieces
    there = [key for key in body if pieces[key].source.present != "open"]
    for key in lids(resolved):
        there += [k for k in tree.below(key) if pieces[k].source.present != "open"]
        host = pieces[key].source.placement
        held = named(pieces[host.host]) if host else ""
        caption = words_of(resolved).phrase("draw_lower", part=named(pieces[key]), held=held)
        yield Movement({}, tuple(there), caption, put_on=key)


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
    tree = tree_of(resolved)
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
    tree = tree_of(resolved)
    moved = moved_faces(tree, resolved.pieces[key])
    pieces = [resolved.pieces[k] for k in tree.below(key) if any(k == m for m, _ in moved)]
    # The first of equals: what carries the others.
    largest = max(pieces, key=lambda p: (p.width * p.height, -pieces.index(p)))
    return named(largest)

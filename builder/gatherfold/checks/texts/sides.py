"""Sides in texts: inside and outside, face down, and over or away from the scored side.

A folded piece has an inside, where all its folds go one way: the side that they close over.  What
lies on a piece that has none is not looked at.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial

from gatherfold.checks.texts.parts_named import Thing
from gatherfold.checks.texts.readings import SIDES, Reading
from gatherfold.checks.texts.sentences import TextToken, last_meaning
from gatherfold.findings import Finding
from gatherfold.model import is_valley
from gatherfold.resolve import ResolvedPiece
from gatherfold.work import host_side

#: Which side of a piece looks up when it lies face up, or face down: 1 is its front.
_FACES = {"down": -1, "up": 1}
_FACE_NAMES = {1: "front", -1: "back"}
#: By the side that is a piece's inside: how a text says that it is folded, how that is called in
#: full, what folds these are, and where they go.
_FOLDED = {
    1: ("over", "over the scored side", "valleys", "over the front"),
    -1: ("away", "away from the scored side", "mountains", "away"),
}


def check_sides(reading: Reading) -> Iterator[Finding]:
    """Every side of a sentence that is not that of the data."""
    for said, pieces, token in _sided(reading):
        for piece in pieces:
            yield from _side(reading, said, piece, token)
    yield from _folds(reading)
    yield from _faces(reading)


def inside_of(piece: ResolvedPiece) -> int:
    """Which side of a folded piece is its inside, 1 for its front; 0 where it has none."""
    tabs = {tab.name for tab in piece.source.tabs}
    ways = {is_valley(score.fold) for score in piece.scores if not tabs & {*score.sides}}
    if len(ways) != 1:
        return 0
    return 1 if True in ways else -1


# ---- inside and outside


def _sided(reading: Reading) -> Iterator[tuple[str, Sequence[ResolvedPiece], TextToken]]:
    """Pieces glued in the step with the side that is said of them: what is named since the last
    side goes on it, and after "outside up" what follows."""
    pending: list[ResolvedPiece] = []
    facing = ""
    for index, token in enumerate(reading.tokens):
        said = reading.side_of(token)
        if _ends_place(reading, index):
            pending = []
        if said and reading.vocabulary.has("up", reading.word_after(index)):
            facing, pending = said, []
        elif said and not _is_spreading(reading, index):
            yield said, pending, token
            facing, pending = "", []
        else:
            pending += _glued_at(reading, index, bool(facing))
        if facing and pending:
            yield facing, pending, token
            pending = []


def _ends_place(reading: Reading, index: int) -> bool:
    """Whether a comma ends what is said of the place of the last piece."""
    is_comma = reading.tokens[index].text == ","
    return is_comma and last_meaning(reading.tokens[:index], partial(_is_place, reading), False)


def _is_place(reading: Reading, token: TextToken) -> bool | None:
    """Whether a token begins to say a place, or names what is glued; None for neither."""
    if token.reference in reading.passage.by("attach"):
        return False
    return reading.has("landmark", token) or None


def _is_spreading(reading: Reading, index: int) -> bool:
    """Whether it is adhesive that a side is said of."""
    return last_meaning(reading.tokens[:index], partial(_spreads, reading), False)


def _spreads(reading: Reading, token: TextToken) -> bool | None:
    if reading.vocabulary.does(token.word):
        return False
    return reading.begins_adhesive(token) or None


def _glued_at(reading: Reading, index: int, has_side: bool) -> Sequence[ResolvedPiece]:
    """The pieces that the step glues and a token names; by a noun only after their side."""
    token = reading.tokens[index]
    if token.reference in reading.passage.by("attach"):
        return (reading.resolved.pieces[token.reference],)
    is_noun = bool(token.word) and reading.vocabulary.does(token.word) != "close"
    return _by_noun(reading, index) if has_side and is_noun else ()


def _by_noun(reading: Reading, index: int) -> Sequence[ResolvedPiece]:
    """The pieces that the step glues and that a noun names, with the words before it."""
    stem = reading.vocabulary.stem(reading.tokens[index].word)
    before = {
        reading.vocabulary.stem(token.word) for token in reading.tokens[max(0, index - 2) : index]
    }
    glued = reading.passage.by("attach")
    things = [t for t in reading.nouns.named(stem) if stem in t.heads and t.owner in glued]
    picked = [t for t in things if len(things) == 1 or _is_picked(reading, t, before - {stem})]
    return [reading.resolved.pieces[thing.owner] for thing in picked]


def _is_picked(reading: Reading, thing: Thing, before: set[str]) -> bool:
    """Whether one of the words before a noun tells its thing from others of that noun."""
    return not before.isdisjoint(thing.words) and thing.owner not in reading.passage.text


def _side(reading: Reading, said: str, piece: ResolvedPiece, token: TextToken) -> Iterator[Finding]:
    placement = piece.source.placement
    if placement is None:
        return
    host, side = reading.resolved.pieces[placement.host], host_side(placement.relation)
    inside = inside_of(host)
    there = SIDES[side != inside]
    if inside and there != said:
        relation = "'on:'" if side == -1 else "'on_back:'"
        told = {"piece": piece.key, "host": host.key, "said": said, "there": there}
        yield reading.found("side-in-text", token, **told, relation=relation)


# ---- folds and faces


def _folds(reading: Reading) -> Iterator[Finding]:
    """Over the scored side are valleys, away from it mountains."""
    ways = [way for way, *_ in _FOLDED.values() if reading.says(f"{way}_fold")]
    for piece in _folded(reading) if len(ways) == 1 else ():
        inside = inside_of(piece)
        if inside and _FOLDED[inside][0] != ways[0]:
            _, _, folds, there = _FOLDED[inside]
            told = {"piece": piece.key, "said": _FOLDED[-inside][1], "folds": folds}
            yield reading.found("fold-in-text", reading.tokens[0], **told, there=there)


def _folded(reading: Reading) -> Sequence[ResolvedPiece]:
    """The pieces that the step folds and the sentence names; all where it says so."""
    return reading.named_pieces("fold") or (reading.pieces("fold") if reading.says("every") else ())


def _faces(reading: Reading) -> Iterator[Finding]:
    """ "Lay the [paper] face down": what is glued on it in the step lies on its back."""
    named = [token for token in reading.tokens if token.reference]
    laid = _laid_on(reading, named[0].reference) if len(named) == 1 else {}
    for said, side in _FACES.items() if laid else ():
        if reading.says(f"face_{said}") and side not in laid.values():
            told = {"host": named[0].reference, "said": said, "piece": next(iter(laid))}
            there = _FACE_NAMES[-side]
            yield reading.found("side-in-text, face", named[0], **told, there=there)


def _laid_on(reading: Reading, host: str) -> dict[str, int]:
    """The pieces that the step glues on a piece, each with the side of that on which it lies."""
    laid = ((piece.key, piece.source.placement) for piece in reading.pieces("attach"))
    return {key: host_side(place.relation) for key, place in laid if place and place.host == host}

"""Sides in texts: inside and outside, face down, and over or away from the scored side.

A folded piece has an inside, where all its folds go one way: the side that they close over.  What
lies on a piece that has none is not looked at.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from functools import partial

from gatherfold.checks.texts.laying import pieces_meant
from gatherfold.checks.texts.objects import ordered_at
from gatherfold.checks.texts.readings import SIDES, Reading
from gatherfold.checks.texts.sentences import TextToken, last_meaning
from gatherfold.findings import Finding
from gatherfold.model import is_valley
from gatherfold.resolve import ResolvedPiece
from gatherfold.work import FaceKey, Work, glued_side, host_side, setting_of, stack_in, work_of

#: Words of a place stand within so many before a noun, "up" within so many after a side (common
#: practice, no source).
_PLACE_WITHIN, _UP_WITHIN = 3, 2
#: The inside of closed work is where so many times as much lies (common practice, no source).
_PLAINLY = 4
#: Which side of a piece looks up when it lies face up, or face down: 1 is its front.
_FACES = {"down": -1, "up": 1}
FACE_NAMES = {1: "front", -1: "back"}
#: By the side that is a piece's inside: how a text says that it is folded, how that is called in
#: full, what folds these are, and where they go.
_FOLDED = {
    1: ("over", "over the scored side", "valleys", "over the front"),
    -1: ("away", "away from the scored side", "mountains", "away"),
}


def check_sides(readings: Sequence[Reading]) -> Iterator[Finding]:
    """Every side of a text that is not that of the data."""
    for reading in readings:
        for said, pieces, token in _sided(reading):
            for piece in pieces:
                yield from _side(reading, said, piece, token)
        yield from _folds(reading)
        yield from _faces(reading)
        yield from _printed(reading)
        yield from _pierced(reading)
    yield from _facing(readings)


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
    if not any(map(reading.mentions, SIDES)) or _counts_sides(reading):
        return
    for index, token in enumerate(reading.tokens):
        said = reading.side_of(token)
        if _ends_place(reading, index):
            pending = []
        if _looks_up(reading, index):
            facing, pending = said, []
        elif said and not _is_spreading(reading, index):
            yield said, pending, token
            facing, pending = "", []
        else:
            pending += _glued_at(reading, index)
        if facing and pending:
            yield facing, pending, token
            pending = []


def _counts_sides(reading: Reading) -> bool:
    """Whether it says how many lie on a side ("one inside and four outside"), and not which."""
    sided = (index for index, token in enumerate(reading.tokens) if reading.side_of(token))
    return any(reading.word_before(index) in reading.vocabulary.numbers for index in sided)


def _looks_up(reading: Reading, index: int) -> bool:
    """Whether a token begins to say which side looks up."""
    after = reading.tokens[index + 1 : index + 1 + _UP_WITHIN]
    return bool(reading.side_of(reading.tokens[index])) and any(
        reading.has("up", token) for token in after
    )


def _facing(readings: Sequence[Reading]) -> Iterator[Finding]:
    """Once a piece lies with a side up, what a later sentence glues on it without saying a side
    goes on that one, until something is turned."""
    host, said = "", ""
    for reading in readings:
        sided = [index for index, token in enumerate(reading.tokens) if reading.side_of(token)]
        up = [index for index in sided if _looks_up(reading, index)]
        if up:
            named = [token.reference for token in reading.tokens[: up[0]] if token.reference]
            host, said = next(reversed(named), ""), reading.side_of(reading.tokens[up[0]])
        elif _turns(reading):
            host = ""
        glued = bool(host) and not sided
        for index, token in enumerate(reading.tokens) if glued else ():
            for piece in _glued_at(reading, index):
                if piece.host == host:
                    yield from _side(reading, said, piece, token)


def _turns(reading: Reading) -> bool:
    """Whether a sentence turns or closes something."""
    places = range(len(reading.tokens))
    orders = (ordered_at(reading.vocabulary, reading.sentence, at) for at in places)
    return "close" in orders or any(reading.has("turns", token) for token in reading.tokens)


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


def _glued_at(reading: Reading, index: int) -> Sequence[ResolvedPiece]:
    """The pieces that the step glues and a token names, or a noun that says no place."""
    token = reading.tokens[index]
    if token.reference in reading.passage.by("attach"):
        return (reading.resolved.pieces[token.reference],)
    before = reading.tokens[max(0, index - _PLACE_WITHIN) : index]
    is_place = any(reading.has("landmark", each) for each in before)
    is_noun = bool(token.word) and reading.vocabulary.does(token.word) != "close"
    return (pieces_meant(reading, index) or ()) if is_noun and not is_place else ()


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
            there = FACE_NAMES[-side]
            yield reading.found("side-in-text, face", named[0], **told, there=there)


def _laid_on(reading: Reading, host: str) -> dict[str, int]:
    """The pieces that the step glues on a piece, each with the side of that on which it lies."""
    laid = ((piece.key, piece.source.placement) for piece in reading.pieces("attach"))
    return {key: host_side(place.relation) for key, place in laid if place and place.host == host}


def _printed(reading: Reading) -> Iterator[Finding]:
    """ "The top of its print": of what is glued with its front on its host, that is hidden."""
    for piece in reading.named_pieces("attach") if reading.says("print") else ():
        if _hides_front(reading, piece):
            yield reading.found("side-in-text, print", reading.tokens[0], piece=piece.key)


def _hides_front(reading: Reading, piece: ResolvedPiece) -> bool:
    """Whether the front of a piece lies wholly against what it lies on."""
    place = piece.source.placement
    is_front = place is not None and glued_side(place.relation) == 1 and not piece.reaches_beyond
    return is_front and not (piece.host and reading.resolved.pieces[piece.host].windows)


# ---- heads and legs


def _pierced(reading: Reading) -> Iterator[Finding]:
    """ "Pass the brad through from the inside": its head is on that side, and its legs are on the
    other, when the work is closed."""
    said = _head_said(reading)
    for key in _passed(reading) if said else ():
        there = _head_side(reading, key)
        if there and there != said:
            told = {"key": key, "said": said, "there": there}
            yield reading.found("side-in-text, pierced", reading.tokens[0], (key,), **told)


def _head_said(reading: Reading) -> str:
    """The side that a sentence has a head on, by that or by its legs; empty for none."""
    for index, token in enumerate(reading.tokens):
        side = reading.side_of(token)
        part = _part_before(reading, index) if side else ""
        if part:
            return SIDES[(side == SIDES[0]) == (part == "legs")]
    return ""


def _passed(reading: Reading) -> list[str]:
    """The fastenings of the step that a sentence names and that go through something."""
    names = {*reading.sentence.references} | reading.spoken_of
    pierced = {key for key, each in reading.resolved.fastenings.items() if each.source.through}
    return [key for key in reading.passage.by("fasten") if key in names & pierced]


def _head_side(reading: Reading, key: str) -> str:
    """On which side of the closed work a head is; empty where that is not plain."""
    work = work_of(reading.resolved)
    set_at = setting_of(work, key)
    stack = stack_in(work, set_at, key)
    last = stack.through[-1] if stack else None
    inner = _inner_side(work, last) if last else 0
    if stack is None or last is None or not inner:
        return ""
    is_at_front = stack.head_is_high == (set_at.plates[last].facing > 0)
    return SIDES[is_at_front != (inner == 1)]


def _inner_side(work: Work, face: FaceKey) -> int:
    """Which side of a face most of the closed work lies on, 1 for its front; 0 where about as much
    lies on the other."""
    plates = work.closed.plates
    own = plates.get(face)
    if own is None:
        return 0
    planes = [plate.plane for plate in plates.values() if plate.axis == own.axis]
    sides = Counter((plane > own.plane) - (plane < own.plane) for plane in planes)
    is_plain = max(sides[1], sides[-1]) > _PLAINLY * min(sides[1], sides[-1])
    return is_plain * own.facing * ((sides[1] > sides[-1]) - (sides[1] < sides[-1]))


def _part_before(reading: Reading, index: int) -> str:
    """What a side is said of: the end from which it is passed, its head or its legs."""
    if any(reading.has("from", token) for token in reading.tokens[max(0, index - 2) : index]):
        return "head"
    return last_meaning(reading.tokens[:index], partial(_part, reading), "")


def _part(reading: Reading, token: TextToken) -> str | None:
    """The part of a fastening that a token is."""
    return next((part for part in ("head", "legs") if reading.has(part, token)), None)

"""What a text has pieces lie on, by its name and by its side, against what they lie on.

In: the sentences of a step's text.  Out: findings.  A piece may be said to lie on all that it lies
within or is joined to, and on what lies on it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from gatherfold.checks.report import in_words
from gatherfold.checks.texts.laying import SaidPlace, laid_in
from gatherfold.checks.texts.parts_named import Thing, ThingKind
from gatherfold.checks.texts.readings import Reading
from gatherfold.checks.texts.sides import FACE_NAMES, inside_of
from gatherfold.findings import Finding
from gatherfold.resolve import ResolvedDesign, ResolvedPiece
from gatherfold.work import host_side, work_of

#: The axis that stands upright on the table.
_UPRIGHT = 2
#: The sides that words can say, by their sets, as :func:`host_side` has them.
_SIDES = {"front_side": 1, "back_side": -1}


def check_hosts(readings: Sequence[Reading]) -> Iterator[Finding]:
    """Every place in which a piece is laid on, behind or in something else than the data say."""
    for laid in laid_in(readings):
        for piece in laid.pieces:
            yield from _on_whole(laid, piece)
            yield from _on_other(laid, piece)
            yield from _on_rider(laid, piece)
            yield from _behind(laid, piece)
            yield from _on_other_side(laid, piece)
            yield from _on_standing(laid, piece)
        yield from _on_several(laid)


# ---- what it lies on


def _on_other(laid: SaidPlace, piece: ResolvedPiece) -> Iterator[Finding]:
    """The first piece or section that is named is one on which it lies."""
    resolved = laid.reading.resolved
    on = _lies_on(resolved, piece)
    for index, things in laid.named() if len(piece.glued) < 2 else ():
        if _stems(laid, index):
            return
        owners = {thing.owner for thing in things}
        there = [face for key, face in on if key in owners]
        if things[0].kind is ThingKind.SECTION and there:
            yield from _other_section(laid, piece, things, there)
        elif things[0].kind is ThingKind.PIECE and not _may_lie_on(resolved, piece, owners):
            told = {"piece": piece.key, "said": things[0].owner, "host": on[0][0] if on else ""}
            yield laid.reading.found("place-in-text, other host", laid.word, **told)
        return


def _on_rider(laid: SaidPlace, piece: ResolvedPiece) -> Iterator[Finding]:
    """ "Glue the [plate] on the [mat]": what is named first does not lie on the front of it."""
    is_said = laid.has("at_edge") and not laid.reading.says("face_down")
    for rider in laid.reading.pieces("attach") if is_said else ():
        if rider.key in _names(laid) and _is_on_front(rider, piece.key):
            told = {"piece": piece.key, "said": rider.key}
            yield laid.reading.found("place-in-text, rider", laid.word, **told)


def _is_on_front(piece: ResolvedPiece, host: str) -> bool:
    place = piece.source.placement
    return place is not None and place.host == host and host_side(place.relation) == 1


def _other_section(
    laid: SaidPlace, piece: ResolvedPiece, things: Sequence[Thing], there: Sequence[str]
) -> Iterator[Finding]:
    said = {thing.name for thing in things}
    is_whole = piece.reaches_beyond or laid.has("over")
    if not is_whole and not said & {in_words(face) for face in there}:
        told = {"piece": piece.key, "said": things[0].name, "section": in_words(there[0])}
        yield laid.reading.found("place-in-text, other section", laid.word, **told)


def _lies_on(resolved: ResolvedDesign, piece: ResolvedPiece) -> list[tuple[str, str]]:
    """What a piece lies within, and what it is joined to: pieces with the face of each."""
    found, at = [(join.host, join.host_face) for join in piece.joins], piece
    while at.source.placement is not None:
        host = resolved.pieces[at.source.placement.host]
        found.insert(0 if at is piece else len(found), (host.key, at.host_face))
        if at.reaches_beyond:
            break
        at = host
    return found


def _may_lie_on(resolved: ResolvedDesign, piece: ResolvedPiece, said: set[str]) -> bool:
    """Whether it lies on one of some pieces, or beside it on one face, or carries it."""
    if not said - {piece.key}:
        return True
    ends = {piece.key, *(join.host for join in piece.joins)}
    within = {key for key, _ in _lies_on(resolved, piece)}
    place = piece.source.placement
    for key in said:
        other = resolved.pieces[key]
        on = {host for host, _ in _lies_on(resolved, other)}
        other_place = other.source.placement
        is_beside = (
            place is not None
            and other_place is not None
            and ((place.host, piece.host_face) == (other_place.host, other.host_face))
        )
        if key in within or ends & on or is_beside:
            return True
    return False


def _on_whole(laid: SaidPlace, piece: ResolvedPiece) -> Iterator[Finding]:
    """ "And to the box": of what lies loose on the work, or on what does."""
    words = [token for token in laid.place if not laid.reading.has("stops", token)]
    is_whole = len(words) == 1 and words[0].word and _names_whole(laid, words[0].word)
    if laid.is_further and is_whole and _is_loose(laid.reading.resolved, piece):
        told = {"piece": piece.key, "said": words[0].text}
        yield laid.reading.found("place-in-text, loose", laid.word, **told)


def _names_whole(laid: SaidPlace, word: str) -> bool:
    """Whether a noun is one of the title or the subtitle and of no piece."""
    stem, nouns = laid.reading.vocabulary.stem(word), laid.reading.nouns
    return stem in nouns.of_whole and not nouns.named(stem)


def _is_loose(resolved: ResolvedDesign, piece: ResolvedPiece) -> bool:
    """Whether a piece, or one that carries it, is glued to nothing under it."""
    chain = (resolved.pieces[key] for key in (piece.key, *resolved.hosts_of(piece.key)))
    return any(each.source.placement is not None and not each.glued for each in chain)


def _on_several(laid: SaidPlace) -> Iterator[Finding]:
    """ "to both laps": so many of the sections that go by a noun have something glued to them."""
    vocabulary, resolved = laid.reading.vocabulary, laid.reading.resolved
    for number, noun in pairwise(laid.place):
        count = vocabulary.numbers.get(number.word, 0)
        if not count or not vocabulary.is_plural(noun.word) or not laid.pieces:
            continue
        met = {place for piece in laid.pieces for place in _lies_on(resolved, piece)}
        named = laid.reading.nouns.named(vocabulary.stem(noun.word))
        hosts = {key for key, _ in met}
        sections = {
            (t.owner, t.name) for t in named if t.kind is ThingKind.SECTION and t.owner in hosts
        }
        there = sections & {(key, in_words(face)) for key, face in met}
        if len(sections) >= count > len(there) and not _spread(laid):
            told = {"piece": laid.pieces[0].key, "said": f"{number.text} {noun.text}"}
            yield laid.reading.found("place-in-text, fewer", number, **told, there=len(there))


def _spread(laid: SaidPlace) -> bool:
    """Whether one of the pieces is glued by several of its sections."""
    return any(len(piece.glued) > 1 for piece in laid.pieces)


# ---- which side


def _behind(laid: SaidPlace, piece: ResolvedPiece) -> Iterator[Finding]:
    """ "behind the tab": not on its front."""
    place = piece.source.placement
    if place is None or not laid.has("behind") or host_side(place.relation) == -1:
        return
    is_face = laid.reading.nouns.stems_in(piece.host_face) & _stems(laid, None)
    if is_face or place.host in _names(laid):
        told = {"piece": piece.key, "said": laid.word.text, "host": place.host}
        yield laid.reading.found("side-in-text, behind", laid.word, **told)


def _stems(laid: SaidPlace, end: int | None) -> frozenset[str]:
    """The stems of the nouns of a place, up to a token."""
    words = (token.word for token in laid.place[:end] if token.word)
    stems = map(laid.reading.vocabulary.stem, words)
    return frozenset(stems) & laid.reading.nouns.heads


def _names(laid: SaidPlace) -> set[str]:
    """The pieces that a place begins with."""
    return {thing.owner for _, things in [*laid.named()][:1] for thing in things}


def _on_other_side(laid: SaidPlace, piece: ResolvedPiece) -> Iterator[Finding]:
    """ "on the back": of a piece that has no inside, and no section of that name."""
    place = piece.source.placement
    said = _side_said(laid)
    if place is None or not said:
        return
    host = laid.reading.resolved.pieces[place.host]
    if _has_sides(laid, host) and host_side(place.relation) != said:
        told = {"piece": piece.key, "host": host.key, "said": FACE_NAMES[said]}
        there = FACE_NAMES[-said]
        yield laid.reading.found("side-in-text, front", laid.word, **told, there=there)


def _on_standing(laid: SaidPlace, piece: ResolvedPiece) -> Iterator[Finding]:
    """ "on the right side": of what stands upright, seen as its work lies on the table."""
    place, tokens = piece.source.placement, laid.place
    pairs = pairwise(tokens)
    edges = laid.reading.vocabulary.edges
    said = [edges.get(a.word) for a, b in pairs if laid.reading.has("side", b)]
    if place is None or not said or said[0] not in ("left", "right"):
        return
    facing = _standing(laid.reading, piece.key, (place.host, piece.host_face))
    there = "right" if facing * host_side(place.relation) == 1 else "left"
    if facing and there != said[0]:
        told = {"piece": piece.key, "said": said[0]}
        yield laid.reading.found("side-in-text, standing", laid.word, **told)


def _standing(reading: Reading, piece: str, host: tuple[str, str]) -> int:
    """Which way the front of a face looks that stands when a piece is laid on it: 1 to the right;
    0 where it does not stand, or what carries it lies face down."""
    for moment in work_of(reading.resolved).moments_of(reading.passage.number):
        if piece in moment.fresh:
            plates = moment.assembly.plates
            stands = next(p for key, p in plates.items() if (key.piece, key.face) == host)
            roots = {*reading.resolved.hosts_of(piece)[-1:]}
            flat = [p for key, p in plates.items() if key.piece in roots and p.axis == _UPRIGHT]
            is_up = all(plate.facing == 1 for plate in flat)
            return stands.facing if stands.axis == 0 and flat and is_up else 0
    return 0


def _side_said(laid: SaidPlace) -> int:
    """The side that a place is: 1 for the front; 0 for none."""
    words = [token for token in laid.place if not laid.reading.has("stops", token)]
    first = words[0] if words else None
    sides = (side for name, side in _SIDES.items() if first and laid.reading.has(name, first))
    is_whole = all(token.reference for token in words[1:])
    return next(sides, 0) if is_whole and laid.has("at_edge") else 0


def _has_sides(laid: SaidPlace, host: ResolvedPiece) -> bool:
    """Whether "front" and "back" can only mean the sides of a piece: it is named, or lies on
    nothing, and is folded both ways or not at all."""
    names = {token.reference for token in laid.place if token.reference}
    stems = frozenset().union(*(laid.reading.nouns.stems_in(face.name) for face in host.faces))
    sided = frozenset().union(*(laid.reading.vocabulary.sets[name] for name in _SIDES))
    is_clear = bool(names) or host.source.placement is None or len(host.faces) > 1
    is_said = names <= {host.key} and is_clear
    return is_said and not inside_of(host) and not stems & sided

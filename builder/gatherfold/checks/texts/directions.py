"""Directions and ends in texts: which way a fold or a print lies, what is turned round,
where a slant is lower, at which end a strip begins, over which walls a ribbon goes, what is held.

In: a sentence of a step's text.  Out: findings.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from gatherfold.checks.report import in_words
from gatherfold.checks.texts.laying import longest_name
from gatherfold.checks.texts.parts_named import ThingKind
from gatherfold.checks.texts.readings import Reading
from gatherfold.checks.texts.sentences import TextToken
from gatherfold.findings import Finding
from gatherfold.geometry import EdgeName, is_upright, opposite
from gatherfold.resolve import ResolvedPiece

#: An edge follows "lower at", and a noun "the narrow", within so many (common practice, no source).
_NEAR = 3


def check_directions(reading: Reading) -> Iterator[Finding]:
    """Every direction of a sentence that is not that of the data."""
    yield from _towards(reading)
    yield from _lower(reading)
    yield from _begun(reading)
    yield from _over_walls(reading)
    yield from _tucked(reading)
    yield from _upside_down(reading)


# ---- towards a fold, a wall or an edge


def _towards(reading: Reading) -> Iterator[Finding]:
    """ "its fold towards the back": where what is named points there, and not away from it."""
    for index, token in enumerate(reading.tokens):
        is_away = reading.has("away", token)
        if not is_away and not reading.has("towards", token):
            continue
        pieces = _spoken(reading, index)
        ways = {(_points(reading, index, p), _target(reading, index, p)) for p in pieces}
        apart = [a and b and (a == b if is_away else a == opposite(b)) for a, b in ways]
        if apart and all(apart):
            told = {"piece": pieces[0].key, "said": _said(reading, index)}
            yield reading.found("direction-in-text", token, **told)


def _said(reading: Reading, index: int) -> str:
    """The words of a direction."""
    return " ".join(token.text for token in reading.tokens[index : index + _NEAR])


def _spoken(reading: Reading, index: int) -> Sequence[ResolvedPiece]:
    """The piece that is laid in the step and was named last; else all that a noun names."""
    pieces = {piece.key: piece for piece in reading.pieces("attach") if piece.offsets}
    named = [t.reference for t in reading.tokens[:index] if t.reference in pieces]
    keys = named[-1:] or [key for key in pieces if key in reading.spoken_of]
    return [pieces[key] for key in keys]


def _points(reading: Reading, index: int, piece: ResolvedPiece) -> EdgeName | None:
    """Where on the host the fold or the edge of a piece lies that is named before a direction."""
    placement = piece.source.placement
    for token in reversed(reading.tokens[:index]):
        edge = reading.vocabulary.edges.get(token.word)
        if reading.vocabulary.stem(token.word) in reading.vocabulary.sets["fold"] and token.word:
            edge = _fold_edge(piece, piece.by)
        if edge is not None and placement is not None:
            is_plain = placement.turned in (0, 180) and not is_upright(edge)
            turned = opposite(edge) if placement.turned == 180 else edge
            return turned if is_plain else None
    return None


def _fold_edge(piece: ResolvedPiece, face: str) -> EdgeName | None:
    """The edge of a face at which its only fold is."""
    own = [score for score in piece.scores if face in score.sides and not score.is_vertical]
    if len(own) != 1:
        return None
    return "top" if own[0].at == piece.face(face).box.top else "bottom"


def _target(reading: Reading, index: int, piece: ResolvedPiece) -> EdgeName | None:
    """The edge of its host that a direction names: that of the fold, or towards a section."""
    after = (t for t in reading.tokens[index + 1 :] if not _is_small(reading, t))
    token = next(after, None)
    if token is None or not token.word:
        return None
    at = piece
    while at.source.placement is not None:
        host = reading.resolved.pieces[at.source.placement.host]
        face, stem = at.host_face, reading.vocabulary.stem(token.word)
        if stem in reading.vocabulary.sets["fold"] and host.scores:
            return _fold_edge(host, face)
        if found := _side_of(reading, host, face, stem):
            return found
        if host.source.placement and host.source.placement.turned:
            return None
        at = host
    return None


def _is_small(reading: Reading, token: TextToken) -> bool:
    return reading.has("stops", token) or reading.has("distance_words", token)


def _side_of(reading: Reading, host: ResolvedPiece, face: str, stem: str) -> EdgeName | None:
    """Where the section of a host lies whose name has a word, above or below a face."""
    box = host.face(face).box
    for other in (f for f in host.faces if stem in reading.nouns.stems_in(f.name)):
        if other.box.bottom >= box.top:
            return "top"
        if other.box.top <= box.bottom:
            return "bottom"
    return None


# ---- upside down


def _upside_down(reading: Reading) -> Iterator[Finding]:
    """ "The mats of the top flaps go on upside down": of what the words tell apart in a step that
    turns some of its pieces round, one is turned."""
    pieces = reading.pieces("attach") if reading.says("upside_down") else ()
    turned = {piece.key for piece in filter(_is_turned, pieces)}
    picked = _told_apart(reading, pieces) if turned else []
    if picked and turned.isdisjoint(picked):
        yield reading.found("direction-in-text, upside down", reading.tokens[0], piece=picked[0])


def _is_turned(piece: ResolvedPiece) -> bool:
    return piece.source.placement is not None and piece.source.placement.turned == 180


def _told_apart(reading: Reading, pieces: Sequence[ResolvedPiece]) -> list[str]:
    """The pieces that a sentence names by a word that not all of them have."""
    own = {piece.key: reading.nouns.own_of(piece.key) for piece in pieces}
    told = reading.stems.difference(frozenset.intersection(*own.values()))
    return [key for key in own if own[key] & told]


# ---- a slant


def _lower(reading: Reading) -> Iterator[Finding]:
    """ "lower at the left": that end of the upper edge is the lower one."""
    for index, token in enumerate(reading.tokens) if reading.mentions("lower", "at") else ():
        named = [t.reference for t in reading.tokens[:index] if t.reference]
        piece = reading.resolved.pieces.get(named[-1]) if named else None
        near = reading.tokens[index + 1 : index + 1 + _NEAR]
        edges = [edge for t in near if (edge := reading.vocabulary.edges.get(t.word))]
        is_said = reading.has("lower", token) and near and reading.has("at", near[0])
        if piece is None or not is_said or not edges or not is_upright(edges[0]):
            continue
        low, high = _upper_ends(piece, edges[0]), _upper_ends(piece, opposite(edges[0]))
        if low > high:
            told = {"piece": piece.key, "said": edges[0], "there": opposite(edges[0])}
            yield reading.found("direction-in-text, slant", token, **told)


def _upper_ends(piece: ResolvedPiece, edge: EdgeName) -> Fraction:
    """How high the outline of a piece reaches at its left or right edge."""
    at = Fraction(0) if edge == "left" else piece.width
    ends = (point.y for point in piece.outline.corners if point.x == at)
    return max(ends, default=Fraction(0))


# ---- the end of a strip


def _begun(reading: Reading) -> Iterator[Finding]:
    """ "Begin at the narrow end": what is rolled begins at the end that is not glued."""
    for token in reading.tokens if reading.mentions("begins") else ():
        wide = reading.has("wide", token)
        if wide or reading.has("narrow", token):
            for piece in reading.pieces("close"):
                free, held = _ends(piece)
                if free and held and free != held and wide != (free > held):
                    told = {"piece": piece.key, "said": token.text}
                    yield reading.found("direction-in-text, end", token, **told)


def _ends(piece: ResolvedPiece) -> tuple[Fraction, Fraction]:
    """How wide the free end of a strip is, and the one by which it is glued; nothing where it is
    not glued by an end."""
    names = [section.name for section in piece.source.across]
    if len(names) < 2 or piece.by not in (names[0], names[-1]):
        return Fraction(0), Fraction(0)
    free = names[-1] if piece.by == names[0] else names[0]
    return piece.face(free).box.width, piece.face(piece.by).box.width


# ---- what is held


def check_held(reading: Reading) -> Iterator[Finding]:
    """ "A latch keeps the right flap shut": what a fastening of the thing named first holds."""
    for index in _keeping(reading):
        held, said = _held_by(reading, index), _named_after(reading, index)
        kinds = {reading.nouns.words_in(key)[-1] for key in held | said}
        if held and said and len(kinds) == 1 and held.isdisjoint(said):
            told = {"said": min(said), "there": min(held)}
            yield reading.found("direction-in-text, held", reading.tokens[index], **told)


def _keeping(reading: Reading) -> list[int]:
    """Where a sentence says that something is kept."""
    return [index for index, token in enumerate(reading.tokens) if reading.has("keeps", token)]


def _held_by(reading: Reading, index: int) -> set[str]:
    """What fastenings hold that are, or go first through, what the word before a place names."""
    stem = reading.vocabulary.stem(reading.word_before(index))
    owners = {thing.owner for thing in reading.nouns.named(stem)}
    fastenings = (each.source for each in reading.resolved.fastenings.values())
    return {f.holds for f in fastenings if f.holds and owners & {f.key, *f.through[:1]}}


def _named_after(reading: Reading, index: int) -> set[str]:
    """The pieces that a name after a place may mean."""
    after = [t for t in reading.tokens[index + 1 :] if not reading.has("stops", t)]
    _, things = longest_name(reading, after) if after else (0, ())
    return {thing.owner for thing in things if thing.kind is ThingKind.PIECE}


# ---- a ribbon


def _over_walls(reading: Reading) -> Iterator[Finding]:
    """ "over the front and the back wall": a ribbon goes over those that lie on its way."""
    for key in reading.passage.by("fasten"):
        fastening = reading.resolved.fastenings[key].source
        ways = {is_upright(edge) for edge in fastening.distances}
        if not fastening.round or len(ways) != 1:
            continue
        for index, token in enumerate(reading.tokens):
            said = _walls_after(reading, index) if reading.has("over", token) else []
            if said and all(_is_beside(reading, *each) in ways for each in said):
                told = {"key": key, "said": ", ".join(in_words(name) for _, name in said)}
                yield reading.found("direction-in-text, ribbon", token, (key,), **told)


def _tucked(reading: Reading) -> Iterator[Finding]:
    """ "tuck it under the left flap": under that which 'tucks:' names."""
    if not reading.mentions("tucks", "behind"):
        return
    tucks = [tuck for piece in reading.pieces("close") for tuck in piece.source.tucks]
    hosts = {(tuck.host, in_words(tuck.host_face)) for tuck in tucks}
    tucked = [reading.has("tucks", token) for token in reading.tokens]
    for index, token in enumerate(reading.tokens[:-1]):
        after = [t for t in reading.tokens[index + 1 :] if not reading.has("stops", t)]
        if not any(tucked[:index]) or not reading.has("behind", token) or not after:
            continue
        _, things = longest_name(reading, after)
        said = {(thing.owner, thing.name) for thing in things if thing.owner in dict(hosts)}
        if said and not said & hosts:
            told = {"said": things[0].name, "there": tucks[0].host_face, "piece": things[0].owner}
            yield reading.found("direction-in-text, tucked", token, **told)


def _walls_after(reading: Reading, index: int) -> list[tuple[str, str]]:
    """The sections that are listed from a place on, by a noun that they share."""
    words: set[str] = set()
    for token in reading.tokens[index + 1 :]:
        stem = reading.vocabulary.stem(token.word)
        sections = [t for t in reading.nouns.named(stem) if t.kind is ThingKind.SECTION]
        told = [t for t in sections if words & (set(t.name.split()) - t.heads)]
        if told:
            return [(thing.owner, thing.name.replace(" ", "_")) for thing in told]
        if not token.word or reading.vocabulary.does(token.word):
            break
        words.add(stem)
    return []


def _is_beside(reading: Reading, key: str, name: str) -> bool:
    """Whether a section lies left or right of the middle of its piece, and not above or below."""
    piece = reading.resolved.pieces[key]
    box = piece.face(name).box
    aside = abs(box.left + box.right - piece.width)
    return aside > abs(box.top + box.bottom - piece.height)

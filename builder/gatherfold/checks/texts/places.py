"""Places in texts: distances from edges, "flush with", halves and middles, glued edges.

Each is held against where the pieces lie that the sentence names and the step handles.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from functools import partial
from itertools import dropwhile, pairwise, takewhile

from gatherfold.checks.texts.lengths_of import lengths_apart, lengths_from_edges, lengths_of
from gatherfold.checks.texts.objects import ordered_at
from gatherfold.checks.texts.readings import Reading
from gatherfold.checks.texts.sentences import TextToken, TokenKind
from gatherfold.checks.texts.vocabulary import Vocabulary
from gatherfold.findings import Finding
from gatherfold.formulas import Pair
from gatherfold.geometry import EDGES, EdgeName, is_far, is_upright, opposite
from gatherfold.resolve import ResolvedPiece

#: A piece in the middle may lie a tenth of its host beside it (common practice, no source).
_BESIDE = Fraction(1, 10)
#: An edge follows within so many tokens, and a host within so many (common practice, no source).
_EDGE_WITHIN, _HOST_WITHIN = 5, 7
#: The operations that place something.
_LAYING = ("attach", "insert")
#: Between which edges a piece lies in the middle, by the phrases that say so.
_MIDDLES: dict[str, tuple[tuple[EdgeName, EdgeName], ...]] = {
    "halfway": (("top", "bottom"),),
    "middle": (("top", "bottom"), ("left", "right")),
}


def check_places(reading: Reading) -> Iterator[Finding]:
    """Every place in a sentence where what the step handles does not lie."""
    pieces = _placed(reading)
    for index, token in enumerate(reading.tokens):
        if token.kind is TokenKind.FORMULA:
            yield from _measured(reading, index, _without_later(reading, index, pieces))
        elif reading.has("flush", token):
            yield from _all_at_other(reading, index, _own(reading, pieces) or pieces)
        elif reading.has("half", token):
            yield from _half(reading, index)
        if reading.has("at_edge", token):
            yield from _all_at_other(reading, index, _only_on_named(reading, index, pieces))
    yield from _middle(reading, pieces)
    yield from _middle_of_it(reading)


def _placed(reading: Reading) -> Sequence[ResolvedPiece]:
    """The pieces that a sentence may place: those that the step lays or tries and the sentence
    names, by reference or by a noun, and those that lie on what it names; else all of the step."""
    handled = reading.pieces("attach", "dry_fit", "insert")
    pieces = [piece for piece in handled if piece.offsets is not None]
    own = [piece for piece in pieces if reading.refers_to(piece)]
    riders = [p for p in pieces if p.host in reading.sentence.references and p not in own]
    by_noun = [piece for piece in pieces if piece.key in reading.spoken_of]
    return [*own, *riders] or by_noun or pieces


def _without_later(
    reading: Reading, index: int, pieces: Sequence[ResolvedPiece]
) -> Sequence[ResolvedPiece]:
    """The pieces without those that another verb after a place names: "…, and close the [lid]"."""
    vocabulary, sentence = reading.vocabulary, reading.sentence
    orders = (ordered_at(vocabulary, sentence, at) for at in range(index, len(sentence.tokens)))
    others = (at for at, does in enumerate(orders, index) if does not in (None, *_LAYING))
    end = next(others, len(sentence.tokens))
    named = {token.reference for token in sentence.tokens[:end]}
    later = {token.reference for token in sentence.tokens[end:]} - named
    return [piece for piece in pieces if piece.key not in later]


def _own(reading: Reading, pieces: Sequence[ResolvedPiece]) -> Sequence[ResolvedPiece]:
    """The pieces that a sentence refers to, where it has none of them matted."""
    is_matted = any(reading.has("mats", token) for token in reading.tokens)
    return [] if is_matted else [piece for piece in pieces if reading.refers_to(piece)]


def _is_matted(reading: Reading) -> bool:
    """Whether a sentence orders that something is matted."""
    orders = (i for i, token in enumerate(reading.tokens) if reading.has("mats", token))
    return any(ordered_at(reading.vocabulary, reading.sentence, index) for index in orders)


def _offset(piece: ResolvedPiece, edge: EdgeName) -> Fraction:
    assert piece.offsets is not None
    return abs(piece.offsets.at(edge))


# ---- edges


def edge_measured_from(vocabulary: Vocabulary, tail: Sequence[TextToken]) -> EdgeName | None:
    """The edge of "from the left edge", where a length is followed by that."""
    is_distance = bool(tail) and vocabulary.has("distance_words", tail[0].word)
    return _edge_after(vocabulary, tail[1:]) if is_distance else None


def _edge_after(vocabulary: Vocabulary, tail: Sequence[TextToken]) -> EdgeName | None:
    """The edge that follows, with nothing but small words before it and a noun after it; None for
    several."""
    rest = dropwhile(partial(_is_before_edge, vocabulary), tail[:_EDGE_WITHIN])
    word, after = next(rest, None), next(rest, None)
    if word is None or after is None:
        return None
    edge = vocabulary.edges.get(word.word)
    return edge if edge and _ends_edge(vocabulary, edge, after.word) else None


def _is_before_edge(vocabulary: Vocabulary, token: TextToken) -> bool:
    """Whether a token is a small word that says no edge."""
    is_small = vocabulary.has("stops", token.word) or vocabulary.has("landmark", token.word)
    return is_small and token.word not in vocabulary.edges


def _ends_edge(vocabulary: Vocabulary, edge: EdgeName, word: str) -> bool:
    """Whether a noun follows an edge, or "of": but "the left of" also says a side of another."""
    if word in vocabulary.edges:
        return False
    is_of = vocabulary.has("of", word) and not is_upright(edge)
    return vocabulary.has("edge_nouns", word) or is_of


# ---- distances


def _measured(reading: Reading, index: int, pieces: Sequence[ResolvedPiece]) -> Iterator[Finding]:
    """A length in a formula, by what it is measured from."""
    token = reading.tokens[index]
    said = reading.resolved.printed.get(token.text.strip())
    if said is None or isinstance(said, Pair):
        return
    edge = edge_measured_from(reading.vocabulary, reading.tokens[index + 1 :])
    if edge is None:
        yield from _all_round(reading, index, said.value, pieces)
        yield from _raised(reading, index, said.value)
        yield from _turned_under(reading, index, said.value)
        yield from _apart(reading, index, said.value, pieces)
        yield from _from_edges(reading, index, said.value, pieces)
    elif not pieces:
        yield from _ribbon(reading, token, edge, said.value)
    else:
        near = _named_before(reading, index, pieces) or pieces
        if all(_offset(piece, edge) != said.value for piece in near):
            yield from _elsewhere(reading, token, edge, said.value, near)


def _named_before(
    reading: Reading, index: int, pieces: Sequence[ResolvedPiece]
) -> Sequence[ResolvedPiece]:
    """The pieces that are listed last before a place, where they are what is laid; what is matted
    is not."""
    listed: list[str] = []
    if _is_matted(reading):
        return ()
    for token in reversed(reading.tokens[:index]):
        is_listing = token.text == "," or reading.has("conjunctions", token)
        if token.reference:
            listed.append(token.reference)
        elif not is_listing and not reading.has("definite", token):
            listed = [] if reading.has("landmark", token) else listed
            break
    return [piece for piece in pieces if piece.key in listed]


def _all_round(
    reading: Reading, index: int, said: Fraction, pieces: Sequence[ResolvedPiece]
) -> Iterator[Finding]:
    """ "{x} all round", "{x} from every edge": no piece lies at another distance on all sides, and
    some lies at that on one."""
    if not _is_all_round(reading, index):
        return
    even = [p for p in pieces if len(p.faces) == 1 and p.offsets and p.offsets.is_even]
    other = [piece for piece in even if _offset(piece, "left") != said]
    known = lengths_of(reading.resolved, [piece.key for piece in pieces])
    for piece in (other or ([] if said in known else pieces))[:1]:
        there = min(_offset(piece, edge) for edge in EDGES)
        told = {"piece": piece.key}
        found = "place-in-text, all round"
        yield reading.found(found, reading.tokens[index], **told, said=said, there=there)


def _is_all_round(reading: Reading, index: int) -> bool:
    """Whether a length is that on all sides."""
    near = takewhile(lambda token: token.word, reading.tokens[index + 1 : index + 2 + _EDGE_WITHIN])
    tokens = list(near)
    every = (a for a, b in pairwise(tokens) if reading.has("each", a) and _is_edge(reading, b))
    return any(reading.has("all_round", token) for token in tokens) or any(every)


def _is_edge(reading: Reading, token: TextToken) -> bool:
    return reading.has("edge_nouns", token)


def _raised(reading: Reading, index: int, said: Fraction) -> Iterator[Finding]:
    """ "{x} above the base": of what lies raised over that."""
    after = reading.tokens[index + 1 : index + 1 + _EDGE_WITHIN]
    if not after or not reading.has("above", after[0]):
        return
    stems = {reading.vocabulary.stem(token.word) for token in after if token.word}
    for piece in reading.pieces("dry_fit", "attach"):
        words = reading.nouns.words_in(piece.host_face)
        if piece.raised not in (0, said) and stems.issuperset(words) and words:
            told = {"said": said, "there": piece.raised}
            token = reading.tokens[index]
            yield reading.found("place-in-text, raised", token, piece=piece.key, **told)


def _apart(
    reading: Reading, index: int, said: Fraction, pieces: Sequence[ResolvedPiece]
) -> Iterator[Finding]:
    """ "{x} apart", "{x} from fold to fold": of two or more that lie on one piece."""
    after = [reading.vocabulary.stem(t.word) for t in reading.tokens[index + 1 : index + 5]]
    is_from = bool(after) and reading.vocabulary.has("distance_words", after[0])
    is_pitch = is_from and len(after) == 4 and after[1] == after[3]
    is_gap = reading.vocabulary.has("apart", reading.word_after(index))
    if len({p.host for p in pieces}) != 1 or len(pieces) < 2 or not is_pitch | is_gap:
        return
    there = lengths_apart(reading.resolved, pieces, with_gaps=is_gap)
    if said not in there:
        told = {"piece": pieces[0].key, "other": pieces[1].key}
        apart = lengths_apart(reading.resolved, pieces[:2], with_gaps=is_gap)
        near = min((length for length in apart if length > 0), default=Fraction(0))
        lengths = {"said": said, "there": near}
        yield reading.found("place-in-text, apart", reading.tokens[index], **told, **lengths)


def _from_edges(
    reading: Reading, index: int, said: Fraction, pieces: Sequence[ResolvedPiece]
) -> Iterator[Finding]:
    """ "{x} from the edges": of what lies so far from none."""
    after = [t for t in reading.tokens[index + 1 : index + 4] if not reading.has("definite", t)]
    is_said = len(after) > 1 and reading.has("distance_words", after[0])
    is_pitch = (
        len(after) > 2 and reading.has("landmark", after[2]) and not reading.has("of", after[2])
    )
    if not is_said or is_pitch or not _is_edge(reading, after[1]):
        return
    for piece in pieces[:1]:
        known = [lengths_from_edges(reading.resolved, each) for each in pieces]
        if not any(said in each for each in known):
            near = min((each for each in known[0] if each), default=Fraction(0))
            lengths, found = {"said": said, "there": near}, "place-in-text, edges"
            yield reading.found(found, reading.tokens[index], piece=piece.key, **lengths)


def _turned_under(reading: Reading, index: int, said: Fraction) -> Iterator[Finding]:
    """ "{x} from the fold" of a ribbon: within what is turned under."""
    word, stems = reading.word_after(index), reading.stems_after(index)[:_EDGE_WITHIN]
    if not reading.vocabulary.has("distance_words", word):
        return
    is_fold = not reading.vocabulary.sets["fold"].isdisjoint(stems)
    for key in reading.passage.by("fasten") if is_fold else ():
        fastening = reading.resolved.fastenings[key]
        is_named = fastening.source.stock in reading.sentence.references
        if is_named and 0 < fastening.allowance <= said:
            told = {"said": said, "there": fastening.allowance}
            found = "place-in-text, turned under"
            yield reading.found(found, reading.tokens[index], (key,), key=key, **told)


def _elsewhere(
    reading: Reading,
    token: TextToken,
    edge: EdgeName,
    value: Fraction,
    pieces: Sequence[ResolvedPiece],
) -> Iterator[Finding]:
    """That a piece lies so far from the opposite edge, or at another distance."""
    other = opposite(edge)
    for piece in [piece for piece in pieces if _offset(piece, other) == value][:1]:
        told = {"piece": piece.key, "edge": edge, "other": other}
        yield reading.found("place-in-text", token, **told, said=value)
        return
    if not _is_about_fastening(reading):
        told = {"piece": pieces[0].key, "edge": edge}
        lengths = {"said": value, "there": _offset(pieces[0], edge)}
        yield reading.found("place-in-text, other distance", token, **told, **lengths)


def _is_about_fastening(reading: Reading) -> bool:
    """Whether a sentence also names a fastening, whose place may be meant."""
    fastenings = reading.resolved.fastenings
    ribbons = {fastening.source.stock for fastening in fastenings.values()}
    return any(name in ribbons or name in fastenings for name in reading.sentence.references)


def _ribbon(
    reading: Reading, token: TextToken, edge: EdgeName, value: Fraction
) -> Iterator[Finding]:
    """That the step sets a fastening by its distance from the opposite edge."""
    for key in reading.passage.by("fasten"):
        distances = reading.resolved.fastenings[key].source.distances
        if opposite(edge) in distances and edge not in distances:
            told = {"piece": key, "edge": edge, "other": opposite(edge)}
            yield reading.found("place-in-text", token, (key,), **told, said=value)


# ---- at an edge


def _only_on_named(
    reading: Reading, index: int, pieces: Sequence[ResolvedPiece]
) -> Sequence[ResolvedPiece]:
    """ "on the left edge of the [cover]": what lies on that piece, where it is one."""
    near = reading.tokens[index + 1 : index + 1 + _HOST_WITHIN]
    name = next((token.reference for token in near if token.reference), "")
    there = [piece for piece in pieces if piece.host == name]
    return there if len(there) == 1 else _named_before(reading, index, there)


def _all_at_other(
    reading: Reading, index: int, pieces: Sequence[ResolvedPiece]
) -> Iterator[Finding]:
    """A finding where a piece lies at the edge opposite to the one that is said, and none at it."""
    tail = reading.tokens[index + 1 :]
    edge = _edge_after(reading.vocabulary, tail)
    if edge is None or not all(_offset(piece, edge) for piece in pieces):
        return
    other = opposite(edge)
    for piece in [piece for piece in pieces if not _offset(piece, other)][:1]:
        told = {"piece": piece.key, "edge": edge, "other": other}
        yield reading.found("place-in-text, not flush", tail[0], **told)


# ---- halves and middles


def _half(reading: Reading, index: int) -> Iterator[Finding]:
    """ "the [mat] on the lower half": of a host in two sections it lies on that one."""
    edge = reading.vocabulary.edges.get(reading.word_before(index))
    piece = _last_attached(reading, index)
    if edge is None or piece is None:
        return
    host = reading.resolved.pieces[piece.host]
    halves = _halves(host, edge)
    if halves and not _is_seen_reversed(piece, edge) and piece.host_face != halves[is_far(edge)]:
        half = reading.tokens[index - 1]
        told = {"piece": piece.key, "half": half.text, "host": host.key}
        yield reading.found("place-in-text, other half", half, **told, section=piece.host_face)


def _last_attached(reading: Reading, index: int) -> ResolvedPiece | None:
    """The piece that is named last before a place, where the step lays it down."""
    before = reversed(reading.tokens[:index])
    name = next((token.reference for token in before if token.reference), "")
    piece = reading.resolved.pieces.get(name)
    is_laid = piece is not None and piece.host and name in reading.passage.by("attach")
    return piece if is_laid else None


def _halves(host: ResolvedPiece, edge: EdgeName) -> Sequence[str]:
    """The two sections of a piece that has no others, from left to right or from below."""
    sections = host.source.across if is_upright(edge) else host.source.up
    is_halved = len(sections) == len(host.faces) == 2
    return [section.name for section in sections] if is_halved else ()


def _is_seen_reversed(piece: ResolvedPiece, edge: EdgeName) -> bool:
    """Whether left and right are the other way round where a piece lies."""
    placement = piece.source.placement
    return is_upright(edge) and placement is not None and placement.relation == "on_back"


def _middle(reading: Reading, pieces: Sequence[ResolvedPiece]) -> Iterator[Finding]:
    """ "half way up", "in the middle": some piece lies there."""
    ways = next((ways for said, ways in _MIDDLES.items() if reading.says(said)), ())
    near = [piece for piece in pieces if reading.refers_to(piece)] or pieces
    near = [piece for piece in near if piece.key not in _wholes(reading)]
    outer = _outermost(near) if ways else ()
    for piece in outer if len(outer) == 1 else ():
        for first, second in [way for way in ways if _is_beside(reading, piece, *way)][:1]:
            ends = {"first": _offset(piece, first), "second": _offset(piece, second)}
            yield reading.found_in_text("place-in-text, not middle", piece=piece.key, **ends)


def _middle_of_it(reading: Reading) -> Iterator[Finding]:
    """ "the [mat] on the lower half and the [photo] in the middle of it": it lies on that mat, or
    on the same section."""
    laid = reading.named_pieces("attach")
    if len(laid) != 2 or not reading.says("middle_of_it"):
        return
    first, second = sorted(laid, key=lambda piece: reading.sentence.references.index(piece.key))
    is_beside = (first.host, first.host_face) == (second.host, second.host_face)
    if not is_beside and first.key not in reading.resolved.hosts_of(second.key):
        told = {"piece": second.key, "said": first.key, "host": second.host}
        yield reading.found("place-in-text, other host", reading.tokens[0], **told)


def _wholes(reading: Reading) -> Iterator[str]:
    """What something lies in the middle of: "of the [page]", where that is what lies there."""
    for index, token in enumerate(reading.tokens):
        if reading.has("of", token):
            after = reading.tokens[index + 1 : index + 3]
            yield from (each.reference for each in after if each.reference)


def _outermost(pieces: Sequence[ResolvedPiece]) -> Sequence[ResolvedPiece]:
    """The pieces that lie on none of the others."""
    keys = {"", *(piece.key for piece in pieces)}
    return [piece for piece in pieces if piece.host not in keys]


def _is_beside(reading: Reading, piece: ResolvedPiece, first: EdgeName, second: EdgeName) -> bool:
    assert piece.offsets is not None
    host = reading.resolved.pieces[piece.host].face(piece.host_face).box
    whole = host.width if is_upright(first) else host.height
    return abs(piece.offsets.at(first) - piece.offsets.at(second)) > whole * _BESIDE

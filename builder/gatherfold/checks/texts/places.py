"""Places in texts: distances from edges, "flush with", halves and middles, glued edges.

Each is held against where the pieces lie that the sentence names and the step handles.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from gatherfold.checks.report import finding_kind
from gatherfold.checks.texts.parts_named import Nouns
from gatherfold.checks.texts.passages import Passage
from gatherfold.checks.texts.sentences import Sentence, TextToken, TokenKind
from gatherfold.checks.texts.vocabulary import Vocabulary
from gatherfold.findings import Finding
from gatherfold.formulas import Pair
from gatherfold.geometry import EdgeName, is_upright, opposite
from gatherfold.resolve.resolved import ResolvedDesign, ResolvedPiece

#: A piece in the middle may lie a tenth of its host beside it (common practice, no source).
_BESIDE = Fraction(1, 10)


def check_places(resolved: ResolvedDesign, nouns: Nouns, passage: Passage) -> Iterator[Finding]:
    """Every place in a step's text where what it handles does not lie."""
    if passage.step is None:
        return
    for sentence in passage.sentences:
        pieces = _placed(resolved, nouns, passage, sentence)
        for index, token in enumerate(sentence.tokens):
            tail = sentence.tokens[index + 1 :]
            if token.kind is TokenKind.FORMULA:
                yield from _distance(resolved, nouns.vocabulary, passage, token, tail, pieces)
            elif nouns.vocabulary.has("flush", token.word):
                yield from _flush(resolved, nouns.vocabulary, passage, tail, pieces)
            elif nouns.vocabulary.has("half", token.word) and index:
                before = sentence.tokens[:index]
                yield from _half(resolved, nouns.vocabulary, passage, before)
            if nouns.vocabulary.has("at_edge", token.word):
                yield from _at_edge(resolved, nouns.vocabulary, passage, tail, pieces)
        yield from _middle(resolved, nouns.vocabulary, passage, sentence, pieces)


def _placed(
    resolved: ResolvedDesign, nouns: Nouns, passage: Passage, sentence: Sentence
) -> tuple[ResolvedPiece, ...]:
    """The pieces that a sentence may place: those that the step lays or tries and the sentence
    names, by reference or by a noun, and those that lie on what it names; else all of the step."""
    keys = list(dict.fromkeys(passage.by("attach", "dry_fit", "insert")))
    pieces = [resolved.pieces[key] for key in keys if resolved.pieces[key].offsets is not None]
    stems = {nouns.vocabulary.stem(word) for word in sentence.words}
    own = [p for p in pieces if p.key in sentence.references]
    riders = [p for p in pieces if p.source.placement and p.source.placement.host in
              sentence.references and p not in own]  # fmt: skip
    heads = {t.owner for t in nouns.things if t.owner in keys and t.heads & stems}
    return tuple([*own, *riders] or [p for p in pieces if p.key in heads] or pieces)


def edge_measured_from(vocabulary: Vocabulary, tail: Sequence[TextToken]) -> EdgeName | None:
    """The edge of "from the left edge", where a length is followed by that."""
    is_distance = bool(tail) and vocabulary.has("distance_words", tail[0].word)
    return _edge_after(vocabulary, tail[1:]) if is_distance else None


def _edge_after(vocabulary: Vocabulary, tail: Sequence[TextToken]) -> EdgeName | None:
    """The edge that follows, with nothing but small words before it and a noun or the end of the
    phrase after it; None for several."""
    found: EdgeName | None = None
    for token in tail[:5]:
        edge = vocabulary.edges.get(token.word)
        if edge is not None and found is None:
            found = edge
        elif edge is not None:
            return None
        elif found is not None:
            is_noun = vocabulary.has("edge_nouns", token.word)
            # "the left of" also says a side of something else.
            is_of = vocabulary.has("of", token.word) and not is_upright(found)
            return found if is_noun or is_of else None
        elif not vocabulary.has("stops", token.word) and not vocabulary.has("landmark", token.word):
            return None
    return None


def _distance(
    resolved: ResolvedDesign,
    vocabulary: Vocabulary,
    passage: Passage,
    token: TextToken,
    tail: Sequence[TextToken],
    pieces: Sequence[ResolvedPiece],
) -> Iterator[Finding]:
    """ "{x} from the left edge": some piece lies so far from that edge."""
    said = resolved.printed.get(token.text.strip())
    edge = edge_measured_from(vocabulary, tail)
    if said is None or isinstance(said, Pair) or edge is None:
        return
    value, told = said.value, {"where": passage.where, "edge": edge}
    if any(_offset(piece, edge) == value for piece in pieces) or not pieces:
        yield from _ribbon(resolved, passage, token, edge, value) if not pieces else ()
        return
    at, other = passage.at(token.start), opposite(edge)
    mirrored = next((p for p in pieces if _offset(p, other) == value), None)
    if mirrored is not None:
        told |= {"piece": mirrored.key, "other": other}
        yield finding_kind("place-in-text").found(resolved, at, **told, said=value)
    elif not _is_about_fastening(resolved, passage, token):
        told |= {"piece": pieces[0].key}
        there = _offset(pieces[0], edge)
        yield finding_kind("place-in-text, other distance").found(
            resolved, at, **told, said=value, there=there
        )


def _offset(piece: ResolvedPiece, edge: EdgeName) -> Fraction:
    assert piece.offsets is not None
    return abs(piece.offsets.at(edge))


def _is_about_fastening(resolved: ResolvedDesign, passage: Passage, token: TextToken) -> bool:
    """Whether a sentence also names a fastening, whose place may be meant."""
    names = next(each.references for each in passage.sentences if token in each.tokens)
    ribbons = {fastening.source.stock for fastening in resolved.fastenings.values()}
    return any(name in ribbons or name in resolved.fastenings for name in names)


def _ribbon(
    resolved: ResolvedDesign, passage: Passage, token: TextToken, edge: EdgeName, value: Fraction
) -> Iterator[Finding]:
    for key in passage.by("fasten"):
        distances = resolved.fastenings[key].source.distances
        if opposite(edge) in distances and edge not in distances:
            told = {"where": passage.where, "piece": key, "edge": edge, "other": opposite(edge)}
            yield finding_kind("place-in-text").found(
                resolved, passage.at(token.start), (key,), **told, said=value
            )


def _flush(
    resolved: ResolvedDesign,
    vocabulary: Vocabulary,
    passage: Passage,
    tail: Sequence[TextToken],
    pieces: Sequence[ResolvedPiece],
) -> Iterator[Finding]:
    edge = _edge_after(vocabulary, tail)
    if edge is not None and pieces:
        yield from _all_at_other(resolved, passage, tail[0], edge, pieces)


def _at_edge(
    resolved: ResolvedDesign,
    vocabulary: Vocabulary,
    passage: Passage,
    tail: Sequence[TextToken],
    pieces: Sequence[ResolvedPiece],
) -> Iterator[Finding]:
    """ "on the left edge of the [cover]": what lies on that piece lies at that edge."""
    edge = _edge_after(vocabulary, tail)
    name = next((token.reference for token in tail[:7] if token.reference), "")
    there = [p for p in pieces if p.source.placement and p.source.placement.host == name]
    if edge is not None and len(there) == 1:
        yield from _all_at_other(resolved, passage, tail[0], edge, there)


def _all_at_other(
    resolved: ResolvedDesign,
    passage: Passage,
    token: TextToken,
    edge: EdgeName,
    pieces: Sequence[ResolvedPiece],
) -> Iterator[Finding]:
    """A finding where a piece lies at the edge opposite to the one that is said, and none at it."""
    other = opposite(edge)
    if any(not _offset(piece, edge) for piece in pieces):
        return
    mirrored = next((piece for piece in pieces if not _offset(piece, other)), None)
    if mirrored is not None:
        told = {"where": passage.where, "piece": mirrored.key, "edge": edge, "other": other}
        yield finding_kind("place-in-text, not flush").found(
            resolved, passage.at(token.start), **told
        )


def _half(
    resolved: ResolvedDesign, vocabulary: Vocabulary, passage: Passage, before: Sequence[TextToken]
) -> Iterator[Finding]:
    """ "the [mat] on the lower half": of a host in two sections it lies on that one."""
    edge = vocabulary.edges.get(before[-1].word)
    name = next((token.reference for token in reversed(before) if token.reference), "")
    piece = resolved.pieces.get(name)
    if edge is None or piece is None or piece.source.placement is None:
        return
    host = resolved.pieces[piece.source.placement.host]
    sections = host.source.across if is_upright(edge) else host.source.up
    outside = piece.source.placement.relation == "on_back" and is_upright(edge)
    if len(sections) != 2 or len(host.faces) != 2 or outside or name not in passage.by("attach"):
        return
    said = sections[0] if edge in ("left", "bottom") else sections[1]
    if piece.host_face != said.name:
        told = {"where": passage.where, "piece": name, "half": before[-1].text, "host": host.key}
        at = passage.at(before[-1].start)
        yield finding_kind("place-in-text, other half").found(
            resolved, at, **told, section=piece.host_face
        )


def _middle(
    resolved: ResolvedDesign,
    vocabulary: Vocabulary,
    passage: Passage,
    sentence: Sentence,
    pieces: Sequence[ResolvedPiece],
) -> Iterator[Finding]:
    """ "half way up", "in the middle": some piece lies there."""
    ways: list[tuple[EdgeName, EdgeName]] = []
    if sentence.says(vocabulary.sets["halfway"]):
        ways = [("top", "bottom")]
    elif sentence.says(vocabulary.sets["middle"]):
        ways = [("top", "bottom"), ("left", "right")]
    near = [p for p in pieces if p.key in sentence.references] or pieces
    outer = [p for p in near if p.source.placement and p.source.placement.host not in
             {each.key for each in near}]  # fmt: skip
    for piece in outer if len(outer) == 1 else ():
        for first, second in ways:
            if _is_beside(resolved, piece, first, second):
                told = {"where": passage.where, "piece": piece.key}
                ends = {"first": _offset(piece, first), "second": _offset(piece, second)}
                yield finding_kind("place-in-text, not middle").found(
                    resolved, passage.position, **told, **ends
                )
                return


def _is_beside(
    resolved: ResolvedDesign, piece: ResolvedPiece, first: EdgeName, second: EdgeName
) -> bool:
    placement = piece.source.placement
    assert piece.offsets is not None and placement is not None
    host = resolved.pieces[placement.host].face(piece.host_face).box
    whole = host.width if is_upright(first) else host.height
    return abs(piece.offsets.at(first) - piece.offsets.at(second)) > whole * _BESIDE

"""Sides in texts: inside and outside, face down, and over or away from the scored side.

A folded piece has an inside, where all its folds go one way: the side that they close over.  What
lies on a piece that has none is not looked at.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from gatherfold.checks.report import finding_kind
from gatherfold.checks.texts.parts_named import Nouns
from gatherfold.checks.texts.passages import Passage
from gatherfold.checks.texts.sentences import Sentence, TextToken, TokenKind
from gatherfold.checks.texts.vocabulary import Vocabulary
from gatherfold.findings import Finding
from gatherfold.model.choices import is_valley
from gatherfold.resolve.resolved import ResolvedDesign, ResolvedPiece
from gatherfold.work.parts import host_side

_SIDES = ("inside", "outside")


def check_sides(resolved: ResolvedDesign, nouns: Nouns, passage: Passage) -> Iterator[Finding]:
    """Every side of a passage that is not that of the data."""
    if passage.step is None or passage.is_title:
        return
    for sentence in passage.sentences:
        for said, pieces, token in _sided(resolved, nouns, passage, sentence):
            for piece in pieces:
                yield from _side(resolved, passage, said, piece, token)
        if passage.does("fold"):
            yield from _folds(resolved, nouns.vocabulary, passage, sentence)
        yield from _faces(resolved, nouns.vocabulary, passage, sentence)


def inside_of(piece: ResolvedPiece) -> int:
    """Which side of a folded piece is its inside, 1 for its front; 0 where it has none."""
    tabs = {tab.name for tab in piece.source.tabs}
    ways = {is_valley(score.fold) for score in piece.scores if not tabs & {*score.sides}}
    if len(ways) != 1:
        return 0
    return 1 if True in ways else -1


def _sided(
    resolved: ResolvedDesign, nouns: Nouns, passage: Passage, sentence: Sentence
) -> Iterator[tuple[str, Sequence[ResolvedPiece], TextToken]]:
    """Pieces glued in the step with the side that is said of them: what is named since the last
    side goes on it, and after "outside up" what follows."""
    vocabulary, tokens = nouns.vocabulary, sentence.tokens
    attached = passage.by("attach")
    pending: list[ResolvedPiece] = []
    facing, is_spreading, is_placed = "", False, False
    for index, token in enumerate(tokens):
        said = next((name for name in _SIDES if vocabulary.has(name, token.word)), "")
        does = vocabulary.does(token.word)
        if does:
            is_spreading = False
        elif vocabulary.has("adhesives", token.word) or _is_supply(resolved, token):
            is_spreading = True
        is_placed |= vocabulary.has("landmark", token.word)
        if token.text == "," and is_placed:
            pending = []
        after = tokens[index + 1].word if index + 1 < len(tokens) else ""
        if said and vocabulary.has("up", after):
            facing, pending = said, []
        elif said and not is_spreading:
            yield said, pending, token
            pending, facing = [], ""
        elif token.reference in attached:
            pending.append(resolved.pieces[token.reference])
            is_placed = False
        elif facing and token.word and does != "close":
            pending += _by_noun(resolved, nouns, passage, tokens[: index + 1])
        if facing and pending:
            yield facing, pending, token
            pending = []


def _is_supply(resolved: ResolvedDesign, token: TextToken) -> bool:
    return token.reference in resolved.design.supplies


def _by_noun(
    resolved: ResolvedDesign, nouns: Nouns, passage: Passage, tokens: Sequence[TextToken]
) -> list[ResolvedPiece]:
    """The pieces that the step glues and that a noun names, with the words before it."""
    vocabulary, found = nouns.vocabulary, []
    stem = vocabulary.stem(tokens[-1].word)
    modifiers = {vocabulary.stem(t.word) for t in tokens[-3:-1] if t.word}
    glued = passage.by("attach")
    things = [t for t in nouns.named(stem) if stem in t.heads and t.owner in glued]
    for thing in things:
        is_picked = bool(modifiers & thing.words - {stem}) and thing.owner not in passage.text
        if is_picked or len(things) == 1:
            found.append(resolved.pieces[thing.owner])
    return found


def _side(
    resolved: ResolvedDesign, passage: Passage, said: str, piece: ResolvedPiece, token: TextToken
) -> Iterator[Finding]:
    placement = piece.source.placement
    if placement is None:
        return
    host = resolved.pieces[placement.host]
    inside, side = inside_of(host), host_side(placement.relation)
    there = "inside" if side == inside else "outside"
    if inside and there != said:
        relation = "'on:'" if side == -1 else "'on_back:'"
        told = {"where": passage.where, "piece": piece.key, "host": host.key, "said": said}
        at = passage.at(token.start)
        yield finding_kind("side-in-text").found(
            resolved, at, **told, there=there, relation=relation
        )


def _folds(
    resolved: ResolvedDesign, vocabulary: Vocabulary, passage: Passage, sentence: Sentence
) -> Iterator[Finding]:
    """Over the scored side are valleys, away from it mountains."""
    over, away = (vocabulary.sets[name] for name in ("over_fold", "away_fold"))
    ways = [name for name, words in (("over", over), ("away", away)) if sentence.says(words)]
    folded = [resolved.pieces[key] for key in passage.by("fold")]
    pieces = [p for p in folded if p.key in sentence.references] or folded
    named = [p for p in pieces if p.key in sentence.references]
    if len(ways) != 1 or not (named or sentence.says(vocabulary.sets["every"])):
        return
    for piece in pieces:
        inside = inside_of(piece)
        if inside and (inside == 1) != (ways == ["over"]):
            folds, there = ("valleys", "over the front") if inside == 1 else ("mountains", "away")
            said = "over the scored side" if ways == ["over"] else "away from the scored side"
            told = {"where": passage.where, "piece": piece.key, "said": said}
            at = passage.at(sentence.tokens[0].start)
            yield finding_kind("fold-in-text").found(resolved, at, **told, folds=folds, there=there)


def _faces(
    resolved: ResolvedDesign, vocabulary: Vocabulary, passage: Passage, sentence: Sentence
) -> Iterator[Finding]:
    """ "Lay the [paper] face down": what is glued on it in the step lies on its back."""
    for said, side in (("down", -1), ("up", 1)):
        named = [t for t in sentence.tokens if t.kind is TokenKind.REFERENCE]
        if not sentence.says(vocabulary.sets[f"face_{said}"]) or len(named) != 1:
            continue
        host = named[0].reference
        on = [resolved.pieces[key] for key in passage.by("attach")]
        laid = [p.source.placement for p in on]
        sides = {
            piece.key: host_side(placement.relation)
            for piece, placement in zip(on, laid, strict=True)
            if placement is not None and placement.host == host
        }
        if sides and side not in sides.values():
            there = "back" if side == 1 else "front"
            told = {"where": passage.where, "host": host, "said": said, "piece": next(iter(sides))}
            yield finding_kind("side-in-text, face").found(
                resolved, passage.at(named[0].start), **told, there=there
            )

"""Edges that a text tapes or keeps free, against those that are glued; sections that it glues.

In: a step's text.  Out: findings about the pieces that it glues down by their edges.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from gatherfold.checks.report import finding_kind
from gatherfold.checks.texts.parts_named import Nouns, ThingKind
from gatherfold.checks.texts.passages import Passage
from gatherfold.checks.texts.sentences import Sentence, TextToken
from gatherfold.checks.texts.vocabulary import Vocabulary
from gatherfold.findings import Finding
from gatherfold.geometry import EDGES, EdgeName
from gatherfold.model.choices import is_ink
from gatherfold.resolve.resolved import ResolvedDesign, ResolvedPiece


def check_glued_edges(
    resolved: ResolvedDesign, nouns: Nouns, passage: Passage
) -> Iterator[Finding]:
    """Edges and sections of a passage that are not those of the data."""
    if passage.step is None or passage.is_title:
        return
    for sentence in passage.sentences:
        if _is_about_glue(resolved, nouns.vocabulary, sentence):
            for piece in _glued(resolved, nouns, passage, sentence):
                yield from _edges(resolved, nouns.vocabulary, passage, sentence, piece)
            yield from _seams(resolved, nouns.vocabulary, passage, sentence)
        yield from _sections(resolved, nouns, passage, sentence)
        yield from _notches(resolved, nouns, passage, sentence)


def _is_about_glue(resolved: ResolvedDesign, vocabulary: Vocabulary, sentence: Sentence) -> bool:
    supplies = resolved.design.supplies
    named = any(r in supplies and not is_ink(supplies[r].kind) for r in sentence.references)
    return named or any(vocabulary.has("adhesives", word) for word in sentence.words)


def _glued(
    resolved: ResolvedDesign, nouns: Nouns, passage: Passage, sentence: Sentence
) -> Sequence[ResolvedPiece]:
    """The pieces glued along some edges that a sentence names, by reference or by a noun; nothing
    where they are glued in different ways."""
    pieces = [resolved.pieces[key] for key in passage.by("attach")]
    edged = [p for p in pieces if p.glue.strips and not p.joins and not p.seams]
    stems = {nouns.vocabulary.stem(word) for word in sentence.words}
    named = [p for p in edged if p.key in sentence.references]
    found = named or [
        p for p in edged if any(t.owner == p.key and t.heads & stems for t in nouns.things)
    ]
    return found[:1] if len({frozenset(p.glue.strips) for p in found}) == 1 else ()


def _edges(
    resolved: ResolvedDesign,
    vocabulary: Vocabulary,
    passage: Passage,
    sentence: Sentence,
    piece: ResolvedPiece,
) -> Iterator[Finding]:
    glued = {*piece.glue.strips}
    for at, edges, is_free in _edge_lists(vocabulary, sentence):
        said = ", ".join(edge for edge in EDGES if edge in edges)
        told = {"where": passage.where, "piece": piece.key, "said": f"the {said} edge"}
        told["glued"] = ", ".join(piece.glue.strips)
        if is_free and edges & glued:
            yield finding_kind("edges-in-text, not free").found(resolved, passage.at(at), **told)
        elif not is_free and (not edges <= glued or (len(edges) > 1 and edges != glued)):
            yield finding_kind("edges-in-text").found(resolved, passage.at(at), **told)


def _edge_lists(
    vocabulary: Vocabulary, sentence: Sentence
) -> Iterator[tuple[int, set[EdgeName], bool]]:
    """Edges that are listed before a noun, where they are taped or kept free: where they stand,
    which, and whether they are kept free."""
    listed: list[tuple[int, EdgeName]] = []
    way = ""
    for token in sentence.tokens:
        word = token.word
        edge = vocabulary.edges.get(word)
        if edge is not None:
            listed.append((token.start, edge))
        if vocabulary.has("edge_nouns", word) and listed and way:
            yield listed[0][0], {each for _, each in listed}, way == "free"
        if vocabulary.has("opposed", word):
            way = "free"
        elif vocabulary.has("along", word):
            way = "glued"
        elif vocabulary.has("distance_words", word) or _ends(vocabulary, token):
            way = ""
        if edge is None and word and not vocabulary.has("stops", word):
            listed = []


def _ends(vocabulary: Vocabulary, token: TextToken) -> bool:
    """Whether a word begins to speak of something else."""
    does = vocabulary.does(token.word)
    return does is not None and not vocabulary.has("spread", token.word)


def _sections(
    resolved: ResolvedDesign, nouns: Nouns, passage: Passage, sentence: Sentence
) -> Iterator[Finding]:
    """A section that is the object of "glue": glued where its piece lies, by a join or a seam."""
    vocabulary, tokens = nouns.vocabulary, sentence.tokens
    laid = [resolved.pieces[key] for key in passage.by("attach")]
    for index, token in enumerate(tokens):
        if not vocabulary.has("glues", token.word):
            continue
        noun = next(
            (t.word for t in tokens[index + 1 : index + 4]
             if t.word and not vocabulary.has("stops", t.word)
             and not vocabulary.has("wholly", t.word)), ""
        )  # fmt: skip
        stem = vocabulary.stem(noun)
        things = [t for t in nouns.things if t.kind is ThingKind.SECTION and t.name == stem]
        mine = [p for p in laid if any(t.owner == p.key for t in things)]
        if mine and not any(stem in _held(piece) for piece in mine):
            piece = mine[0]
            glued = ", ".join(f"'{name}'" for name in piece.glued) or "none"
            told = {"where": passage.where, "piece": piece.key, "section": stem, "glued": glued}
            yield finding_kind("section-in-text").found(resolved, passage.at(token.start), **told)


def _seams(
    resolved: ResolvedDesign, vocabulary: Vocabulary, passage: Passage, sentence: Sentence
) -> Iterator[Finding]:
    """ "along the edges of the bottom flap": a section that has a seam, where some have."""
    tokens = sentence.tokens
    for index, token in enumerate(tokens[:-1]):
        is_edge = vocabulary.has("edge_nouns", token.word)
        if not is_edge or not vocabulary.has("of", tokens[index + 1].word):
            continue
        after = [vocabulary.stem(t.word) for t in tokens[index + 1 : index + 6] if t.word]
        for key in passage.by("close"):
            piece = resolved.pieces[key]
            said = [f.name for f in piece.faces if _stands_in(vocabulary, f.name, after)]
            if len(said) == 1 and piece.seams and said[0] not in _held(piece):
                glued = ", ".join(
                    f"'{seam}'" for seam in dict.fromkeys(s.section for s in piece.seams)
                )
                told = {"where": passage.where, "piece": key, "section": said[0], "glued": glued}
                yield finding_kind("section-in-text").found(
                    resolved, passage.at(token.start), **told
                )


def _held(piece: ResolvedPiece) -> set[str]:
    """The sections that adhesive goes on."""
    joined = {join.face for join in piece.joins} | {seam.section for seam in piece.seams}
    return {*piece.glued, *joined}


def _notches(
    resolved: ResolvedDesign, nouns: Nouns, passage: Passage, sentence: Sentence
) -> Iterator[Finding]:
    """ "the thumb notch into the bottom flap": the section at the edge that has the notch."""
    vocabulary, tokens = nouns.vocabulary, sentence.tokens
    for index, token in enumerate(tokens):
        if not token.word or vocabulary.stem(token.word) not in vocabulary.sets["notch"]:
            continue
        after = [vocabulary.stem(t.word) for t in tokens[index + 1 : index + 6] if t.word]
        if not after or not vocabulary.has("landmark", tokens[index + 1].word):
            continue
        for key in passage.handled:
            piece = resolved.pieces.get(key)
            notched = () if piece is None else tuple(piece.source.thumb_notches)
            if piece is None or len(notched) != 1:
                continue
            (edge,) = notched
            said = [f.name for f in piece.faces if _stands_in(vocabulary, f.name, after)]
            if len(said) == 1 and not _touches(piece, said[0], edge):
                told = {"where": passage.where, "piece": key, "section": said[0], "edge": edge}
                yield finding_kind("section-in-text, other notch").found(
                    resolved, passage.at(token.start), **told
                )


def _stands_in(vocabulary: Vocabulary, name: str, stems: Sequence[str]) -> bool:
    words = [vocabulary.stem(word) for word in name.split("_")]
    return any(list(stems[i : i + len(words)]) == words for i in range(len(stems)))


def _touches(piece: ResolvedPiece, face: str, edge: EdgeName) -> bool:
    """Whether a face reaches an edge of its piece."""
    box = piece.face(face).box
    ends = {"left": 0, "bottom": 0, "right": piece.width, "top": piece.height}
    return bool(getattr(box, edge) == ends[edge])

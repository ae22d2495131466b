"""Edges that a text tapes or keeps free, against those that are glued; sections that it glues.

In: a sentence of a step's text.  Out: findings about the pieces that it glues down by their edges.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import takewhile

from gatherfold.checks.report import quoted
from gatherfold.checks.texts.parts_named import ThingKind
from gatherfold.checks.texts.readings import Reading
from gatherfold.checks.texts.sentences import TextToken, TokenKind, last_meaning
from gatherfold.checks.texts.vocabulary import Vocabulary
from gatherfold.findings import Finding
from gatherfold.formulas import Quantity
from gatherfold.geometry import EDGES, EdgeName, is_upright, opposite
from gatherfold.model import is_ink
from gatherfold.resolve import ResolvedPiece, ResolvedSeam, run_length

#: What a word says of the edges after it, by the set that the word is in.
_WAYS = {"opposed": "free", "along": "glued", "distance_words": ""}
#: The object of "glue" stands within so many tokens (common practice, no source).
_OBJECT_WITHIN = 3


@dataclass(frozen=True)
class _EdgeList:
    """Edges that are taped or kept free, and the first word of them."""

    first: TextToken
    edges: frozenset[EdgeName]
    is_free: bool

    def contradicts(self, glued: frozenset[EdgeName]) -> bool:
        """Whether a piece that is glued along some edges is not as this says; one edge may be
        spoken of alone."""
        if self.is_free:
            return bool(self.edges & glued)
        return not self.edges <= glued or (len(self.edges) > 1 and self.edges != glued)


def check_glued_edges(reading: Reading) -> Iterator[Finding]:
    """Edges and sections of a sentence that are not those of the data."""
    if _is_about_glue(reading):
        yield from _edges(reading)
        yield from _seams(reading)
    yield from _sections(reading)
    yield from _notches(reading)
    yield from _cut_off(reading)


def _is_about_glue(reading: Reading) -> bool:
    supplies = reading.resolved.design.supplies
    adhesives = {key for key, supply in supplies.items() if not is_ink(supply.kind)}
    is_named = not adhesives.isdisjoint(reading.sentence.references)
    return is_named or any(reading.has("adhesives", token) for token in reading.tokens)


# ---- edges


def _edges(reading: Reading) -> Iterator[Finding]:
    """Edges that are glued and said to be free, or the other way round."""
    for piece in _glued(reading):
        glued = frozenset(piece.glue.strips)
        for listed in _edge_lists(reading):
            if listed.contradicts(glued):
                yield _other_edges(reading, piece, listed)


def _other_edges(reading: Reading, piece: ResolvedPiece, listed: _EdgeList) -> Finding:
    name = "edges-in-text, not free" if listed.is_free else "edges-in-text"
    said = ", ".join(edge for edge in EDGES if edge in listed.edges)
    told = {"piece": piece.key, "said": f"the {said} edge"}
    return reading.found(name, listed.first, **told, glued=", ".join(piece.glue.strips))


def _glued(reading: Reading) -> Sequence[ResolvedPiece]:
    """The pieces glued along some edges that a sentence names, by reference or by a noun; nothing
    where they are glued in different ways."""
    edged = [piece for piece in reading.pieces("attach") if _is_glued_by_edges(piece)]
    by_noun = [piece for piece in edged if piece.key in reading.spoken_of]
    found = [piece for piece in edged if reading.refers_to(piece)] or by_noun
    return found[:1] if len({frozenset(piece.glue.strips) for piece in found}) == 1 else ()


def _is_glued_by_edges(piece: ResolvedPiece) -> bool:
    return bool(piece.glue.strips) and not piece.joins and not piece.seams


def _edge_lists(reading: Reading) -> Iterator[_EdgeList]:
    """Edges that are listed before a noun, where they are taped or kept free."""
    vocabulary, tokens = reading.vocabulary, reading.tokens
    for index, token in enumerate(tokens):
        way = _way(reading, index) if reading.has("edge_nouns", token) else ""
        listed = _listed_before(vocabulary, tokens[: index + 1]) if way else []
        if listed:
            edges = frozenset(vocabulary.edges[each.word] for each in listed)
            yield _EdgeList(listed[0], edges, way == "free")


def _listed_before(vocabulary: Vocabulary, tokens: Sequence[TextToken]) -> list[TextToken]:
    """The edges right before a noun, with small words between; some nouns say one themselves."""
    *before, noun = tokens
    run = [noun, *takewhile(partial(_may_be_in_list, vocabulary), reversed(before))]
    return [token for token in reversed(run) if token.word in vocabulary.edges]


def _may_be_in_list(vocabulary: Vocabulary, token: TextToken) -> bool:
    word = token.word
    return not word or word in vocabulary.edges or vocabulary.has("stops", word)


def _way(reading: Reading, index: int) -> str:
    """Whether what stands at a place is said to be glued or free; empty for neither."""
    return last_meaning(reading.tokens[:index], partial(_way_of, reading.vocabulary), "")


def _way_of(vocabulary: Vocabulary, token: TextToken) -> str | None:
    named = (way for name, way in _WAYS.items() if vocabulary.has(name, token.word))
    return next(named, "" if _begins_another(vocabulary, token) else None)


def _begins_another(vocabulary: Vocabulary, token: TextToken) -> bool:
    """Whether a word begins to speak of something else."""
    does = vocabulary.does(token.word)
    return does is not None and not vocabulary.has("spread", token.word)


# ---- sections


def _sections(reading: Reading) -> Iterator[Finding]:
    """A section that is the object of "glue": glued where its piece lies, by a join or a seam."""
    for index, token in enumerate(reading.tokens):
        is_verb = reading.has("glues", token) and not reading.vocabulary.has(
            "none", reading.word_before(index)
        )
        section = _object_after(reading, index) if is_verb else ""
        for piece in _laid_with(reading, section)[:1] if section else ():
            glued = quoted(piece.glued) or "none"
            told = {"piece": piece.key, "section": section, "glued": glued}
            yield reading.found("section-in-text", token, **told)


def _object_after(reading: Reading, index: int) -> str:
    """The stem of the first word after a verb that is no small one."""
    near = reading.tokens[index + 1 : index + 1 + _OBJECT_WITHIN]
    small = reading.vocabulary.sets["stops"] | reading.vocabulary.sets["wholly"]
    noun = next((t.word for t in near if t.word and t.word not in small), "")
    return reading.vocabulary.stem(noun)


def _laid_with(reading: Reading, section: str) -> Sequence[ResolvedPiece]:
    """The pieces laid in the step that have a section of this name, where none has it glued."""
    sections = (thing for thing in reading.nouns.things if thing.kind is ThingKind.SECTION)
    owners = {thing.owner for thing in sections if thing.name == section}
    pieces = [piece for piece in reading.pieces("attach") if piece.key in owners]
    return () if any(section in _held(piece) for piece in pieces) else pieces


def _seams(reading: Reading) -> Iterator[Finding]:
    """ "along the edges of the bottom flap": a section that has a seam, where some have."""
    is_edge = partial(reading.has, "edge_nouns")
    seamed = [piece for piece in reading.pieces("close") if piece.seams]
    for token, piece, section in _sections_after(reading, is_edge, "of", seamed):
        seams = [seam for seam in piece.seams if seam.section == section]
        if section not in _held(piece):
            glued = quoted(seam.section for seam in piece.seams)
            told = {"piece": piece.key, "section": section, "glued": glued}
            yield reading.found("section-in-text", token, **told)
        elif seams:
            yield from _seam_edges(reading, token, piece, seams)
            yield from _seam_lengths(reading, token, piece, seams)


def _seam_edges(
    reading: Reading, noun: TextToken, piece: ResolvedPiece, seams: Sequence[ResolvedSeam]
) -> Iterator[Finding]:
    """The edges of a section that are listed, and how many: what is folded in shows its upper edge
    below and its lower one above."""
    tokens = reading.tokens[: reading.tokens.index(noun) + 1]
    along = {seam.edge for seam in seams}
    known = along | {opposite(edge) for edge in along if not is_upright(edge)}
    edges = {reading.vocabulary.edges[t.word] for t in _listed_before(reading.vocabulary, tokens)}
    numbers = (reading.vocabulary.numbers.get(token.word, 0) for token in tokens[-_OBJECT_WITHIN:])
    count = max(numbers, default=0)
    if edges - known or (count and count != len(along)):
        said = " ".join(token.text for token in tokens[-_OBJECT_WITHIN:])
        told = {"piece": piece.key, "section": seams[0].section, "said": f"'{said}'"}
        listed = ", ".join(seam.edge for seam in seams)
        yield reading.found("edges-in-text, other seam", noun, **told, glued=listed)


def _seam_lengths(
    reading: Reading, noun: TextToken, piece: ResolvedPiece, seams: Sequence[ResolvedSeam]
) -> Iterator[Finding]:
    """The lengths that follow: how long the adhesive of a section is, and where it begins."""
    runs = {run_length(run) for seam in seams for run in seam.runs}
    known = runs | {length for seam in seams for length in (seam.length, seam.dry)}
    known |= {size for supply in reading.resolved.supply_sizes.values() for size in supply}
    for token in reading.tokens:
        said = reading.resolved.printed.get(token.text.strip())
        is_after = token.start > noun.start and token.kind is TokenKind.FORMULA
        if is_after and isinstance(said, Quantity) and said.value not in known:
            told = {"piece": piece.key, "section": seams[0].section}
            found = "section-in-text, other length"
            yield reading.found(found, token, **told, said=said.value)


def _held(piece: ResolvedPiece) -> set[str]:
    """The sections that adhesive goes on."""
    joined = {join.face for join in piece.joins} | {seam.section for seam in piece.seams}
    return {*piece.glued, *joined}


def _notches(reading: Reading) -> Iterator[Finding]:
    """ "the thumb notch into the bottom flap": the section at the edge that has the notch."""
    pieces = reading.resolved.pieces
    if reading.says("thumb_notch") and not any(p.source.thumb_notches for p in pieces.values()):
        yield reading.found("section-in-text, no notch", reading.tokens[0])
    handled = [pieces[key] for key in reading.passage.handled if key in pieces]
    notched = [piece for piece in handled if len(piece.source.thumb_notches) == 1]
    is_notch = partial(_is_notch, reading.vocabulary)
    for token, piece, section in _sections_after(reading, is_notch, "landmark", notched):
        (edge,) = piece.source.thumb_notches
        if not _touches(piece, section, edge):
            told = {"piece": piece.key, "section": section, "edge": edge}
            yield reading.found("section-in-text, other notch", token, **told)


def _cut_off(reading: Reading) -> Iterator[Finding]:
    """ "cut the tabs off": those of what the step handles."""
    vocabulary = reading.vocabulary
    for clause in reading.sentence.clauses if reading.mentions("cut", "off") else ():
        is_cut = all(not vocabulary.sets[name].isdisjoint(clause.words) for name in ("cut", "off"))
        stems = {vocabulary.stem(word) for word in clause.words} if is_cut else set()
        pieces = (reading.resolved.pieces.get(key) for key in reading.passage.handled)
        for piece in [piece for piece in pieces if piece and piece.source.tabs][:1]:
            if stems & vocabulary.sets["tab"]:
                yield reading.found("section-in-text, tabs", clause.tokens[0], piece=piece.key)


def _is_notch(vocabulary: Vocabulary, token: TextToken) -> bool:
    return bool(token.word) and vocabulary.stem(token.word) in vocabulary.sets["notch"]


def _sections_after(
    reading: Reading,
    is_noun: Callable[[TextToken], bool],
    relation: str,
    pieces: Sequence[ResolvedPiece],
) -> Iterator[tuple[TextToken, ResolvedPiece, str]]:
    """Where a noun, a word of some relation and the only section of a piece so named follow each
    other: the noun, the piece and the section."""
    for index, token in enumerate(reading.tokens):
        after = reading.word_after(index)
        if is_noun(token) and reading.vocabulary.has(relation, after):
            stems = reading.stems_after(index)
            named = ((piece, _named_in(reading.vocabulary, piece, stems)) for piece in pieces)
            yield from ((token, piece, names[0]) for piece, names in named if len(names) == 1)


def _named_in(vocabulary: Vocabulary, piece: ResolvedPiece, stems: Sequence[str]) -> list[str]:
    """The sections of a piece whose words stand together among some."""
    return [face.name for face in piece.faces if _stands_in(vocabulary, face.name, stems)]


def _stands_in(vocabulary: Vocabulary, name: str, stems: Sequence[str]) -> bool:
    words = [vocabulary.stem(word) for word in name.split("_")]
    return any(list(stems[i : i + len(words)]) == words for i in range(len(stems)))


def _touches(piece: ResolvedPiece, face: str, edge: EdgeName) -> bool:
    """Whether a face reaches an edge of its piece."""
    box = piece.face(face).box
    ends = {"left": 0, "bottom": 0, "right": piece.width, "top": piece.height}
    return bool(getattr(box, edge) == ends[edge])

"""Adhesive in texts: where the data have none, or some and the text does without, and on which side
of a tab or section it is run.

In: a sentence of a step's text.  Out: findings about the pieces that the step lays and the sections
that it closes.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import partial
from itertools import takewhile

from gatherfold.checks.texts.folded import folded_in_order, meant_at, said_folded
from gatherfold.checks.texts.laying import pieces_meant
from gatherfold.checks.texts.objects import objects_of, ordered_at
from gatherfold.checks.texts.readings import SIDES, Reading
from gatherfold.checks.texts.sentences import TextToken, last_meaning
from gatherfold.checks.texts.sides import inside_of
from gatherfold.findings import Finding
from gatherfold.resolve import ResolvedPiece
from gatherfold.work import Crease, Parts, closing_demands, glued_side, host_side, work_of

#: "No" and "keep" stand within so many before what they deny (common practice, no source).
_DENIED_WITHIN = 4


def check_gluing(reading: Reading) -> Iterator[Finding]:
    """What a sentence glues and the step does not, or the other way round, or on the other side."""
    glue = [index for index in range(len(reading.tokens)) if _is_glue(reading, index)]
    spread = [index for index in glue if not _is_denied(reading, index)]
    if spread:
        yield from _loose(reading, spread)
        yield from _dry_sections(reading, spread[0])
    elif glue and reading.says("dry"):
        yield from _not_loose(reading, glue[0])
        yield from _glued_sections(reading, glue[0])


def _is_glue(reading: Reading, index: int) -> bool:
    """Whether a token is an adhesive or a verb that glues."""
    token = reading.tokens[index]
    return reading.has("glues", token) or reading.begins_adhesive(token)


def _is_denied(reading: Reading, index: int) -> bool:
    near = reading.tokens[max(0, index - _DENIED_WITHIN) : index]
    after = takewhile(lambda token: token.word, reversed(near))
    return any(reading.has("opposed", token) or reading.has("none", token) for token in after)


# ---- pieces


def _loose(reading: Reading, spread: Sequence[int]) -> Iterator[Finding]:
    """Pieces that are glued by a text and lie loose by the data."""
    keys = {
        o.name for o in objects_of(reading.vocabulary, reading.sentence) if _glues(reading, o.verb)
    }
    pieces = [piece for piece in reading.pieces("attach") if piece.key in keys]
    pieces += [p for at in spread if not _orders(reading, at) for p in _under(reading, at)]
    carriers = {p.source.placement.host for p in reading.pieces("attach") if p.source.placement}
    for piece in {piece.key: piece for piece in pieces}.values():
        if not piece.glued and not piece.joins and piece.key not in carriers:
            yield reading.found("glue-in-text", reading.tokens[spread[0]], piece=piece.key)


def _glues(reading: Reading, verb: str) -> bool:
    return reading.vocabulary.has("glues", verb)


def _orders(reading: Reading, index: int) -> bool:
    return ordered_at(reading.vocabulary, reading.sentence, index) is not None


def _under(reading: Reading, index: int) -> Iterator[ResolvedPiece]:
    """The pieces of the step on or under which adhesive is spread."""
    after = takewhile(
        lambda each: each[1].text not in ",:.", enumerate(reading.tokens[index:], index)
    )
    for at, token in after:
        if at > index and _orders(reading, at):
            return
        if token.reference in reading.passage.by("attach"):
            yield reading.resolved.pieces[token.reference]
        elif token.word and at > index:
            yield from pieces_meant(reading, at) or ()


def _not_loose(reading: Reading, glue: int) -> Iterator[Finding]:
    """The piece that is laid "without glue"."""
    laid = reading.passage.by("attach")
    before = [t.reference for t in reading.tokens[:glue] if t.reference in laid]
    spoken = [key for key in laid if key in reading.spoken_of]
    for key in before[-1:] or (spoken if len(spoken) == 1 else []):
        if reading.resolved.pieces[key].glued:
            yield reading.found("glue-in-text, dry", reading.tokens[glue], piece=key)


# ---- sections


def _dry_sections(reading: Reading, glue: int) -> Iterator[Finding]:
    """Sections that are closed and glued by a text, and closed dry by the data."""
    glued = _glued_in(reading)
    closed = _closed_in(reading)
    is_of_another = any(reading.nouns.stems_in(name) <= reading.stems for _, name in glued)
    is_of_piece = any(
        key in reading.spoken_of or key in reading.sentence.references
        for key in reading.passage.by("attach")
    )
    for key, name in sorted(closed - glued)[:1] if not is_of_another | is_of_piece else ():
        told = {"piece": key, "section": name}
        yield reading.found("glue-in-text, dry section", reading.tokens[glue], **told)


def _glued_sections(reading: Reading, glue: int) -> Iterator[Finding]:
    """Sections that are closed "without glue", and glued by the data."""
    for key, name in sorted(_closed_in(reading) & _glued_in(reading))[:1]:
        told = {"piece": key, "section": name}
        yield reading.found("glue-in-text, glued section", reading.tokens[glue], **told)


def _closed_in(reading: Reading) -> set[tuple[str, str]]:
    """The sections that a sentence folds in: their pieces and names."""
    order, _ = folded_in_order(reading.resolved, reading.passage)
    named = {name for _, names in said_folded([reading], order) for name in names}
    named |= _run_along(reading, order)
    parted = (name.partition(".") for name in named)
    return {(key, section) for key, _, section in parted if section}


def _run_along(reading: Reading, order: Mapping[str, int]) -> set[str]:
    """The sections that adhesive is run along and that are folded in as "them"."""
    tokens, found = reading.tokens, set[str]()
    begun = [i for i, token in enumerate(tokens) if reading.has("along", token)]
    closed = [i for i in range(len(tokens)) if _closes_them(reading, i)]
    for index in range(begun[0], closed[0]) if begun and closed else ():
        found |= meant_at(reading, index, order)
    return found


def _closes_them(reading: Reading, index: int) -> bool:
    order = ordered_at(reading.vocabulary, reading.sentence, index)
    return order == "close" and reading.vocabulary.has("pronouns", reading.word_after(index))


def _glued_in(reading: Reading) -> set[tuple[str, str]]:
    """The sections of what the step closes that adhesive goes on when they close."""
    parts = work_of(reading.resolved).parts
    found = set()
    for piece in reading.pieces("close"):
        joined = {join.face for join in piece.joins}
        for face in piece.faces:
            demands = closing_demands(parts, parts.pieces[piece.key], face.name)
            if face.name in joined or any(True for _ in demands):
                found.add((piece.key, face.name))
    return found


# ---- sides


def check_tape_sides(reading: Reading) -> Iterator[Finding]:
    """Every side of a text on which adhesive is run, of what the step closes."""
    token = _said(reading) if reading.passage.does("close") else None
    if token is None:
        return
    said, found = reading.side_of(token), dict(_glued_sides(reading))
    if found and said not in found.values():
        (piece, section), there = next(iter(found.items()))
        told = {"said": said, "there": there, "piece": piece, "section": section}
        yield reading.found("tape-side-in-text", token, (piece,), **told)


def _said(reading: Reading) -> TextToken | None:
    """The side that is said first after an adhesive, before another verb."""
    tokens, runs = reading.tokens, partial(_runs_adhesive, reading)
    sided = ((index, token) for index, token in enumerate(tokens) if reading.side_of(token))
    return next(
        (token for index, token in sided if last_meaning(tokens[:index], runs, False)), None
    )


def _runs_adhesive(reading: Reading, token: TextToken) -> bool | None:
    """Whether a token begins to speak of adhesive, or of other work; None for neither."""
    if reading.begins_adhesive(token):
        return True
    return False if reading.vocabulary.does(token.word) else None


def _glued_sides(reading: Reading) -> Iterator[tuple[tuple[str, str], str]]:
    """The side on which each section is glued that the step closes and the sentence names."""
    parts = work_of(reading.resolved).parts
    for piece in reading.pieces("close"):
        for crease in parts.pieces[piece.key].creases:
            sides = (
                _adhesive_sides(parts, piece, crease)
                if _is_named(reading, piece, crease)
                else set()
            )
            if len(sides) == 1:
                yield (piece.key, crease.hanging.face), SIDES[sides != {crease.inner}]


def _is_named(reading: Reading, piece: ResolvedPiece, crease: Crease) -> bool:
    """Whether a sentence names the section that a crease turns; for a tab, any tab."""
    name = crease.hanging.face
    if any(tab.name == name for tab in piece.source.tabs):
        return not reading.stems.isdisjoint(reading.vocabulary.sets["tab"])
    return reading.nouns.stems_in(name) <= reading.stems


def _adhesive_sides(parts: Parts, piece: ResolvedPiece, crease: Crease) -> set[int]:
    """The sides of a section that adhesive is on, 1 for the front."""
    name = crease.hanging.face
    demands = closing_demands(parts, parts.pieces[piece.key], name)
    closed = {int(demand.adhesive.side) for demand in demands}
    joins = {join.face: glued_side(join.relation) for join in piece.joins}
    return closed | ({joins[name]} if name in joins else set())


# ---- what tabs stick to


def check_stuck_tabs(reading: Reading) -> Iterator[Finding]:
    """Every wall, and side of a wall, that a tab of what the step closes does not stick to."""
    at = _sticks_at(reading)
    tabbed = [piece for piece in reading.pieces("close") if piece.source.tabs or piece.joins]
    if at is None or reading.stems.isdisjoint(reading.vocabulary.sets["tab"]):
        return
    for piece in tabbed:
        yield from _on_other_wall(reading, at, piece)
    yield from _on_other_face(reading, at, tabbed)


def _sticks_at(reading: Reading) -> int | None:
    """Where a sentence of a step that closes something begins to say what sticks."""
    if not reading.passage.does("close"):
        return None
    tokens = enumerate(reading.tokens)
    return next(
        (i for i, t in tokens if reading.has("sticks", t) and not _is_denied(reading, i)), None
    )


def _on_other_wall(reading: Reading, at: int, piece: ResolvedPiece) -> Iterator[Finding]:
    """ "Stick the tab under the back wall": of the walls that it is joined to, some is said."""
    joins = [join for join in piece.joins if join.host == piece.key]
    met = {join.host_face for join in joins}
    own = {join.face for join in joins}
    creases = work_of(reading.resolved).parts.pieces[piece.key].creases if joins else ()
    own |= {crease.staying.face for crease in creases if crease.hanging.face in own}
    is_order = _orders(reading, at)
    walls = (
        (token, _wall_at(reading, index, piece))
        for index, token in enumerate(reading.tokens)
        if index > at or not is_order
    )
    said = {name: token for token, name in walls if name and (name in met or name not in own)}
    if said and joins and not met & {*said}:
        name, token = next(iter(said.items()))
        told = {"piece": piece.key, "said": name, "section": joins[0].face}
        yield reading.found("section-in-text, other wall", token, **told, there=joins[0].host_face)


def _wall_at(reading: Reading, index: int, piece: ResolvedPiece) -> str:
    """The section that is named at a place, by its name or number, before a word for a wall."""
    vocabulary = reading.vocabulary
    stems = [vocabulary.stem(t.word) for t in reading.tokens[index : index + _DENIED_WITHIN]]
    tabs = {tab.name for tab in piece.source.tabs}
    for face in piece.faces:
        words = reading.nouns.words_in(face.name)
        after = stems[len(words) - 1 : len(words) + 1]
        is_wall = any(vocabulary.has("walls", stem) for stem in after)
        if is_wall and tuple(stems[: len(words)]) == words and face.name not in tabs:
            return face.name
    rank = vocabulary.ordinals.get(reading.tokens[index].word, 0)
    names = [section.name for section in (piece.source.across or piece.source.up)]
    is_line = not (piece.source.across and piece.source.up)
    is_wall = len(stems) > 1 and vocabulary.has("walls", stems[1])
    return names[rank - 1] if rank and is_wall and is_line and rank <= len(names) else ""


def _on_other_face(reading: Reading, at: int, pieces: Sequence[ResolvedPiece]) -> Iterator[Finding]:
    """ "Stick it to the outside of the wall": of the sides that tabs stick to, one is said."""
    tokens = reading.tokens
    until = takewhile(lambda index: not _orders(reading, index), range(at + 1, len(tokens)))
    sided = [index for index in until if reading.side_of(tokens[index])][:1]
    there = {side for piece in pieces for side in _stuck_sides(reading, piece)}
    for index in sided:
        is_of_tab = reading.vocabulary.has("possessive", reading.word_before(index))
        if len(there) == 1 and reading.side_of(tokens[index]) not in there and not is_of_tab:
            told = {"piece": pieces[0].key, "said": tokens[index].text, "there": next(iter(there))}
            yield reading.found("tape-side-in-text, wall", tokens[index], **told)


def _stuck_sides(reading: Reading, piece: ResolvedPiece) -> Iterator[str]:
    """The sides of its walls that the tabs of a piece stick to."""
    inside, parts = inside_of(piece), work_of(reading.resolved).parts
    for tab in piece.source.tabs if inside else ():
        demands = closing_demands(parts, parts.pieces[piece.key], tab.name)
        yield from (SIDES[demand.adhesive.side == inside] for demand in demands)
    for join in piece.joins if inside else ():
        if join.host == piece.key:
            yield SIDES[host_side(join.relation) != inside]

"""The side of a tab or section on which a text runs tape, against the side that is glued.

In: a sentence of a step that closes sections.  Out: findings.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from gatherfold.checks.texts.readings import SIDES, Reading
from gatherfold.checks.texts.sentences import TextToken, last_meaning
from gatherfold.findings import Finding
from gatherfold.resolve import ResolvedPiece
from gatherfold.work import Crease, Parts, closing_demands, glued_side, work_of


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
            sides = _sides(parts, piece, crease) if _is_named(reading, piece, crease) else set()
            if len(sides) == 1:
                yield (piece.key, crease.hanging.face), SIDES[sides != {crease.inner}]


def _is_named(reading: Reading, piece: ResolvedPiece, crease: Crease) -> bool:
    """Whether a sentence names the section that a crease turns; for a tab, any tab."""
    name = crease.hanging.face
    if any(tab.name == name for tab in piece.source.tabs):
        return not reading.stems.isdisjoint(reading.vocabulary.sets["tab"])
    return reading.nouns.stems_in(name) <= reading.stems


def _sides(parts: Parts, piece: ResolvedPiece, crease: Crease) -> set[int]:
    """The sides of a section that adhesive is on, 1 for the front."""
    name = crease.hanging.face
    demands = closing_demands(parts, parts.pieces[piece.key], name)
    closed = {int(demand.adhesive.side) for demand in demands}
    joins = {join.face: glued_side(join.relation) for join in piece.joins}
    return closed | ({joins[name]} if name in joins else set())

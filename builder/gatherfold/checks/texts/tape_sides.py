"""The side of a tab or section on which a text runs tape, against the side that is glued.

In: a step that closes sections, and its text.  Out: findings.
"""

from __future__ import annotations

from collections.abc import Iterator

from gatherfold.checks.report import finding_kind
from gatherfold.checks.texts.parts_named import Nouns
from gatherfold.checks.texts.passages import Passage
from gatherfold.checks.texts.sentences import Sentence
from gatherfold.findings import Finding
from gatherfold.resolve.resolved import ResolvedDesign
from gatherfold.work import work_of
from gatherfold.work.parts import closing_demands, glued_side


def check_tape_sides(resolved: ResolvedDesign, nouns: Nouns, passage: Passage) -> Iterator[Finding]:
    """Every side of a text on which adhesive is run, of what the step closes."""
    if passage.step is None or passage.is_title or not passage.does("close"):
        return
    for sentence in passage.sentences:
        said, at = _said(resolved, nouns, sentence)
        if not said:
            continue
        stems = {nouns.vocabulary.stem(word) for word in sentence.words}
        found = dict(_glued_sides(resolved, passage, nouns, stems))
        if found and said not in found.values():
            (piece, section), there = next(iter(found.items()))
            told = {"where": passage.where, "said": said, "there": there, "piece": piece}
            yield finding_kind("tape-side-in-text").found(
                resolved, passage.at(at), (piece,), **told, section=section
            )


def _said(resolved: ResolvedDesign, nouns: Nouns, sentence: Sentence) -> tuple[str, int]:
    """The side that is said first after an adhesive, before another verb."""
    vocabulary, is_after = nouns.vocabulary, False
    for token in sentence.tokens:
        if vocabulary.has("adhesives", token.word) or token.reference in resolved.design.supplies:
            is_after = True
        elif vocabulary.does(token.word):
            is_after = False
        elif is_after:
            for side in ("inside", "outside"):
                if vocabulary.has(side, token.word):
                    return side, token.start
    return "", 0


def _glued_sides(
    resolved: ResolvedDesign, passage: Passage, nouns: Nouns, stems: set[str]
) -> Iterator[tuple[tuple[str, str], str]]:
    """The side on which each section is glued that the step closes and the sentence names."""
    parts = work_of(resolved).parts
    for key in passage.by("close"):
        part, piece = parts.pieces[key], resolved.pieces[key]
        joins = {join.face: glued_side(join.relation) for join in piece.joins}
        for crease in part.creases:
            name = crease.hanging.face
            words = {nouns.vocabulary.stem(word) for word in name.split("_")}
            is_tab = any(tab.name == name for tab in piece.source.tabs)
            is_named = bool(stems & nouns.vocabulary.sets["tab"]) if is_tab else words <= stems
            if not is_named:
                continue
            sides = {demand.adhesive.side for demand in closing_demands(parts, part, name)}
            sides |= {joins[name]} if name in joins else set()
            inner = 1 if crease.sense == "valley" else -1
            if len(sides) == 1:
                yield (key, name), "inside" if sides == {inner} else "outside"

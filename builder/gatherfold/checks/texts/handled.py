"""What a step's text works on against what its operations handle.

In: all passages of a design, in order.  Out: findings about what a text glues, scores or sets and
the step does not, the other way round, and about verbs with nothing behind them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from gatherfold.checks.report import finding_kind
from gatherfold.checks.texts.objects import objects_of
from gatherfold.checks.texts.parts_named import Nouns, ThingKind
from gatherfold.checks.texts.passages import Passage
from gatherfold.checks.texts.sentences import Sentence
from gatherfold.findings import Finding
from gatherfold.model.choices import is_ink
from gatherfold.model.steps import Operation
from gatherfold.resolve.resolved import ResolvedDesign

#: By what operations a piece that a verb works on is worked on, by the verb's operation.
_DONE_BY: dict[str, tuple[Operation, ...]] = {
    "score": ("score",),
    "attach": ("attach", "insert", "close", "fasten", "score", "fold", "divide"),
    "insert": ("attach", "insert", "close", "fasten"),
}
#: Without any of these in a step, a sentence that begins with the verb has nothing behind it.
_NEEDED: dict[str, tuple[Operation, ...]] = {
    "score": ("score", "fold", "cut"),
    "glues": ("attach", "close", "insert", "fasten"),
    "holds": ("fasten",),
}


def check_handled(
    resolved: ResolvedDesign, nouns: Nouns, passages: Sequence[Passage]
) -> Iterator[Finding]:
    """Texts of the steps, in order, against what their operations handle."""
    placed: set[str] = set()
    titles = {passage.number: passage for passage in passages if passage.is_title}
    for passage in passages:
        if passage.step is None or passage.is_title:
            continue
        placed |= {*passage.by("fasten")}
        for sentence in passage.sentences:
            yield from _not_done(resolved, nouns, passage, sentence, placed)
            yield from _not_inked(resolved, passage, sentence)
            yield from _nothing_done(resolved, nouns, passage, sentence)
            yield from _not_set(resolved, passage, sentence, placed)
        yield from _not_said(resolved, nouns, passage, titles[passage.number])
        placed |= {*passage.by("attach", "insert")}


def _not_done(
    resolved: ResolvedDesign,
    nouns: Nouns,
    passage: Passage,
    sentence: Sentence,
    placed: set[str],
) -> Iterator[Finding]:
    """The pieces that a verb works on, in a step that does so with others."""
    hosts = {host for key in passage.by("attach", "insert") for host in resolved.hosts_of(key)}
    for kind, verb, name, at in objects_of(nouns.vocabulary, sentence):
        operation = next((each for each in passage.done if each[0] == kind and each[1]), None)
        piece = resolved.pieces.get(name)
        if operation is None or piece is None or kind not in _DONE_BY:
            continue
        is_done = name in passage.by(*_DONE_BY[kind])
        if nouns.vocabulary.has("mats", verb):
            is_done |= name in hosts
        elif kind != "score":
            is_done |= name in hosts or name in placed or piece.source.placement is None
        elif not piece.scores:
            is_done = True
        if not is_done:
            told = {"verb": verb, "piece": name, "operation": operation[0]}
            yield finding_kind("text-without-operation").found(
                resolved, passage.at(at), number=passage.number, **told
            )
    yield from _not_scored(resolved, nouns, passage, sentence)


def _not_scored(
    resolved: ResolvedDesign, nouns: Nouns, passage: Passage, sentence: Sentence
) -> Iterator[Finding]:
    """ "Score … and the three dividers": some of what the noun names is scored in the step."""
    vocabulary, tokens = nouns.vocabulary, sentence.tokens
    if not passage.by("score") or not tokens or vocabulary.does(tokens[0].word) != "score":
        return
    for index, token in enumerate(tokens[1:], 1):
        if vocabulary.has("landmark", token.word) or vocabulary.does(token.word):
            return
        things = [
            thing for thing in nouns.named(vocabulary.stem(token.word))
            if token.word and thing.kind is ThingKind.PIECE and resolved.pieces[thing.owner].scores
        ]  # fmt: skip
        is_counted = any(t.word in vocabulary.numbers for t in tokens[max(0, index - 2) : index])
        if things and is_counted and not any(t.owner in passage.by("score") for t in things):
            told = {"verb": tokens[0].text, "piece": things[0].owner, "operation": "score"}
            at = passage.at(token.start)
            yield finding_kind("text-without-operation").found(
                resolved, at, number=passage.number, **told
            )


def _not_inked(resolved: ResolvedDesign, passage: Passage, sentence: Sentence) -> Iterator[Finding]:
    """Pieces that a sentence names together with an ink."""
    supplies, inked = resolved.design.supplies, passage.by("ink")
    inks = [r for r in sentence.references if r in supplies and is_ink(supplies[r].kind)]
    for name in sentence.references if inks and inked else ():
        if name in resolved.pieces and name not in inked:
            told = {"verb": f"[{inks[0]}]", "piece": name, "operation": "ink"}
            yield finding_kind("text-without-operation").found(
                resolved, passage.position, number=passage.number, **told
            )


def _nothing_done(
    resolved: ResolvedDesign, nouns: Nouns, passage: Passage, sentence: Sentence
) -> Iterator[Finding]:
    first = sentence.tokens[0]
    for name, needed in _NEEDED.items():
        is_verb = name in nouns.vocabulary.sets and nouns.vocabulary.has(name, first.word)
        is_verb |= first.word in nouns.vocabulary.verbs.get(name, ())
        if is_verb and not passage.does(*needed):
            told = {"verb": first.text, "operation": needed[0]}
            yield finding_kind("text-without-operation, nothing done").found(
                resolved, passage.at(first.start), number=passage.number, **told
            )


def _not_set(
    resolved: ResolvedDesign, passage: Passage, sentence: Sentence, placed: set[str]
) -> Iterator[Finding]:
    for name in sentence.references:
        if name in resolved.fastenings and name not in placed:
            yield finding_kind("text-without-operation, not set").found(
                resolved, passage.position, number=passage.number, key=name
            )


def _not_said(
    resolved: ResolvedDesign, nouns: Nouns, passage: Passage, title: Passage
) -> Iterator[Finding]:
    """What is placed and goes by no word of the step."""
    sentences = (*title.sentences, *passage.sentences)
    names = {name for sentence in sentences for name in sentence.references}
    stems = {nouns.vocabulary.stem(word) for sentence in sentences for word in sentence.words}
    stems |= {nouns.vocabulary.stem(word) for name in names for word in name.split("_")}
    named: tuple[Operation, ...] = ("attach", "insert")
    for operation in named:
        for key in passage.by(operation):
            things = [thing for thing in nouns.things if thing.name == key]
            if key not in names and not any(stems & thing.own for thing in things):
                told = {"key": key, "operation": operation}
                yield finding_kind("operation-without-text").found(
                    resolved, passage.position, number=passage.number, **told
                )

"""Counts in words or digits against how many there are of what they count.

A count is held against every number that might be meant: of all, of those of one kind, of those
that the step handles, of those on a thing that the sentence names, of those that a word before the
noun picks out.  Where a word is there that picks out nothing known, a smaller number may be meant.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from gatherfold.checks.report import finding_kind
from gatherfold.checks.texts.parts_named import Nouns, Thing, ThingKind
from gatherfold.checks.texts.passages import Passage
from gatherfold.checks.texts.sentences import Sentence, TextToken, TokenKind
from gatherfold.findings import Finding
from gatherfold.resolve.resolved import ResolvedDesign

#: A noun stands within so many words of its number (common practice, no source).
_WORDS_BETWEEN = 4
#: Larger numbers in digits are those of something else: a page, a sheet, a year.
_MOST = 60


@dataclass(frozen=True)
class _Count:
    """A number and the noun that it counts: ``between`` are the words between, by their stems, and
    ``of`` the name that follows ("of the [tray]"), if one does."""

    number: int
    stem: str
    said: str
    between: tuple[str, ...]
    of: str
    is_some: bool
    is_definite: bool


def check_counts(resolved: ResolvedDesign, nouns: Nouns, passage: Passage) -> Iterator[Finding]:
    """Every count of a passage that is none of the numbers that might be meant."""
    for sentence in passage.sentences:
        for count in _counts(nouns, sentence):
            things = _counted(nouns, count)
            if not things or _is_plausible(nouns, count, things, sentence, passage):
                continue
            there = sum(thing.count for thing in things)
            listed = ", ".join(f"'{owner}'" for owner in dict.fromkeys(t.owner for t in things))
            told = {"where": passage.where, "said": count.said, "listed": listed}
            yield finding_kind("count-in-text").found(
                resolved, passage.position, **told, there=there
            )


def _counts(nouns: Nouns, sentence: Sentence) -> Iterator[_Count]:
    vocabulary, tokens = nouns.vocabulary, sentence.tokens
    for index, token in enumerate(tokens):
        number = vocabulary.numbers.get(token.word, 0)
        if token.kind is TokenKind.NUMBER and token.text.isdigit():
            number = int(token.text)
        if not 2 <= number <= _MOST:
            continue
        before = tokens[index - 1].word if index else ""
        found = _noun(nouns, tokens[index + 1 : index + 2 + _WORDS_BETWEEN])
        if found is None:
            continue
        end, between = found
        noun = tokens[index + 1 + end]
        said = " ".join(each.text for each in tokens[index : index + 2 + end])
        stems = tuple(vocabulary.stem(word) for word in between)
        is_some = vocabulary.has("other", before) or any(
            vocabulary.has("other", word) for word in between
        )
        of = _of(nouns, tokens[index + 2 + end : index + 6 + end])
        is_definite = vocabulary.has("definite", before) or vocabulary.has("definite", token.word)
        yield _Count(number, vocabulary.stem(noun.word), said, stems, of, is_some, is_definite)


def _noun(nouns: Nouns, tokens: Sequence[TextToken]) -> tuple[int, tuple[str, ...]] | None:
    """Where the noun stands and the words before it: the first plural that names something."""
    between: list[str] = []
    for index, token in enumerate(tokens):
        if not token.word or nouns.vocabulary.has("stops", token.word):
            return None
        if token.word in nouns.vocabulary.units:
            return None
        stem = nouns.vocabulary.stem(token.word)
        is_noun = stem in nouns.heads or nouns.vocabulary.has("copy", stem)
        if is_noun and nouns.vocabulary.is_plural(token.word):
            return index, tuple(between)
        between.append(token.word)
    return None


def _of(nouns: Nouns, tokens: Sequence[TextToken]) -> str:
    """The name that follows a noun with nothing but small words between."""
    for token in tokens:
        if token.reference:
            return token.reference
        if not nouns.vocabulary.has("stops", token.word):
            return ""
    return ""


def _counted(nouns: Nouns, count: _Count) -> tuple[Thing, ...]:
    """What a count may count; copies are those of the name that follows."""
    if nouns.vocabulary.has("copy", count.stem):
        kinds = (ThingKind.PIECE, ThingKind.FASTENING)
        return tuple(t for t in nouns.things if t.owner == count.of and t.kind in kinds)
    return nouns.named(count.stem)


def _is_plausible(
    nouns: Nouns,
    count: _Count,
    things: Sequence[Thing],
    sentence: Sentence,
    passage: Passage,
) -> bool:
    total = sum(thing.count for thing in things)
    known = {word for thing in things for word in thing.words}
    is_loose = count.is_some or any(word not in known for word in count.between)
    if count.number < total and (is_loose or not count.is_definite):
        return True
    if count.number < total and all(thing.kind.is_feature for thing in things):
        # Of the features of a piece some may be meant, unless it says "of the [piece]".
        own = [thing for thing in things if thing.owner == count.of]
        if not own or count.between:
            return True
        things = own
    found = {*_numbers(nouns, count, things, sentence, passage)}
    if any(count.stem in thing.kinds for thing in things):
        # Parts of a folded piece may go by the noun that is also that of a kind.
        found |= {*_sections(nouns, sentence, passage)}
    return count.number in found


def _numbers(
    nouns: Nouns, count: _Count, things: Sequence[Thing], sentence: Sentence, passage: Passage
) -> Iterator[int]:
    """Every number that might be meant."""
    picked = [thing for thing in things if {*count.between} <= thing.words]
    for among in (things, picked):
        named = [thing for thing in among if count.stem in thing.heads]
        for group in (among, named, [thing for thing in among if thing not in named]):
            for part in _parts(nouns, group, sentence, passage):
                yield sum(thing.count for thing in part)
                yield len(part)
                if part and len({thing.count for thing in part}) == 1:
                    yield part[0].count


def _parts(
    nouns: Nouns, things: Sequence[Thing], sentence: Sentence, passage: Passage
) -> Iterator[Sequence[Thing]]:
    """All of some things, those of one kind, those that the step handles, those that the sentence
    names, those on or of one thing that it names, and those of one piece where they are parts."""
    yield things
    yield from ([thing for thing in things if thing.kind is kind] for kind in ThingKind)
    stems = {nouns.vocabulary.stem(word) for word in sentence.words}
    for names in (passage.handled, sentence.references):
        yield [thing for thing in things if thing.owner in names]
        yield [thing for thing in things if thing.on in names]
    for _, names in passage.done:
        yield [thing for thing in things if thing.owner in names]
    for host in {thing.on for thing in things if thing.on}:
        if host in sentence.references or {*host.split("_")} <= stems:
            yield [thing for thing in things if thing.on == host]
    for owner in {thing.owner for thing in things if thing.kind.is_feature}:
        yield [thing for thing in things if thing.owner == owner]


def _sections(nouns: Nouns, sentence: Sentence, passage: Passage) -> Iterator[int]:
    """How many sections pieces have, tabs left out, each, and all that the step handles."""
    tab = nouns.vocabulary.sets["tab"]
    sections = [
        thing for thing in nouns.things
        if thing.kind is ThingKind.SECTION and not thing.heads & tab
    ]  # fmt: skip
    for owner in {thing.owner for thing in sections}:
        yield len([thing for thing in sections if thing.owner == owner])
    for names in (passage.handled, sentence.references):
        yield len([thing for thing in sections if thing.owner in names])

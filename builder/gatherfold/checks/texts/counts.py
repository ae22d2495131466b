"""Counts in words or digits against how many there are of what they count.

A count is held against every number that might be meant: of all, of those of one kind, of those
that the step handles, of those on a thing that the sentence names, of those that a word before the
noun picks out.  Where a word is there that picks out nothing known, a smaller number may be meant.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Container, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import takewhile
from operator import attrgetter

from gatherfold.checks.report import quoted
from gatherfold.checks.texts.objects import ordered_at
from gatherfold.checks.texts.parts_named import Nouns, Thing, ThingKind
from gatherfold.checks.texts.readings import Reading
from gatherfold.checks.texts.sentences import TextToken, TokenKind
from gatherfold.checks.texts.vocabulary import Vocabulary
from gatherfold.findings import Finding

#: A noun stands within so many words of its number (common practice, no source).
_WORDS_BETWEEN = 4
#: Larger numbers in digits are those of something else: a page, a sheet, a year.
_MOST = 60


@dataclass(frozen=True)
class _Count:
    """A number and the noun that it counts: ``between`` are the words between, by their stems, and
    ``of`` the name that follows ("of the [tray]"), if one does; what it counts may be the object of
    an ``operation``."""

    number: int
    stem: str
    said: str
    between: tuple[str, ...]
    of: str
    is_some: bool
    is_definite: bool
    operation: str = ""


def check_counts(reading: Reading) -> Iterator[Finding]:
    """Every count of a sentence that is none of the numbers that might be meant."""
    for count in _counts(reading):
        things = _counted(reading.nouns, count)
        if things and not _is_plausible(reading, count, things):
            listed = quoted(thing.owner for thing in things)
            yield reading.found_in_text(
                "count-in-text", said=count.said, listed=listed, there=_total(things)
            )


# ---- what is said


def _counts(reading: Reading) -> Iterator[_Count]:
    for index, token in enumerate(reading.tokens):
        if 2 <= _whole_number(reading.vocabulary, token) <= _MOST:
            phrase = _noun_phrase(reading, index)
            if phrase:
                yield _count(reading, index, phrase)
        elif "-" in token.word:
            yield from _compound(reading, index)


def _compound(reading: Reading, index: int) -> Iterator[_Count]:
    """ "A three-flap envelope": all that the piece has of what the noun names."""
    vocabulary, token = reading.vocabulary, reading.tokens[index]
    number, _, noun = token.word.partition("-")
    count, stem = vocabulary.numbers.get(number, 0), vocabulary.stem(noun)
    if count >= 2 and stem in reading.nouns.heads:
        owners = {t.owner for after in reading.stems_after(index) for t in _pieces(reading, after)}
        own = [key for key in owners if any(t.owner == key for t in reading.nouns.named(stem))]
        of = own[0] if len(own) == 1 else ""
        yield _Count(count, stem, token.text, (), of, is_some=not of, is_definite=bool(of))


def _pieces(reading: Reading, stem: str) -> Iterator[Thing]:
    return (thing for thing in reading.nouns.named(stem) if thing.kind is ThingKind.PIECE)


def _whole_number(vocabulary: Vocabulary, token: TextToken) -> int:
    """The number that a token is, in words or digits; 0 where it is none."""
    if token.kind is TokenKind.NUMBER and token.text.isdigit():
        return int(token.text)
    return vocabulary.numbers.get(token.word, 0)


def _noun_phrase(reading: Reading, index: int) -> Sequence[TextToken]:
    """What follows a number up to its noun, the first plural that names something."""
    near = reading.tokens[index + 1 : index + 2 + _WORDS_BETWEEN]
    before_stop = takewhile(partial(_may_be_before_noun, reading.vocabulary), near)
    ends = (end for end, token in enumerate(before_stop, 1) if _is_noun(reading.nouns, token))
    return near[: next(ends, 0)]


def _may_be_before_noun(vocabulary: Vocabulary, token: TextToken) -> bool:
    is_place = vocabulary.has("stops", token.word) or vocabulary.has("landmark", token.word)
    return bool(token.word) and not is_place and token.word not in vocabulary.units


def _is_noun(nouns: Nouns, token: TextToken) -> bool:
    """Whether a word is a plural of something that can be counted."""
    stem = nouns.vocabulary.stem(token.word)
    is_known = stem in nouns.heads or nouns.vocabulary.has("copy", stem)
    return is_known and nouns.vocabulary.is_plural(token.word)


def _count(reading: Reading, index: int, phrase: Sequence[TextToken]) -> _Count:
    vocabulary, tokens = reading.vocabulary, reading.tokens
    *between, noun = (token.word for token in phrase)
    before, end = reading.word_before(index), index + 1 + len(phrase)
    return _Count(
        number=_whole_number(vocabulary, tokens[index]),
        stem=vocabulary.stem(noun),
        said=" ".join(token.text for token in tokens[index:end]),
        between=tuple(vocabulary.stem(word) for word in between),
        of=_of(reading, tokens[end : end + _WORDS_BETWEEN]) or reading.passage.of,
        is_some=any(vocabulary.has("other", word) for word in (before, *between)),
        is_definite=_is_of_all(reading, vocabulary.stem(noun))
        or any(vocabulary.has("definite", word) for word in (before, tokens[index].word)),
        operation=_ordered(reading, index),
    )


def _is_of_all(reading: Reading, stem: str) -> bool:
    """Whether a text speaks of the whole work: it counts all, but may promise fewer photographs."""
    return reading.passage.is_of_whole and not reading.vocabulary.has("photograph", stem)


def _ordered(reading: Reading, index: int) -> str:
    """The operation of the verb before a number, where no place stands between."""
    for at in range(index - 1, -1, -1):
        token = reading.tokens[at]
        if does := ordered_at(reading.vocabulary, reading.sentence, at):
            return "" if reading.has("mats", token) else does
        if reading.has("landmark", token) and not reading.has("of", token):
            break
    return ""


def _of(reading: Reading, tokens: Sequence[TextToken]) -> str:
    """The name that follows a noun with nothing but small words between."""
    return next((token.reference for token in tokens if not reading.has("stops", token)), "")


# ---- what there is


def _counted(nouns: Nouns, count: _Count) -> Sequence[Thing]:
    """What a count may count; copies are those of the name that follows, and so is what stands in
    one word with its number."""
    if nouns.vocabulary.has("copy", count.stem):
        kinds = (ThingKind.PIECE, ThingKind.FASTENING)
        return tuple(t for t in nouns.things if t.owner == count.of and t.kind in kinds)
    named = nouns.named(count.stem)
    is_own = "-" in count.said and count.of
    return [thing for thing in named if thing.owner == count.of] if is_own else named


def _total(things: Iterable[Thing]) -> int:
    return sum(thing.count for thing in things)


def _is_plausible(reading: Reading, count: _Count, things: Sequence[Thing]) -> bool:
    own = _handled(reading, count, things)
    if own and not _is_of_some(count, own):
        return any(count.number in _numbers_of(group) for group in _groups(count, own))
    if count.number < _total(things):
        if _is_of_some(count, things):
            return True
        things = _own(count, things)
    return count.number in _numbers(reading, count, things)


def _handled(reading: Reading, count: _Count, things: Sequence[Thing]) -> Sequence[Thing]:
    """The pieces that a step handles by the verb that a count is the object of."""
    done = dict[str, tuple[str, ...]](reading.passage.done).get(count.operation, ())
    pieces = [t for t in things if t.kind is ThingKind.PIECE and t.owner in done]
    if not all(thing.kind is ThingKind.PIECE for thing in things):
        return ()
    return [thing for thing in pieces if {*count.between} <= thing.words] or pieces


def _is_of_some(count: _Count, things: Sequence[Thing]) -> bool:
    """Whether a smaller number may be meant, of some of the things."""
    known = {word for thing in things for word in thing.words}
    is_definite = count.is_definite and not count.is_some and known.issuperset(count.between)
    return not is_definite or (_are_features(things) and _is_of_any(count, things))


def _is_of_any(count: _Count, things: Sequence[Thing]) -> bool:
    """Of the features of a piece some may be meant, unless it says "of the [piece]"."""
    return bool(count.between) or not _own(count, things)


def _own(count: _Count, things: Sequence[Thing]) -> Sequence[Thing]:
    """The features of the piece that is said; all things where they are none."""
    if not _are_features(things):
        return things
    return [thing for thing in things if thing.owner == count.of]


def _are_features(things: Sequence[Thing]) -> bool:
    return all(thing.kind.is_feature for thing in things)


# ---- the numbers that might be meant


def _numbers(reading: Reading, count: _Count, things: Sequence[Thing]) -> Iterator[int]:
    for group in _groups(count, things):
        for part in _parts(reading, group):
            yield from _numbers_of(part)
    # Parts of a folded piece may go by the noun that is also that of a kind.
    is_of_parts = reading.passage.is_of_whole and count.number > _total(things)
    if is_of_parts or any(count.stem in thing.kinds for thing in things):
        yield from _sections(reading)


def _numbers_of(part: Sequence[Thing]) -> Iterator[int]:
    """All, how many different ones, and how many of each where that is one number."""
    yield from (_total(part), len(part))
    alike = {thing.count for thing in part}
    if len(alike) == 1:
        yield from alike


def _groups(count: _Count, things: Sequence[Thing]) -> Iterator[Sequence[Thing]]:
    """All, and those that the words before the noun pick out; of each, those that go by the noun
    itself, and those that go by the noun of their kind."""
    for among in (things, [thing for thing in things if {*count.between} <= thing.words]):
        yield among
        yield [thing for thing in among if count.stem in thing.heads]
        yield [thing for thing in among if count.stem not in thing.heads]


def _parts(reading: Reading, things: Sequence[Thing]) -> Iterator[Sequence[Thing]]:
    """All of some things, those of one kind, those that the step handles, those that the sentence
    names, those on or of one thing that it names, and those of one piece where they are parts."""
    named = (reading.passage.handled, reading.sentence.references)
    done = (names for _, names in reading.passage.done)
    features = ((thing.owner,) for thing in things if thing.kind.is_feature)
    yield things
    yield from _by(attrgetter("kind"), things, ((kind,) for kind in ThingKind))
    yield from _by(attrgetter("owner"), things, (*named, *done, *{*features}))
    yield from _by(attrgetter("on"), things, (*named, *_hosts_said(reading, things)))


def _by(
    key: Callable[[Thing], object], things: Sequence[Thing], sets: Iterable[Container[object]]
) -> Iterator[Sequence[Thing]]:
    return ([thing for thing in things if key(thing) in each] for each in sets)


def _hosts_said(reading: Reading, things: Sequence[Thing]) -> Iterator[tuple[str]]:
    """What some of the things lie on, where the sentence names it."""
    for host in {thing.on for thing in things if thing.on}:
        if host in reading.sentence.references or reading.stems.issuperset(host.split("_")):
            yield (host,)


def _sections(reading: Reading) -> Iterator[int]:
    """How many sections pieces have, tabs left out, each, and all that the step handles."""
    sections = (thing for thing in reading.nouns.things if thing.kind is ThingKind.SECTION)
    tabs = reading.vocabulary.sets["tab"]
    counts = Counter(thing.owner for thing in sections if not thing.heads & tabs)
    yield from counts.values()
    alike: dict[str, list[str]] = {}
    for piece in reading.resolved.pieces.values():
        alike.setdefault(piece.source.kind, []).append(piece.key)
    for names in (reading.passage.handled, reading.sentence.references, *alike.values()):
        yield sum(counts[name] for name in names)

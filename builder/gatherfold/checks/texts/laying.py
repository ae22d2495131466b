"""What a text lays where: pieces of a step, the word of their place, and what is named after it.

In: the sentences of a step's text.  Out: each place that they say of pieces that the step lays.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import partial
from itertools import takewhile

from gatherfold.checks.texts.objects import ordered_at
from gatherfold.checks.texts.parts_named import Thing, ThingKind
from gatherfold.checks.texts.readings import Reading
from gatherfold.checks.texts.sentences import TextToken, TokenKind
from gatherfold.model import Operation
from gatherfold.resolve import ResolvedPiece

#: Names have at most so many words, and so many stand before a noun (common practice, no source).
_LONGEST, _BEFORE = 4, 2
_LAYING: tuple[Operation, ...] = ("attach", "insert")


@dataclass(frozen=True)
class SaidPlace:
    """Pieces that a sentence lays: ``word`` says how they lie to the place that follows it, which
    may be ``further``, another than their first."""

    reading: Reading
    pieces: tuple[ResolvedPiece, ...]
    word: TextToken
    place: tuple[TextToken, ...]
    is_further: bool = False

    def has(self, name: str) -> bool:
        """Whether the word of the place is one of some."""
        return self.reading.has(name, self.word)

    def named(self) -> Iterator[tuple[int, Sequence[Thing]]]:
        """Pieces and sections whose whole names stand in the place, by where they begin."""
        index = 0
        while index < len(self.place):
            length, things = longest_name(self.reading, self.place[index:])
            if things:
                yield index, things
            index += max(length, 1)


@dataclass
class _State:
    """What was said so far: the pieces that "it" may mean, whether they are laid now, and whether a
    place of theirs was said."""

    pieces: list[ResolvedPiece] = field(default_factory=list)
    lays: bool = False
    is_fresh: bool = True
    is_placed: bool = False

    def begin(self, lays: bool) -> None:
        self.lays, self.is_fresh, self.is_placed = lays, True, False

    def take(self, pieces: Sequence[ResolvedPiece]) -> None:
        """What is named after a verb is laid; further names go with the first."""
        self.pieces = [*([] if self.is_fresh else self.pieces), *pieces]
        self.is_fresh = False


def laid_in(readings: Sequence[Reading]) -> Iterator[SaidPlace]:
    """Every place that a text says of what its step lays; "it" is what was named last."""
    state = _State()
    for reading in readings if readings and readings[0].passage.by(*_LAYING) else ():
        state.begin(False)
        for index, token in enumerate(reading.tokens):
            if does := ordered_at(reading.vocabulary, reading.sentence, index):
                state.begin(does in _LAYING)
            elif reading.has("lies", token):
                state.lays = True
            elif reading.begins_adhesive(token):
                state.begin(False)
            elif reading.has("laid_on", token):
                yield from _place(reading, index, state)
            else:
                _name(reading, index, state)


def _place(reading: Reading, index: int, state: _State) -> Iterator[SaidPlace]:
    tail = reading.tokens[index + 1 :]
    place = tuple(takewhile(partial(_is_of_place, reading), tail)) if state.pieces else ()
    is_further = _is_further(reading, index, state) and _ends_at(tail[len(place) :])
    if state.lays and state.pieces and (is_further or not _is_of_others(reading, index)):
        yield SaidPlace(reading, tuple(state.pieces), reading.tokens[index], place, is_further)
    state.is_placed, state.is_fresh = state.lays, True


def _is_of_others(reading: Reading, index: int) -> bool:
    """Whether a place is denied, or is that of what follows it: "never on", "and, in"."""
    before = [token for token in reading.tokens[:index] if token.text != ","][-1:]
    names = ("opposed", "conjunctions")
    return any(reading.has(name, token) for name in names for token in before)


def _is_further(reading: Reading, index: int, state: _State) -> bool:
    """Whether what has a place is also glued to another: "on both laps and to the cover"."""
    is_and = reading.vocabulary.has("conjunctions", reading.word_before(index))
    return state.is_placed and is_and and reading.has("glued_to", reading.tokens[index])


def _ends_at(rest: Sequence[TextToken]) -> bool:
    """Whether nothing follows a place that it might be the place of."""
    return not rest or rest[0].kind is TokenKind.MARK


def _is_of_place(reading: Reading, token: TextToken) -> bool:
    """Whether a token still speaks of the place that was begun."""
    is_end = token.kind in (TokenKind.MARK, TokenKind.FORMULA) or reading.has("pronouns", token)
    if is_end:
        return False
    is_other = reading.has("landmark", token) and not reading.has("of", token)
    return not is_other and not reading.has("conjunctions", token)


def _name(reading: Reading, index: int, state: _State) -> None:
    """A name, or a noun: what is laid, or what "it" no longer means."""
    token = reading.tokens[index]
    if reading.has("landmark", token) and not reading.has("of", token):
        state.is_placed, state.is_fresh = state.lays, True
    elif state.is_placed and not _begins_another(reading, index):
        return
    elif token.reference:
        laid = token.reference in reading.passage.by(*_LAYING)
        state.take([reading.resolved.pieces[token.reference]] if laid else [])
        state.is_placed = False
    elif token.word:
        meant = pieces_meant(reading, index)
        if meant is not None:
            state.take(meant)
            state.is_placed = False


def _begins_another(reading: Reading, index: int) -> bool:
    """Whether a name after a place is no part of that: a comma or an "and" stands before it."""
    near = [token for token in reading.tokens[max(0, index - 2) : index] if token.text]
    return any(token.text == "," or reading.has("conjunctions", token) for token in near)


def pieces_meant(reading: Reading, index: int) -> Sequence[ResolvedPiece] | None:
    """The pieces of the step that a noun means, with the words before it: none where it might be
    one of several or another thing; None where it names nothing at all."""
    vocabulary, word = reading.vocabulary, reading.tokens[index].word
    named = reading.nouns.named(vocabulary.stem(word))
    after = reading.word_after(index)
    if not named or vocabulary.stem(after) in reading.nouns.heads:
        return None
    if vocabulary.has("of", after):
        return ()
    laid = reading.passage.by(*_LAYING)
    if _is_of_host(reading, named, laid):
        return ()
    stem, is_feature = vocabulary.stem(word), any(thing.kind.is_feature for thing in named)
    pieces = [t for t in named if t.kind is ThingKind.PIECE and t.owner in laid]
    things = [thing for thing in pieces if stem in thing.heads or not is_feature]
    before = {vocabulary.stem(t.word) for t in reading.tokens[max(0, index - _BEFORE) : index]}
    telling = before & frozenset().union(*(thing.words for thing in things))
    picked = [thing for thing in things if telling <= thing.words]
    owners = _counted(picked, stem, {vocabulary.numbers.get(each, 0) for each in before})
    if len(owners) > 1 and not vocabulary.is_plural(word):
        return ()
    return [reading.resolved.pieces[owner] for owner in owners]


def _is_of_host(reading: Reading, named: Sequence[Thing], laid: Sequence[str]) -> bool:
    """Whether a noun may mean what something is laid on, which is not laid itself."""
    hosts = {reading.resolved.pieces[key].host for key in laid}.difference(laid)
    return any(thing.kind is ThingKind.PIECE and thing.owner in hosts for thing in named)


def _counted(things: Sequence[Thing], stem: str, numbers: set[int]) -> Sequence[str]:
    """The pieces of some things that go by a noun; where a number is said, so many or none."""
    own = [thing.owner for thing in things if stem in thing.heads]
    ways = ([thing.owner for thing in things], own)
    said = numbers - {0}
    return next((owners for owners in ways if not said or len(owners) in said), ())


def longest_name(reading: Reading, tokens: Sequence[TextToken]) -> tuple[int, Sequence[Thing]]:
    """The longest whole name that some tokens begin with: how many they are, and what it names."""
    if tokens[0].reference:
        things = reading.nouns.phrases.get(tuple(reading.nouns.words_in(tokens[0].reference)), ())
        return 1, [thing for thing in things if thing.name == tokens[0].reference]
    stems = [reading.vocabulary.stem(t.word) for t in tokens[: _LONGEST + 1]]
    for length in range(min(_LONGEST, len(stems)), 0, -1):
        things = reading.nouns.phrases.get(tuple(stems[:length]), ())
        if things and (length == len(stems) or stems[length] not in reading.nouns.heads):
            is_alone = length > 1 or len({*reading.nouns.named(stems[0])}) == len(things)
            return length, things if is_alone else ()
    return 1, ()

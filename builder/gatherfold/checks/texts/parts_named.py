"""What words stand for: pieces, their sections, tabs, folds and openings, fastenings, photographs.

In: a resolved design and the words of its language.  Out: things with the nouns that name them.
A thing goes by the last word of its name, of its title and of its kind; all its other words, and
those of what it lies on, may stand before that.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from functools import cached_property, lru_cache

from gatherfold.checks.texts.vocabulary import Vocabulary, vocabulary_of
from gatherfold.model import Trait
from gatherfold.resolve import REMEMBERED, ResolvedDesign, ResolvedPiece
from gatherfold.wording import load_wording

#: Words before which a noun has been said.
_SMALL = ("for", "landmark", "inside", "outside")


#: Keys count in English whatever the language of the texts.
_ONE = frozenset(["one", "two", "three", "four", "five", "six"])


class ThingKind(Enum):
    """What a thing is; parts of a piece are features."""

    PIECE = "piece"
    FASTENING = "fastening"
    SECTION = "section"
    TAB = "tab"
    FOLD = "fold"
    PHOTOGRAPH = "photograph"
    PRINTED_PICTURE = "printed picture"
    OPENING = "opening"

    @property
    def is_feature(self) -> bool:
        """Whether it is a part of a piece."""
        return self in (ThingKind.SECTION, ThingKind.TAB, ThingKind.FOLD, ThingKind.OPENING)


@dataclass(frozen=True)
class Thing:
    """Something that words can name, ``count`` times; ``owner`` is its piece or fastening, ``on``
    what that lies on.  ``heads``, ``kinds`` and ``words`` are stems: of its own nouns, of the noun
    of its kind, all its words with those of what it lies on, and its ``own`` alone."""

    kind: ThingKind
    name: str
    owner: str
    count: int
    heads: frozenset[str]
    words: frozenset[str]
    on: str = ""
    kinds: frozenset[str] = frozenset()
    own: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Nouns:
    """Everything in a design that words can name."""

    vocabulary: Vocabulary
    things: tuple[Thing, ...]
    #: The stems of the words of the title and the subtitle.
    of_whole: frozenset[str] = frozenset()

    @cached_property
    def heads(self) -> frozenset[str]:
        """The stems of all nouns that name something."""
        return frozenset(self._by_stem)

    def named(self, stem: str) -> Sequence[Thing]:
        """The things that go by a noun, by its stem."""
        return self._by_stem.get(stem, ())

    @cached_property
    def _by_stem(self) -> Mapping[str, Sequence[Thing]]:
        found: dict[str, list[Thing]] = {}
        for thing in self.things:
            for stem in thing.heads | thing.kinds:
                found.setdefault(stem, []).append(thing)
        return found

    def own_of(self, name: str) -> frozenset[str]:
        """The stems of all own words of a thing, by its name."""
        return frozenset(word for thing in self.things if thing.name == name for word in thing.own)

    @cached_property
    def phrases(self) -> Mapping[tuple[str, ...], Sequence[Thing]]:
        """Pieces and sections by the stems of their whole names, in order."""
        found: dict[tuple[str, ...], list[Thing]] = {}
        for thing in self.things:
            if thing.kind in (ThingKind.PIECE, ThingKind.SECTION):
                found.setdefault(self.words_in(thing.name), []).append(thing)
        return found

    def words_in(self, name: str) -> tuple[str, ...]:
        """The stems of the words of a name, in order."""
        return tuple(map(self.vocabulary.stem, name.replace("_", " ").split()))

    def stems_in(self, name: str) -> frozenset[str]:
        """The stems of the words that a key is made of."""
        return frozenset(self.words_in(name))


@lru_cache(maxsize=REMEMBERED)
def nouns_of(resolved: ResolvedDesign) -> Nouns | None:
    """What words can name in a design; None where nothing is known of its language."""
    vocabulary = vocabulary_of(resolved.design.language)
    if vocabulary is None:
        return None
    things = [*_pieces(resolved, vocabulary), *_fastenings(resolved, vocabulary)]
    titles = (resolved.design.title.lower(), resolved.design.subtitle.lower())
    return Nouns(vocabulary, tuple(things), _stems(titles, vocabulary))


def _pieces(resolved: ResolvedDesign, vocabulary: Vocabulary) -> Iterator[Thing]:
    kinds = load_wording(resolved.design.language).kinds
    for piece in resolved.pieces.values():
        names = [piece.key.replace("_", " "), piece.title]
        kind = [piece.source.kind, kinds.get(piece.source.kind, "")]
        heads, words = _heads(names, vocabulary), _stems([*names, *kind], vocabulary)
        placement, own = piece.source.placement, words
        host = "" if placement is None else placement.host
        if host:
            words |= _stems([host.replace("_", " "), piece.host_face.replace("_", " ")], vocabulary)
        key, count = piece.key, piece.source.count
        of_kind = _heads(kind, vocabulary) - heads
        yield Thing(ThingKind.PIECE, key, key, count, heads, words, host, of_kind, own)
        shown = vocabulary.sets["photograph"]
        if piece.source.has(Trait.CARRIES_PHOTOGRAPH):
            yield Thing(ThingKind.PHOTOGRAPH, key, key, count, shown, words)
        elif piece.source.motif is not None:
            yield Thing(ThingKind.PRINTED_PICTURE, key, key, count, shown, words)
        yield from _features(piece, words, vocabulary)


def _features(
    piece: ResolvedPiece, words: frozenset[str], vocabulary: Vocabulary
) -> Iterator[Thing]:
    """Its sections, tabs, folds, windows and notches."""

    def feature(kind: ThingKind, name: str, heads: frozenset[str], count: int = 1) -> Thing:
        own = words | _stems([name], vocabulary)
        return Thing(kind, name, piece.key, count * piece.source.count, heads, own)

    tabs = {tab.name for tab in piece.source.tabs}
    for face in piece.faces:
        name = face.name.replace("_", " ")
        heads = _heads([name], vocabulary)
        if face.name in tabs:
            yield feature(ThingKind.TAB, name, heads | vocabulary.sets["tab"])
        elif len(piece.faces) > 1:
            yield feature(ThingKind.SECTION, name, heads)
    opened = {"window": len(piece.windows), "notch": len(piece.source.thumb_notches)}
    folds = len([score for score in piece.scores if not tabs & {*score.sides}])
    yield feature(ThingKind.FOLD, "", vocabulary.sets["fold"], folds)
    for name, count in opened.items():
        yield feature(ThingKind.OPENING, name, vocabulary.sets[name], count)


def _fastenings(resolved: ResolvedDesign, vocabulary: Vocabulary) -> Iterator[Thing]:
    kinds = load_wording(resolved.design.language).kinds
    for fastening in resolved.fastenings.values():
        source = fastening.source
        stock = "" if source.stock is None else source.stock
        names = [fastening.key.replace("_", " "), source.title, source.kind]
        names += [kinds.get(source.kind, "")]
        heads = _heads(names, vocabulary)
        if stock:
            names += [stock.replace("_", " "), resolved.stocks[stock].source.title]
            heads |= _heads(names, vocabulary) | _stems([source.kind], vocabulary)
        count, words = source.count, _stems(names, vocabulary)
        if heads_of := words & vocabulary.sets["magnet"]:
            yield Thing(
                ThingKind.FASTENING, fastening.key, fastening.key, 2 * count, heads_of, words
            )
            heads -= heads_of
        yield Thing(ThingKind.FASTENING, fastening.key, fastening.key, count, heads, words)


def _heads(names: Iterable[str], vocabulary: Vocabulary) -> frozenset[str]:
    """The last word of each name, or the last before a small word: "Brad for the latch"."""
    found = set()
    for name in names:
        words = [word for word in name.lower().split() if not _is_number(word, vocabulary)]
        small = (
            i for i, word in enumerate(words) if i and any(vocabulary.has(n, word) for n in _SMALL)
        )
        last = words[: next(small, len(words))][-1:]
        found |= {vocabulary.stem(word) for word in last if word.isalpha()}
    return frozenset(found)


def _is_number(word: str, vocabulary: Vocabulary) -> bool:
    """Whether a word only counts its like: "hinge 2", "mat a", "stamp one"."""
    return len(word) == 1 or word.isdigit() or word in _ONE or word in vocabulary.numbers


def _stems(names: Iterable[str], vocabulary: Vocabulary) -> frozenset[str]:
    return frozenset(vocabulary.stem(word) for name in names for word in name.split())

"""One sentence of a text with all that it is read by.

In: a design, its nouns and a passage.  Out: readings, one for each sentence, which also say how a
finding about that sentence is made.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from gatherfold.checks.report import Told, finding_kind
from gatherfold.checks.texts.parts_named import Nouns
from gatherfold.checks.texts.passages import Passage
from gatherfold.checks.texts.sentences import Sentence, TextToken
from gatherfold.checks.texts.vocabulary import Vocabulary
from gatherfold.findings import Finding
from gatherfold.model import Operation
from gatherfold.resolve import ResolvedDesign, ResolvedPiece

#: What follows a noun is looked for within so many tokens (common practice, no source).
_NEAR = 5
#: The sides that words can say, by the sets of words.
SIDES = ("inside", "outside")


@dataclass(frozen=True)
class Reading:
    """A sentence of a passage, with the design that it speaks of and the nouns of that."""

    resolved: ResolvedDesign
    nouns: Nouns
    passage: Passage
    sentence: Sentence

    @cached_property
    def vocabulary(self) -> Vocabulary:
        return self.nouns.vocabulary

    @cached_property
    def tokens(self) -> tuple[TextToken, ...]:
        return self.sentence.tokens

    @cached_property
    def stems(self) -> frozenset[str]:
        """The stems of its words."""
        return frozenset(self.vocabulary.stem(word) for word in self.sentence.words)

    @cached_property
    def spoken_of(self) -> frozenset[str]:
        """The pieces and fastenings of which a noun stands in it."""
        named = ((stem, thing) for stem in self.stems for thing in self.nouns.named(stem))
        return frozenset(thing.owner for stem, thing in named if stem in thing.heads)

    def has(self, name: str, token: TextToken) -> bool:
        """Whether a token is one of the words that stand for something."""
        return self.vocabulary.has(name, token.word)

    def mentions(self, *names: str) -> bool:
        """Whether a word of each of some sets is in it."""
        words = self.sentence.words
        return not any(self.vocabulary.sets[name].isdisjoint(words) for name in names)

    def says(self, name: str) -> bool:
        """Whether one of the phrases that stand for something is in it."""
        return self.sentence.says(self.vocabulary.sets[name])

    def refers_to(self, piece: ResolvedPiece) -> bool:
        return piece.key in self.sentence.references

    def pieces(self, *operations: Operation) -> tuple[ResolvedPiece, ...]:
        """The pieces that some operations of the step handle, each once."""
        keys = dict.fromkeys(self.passage.by(*operations))
        return tuple(self.resolved.pieces[key] for key in keys)

    def named_pieces(self, operation: Operation) -> tuple[ResolvedPiece, ...]:
        """Those of them that it refers to."""
        return tuple(piece for piece in self.pieces(operation) if self.refers_to(piece))

    def side_of(self, token: TextToken) -> str:
        """The side that a token says; empty where it says none."""
        return next((side for side in SIDES if self.has(side, token)), "")

    def begins_adhesive(self, token: TextToken) -> bool:
        """Whether a token begins to speak of adhesive, by its name or a plain word."""
        return self.has("adhesives", token) or token.reference in self.resolved.design.supplies

    def word_before(self, index: int) -> str:
        return self.tokens[index - 1].word if index else ""

    def word_after(self, index: int) -> str:
        return next((token.word for token in self.tokens[index + 1 : index + 2]), "")

    def stems_after(self, index: int) -> list[str]:
        """The stems of the words that follow soon."""
        near = self.tokens[index + 1 : index + 1 + _NEAR]
        return [self.vocabulary.stem(token.word) for token in near if token.word]

    def found(
        self, name: str, token: TextToken, about: tuple[str, ...] = (), /, **told: Told
    ) -> Finding:
        """A finding at a token."""
        known = {"where": self.passage.where, "number": self.passage.number, **told}
        position = self.passage.at(token.start)
        return finding_kind(name).found(self.resolved, position, about, **known)

    def found_in_text(self, name: str, /, **told: Told) -> Finding:
        """A finding at the begin of the passage."""
        known = {"where": self.passage.where, "number": self.passage.number, **told}
        return finding_kind(name).found(self.resolved, self.passage.position, **known)


def readings_of(resolved: ResolvedDesign, nouns: Nouns, passage: Passage) -> Iterator[Reading]:
    """The sentences of a passage, in order."""
    return (Reading(resolved, nouns, passage, sentence) for sentence in passage.sentences)

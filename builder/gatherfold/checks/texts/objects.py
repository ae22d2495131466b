"""Verbs and what they act on: imperatives, and names that only say where.

In: a sentence.  Out: which operation an imperative stands for, and which names are objects of them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from gatherfold.checks.texts.sentences import Sentence, TextToken, TokenKind
from gatherfold.checks.texts.vocabulary import Vocabulary


@dataclass(frozen=True)
class Object:
    """A name that a verb acts on, and the operation that the verb stands for."""

    operation: str
    verb: str
    token: TextToken

    @property
    def name(self) -> str:
        return self.token.reference


def objects_of(vocabulary: Vocabulary, sentence: Sentence) -> Iterator[Object]:
    """The names that a verb acts on.

    A name that follows a word such as "on" only says where, and so do those that are listed with
    it; the next verb, or a colon, ends that.
    """
    operation, verb, is_landmark = "", "", False
    for index, token in enumerate(sentence.tokens):
        if does := ordered_at(vocabulary, sentence, index):
            operation, verb, is_landmark = does, token.text, False
        elif token.reference and operation and not is_landmark:
            yield Object(operation, verb, token)
        else:
            is_landmark = _is_landmark(vocabulary, token, is_landmark)


def ordered_at(vocabulary: Vocabulary, sentence: Sentence, index: int) -> str | None:
    """The operation that a verb stands for where an order begins: first of all, after a mark or a
    conjunction."""
    before = sentence.tokens[index - 1]
    begins = index == 0 or before.kind is TokenKind.MARK
    if begins or vocabulary.has("conjunctions", before.word):
        return vocabulary.does(sentence.tokens[index].word)
    return None


def _is_landmark(vocabulary: Vocabulary, token: TextToken, was: bool) -> bool:
    """Whether names only say where after a token."""
    is_colon = token.kind is TokenKind.MARK and token.text == ":"
    return vocabulary.has("landmark", token.word) or (was and not is_colon)

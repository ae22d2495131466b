"""Verbs and what they act on: imperatives, and names that only say where.

In: a sentence.  Out: which tokens are imperatives, and which names are objects of them.
"""

from __future__ import annotations

from collections.abc import Iterator

from gatherfold.checks.texts.sentences import Sentence, TokenKind
from gatherfold.checks.texts.vocabulary import Vocabulary


def imperative_at(vocabulary: Vocabulary, sentence: Sentence, index: int) -> bool:
    """Whether a verb stands where an order begins: first of all, after a mark or a conjunction."""
    if index == 0:
        return True
    before = sentence.tokens[index - 1]
    return before.kind is TokenKind.MARK or vocabulary.has("conjunctions", before.word)


def objects_of(vocabulary: Vocabulary, sentence: Sentence) -> Iterator[tuple[str, str, str, int]]:
    """The names that a verb acts on: (its operation, the verb, the name, where that stands).

    A name that follows a word such as "on" only says where, and so do those that are listed with
    it; the next verb ends that.
    """
    verb, said, is_landmark = "", "", False
    for index, token in enumerate(sentence.tokens):
        does = vocabulary.does(token.word)
        if does and imperative_at(vocabulary, sentence, index):
            verb, said, is_landmark = does, token.text, False
        elif vocabulary.has("landmark", token.word):
            is_landmark = True
        elif token.kind is TokenKind.MARK and token.text == ":":
            is_landmark = False
        elif token.reference and verb and not is_landmark:
            yield verb, said, token.reference, token.start

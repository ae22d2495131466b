"""A text as sentences of tokens: words, references, formulas and numbers, each with its place.

In: Markdown.  Out: sentences.  Nothing is understood here.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from functools import cache, cached_property
from typing import TypeVar

_GLYPHS = {"¼": "1/4", "½": "1/2", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_WHOLE = r"\d{1,9}"
_FRACTION = r"\d{1,9}/[1-9]\d{0,8}|[¼½¾⅛⅜⅝⅞]"
_TOKEN = re.compile(
    r"(?<!\\)\[(?P<ref>[a-z][a-z0-9_]*)\](?!\()"
    r"|(?<!\\)\{(?P<formula>[^{}\n]+)\}"
    rf"|(?P<number>{_WHOLE}[ -](?:{_FRACTION})|{_WHOLE}[¼½¾⅛⅜⅝⅞]|{_FRACTION}"
    rf"|{_WHOLE}(?:[.,]{_WHOLE})?)"
    r"|(?P<word>[^\W\d_]+(?:['’-][^\W\d_]+)*)"
    r"|(?P<mark>[.!?;:,()\"″–])"
)
_Meaning = TypeVar("_Meaning")
_ENDS = frozenset(".!?;")
_PARTS = frozenset(",:()–")


class TokenKind(Enum):
    """What a token of a text is."""

    REFERENCE = "ref"
    FORMULA = "formula"
    NUMBER = "number"
    WORD = "word"
    MARK = "mark"


@dataclass(frozen=True)
class TextToken:
    """One token: words in small letters, names and formulas without their brackets.

    ``word`` is the word that it is, ``reference`` the name that it refers to, if anything.
    """

    kind: TokenKind
    text: str
    start: int
    word: str = ""
    reference: str = ""

    @property
    def number(self) -> Fraction:
        """The number that it is."""
        whole, _, rest = self.text.replace("-", " ").partition(" ")
        for glyph, written in _GLYPHS.items():
            whole = whole.replace(glyph, f" {written}")
            rest = rest.replace(glyph, written)
        return sum(
            (Fraction(part.replace(",", ".")) for part in f"{whole} {rest}".split()), Fraction(0)
        )


@dataclass(frozen=True)
class Sentence:
    """A sentence, or what stands between two semicolons."""

    tokens: tuple[TextToken, ...]

    @cached_property
    def references(self) -> tuple[str, ...]:
        """The names that it refers to, each once."""
        return tuple(dict.fromkeys(each.reference for each in self.tokens if each.reference))

    @cached_property
    def words(self) -> tuple[str, ...]:
        """Its words, without references and formulas."""
        return tuple(each.word for each in self.tokens if each.word)

    @cached_property
    def plain(self) -> str:
        """Its words in one line, with a blank before and after each; a mark stands for itself."""
        return " " + " ".join(each.text for each in self.tokens) + " "

    def says(self, phrases: frozenset[str]) -> bool:
        """Whether one of some phrases stands in it."""
        return any(f" {phrase} " in self.plain for phrase in phrases)

    @cached_property
    def clauses(self) -> tuple[Sentence, ...]:
        """What stands between its commas and colons."""
        return tuple(_split(self.tokens, _PARTS))


def last_meaning(
    tokens: Sequence[TextToken], of: Callable[[TextToken], _Meaning | None], otherwise: _Meaning
) -> _Meaning:
    """What the last of some tokens means of those that mean anything."""
    meanings = map(of, reversed(tokens))
    return next((meaning for meaning in meanings if meaning is not None), otherwise)


def _split(tokens: tuple[TextToken, ...], marks: frozenset[str]) -> list[Sentence]:
    found: list[list[TextToken]] = [[]]
    for token in tokens:
        if token.kind is TokenKind.MARK and token.text in marks:
            found.append([])
        else:
            found[-1].append(token)
    return [Sentence(tuple(each)) for each in found if each]


@cache
def sentences_of(text: str) -> tuple[Sentence, ...]:
    """The sentences of a text; emphasis is passed over."""
    tokens = []
    for match in _TOKEN.finditer(text.replace("*", " ")):
        kind = TokenKind(match.lastgroup)
        written = match[match.lastgroup or 0]
        said = written.lower() if kind is TokenKind.WORD else written
        word = said if kind is TokenKind.WORD else ""
        reference = said if kind is TokenKind.REFERENCE else ""
        tokens.append(TextToken(kind, said, match.start(), word, reference))
    return tuple(_split(tuple(tokens), _ENDS))

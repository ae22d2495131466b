"""Formula text → tree; nothing is evaluated, by Python or otherwise."""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from gatherfold.formulas.tree import (
    FUNCTIONS,
    NOT_BY_ZERO,
    Applied,
    Formula,
    FormulaProblem,
    Literal,
    Name,
    Node,
)
from gatherfold.lengths import UNIT_SIZES, VULGAR_FRACTIONS

#: Limits far beyond any formula a person writes; they keep a hostile file from costing time.
_MOST_CHARACTERS = 1000
_MOST_TOKENS = 200
_MOST_NESTING = 30
_MOST_DIGITS = 15
_TOO_LONG = "Give parts of it names of their own under 'measures:'."

_UNIT_WORDS = "|".join(sorted((re.escape(u) for u in UNIT_SIZES if u.isalpha()), key=len)[::-1])
_UNIT = rf"(?:(?:{_UNIT_WORDS})(?![A-Za-z0-9_])|[\"″”])"
#: Of a fraction: not before digits that belong to another number.
_SLASH = rf"(?:/|\s*/\s*(?=\d+\s*{_UNIT}))(?!\d+(?:[.⁄]|-\d+[/⁄]\d))"
#: Digits that belong together are one number: ``7 3/4``, ``7¾`` and ``3/4``.  With spaces about
#: the slash it is a division, unless a unit follows: ``3 / 4 in``.
_TOKEN = re.compile(
    rf"""(?P<space>\s+)
    |(?P<mixed>\d+-(?P<part>\d+[/⁄]\d+))
    |(?P<number>
        (?:(?P<whole>\d+)\s+)?(?P<over>\d+)(?:⁄|{_SLASH})(?P<under>\d+)
        |(?:(?P<before>\d+)\s*)?(?P<vulgar>[{"".join(VULGAR_FRACTIONS)}])
        |\d+(?:\.\d+)?|\.\d+)
    |(?P<unit>{_UNIT})
    |(?P<times>[xX×](?![A-Za-z_]))
    |(?P<name>[A-Za-z_][A-Za-z0-9_]*(?:\.[A-Za-z_][A-Za-z0-9_]*)*)
    |(?P<symbol>[-+*/(),])
    """,
    re.VERBOSE,
)


@dataclass(frozen=True)
class _Token:
    kind: str
    text: str
    offset: int
    value: Fraction = Fraction(0)


def parse(text: str) -> Formula:
    """Read a formula; raises :class:`FormulaProblem` at the first thing that makes no sense."""
    if len(text) > _MOST_CHARACTERS:
        message = f"the formula has {len(text):,} characters"
        raise FormulaProblem("formula-too-long", message, _TOO_LONG)
    return Formula(text, _Parser(_tokens(text)).whole())


def _tokens(text: str) -> list[_Token]:
    tokens: list[_Token] = []
    offset = 0
    while offset < len(text):
        match = _TOKEN.match(text, offset)
        if match is None:
            message = f"'{text[offset]}' has no meaning in a formula"
            remedy = "Use names, numbers with a unit, + - * / ( ) and 'x' between width and height."
            raise FormulaProblem("formula-syntax", message, remedy, offset)
        if match.lastgroup != "space":
            tokens.append(_token(match, tokens))
            offset += len(tokens[-1].text)
        else:
            offset = match.end()
    if len(tokens) > _MOST_TOKENS:
        message, offset = f"the formula has {len(tokens)} parts", tokens[_MOST_TOKENS].offset
        raise FormulaProblem("formula-too-long", message, _TOO_LONG, offset)
    tokens.append(_Token("end", "", len(text)))
    return tokens


def _token(match: re.Match[str], before: Sequence[_Token]) -> _Token:
    """The next token; after a ``/`` a number is no fraction of its own: ``w / 2 / 2`` divides
    twice, and ``w / 3/4`` could mean two things."""
    kind, text, offset = match.lastgroup or "", match.group(), match.start()
    if kind not in ("number", "mixed"):
        return _Token(kind, text, offset)
    if match["under"] and not match["whole"] and "⁄" not in text and _divides(before):
        over, under = match["over"], match["under"]
        if text == f"{over}/{under}":
            message = f"'/ {text}' could divide by the fraction, or divide twice"
            remedy = f"Write '/ ({text})' or '/ {over} / {under}'."
            raise FormulaProblem("ambiguous-number", message, remedy, offset)
        text = over
    if any(len(run) > _MOST_DIGITS for run in re.findall(r"[\d.]+", text)):
        message = f"the number '{text}' has too many digits"
        raise FormulaProblem("number-too-long", message, "Round it.", offset)
    return _Token(kind, text, offset, _number(match, text))


def _divides(before: Sequence[_Token]) -> bool:
    """Whether what comes next is divided by, with or without a sign."""
    unsigned = before[:-1] if before and before[-1].text == "-" else before
    return bool(unsigned) and unsigned[-1].text == "/"


def _number(match: re.Match[str], text: str) -> Fraction:
    if match["vulgar"]:
        return int(match["before"] or 0) + VULGAR_FRACTIONS[match["vulgar"]]
    whole, fraction = "0", text
    if match["part"]:
        whole, _, fraction = text.partition("-")
    elif match["whole"]:
        whole, fraction = match["whole"], f"{match['over']}/{match['under']}"
    written = re.sub(r"\s*[/⁄]\s*", "/", fraction)
    try:
        return int(whole) + Fraction(written)
    except ZeroDivisionError:
        message = f"'{written}' divides by zero"
        offset = match.start() + max(text.find("/"), 0)
        raise FormulaProblem("division-by-zero", message, NOT_BY_ZERO, offset) from None


class _Parser:
    """Recursive descent over the tokens: pair > sum > product > signed > atom."""

    def __init__(self, tokens: list[_Token]) -> None:
        self._tokens = tokens
        self._at = 0
        self._depth = 0

    @property
    def _next(self) -> _Token:
        return self._tokens[self._at]

    def _take(self) -> _Token:
        token = self._next
        self._at += 1
        return token

    def _takes(self, kind: str, texts: str = "") -> _Token | None:
        token = self._next
        if token.kind == kind and (not texts or token.text in texts):
            return self._take()
        return None

    def whole(self) -> Node:
        """All of the tokens as one formula."""
        root = self._pair()
        if self._next.kind != "end":
            message = f"'{self._next.text}' is not expected here"
            remedy = "Put an operator (+ - * / x) between two values."
            raise FormulaProblem("formula-syntax", message, remedy, self._next.offset)
        return root

    def _pair(self) -> Node:
        left = self._chain()
        token = self._takes("times")
        return Applied("x", (left, self._chain()), token.offset) if token else left

    def _chain(self, symbols: Sequence[str] = ("+-", "*/")) -> Node:
        """Values joined by the first of these symbols, from left to right; the others bind them
        more closely."""
        if not symbols:
            return self._signed()
        left = self._chain(symbols[1:])
        while token := self._takes("symbol", symbols[0]):
            left = Applied(token.text, (left, self._chain(symbols[1:])), token.offset)
        return left

    def _signed(self) -> Node:
        token = self._takes("symbol", "-")
        return Applied("-", (self._atom(),), token.offset) if token else self._atom()

    def _atom(self) -> Node:
        token = self._take()
        if token.kind in {"number", "mixed"}:
            return self._literal(token)
        if token.kind == "name":
            opening = self._takes("symbol", "(")
            return self._call(token) if opening else Name(token.text, token.offset)
        if token.kind == "symbol" and token.text == "(":
            (inner,) = self._enclosed(token, self._pair)
            return inner
        shown = f"'{token.text}'" if token.text else "the end"
        message = f"a number or a name is missing before {shown}"
        raise FormulaProblem("formula-syntax", message, "Complete the formula.", token.offset)

    def _enclosed(
        self, start: _Token, read: Callable[[], Node], separator: str = ""
    ) -> tuple[Node, ...]:
        """What is read up to the closing parenthesis, with a separator between several."""
        self._depth += 1
        if self._depth > _MOST_NESTING:
            message = f"parentheses lie more than {_MOST_NESTING} deep"
            raise FormulaProblem("formula-syntax", message, _TOO_LONG, start.offset)
        inner = [read()]
        while separator and self._takes("symbol", separator):
            inner.append(read())
        if not self._takes("symbol", ")"):
            message, offset = "a ')' is missing", self._next.offset
            raise FormulaProblem("formula-syntax", message, "Close the parenthesis.", offset)
        self._depth -= 1
        return tuple(inner)

    def _call(self, token: _Token) -> Node:
        if token.text not in FUNCTIONS:
            message = f"there is no function '{token.text}'"
            remedy = f"Write one of: {', '.join(FUNCTIONS)}."
            raise FormulaProblem("formula-function", message, remedy, token.offset)
        return Applied(token.text, self._enclosed(token, self._chain, ","), token.offset)

    def _literal(self, token: _Token) -> Node:
        unit = self._takes("unit")
        if unit is None and token.kind == "mixed":
            whole, fraction = token.text.split("-")
            could_be = (
                f"'{token.text}' could be {whole} and {fraction}, or {whole} minus {fraction}"
            )
            remedy = f"Write '{whole} {fraction}' or '{whole} - {fraction}'."
            raise FormulaProblem("ambiguous-number", could_be, remedy, token.offset)
        return Literal(token.value, UNIT_SIZES[unit.text] if unit else None, token.offset)

"""Formula text → tree; nothing is evaluated, by Python or otherwise."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from gatherfold.formulas.tree import (
    FUNCTIONS,
    NOT_BY_ZERO,
    Call,
    Formula,
    FormulaProblem,
    Literal,
    Name,
    Negative,
    Node,
    Operation,
)
from gatherfold.lengths import UNIT_SIZES, VULGAR_FRACTIONS

#: Limits far beyond any formula a person writes; they keep a hostile file from costing time.
_MOST_CHARACTERS = 1000
_MOST_TOKENS = 200
_MOST_NESTING = 30
_MOST_DIGITS = 15

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
        raise _too_long(f"the formula has {len(text):,} characters", 0)
    parser = _Parser(_tokens(text))
    root = parser.pair()
    parser.expect_end()
    return Formula(text, root)


def _tokens(text: str) -> list[_Token]:
    tokens: list[_Token] = []
    offset = 0
    while offset < len(text):
        match = _TOKEN.match(text, offset)
        if match is None:
            raise FormulaProblem(
                "formula-syntax",
                f"'{text[offset]}' has no meaning in a formula",
                "Use names, numbers with a unit, + - * / ( ) and 'x' between width and height.",
                offset,
            )
        if match.lastgroup != "space":
            tokens.append(_token(match, tokens))
            offset += len(tokens[-1].text)
        else:
            offset = match.end()
    if len(tokens) > _MOST_TOKENS:
        raise _too_long(f"the formula has {len(tokens)} parts", tokens[_MOST_TOKENS].offset)
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


def _too_long(message: str, offset: int) -> FormulaProblem:
    remedy = "Give parts of it names of their own under 'measures:'."
    return FormulaProblem("formula-too-long", message, remedy, offset)


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

    def expect_end(self) -> None:
        if self._next.kind != "end":
            raise FormulaProblem(
                "formula-syntax",
                f"'{self._next.text}' is not expected here",
                "Put an operator (+ - * / x) between two values.",
                self._next.offset,
            )

    def pair(self) -> Node:
        left = self.sum()
        token = self._takes("times")
        return Operation("x", left, self.sum(), token.offset) if token else left

    def sum(self) -> Node:
        left = self.product()
        while token := self._takes("symbol", "+-"):
            left = Operation(token.text, left, self.product(), token.offset)
        return left

    def product(self) -> Node:
        left = self.signed()
        while token := self._takes("symbol", "*/"):
            left = Operation(token.text, left, self.signed(), token.offset)
        return left

    def signed(self) -> Node:
        token = self._takes("symbol", "-")
        return Negative(self.atom(), token.offset) if token else self.atom()

    def atom(self) -> Node:
        token = self._take()
        if token.kind in {"number", "mixed"}:
            return self._literal(token)
        if token.kind == "name":
            if self._takes("symbol", "("):
                return self._call(token)
            return Name(token.text, token.offset)
        if token.kind == "symbol" and token.text == "(":
            return self._parenthesis(token)
        shown = f"'{token.text}'" if token.text else "the end"
        raise FormulaProblem(
            "formula-syntax",
            f"a number or a name is missing before {shown}",
            "Complete the formula.",
            token.offset,
        )

    def _parenthesis(self, token: _Token) -> Node:
        self._open(token)
        inner = self.pair()
        self._close()
        return inner

    def _open(self, token: _Token) -> None:
        self._depth += 1
        if self._depth > _MOST_NESTING:
            message = f"parentheses lie more than {_MOST_NESTING} deep"
            remedy = "Give parts of it names of their own under 'measures:'."
            raise FormulaProblem("formula-syntax", message, remedy, token.offset)

    def _close(self) -> None:
        if not self._takes("symbol", ")"):
            raise FormulaProblem(
                "formula-syntax", "a ')' is missing", "Close the parenthesis.", self._next.offset
            )
        self._depth -= 1

    def _call(self, token: _Token) -> Node:
        if token.text not in FUNCTIONS:
            raise FormulaProblem(
                "formula-function",
                f"there is no function '{token.text}'",
                f"Write one of: {', '.join(FUNCTIONS)}.",
                token.offset,
            )
        self._open(token)
        arguments = [self.sum()]
        while self._takes("symbol", ","):
            arguments.append(self.sum())
        self._close()
        return Call(token.text, tuple(arguments), token.offset)

    def _literal(self, token: _Token) -> Node:
        unit = self._takes("unit")
        if unit is None and token.kind == "mixed":
            whole, fraction = token.text.split("-")
            raise FormulaProblem(
                "ambiguous-number",
                f"'{token.text}' could be {whole} and {fraction}, or {whole} minus {fraction}",
                f"Write '{whole} {fraction}' or '{whole} - {fraction}'.",
                token.offset,
            )
        return Literal(token.value, UNIT_SIZES[unit.text] if unit else None, token.offset)

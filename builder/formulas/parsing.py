"""Formula text → tree; nothing is evaluated, by Python or otherwise."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from builder.formulas.tree import (
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
from builder.lengths import UNIT_SIZES, VULGAR_FRACTIONS

#: Limits far beyond any formula a person writes; they keep a hostile file from costing time.
_MOST_CHARACTERS = 1000
_MOST_TOKENS = 200
_MOST_NESTING = 30
_MOST_DIGITS = 15

_UNIT_WORDS = "|".join(sorted((re.escape(u) for u in UNIT_SIZES if u.isalpha()), key=len)[::-1])
_VULGAR = "".join(VULGAR_FRACTIONS)
_TOKEN = re.compile(
    rf"""(?P<space>\s+)
    |(?P<mixed>\d+-\d+[/⁄]\d+)
    |(?P<fraction>\d+⁄\d+)
    |(?P<number>\d+(?:\.\d+)?|\.\d+)
    |(?P<vulgar>[{_VULGAR}])
    |(?P<unit>(?:{_UNIT_WORDS})(?![A-Za-z0-9_])|["″”])
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
        kind = match.lastgroup or ""
        if kind != "space":
            tokens.append(_Token(kind, match.group(), offset))
        if kind in ("number", "mixed", "fraction") and len(match.group()) > _MOST_DIGITS:
            message = f"the number '{match.group()}' has too many digits"
            raise FormulaProblem("number-too-long", message, "Round it.", offset)
        offset = match.end()
    if len(tokens) > _MOST_TOKENS:
        raise _too_long(f"the formula has {len(tokens)} parts", tokens[_MOST_TOKENS].offset)
    tokens.append(_Token("end", "", len(text)))
    return tokens


def _too_long(message: str, offset: int) -> FormulaProblem:
    remedy = "Give parts of it names of their own under 'measures:'."
    return FormulaProblem("formula-too-long", message, remedy, offset)


class _Parser:
    """Recursive descent over the tokens: pair > sum > product > signed > atom."""

    def __init__(self, tokens: list[_Token]) -> None:
        self._tokens = tokens
        self._at = 0
        self._depth = 0
        self._divides = False

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
            self._divides = token.text == "/"
            left = Operation(token.text, left, self.signed(), token.offset)
            self._divides = False
        return left

    def signed(self) -> Node:
        token = self._takes("symbol", "-")
        return Negative(self.atom(), token.offset) if token else self.atom()

    def atom(self) -> Node:
        token = self._take()
        if token.kind in {"number", "mixed", "fraction", "vulgar"}:
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
        self._divides = False
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
        value = self._number(token)
        unit = self._takes("unit")
        if unit is None and token.kind == "mixed":
            whole, fraction = token.text.split("-")
            raise FormulaProblem(
                "ambiguous-number",
                f"'{token.text}' could be {whole} and {fraction}, or {whole} minus {fraction}",
                f"Write '{whole} {fraction}' or '{whole} - {fraction}'.",
                token.offset,
            )
        return Literal(value, UNIT_SIZES[unit.text] if unit else None, token.offset)

    def _number(self, token: _Token) -> Fraction:
        if token.kind == "mixed":
            whole, fraction = token.text.replace("⁄", "/").split("-")
            return Fraction(whole) + _fraction(fraction, token.offset)
        if token.kind == "fraction":
            return _fraction(token.text.replace("⁄", "/"), token.offset)
        if token.kind == "vulgar":
            return VULGAR_FRACTIONS[token.text]
        value = Fraction(token.text)
        if "." in token.text:
            return value
        return self._whole_and_fraction(value)

    def _whole_and_fraction(self, whole: Fraction) -> Fraction:
        """``7 3/4``, ``7¾`` and ``3/4``: digits that belong together as one number."""
        if self._next.kind == "vulgar":
            return whole + VULGAR_FRACTIONS[self._take().text]
        if self._next.kind == "fraction":
            token = self._take()
            return whole + _fraction(token.text.replace("⁄", "/"), token.offset)
        if self._next.kind == "number" and self._is_division(self._at):
            numerator = self._take()
            self._take()
            return whole + _fraction(f"{numerator.text}/{self._take().text}", numerator.offset)
        if self._is_division(self._at - 1):
            if self._divides:
                return self._divisor(whole)
            slash = self._take()
            return _fraction(f"{whole}/{self._take().text}", slash.offset)
        return whole

    def _divisor(self, whole: Fraction) -> Fraction:
        """After a ``/``: ``w / 2 / 2`` divides twice, but ``w / 3/4`` could mean two things."""
        if not self._is_tight(self._at - 1):
            return whole
        first, _, second = self._tokens[self._at - 1 : self._at + 2]
        written = f"{first.text}/{second.text}"
        raise FormulaProblem(
            "ambiguous-number",
            f"'/ {written}' could divide by the fraction, or divide twice",
            f"Write '/ ({written})' or '/ {first.text} / {second.text}'.",
            first.offset,
        )

    def _is_tight(self, at: int) -> bool:
        """Whether nothing stands between token ``at`` and the two after it."""
        first, slash, second = self._tokens[at : at + 3]
        return second.offset - first.offset == len(first.text) + len(slash.text)

    def _is_division(self, at: int) -> bool:
        """Whether tokens ``at``.. read digits/digits: one written fraction.

        With spaces about the slash it is a division, unless a unit follows: ``3 / 4 in``.
        """
        three = self._tokens[at : at + 3]
        return (
            len(three) == 3
            and three[0].kind == "number"
            and three[0].text.isdigit()
            and (three[1].kind, three[1].text) == ("symbol", "/")
            and three[2].kind == "number"
            and three[2].text.isdigit()
            and (self._is_tight(at) or self._tokens[at + 3].kind == "unit")
        )


def _fraction(text: str, offset: int) -> Fraction:
    try:
        return Fraction(text)
    except ZeroDivisionError:
        message = f"'{text}' divides by zero"
        raise FormulaProblem("division-by-zero", message, NOT_BY_ZERO, offset) from None

"""Formulas of measures: text → tree → exact value, with units checked and no Python ``eval``.

In: text such as ``panel_width - 2 * reveal``, ``7 3/4 in`` or ``photo.width x 4``.
Out: :class:`Formula`, a tree that :func:`evaluate` turns into a :class:`Quantity` (an exact
number or a length in mm) or a pair of lengths.

A bare number takes the design's declared unit where a length is needed; multiplying and
dividing leave it a plain number, so ``2 * reveal`` needs no unit.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from builder.lengths import UNIT_SIZES, VULGAR_FRACTIONS


class FormulaProblem(Exception):
    """A formula cannot be read or evaluated; ``offset`` counts characters into its text."""

    def __init__(self, code: str, message: str, remedy: str = "", offset: int = 0) -> None:
        super().__init__(message)
        self.code, self.message, self.remedy, self.offset = code, message, remedy, offset


@dataclass(frozen=True)
class Quantity:
    """An exact value; ``power`` is 0 for a plain number and 1 for a length in millimetres."""

    value: Fraction
    power: int


@dataclass(frozen=True)
class Pair:
    """Width and height, both lengths in millimetres."""

    width: Fraction
    height: Fraction


Value = Quantity | Pair


@dataclass(frozen=True)
class Literal:
    value: Fraction
    unit: Fraction | None
    offset: int


@dataclass(frozen=True)
class Name:
    name: str
    offset: int


@dataclass(frozen=True)
class Negative:
    operand: Node
    offset: int


@dataclass(frozen=True)
class Operation:
    operator: str
    left: Node
    right: Node
    offset: int


@dataclass(frozen=True)
class Call:
    function: str
    arguments: tuple[Node, ...]
    offset: int


Node = Literal | Name | Negative | Operation | Call


@dataclass(frozen=True)
class Formula:
    """A parsed formula and the text it came from."""

    text: str
    root: Node

    @property
    def height(self) -> int:
        """How many operations lie within one another, the outermost first."""
        highest, waiting = 0, [(self.root, 1)]
        while waiting:
            node, height = waiting.pop()
            highest = max(highest, height)
            waiting.extend((inner, height + 1) for inner in _operands(node))
        return highest

    def names(self) -> tuple[str, ...]:
        """The names it refers to, in reading order and without repeats."""
        return tuple(dict.fromkeys(_names(self.root)))


@dataclass(frozen=True)
class Scope:
    """What a formula is evaluated against.

    ``lookup`` gives the value of a name or raises :class:`FormulaProblem`; ``unit`` is the
    declared size of a bare number in mm (None: none declared); ``given`` is applied to each
    length typed in the formula, with the place it is typed at (an edition snaps it to its grid);
    ``grid`` is the step that ``grid_down`` and ``grid_up`` round to.
    """

    lookup: Callable[[str], Value]
    unit: Fraction | None
    given: Callable[[Fraction, int], Fraction]
    grid: Fraction


FUNCTIONS = ("min", "max", "grid_down", "grid_up")

#: Limits far beyond any formula a person writes; they keep a hostile file from costing time.
_MOST_CHARACTERS = 1000
_MOST_TOKENS = 200
_MOST_NESTING = 30
_MOST_DIGITS = 15
_NOT_BY_ZERO = "Divide by something above zero."
#: No length in a design exceeds 10 km, and none needs a finer fraction of a mm than this.
_LONGEST = Fraction(10**7)
_FINEST_DENOMINATOR = 10**18

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
        raise FormulaProblem("division-by-zero", message, _NOT_BY_ZERO, offset) from None


def _names(node: Node) -> list[str]:
    if isinstance(node, Name):
        return [node.name]
    return [name for operand in _operands(node) for name in _names(operand)]


def _operands(node: Node) -> tuple[Node, ...]:
    match node:
        case Negative(operand):
            return (operand,)
        case Operation(_, left, right):
            return (left, right)
        case Call(_, arguments):
            return arguments
        case _:
            return ()


def length(formula: Formula, scope: Scope) -> Fraction:
    """The formula's value as one length in millimetres."""
    return _reasonable(_as_length(_evaluate(formula.root, scope), scope, 0, _start(formula.root)))


def _reasonable(length: Fraction) -> Fraction:
    """The length, unless it is beyond anything that paper could have."""
    if abs(length) > _LONGEST:
        message = "this comes to more than 10 km"
        raise FormulaProblem("too-large", message, "Check the numbers and their units.")
    if length.denominator > _FINEST_DENOMINATOR:
        message = "this comes to a fraction finer than any ruler"
        raise FormulaProblem("too-fine", message, "Round it with grid_down( ) or grid_up( ).")
    return length


def pair(formula: Formula, scope: Scope) -> Pair:
    """The formula's value as width x height; a single length is not a pair."""
    value = _evaluate(formula.root, scope)
    if isinstance(value, Pair):
        return Pair(_reasonable(value.width), _reasonable(value.height))
    raise FormulaProblem(
        "not-a-size",
        f"'{formula.text}' is one length, but a size has two",
        "Write 'width x height', for example '4 x 6'.",
    )


def count(formula: Formula, scope: Scope) -> int:
    """The formula's value as a whole number of things."""
    value = _evaluate(formula.root, scope)
    if isinstance(value, Quantity) and value.power == 0 and value.value.denominator == 1:
        return int(value.value)
    raise FormulaProblem("not-a-count", f"'{formula.text}' is not a whole number", "Write 2 or so.")


def value(formula: Formula, scope: Scope) -> Value:
    """A pair when the formula is one, otherwise a length (bare numbers take the unit)."""
    result = _evaluate(formula.root, scope)
    if isinstance(result, Pair):
        return Pair(_reasonable(result.width), _reasonable(result.height))
    return Quantity(_reasonable(_as_length(result, scope, 0, _start(formula.root))), 1)


def _evaluate(node: Node, scope: Scope) -> Value:
    match node:
        case Literal(number, None):
            return Quantity(number, 0)
        case Literal(number, Fraction() as unit, offset):
            return Quantity(scope.given(number * unit, offset), 1)
        case Name(name):
            return _looked_up(name, scope, node.offset)
        case Negative(operand):
            inner = _single(_evaluate(operand, scope), node.offset)
            return Quantity(-inner.value, inner.power)
        case Operation("x", left, right):
            return Pair(
                _as_length(_evaluate(left, scope), scope, node.offset, _start(left)),
                _as_length(_evaluate(right, scope), scope, node.offset, _start(right)),
            )
        case Operation():
            return _operate(node, scope)
        case Call():
            return _called(node, scope)
        case _:
            raise AssertionError(node)


def _looked_up(name: str, scope: Scope, offset: int) -> Value:
    try:
        return scope.lookup(name)
    except FormulaProblem as problem:
        raise FormulaProblem(
            problem.code, problem.message, problem.remedy, problem.offset or offset
        ) from None


def _operate(node: Operation, scope: Scope) -> Quantity:
    left = _single(_evaluate(node.left, scope), node.offset)
    right = _single(_evaluate(node.right, scope), node.offset)
    if node.operator in "+-":
        if left.power != right.power:
            left = Quantity(_as_length(left, scope, node.offset, _start(node.left)), 1)
            right = Quantity(_as_length(right, scope, node.offset, _start(node.right)), 1)
        sign = 1 if node.operator == "+" else -1
        return Quantity(left.value + sign * right.value, left.power)
    if node.operator == "*":
        return _dimension(left.value * right.value, left.power + right.power, node.offset)
    if right.value == 0:
        raise FormulaProblem("division-by-zero", "this divides by zero", _NOT_BY_ZERO, node.offset)
    return _dimension(left.value / right.value, left.power - right.power, node.offset)


def _dimension(value: Fraction, power: int, offset: int) -> Quantity:
    if power == 2:
        raise FormulaProblem(
            "unit-mistake",
            "a length times a length is an area, and an area is no length",
            "Multiply a length by a plain number.",
            offset,
        )
    if power == -1:
        raise FormulaProblem(
            "unit-mistake",
            "a number divided by a length is no length",
            "Divide a length by a number, or a length by a length.",
            offset,
        )
    return Quantity(value, power)


def _called(node: Call, scope: Scope) -> Quantity:
    lengths = [
        _as_length(_evaluate(item, scope), scope, node.offset, _start(item))
        for item in node.arguments
    ]
    if node.function in ("min", "max"):
        return Quantity(min(lengths) if node.function == "min" else max(lengths), 1)
    if len(lengths) != 1:
        raise FormulaProblem(
            "formula-function",
            f"{node.function} takes one length",
            f"Write '{node.function}(LENGTH)'.",
            node.offset,
        )
    steps = lengths[0] / scope.grid
    whole = steps.__floor__() if node.function == "grid_down" else steps.__ceil__()
    return Quantity(whole * scope.grid, 1)


def _single(value: Value, offset: int) -> Quantity:
    if isinstance(value, Pair):
        raise FormulaProblem(
            "unit-mistake",
            "a size has two lengths, and this needs one",
            "Use its .width or its .height.",
            offset,
        )
    return value


def _start(node: Node) -> int:
    """Where the text of a node begins: a number made of several is known by its first."""
    return min([node.offset, *(_start(operand) for operand in _operands(node))])


def _as_length(value: Value, scope: Scope, offset: int, start: int) -> Fraction:
    """A length in mm; ``start`` is where a number that becomes one is typed."""
    single = _single(value, offset)
    if single.power == 1:
        return single.value
    if single.value == 0:
        return Fraction(0)
    if scope.unit is None:
        raise FormulaProblem(
            "missing-unit",
            f"{_plain(single.value)} has no unit, and the design declares none",
            f"Write '{_plain(single.value)} in' or '{_plain(single.value)} mm', "
            "or declare 'units: inch' at the top.",
            offset,
        )
    return scope.given(single.value * scope.unit, start)


def _plain(value: Fraction) -> str:
    whole, rest = divmod(value, 1)
    if not rest:
        return str(whole)
    return f"{whole} {rest}" if whole else str(rest)

"""A formula's tree → its exact value, with units checked."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from gatherfold.formulas.tree import (
    NOT_BY_ZERO,
    Call,
    Formula,
    FormulaProblem,
    Literal,
    Name,
    Negative,
    Node,
    Operation,
    Pair,
    Quantity,
    Value,
    operands,
)
from gatherfold.lengths import UnitSystem

#: No length in a design exceeds 10 km, and none needs a finer fraction of a mm than this.
_LONGEST = Fraction(10**7)
_FINEST_DENOMINATOR = 10**18


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
        raise FormulaProblem("division-by-zero", "this divides by zero", NOT_BY_ZERO, node.offset)
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
    return min([node.offset, *(_start(operand) for operand in operands(node))])


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


def value_text(found: Value, units: UnitSystem) -> str:
    """Write a value as a unit system does: a length, or width by height."""
    if isinstance(found, Pair):
        return units.size_text(found.width, found.height)
    return units.text(found.value)

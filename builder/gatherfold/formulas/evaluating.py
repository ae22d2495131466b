"""A formula's tree → its exact value, with units checked."""

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from gatherfold.formulas.tree import (
    NOT_BY_ZERO,
    Applied,
    Formula,
    FormulaProblem,
    Literal,
    Name,
    Node,
    Pair,
    Quantity,
    Value,
)
from gatherfold.lengths import UnitSystem, down_to_grid, mixed_number, up_to_grid

#: No length in a design exceeds 10 km, and none needs a finer fraction of a mm than this.
_LONGEST = Fraction(10**7)
_FINEST_DENOMINATOR = 10**18
#: What is said of a product or a quotient that is no length, and no plain number, by its power.
_NO_LENGTHS = {
    2: (
        "a length times a length is an area, and an area is no length",
        "Multiply a length by a plain number.",
    ),
    -1: (
        "a number divided by a length is no length",
        "Divide a length by a number, or a length by a length.",
    ),
}


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
    return _reasonable(_length_of(formula.root, scope))


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
    found = _evaluate(formula.root, scope)
    if isinstance(found, Pair):
        return Pair(_reasonable(found.width), _reasonable(found.height))
    message = f"'{formula.text}' is one length, but a size has two"
    raise FormulaProblem("not-a-size", message, "Write 'width x height', for example '4 x 6'.")


def value(formula: Formula, scope: Scope) -> Value:
    """A pair when the formula is one, otherwise a length (bare numbers take the unit)."""
    found = _evaluate(formula.root, scope)
    if isinstance(found, Pair):
        return Pair(_reasonable(found.width), _reasonable(found.height))
    return Quantity(_reasonable(_as_length(found, scope, 0, formula.root)), 1)


def _evaluate(node: Node, scope: Scope) -> Value:
    match node:
        case Literal(number, None):
            return Quantity(number, 0)
        case Literal(number, Fraction() as unit, offset):
            return Quantity(scope.given(number * unit, offset), 1)
        case Name(name, offset):
            return _looked_up(name, scope, offset)
        case Applied("-", (operand,)):
            inner = _single(_evaluate(operand, scope), node.offset)
            return Quantity(-inner.value, inner.power)
        case Applied("x", (left, right), offset):
            return Pair(_length_of(left, scope, offset), _length_of(right, scope, offset))
        case Applied("+" | "-" | "*" | "/", (left, right)):
            return _operate(node, left, right, scope)
        case Applied():
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


def _operate(node: Applied, first: Node, second: Node, scope: Scope) -> Quantity:
    left = _single(_evaluate(first, scope), node.offset)
    right = _single(_evaluate(second, scope), node.offset)
    if node.function in "+-":
        if left.power != right.power:
            left = Quantity(_as_length(left, scope, node.offset, first), 1)
            right = Quantity(_as_length(right, scope, node.offset, second), 1)
        sign = 1 if node.function == "+" else -1
        return Quantity(left.value + sign * right.value, left.power)
    if node.function == "/" and right.value == 0:
        raise FormulaProblem("division-by-zero", "this divides by zero", NOT_BY_ZERO, node.offset)
    is_product = node.function == "*"
    power = left.power + right.power if is_product else left.power - right.power
    if power in _NO_LENGTHS:
        raise FormulaProblem("unit-mistake", *_NO_LENGTHS[power], node.offset)
    return Quantity(left.value * right.value if is_product else left.value / right.value, power)


def _called(node: Applied, scope: Scope) -> Quantity:
    lengths = [_length_of(operand, scope, node.offset) for operand in node.operands]
    if node.function in ("min", "max"):
        return Quantity(min(lengths) if node.function == "min" else max(lengths), 1)
    if len(lengths) != 1:
        message, remedy = f"{node.function} takes one length", f"Write '{node.function}(LENGTH)'."
        raise FormulaProblem("formula-function", message, remedy, node.offset)
    rounded = down_to_grid if node.function == "grid_down" else up_to_grid
    return Quantity(rounded(lengths[0], scope.grid), 1)


def _single(value: Value, offset: int) -> Quantity:
    if isinstance(value, Quantity):
        return value
    message = "a size has two lengths, and this needs one"
    raise FormulaProblem("unit-mistake", message, "Use its .width or its .height.", offset)


def _start(node: Node) -> int:
    """Where the text of a node begins: a number made of several is known by its first."""
    operands = node.operands if isinstance(node, Applied) else ()
    return min([node.offset, *map(_start, operands)])


def _length_of(node: Node, scope: Scope, offset: int = 0) -> Fraction:
    return _as_length(_evaluate(node, scope), scope, offset, node)


def _as_length(value: Value, scope: Scope, offset: int, typed: Node) -> Fraction:
    """A length in mm; ``typed`` is where a number that becomes one is typed."""
    single = _single(value, offset)
    if single.power == 1 or single.value == 0:
        return single.value
    if scope.unit is None:
        number = mixed_number(single.value)
        message = f"{number} has no unit, and the design declares none"
        remedy = f"Write '{number} in' or '{number} mm', or declare 'units: inch' at the top."
        raise FormulaProblem("missing-unit", message, remedy, offset)
    return scope.given(single.value * scope.unit, _start(typed))


def value_text(found: Value, units: UnitSystem) -> str:
    """Write a value as a unit system does: a length, or width by height."""
    if isinstance(found, Pair):
        return units.size_text(found.width, found.height)
    return units.text(found.value)

"""What a formula is made of, and what it comes to."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

FUNCTIONS = ("min", "max", "grid_down", "grid_up")
NOT_BY_ZERO = "Divide by something above zero."


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
    """A number as it is typed, and the size of its unit in mm, where it has one."""

    value: Fraction
    unit: Fraction | None
    offset: int


@dataclass(frozen=True)
class Name:
    """The name of a measure, a piece's extent or the like."""

    name: str
    offset: int


@dataclass(frozen=True)
class Applied:
    """A function or an operator, with what it is applied to: ``-`` to one value or two."""

    function: str
    operands: tuple[Node, ...]
    offset: int


Node = Literal | Name | Applied


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
            if isinstance(node, Applied):
                waiting.extend((inner, height + 1) for inner in node.operands)
        return highest


def names_in(formula: Formula) -> tuple[str, ...]:
    """Give every name in a formula, each once, in the order in which they stand."""
    found: dict[int, str] = {}
    waiting = [formula.root]
    while waiting:
        match waiting.pop():
            case Name(name, offset):
                found[offset] = name
            case Applied(operands=operands):
                waiting.extend(operands)
            case Literal():
                pass
    return tuple(dict.fromkeys(found[offset] for offset in sorted(found)))


def lengths_in(formula: Formula) -> tuple[Literal, ...]:
    """Give every literal of a formula that is a length: what only multiplies or divides is none."""
    found: list[Literal] = []
    waiting: list[Node] = [formula.root]
    while waiting:
        match waiting.pop():
            case Literal() as literal:
                found.append(literal)
            case Applied("*" | "/", operands):
                waiting.extend(each for each in operands if not _is_factor(each))
            case Applied(operands=operands):
                waiting.extend(operands)
            case Name():
                pass
    return tuple(sorted(found, key=lambda literal: literal.offset))


def _is_factor(node: Node) -> bool:
    return isinstance(node, Literal) and node.unit is None


def with_literal(formula: Formula, offset: int, number: Fraction) -> Formula:
    """Give a formula with another number, of the same unit, for the literal at a place of its
    text.  The text stays as it was typed."""
    return Formula(formula.text, _with_literal(formula.root, offset, number))


def _with_literal(node: Node, offset: int, number: Fraction) -> Node:
    match node:
        case Literal() if node.offset == offset:
            return Literal(number, node.unit, offset)
        case Applied(function, operands, at):
            changed = tuple(_with_literal(each, offset, number) for each in operands)
            return Applied(function, changed, at)
        case _:
            return node

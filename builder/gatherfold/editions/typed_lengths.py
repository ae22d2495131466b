"""What a design's parts are typed from, and a design with one length typed otherwise.

In: a design.  Out: the formulas that a piece or a fastening depends on; another design.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import fields, is_dataclass, replace
from fractions import Fraction
from typing import Any

from gatherfold.findings import Position
from gatherfold.formulas import Formula, names_in, with_literal
from gatherfold.model import Design, Expression, Piece


def formulas_behind(
    design: Design, parts: Collection[str], far: int | None = None
) -> tuple[Expression, ...]:
    """Find the formulas on which some pieces and fastenings depend, the nearest first: their own,
    those of all that these name, and so on, ``far`` times or to the end."""
    known: Mapping[str, object] = {**design.pieces, **design.fastenings}
    found = dict.fromkeys(
        each for part in parts if part in known for each in written_in(known[part])
    )
    waiting, seen = [*found], set[str]()
    while waiting and far != 0:
        names = {
            name.partition(".")[0]: None for each in waiting for name in names_in(each.formula)
        }
        behind = (each for name in names if name not in seen for each in _named(design, name))
        waiting = [each for each in dict.fromkeys(behind) if each not in found]
        found |= dict.fromkeys(waiting)
        seen |= names.keys()
        far = None if far is None else far - 1
    return tuple(found)


def _named(design: Design, name: str) -> Iterator[Expression]:
    """What a name in a formula stands for."""
    measure, piece = design.measures.get(name), design.pieces.get(name)
    if measure is not None:
        yield measure.expression
        yield from measure.fixed.values()
    elif piece is not None:
        yield from _sizes(piece)


def _sizes(piece: Piece) -> Iterator[Expression]:
    for written in (piece.size, piece.width, piece.height, piece.across, piece.up):
        yield from written_in(written)


def written_in(part: object) -> Iterator[Expression]:
    """Every formula that is written in a part of a design."""
    match part:
        case Expression():
            yield part
        case Position() | str():
            pass
        case Mapping():
            for each in part.values():
                yield from written_in(each)
        case tuple():
            for each in part:
                yield from written_in(each)
        case _ if is_dataclass(part):
            for own in fields(part):
                yield from written_in(getattr(part, own.name))
        case _:
            pass


def _holds(expression: Expression, position: Position) -> bool:
    """Whether a position lies within a formula."""
    start, length = expression.position, len(expression.formula.text)
    same_line = (start.file, start.line) == (position.file, position.line)
    return same_line and start.column <= position.column <= start.column + length


def retyped(design: Design, position: Position, number: Fraction) -> Design:
    """Give the design with another number, of the same unit, at the place of a literal."""
    changed: Design = _retyped(design, position, number)
    return changed


def _retyped(part: Any, position: Position, number: Fraction) -> Any:
    """A part with the number in it; the same object where it does not hold the place."""
    match part:
        case Expression():
            if not _holds(part, position):
                return part
            offset = position.column - part.position.column
            formula: Formula = with_literal(part.formula, offset, number)
            return replace(part, formula=formula)
        case Position() | str():
            return part
        case Mapping():
            values = {key: _retyped(each, position, number) for key, each in part.items()}
            return values if any(values[key] is not part[key] for key in part) else part
        case tuple() if type(part) is tuple:
            items = tuple(_retyped(each, position, number) for each in part)
            is_same = all(a is b for a, b in zip(items, part, strict=True))
            return part if is_same else items
        case _ if is_dataclass(part) and not isinstance(part, type):
            changes = {
                own.name: new
                for own in fields(part)
                if own.init
                and (new := _retyped(old := getattr(part, own.name), position, number)) is not old
            }
            return replace(part, **changes) if changes else part
        case _:
            return part

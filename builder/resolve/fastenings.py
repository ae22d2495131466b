"""Fastenings in exact sizes, each with its point on the first piece that it goes through.

In: the design's fastenings and the resolved pieces.  Out: :class:`ResolvedFastening`; holes come
with the work, when they are pierced.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fractions import Fraction

from builder.design import Expression, Fastening
from builder.findings import error
from builder.geometry.edges import EdgeName
from builder.geometry.outline import Point
from builder.resolve.resolved import ResolvedFastening, ResolvedPiece
from builder.resolve.values import Unresolved, Values


def resolve_fastenings(
    values: Values, pieces: Mapping[str, ResolvedPiece]
) -> dict[str, ResolvedFastening]:
    found: dict[str, ResolvedFastening] = {}
    for key, fastening in values.design.fastenings.items():
        try:
            found[key] = _fastening(key, fastening, values, pieces)
        except Unresolved:
            continue
    return found


def _fastening(
    key: str, fastening: Fastening, values: Values, pieces: Mapping[str, ResolvedPiece]
) -> ResolvedFastening:
    def true_size(expression: Expression | None) -> Fraction:
        return Fraction(0) if expression is None else values.length_of(expression, actual=True)

    def length(expression: Expression | None) -> Fraction:
        return Fraction(0) if expression is None else values.length_of(expression)

    _require_sizes(fastening, values, true_size, length)
    point = None
    placed_on = fastening.through[0] if fastening.through else fastening.round
    if placed_on is not None and placed_on in pieces:
        first = pieces[placed_on]
        given = {edge: values.length_of(value) for edge, value in fastening.distances.items()}
        point = _point_on(first, given)
    return ResolvedFastening(
        key=key,
        source=fastening,
        head=true_size(fastening.head),
        leg=true_size(fastening.leg),
        length=length(fastening.length),
        allowance=length(fastening.allowance),
        point=point,
    )


def _require_sizes(
    fastening: Fastening,
    values: Values,
    true_size: Callable[[Expression | None], Fraction],
    length: Callable[[Expression | None], Fraction],
) -> None:
    """What a fastening measures is above zero; only an allowance may be nothing."""
    for name, measured in (("head", true_size), ("leg", true_size), ("length", length)):
        expression = getattr(fastening, name)
        if expression is not None and measured(expression) <= 0:
            message = f"the {name} of fastening '{fastening.key}' comes to nothing or less"
            position = expression.position
            values.report(error("negative-size", position, message, "Check its formula."))
            raise Unresolved(fastening.key)


def _point_on(piece: ResolvedPiece, given: Mapping[EdgeName, Fraction]) -> Point:
    x = given.get("left", piece.width - given["right"] if "right" in given else piece.width / 2)
    y = given.get("bottom", piece.height - given["top"] if "top" in given else piece.height / 2)
    return Point(x, y)

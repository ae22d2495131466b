"""Strips, in which pieces are kept together until they are divided, and spares to keep back.

In: the design's entries, resolved pieces and the edition's :class:`Values`.  Out: exact sizes; what
comes to less than nothing is reported.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction

from builder.choices import is_across
from builder.design import Stock, Strip
from builder.findings import error
from builder.resolve.resolved import ResolvedPiece, ResolvedReserve, ResolvedStrip, StripPart
from builder.resolve.values import Unresolved, Values

_CHECK = "Check its formula."


def resolve_strips(values: Values, pieces: Mapping[str, ResolvedPiece]) -> dict[str, ResolvedStrip]:
    """Every strip of which all pieces have a size."""
    found: dict[str, ResolvedStrip] = {}
    counts: dict[str, int] = {}
    for key, strip in values.design.strips.items():
        of_strip = [pieces[name] for name in strip.pieces if name in pieces]
        if not of_strip:
            continue
        letter = of_strip[0].code.rstrip("0123456789")
        counts[letter] = counts.get(letter, 0) + 1
        try:
            allowance = _allowance(strip, values)
        except Unresolved:
            continue
        found[key] = _strip(strip, f"{letter}S{counts[letter]}", of_strip, allowance)
    return found


def _allowance(strip: Strip, values: Values) -> Fraction:
    if strip.allowance is None:
        return Fraction(0)
    allowance = values.length_of(strip.allowance)
    if allowance < 0:
        message = f"the allowance of strip '{strip.key}' comes to less than nothing"
        values.report(error("negative-size", strip.allowance.position, message, _CHECK))
        raise Unresolved(strip.key)
    return allowance


def _strip(
    source: Strip, code: str, pieces: list[ResolvedPiece], allowance: Fraction
) -> ResolvedStrip:
    across = is_across(source.direction)
    parts: list[StripPart] = []
    at = Fraction(0)
    for key, piece in _copies(pieces):
        x, y = (at, Fraction(0)) if across else (Fraction(0), at)
        parts.append(StripPart(key, piece, x, y))
        at += piece.width if across else piece.height
    measure = max(piece.height if across else piece.width for piece in pieces)
    width, height = (at + allowance, measure) if across else (measure, at + allowance)
    return ResolvedStrip(source.key, code, source, width, height, allowance, tuple(parts))


def _copies(pieces: list[ResolvedPiece]) -> Iterator[tuple[str, ResolvedPiece]]:
    """Every copy of every piece, called as on a sheet: the first by its key, then ``KEY#2``."""
    for piece in pieces:
        yield piece.key, piece
        for number in range(2, piece.source.count + 1):
            yield f"{piece.key}#{number}", piece


def resolve_reserves(stock: Stock, values: Values) -> tuple[ResolvedReserve, ...]:
    """The spares of a stock on the edition's grid; raises :class:`Unresolved`."""
    found = []
    for reserve in stock.reserves:
        size = values.pair_of(reserve.size)
        if size.width <= 0 or size.height <= 0:
            message = f"a spare of stock '{stock.key}' has no size"
            values.report(error("negative-size", reserve.size.position, message, _CHECK))
            raise Unresolved(stock.key)
        found.append(ResolvedReserve(reserve, size.width, size.height))
    return tuple(found)

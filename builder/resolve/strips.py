"""Strips, in which pieces are kept together until they are divided.

In: the design's entries, resolved pieces and the edition's :class:`Values`.  Out: exact sizes.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from fractions import Fraction

from builder.choices import is_across
from builder.design import Strip
from builder.resolve.resolved import ResolvedPiece, ResolvedStrip, StripPart
from builder.resolve.values import Values


def resolve_strips(values: Values, pieces: Mapping[str, ResolvedPiece]) -> dict[str, ResolvedStrip]:
    """Every strip of which all pieces have a size."""
    counts: Counter[str] = Counter()

    def resolved(strip: Strip) -> ResolvedStrip:
        of_strip = [pieces[name] for name in strip.pieces if name in pieces]
        letter = of_strip[0].code.rstrip("0123456789")
        counts[letter] += 1
        what = f"the allowance of strip '{strip.key}'"
        allowance = values.measured(strip.allowance, what, may_be_nothing=True)
        return _strip(strip, f"{letter}S{counts[letter]}", of_strip, allowance)

    strips = values.design.strips.items()
    return values.all_of({key: s for key, s in strips if pieces.keys() & {*s.pieces}}, resolved)


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

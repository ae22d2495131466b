"""The folds of a piece, outward from the face that it lies by.

In: a resolved piece.  Out: its folds, each with the face that stays and the one that hangs on it.
"""

from __future__ import annotations

from collections.abc import Iterator

from builder.resolve.resolved import ResolvedPiece, Score


def folds_outward(piece: ResolvedPiece) -> Iterator[tuple[str, str, Score]]:
    """Each fold as (face that stays, face that hangs on it, score), outward from ``by``."""
    found = {piece.by}
    waiting = [piece.by]
    while waiting:
        at = waiting.pop(0)
        for score in piece.scores:
            if at not in score.sides:
                continue
            other = score.sides[1] if score.sides[0] == at else score.sides[0]
            if other not in found:
                found.add(other)
                waiting.append(other)
                yield at, other, score

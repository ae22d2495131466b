"""Pieces that are made in the same way: drawn once, and all of them named.

In: the pieces, first the one that is drawn.  Out: a title for all, and how many to cut of each.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from builder.drawings.wording import named
from builder.resolve.resolved import ResolvedDesign, ResolvedPiece
from builder.wording import Wording

#: By the key of a piece that is drawn, the keys of the others that are made as it is.
Others = Mapping[str, Sequence[str]]


def pieces_alike(
    resolved: ResolvedDesign, key: str, others: Sequence[str]
) -> tuple[ResolvedPiece, ...]:
    return tuple(resolved.pieces[each] for each in (key, *others))


def title_of(pieces: Sequence[ResolvedPiece], wording: Wording) -> str:
    """``A12 Left pocket and A14 Right pocket``."""
    return wording.listed(named(piece) for piece in pieces)


def count_words(pieces: Sequence[ResolvedPiece], wording: Wording) -> str:
    """``cut 2``; of several pieces ``A12, A14: cut 1 of each``."""
    counts = {piece.source.count for piece in pieces}
    if len(pieces) == 1:
        return wording.phrase("draw_cut_count", count=pieces[0].source.count)
    if len(counts) == 1:
        codes = ", ".join(piece.code for piece in pieces)
        return wording.phrase("draw_cut_of_each", codes=codes, count=counts.pop())
    return ", ".join(
        wording.phrase("draw_cut_of_code", code=piece.code, count=piece.source.count)
        for piece in pieces
    )

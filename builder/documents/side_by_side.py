"""Two editions of one design in one document: inches in the left column, millimetres in the right.

In: the views of both editions.  Out: one view that carries the other.  Each column keeps to its
own edition, with its own sizes, sheet plans and drawings; nothing is converted, and no instruction
mixes the two.  Pieces that either edition tells apart stand in rows of their own in both.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from builder.counts.cut_list import CutRow
from builder.documents.content import DocumentView
from builder.documents.page import GUTTER, Page
from builder.documents.rooms import SHEET_ROOMS
from builder.wording import Wording

#: Figures that stand once in each column.
_IN_COLUMNS = (*SHEET_ROOMS, "piece", "large_piece", "step", "fastening")
#: A map in a column has its cuts below it; no higher than this in mm, two of them fill a page.
_HIGHEST = {"simple_sheet": 70.0, "sheet": 70.0, "busy_sheet": 70.0, "crowded_sheet": 98.0}


def halved(page: Page) -> Page:
    """The page with figures that stand in columns no wider than one."""
    column = (float(page.width) - GUTTER) / 2
    rooms = {
        kind: (min(width, column), min(height, _HIGHEST.get(kind, height)))
        if kind in _IN_COLUMNS
        else (width, height)
        for kind, (width, height) in page.rooms.items()
    }
    return replace(page, rooms=rooms, columns=2)


def with_joint_rows(
    left: Sequence[CutRow], right: Sequence[CutRow]
) -> tuple[tuple[CutRow, ...], tuple[CutRow, ...]]:
    """The rows of both cut lists, split so that row by row they name the same pieces."""
    place = {piece.key: index for index, row in enumerate(right) for piece in row.pieces}
    lefts, rights = [], []
    for row in left:
        for index in dict.fromkeys(place[piece.key] for piece in row.pieces):
            keys = {piece.key for piece in row.pieces if place[piece.key] == index}
            lefts.append(_part(row, keys))
            rights.append(_part(right[index], keys))
    return tuple(lefts), tuple(rights)


def _part(row: CutRow, keys: set[str]) -> CutRow:
    pieces = tuple(piece for piece in row.pieces if piece.key in keys)
    return replace(row, pieces=pieces, count=sum(piece.source.count for piece in pieces))


def beside(left: DocumentView, right: DocumentView, wording: Wording) -> DocumentView:
    """One view of both: the left one, named for the two, with the right one ``beside`` it."""
    return replace(left, edition=wording.phrase("edition_side_by_side"), beside=right)

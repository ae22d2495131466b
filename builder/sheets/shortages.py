"""What a limited stock cannot give, and how much more of it would do.

In: the pieces that found no room and those that did, the sheets, the trimmer. Out: problems.
"""

import time
from collections.abc import Sequence
from dataclasses import replace

from builder.sheets.demands import demands
from builder.sheets.model import Length, Problem, Rectangle, Sheet, Trimmer
from builder.sheets.packing import Effort
from builder.sheets.pins import only_place, overlap
from builder.sheets.scaling import Scale
from builder.sheets.searching import Search

WORK = 40_000


def shortage(
    outside: Sequence[Rectangle],
    inside: Sequence[Rectangle],
    sheets: Sequence[Sheet],
    trimmer: Trimmer,
    scale: Scale,
    certain: bool,
) -> list[Problem]:
    """One problem for every pinned piece in another's place, and one for all other pieces."""
    problems: list[Problem] = []
    left: list[Rectangle] = []
    for piece in outside:
        clash = _clash(piece, inside, sheets, scale)
        if clash is None:
            left.append(piece)
        else:
            problems.append(clash)
    if left:
        problems.append(_too_few(left, sheets, trimmer, scale, certain))
    return problems


def _clash(
    piece: Rectangle, inside: Sequence[Rectangle], sheets: Sequence[Sheet], scale: Scale
) -> Problem | None:
    """The piece's only place is taken by another whose only place that is."""
    for sheet in sheets:
        mine = only_place(piece, sheet)
        if mine is None:
            continue
        for other in inside:
            theirs = None if other.pin is None else only_place(other, sheet)
            width, height = overlap(mine, theirs)
            if width:
                return Problem(
                    "pins-overlap",
                    (piece.key,),
                    f"pieces {piece.key} and {other.key} are pinned over one another on"
                    f" {sheet.name}",
                    {"overlap_width": scale.down(width), "overlap_height": scale.down(height)},
                    {"sheet": sheet.name, "more_sheets": 1},
                    (other.key,),
                )
    return None


def _too_few(
    left: Sequence[Rectangle],
    sheets: Sequence[Sheet],
    trimmer: Trimmer,
    scale: Scale,
    certain: bool,
) -> Problem:
    area = sum(int(piece.width * piece.height) for piece in left)
    numbers: dict[str, Length] = {
        "pieces": len(left),
        "area": Scale(scale.factor**2).down(area),
        "sheets": sum(sheet.count or 0 for sheet in sheets),
    }
    name, more = _more(left, sheets, trimmer, scale)
    keys = tuple(piece.key for piece in left)
    verb = "cannot come from" if certain else "found no room on"
    return Problem(
        "not-enough-sheets" if certain else "no-room-found",
        keys,
        f"{len(keys)} pieces {verb} the sheets there are",
        numbers,
        {"sheet": name, "more_sheets": more},
    )


def _more(
    left: Sequence[Rectangle], sheets: Sequence[Sheet], trimmer: Trimmer, scale: Scale
) -> tuple[str, int]:
    """The kind of sheet that takes most of the pieces left, and how many more take them."""
    best: tuple[int, int, str] | None = None
    for sheet in sheets:
        endless = replace(sheet, count=None, cost=1)
        wanted = demands(left, [endless], trimmer, scale)
        if not wanted.pieces:
            continue
        effort = Effort(WORK, time.monotonic() + 0.2)
        found = Search(wanted, [endless], trimmer, effort, 0).run()
        rank = (-len(wanted.pieces), len(found.arrangements[0]), sheet.name)
        if best is None or rank < best:
            best = rank
    assert best is not None
    return best[2], best[1]

"""Demands that no plan can meet, and what would do instead.

In: pieces, sheets and trimmer in the caller's units. Out: before planning, the kinds of sheet each
possible piece can come from, and a problem for each impossible one; after it, a problem for what a
limited stock could not give.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from gatherfold.sheets.model import Length, Problem, Rectangle, Sheet, Trimmer
from gatherfold.sheets.packing import cut_order
from gatherfold.sheets.pins import allowed, fits, only_place, overlap, places, sizes, usable


@dataclass(frozen=True)
class Demands:
    """The pieces that can be cut, the kinds of sheet for each, and what is wrong with others."""

    pieces: tuple[Rectangle, ...]
    kinds: tuple[frozenset[int], ...]
    problems: tuple[Problem, ...]


def demands(pieces: Sequence[Rectangle], sheets: Sequence[Sheet], trimmer: Trimmer) -> Demands:
    """Sort the possible pieces from the impossible ones."""
    good: list[Rectangle] = []
    kinds: list[frozenset[int]] = []
    problems: list[Problem] = []
    for piece in pieces:
        fitting = [j for j, sheet in enumerate(sheets) if fits(piece, sheet)]
        cuttable = frozenset(j for j in fitting if _is_cuttable(piece, sheets[j], trimmer))
        if cuttable:
            good.append(piece)
            kinds.append(cuttable)
        elif fitting:
            problems.append(_beyond_the_trimmer(piece, sheets[fitting[0]], trimmer))
        else:
            problems.append(_beyond_the_sheets(piece, sheets))
    return Demands(tuple(good), tuple(kinds), tuple(problems))


def _is_cuttable(piece: Rectangle, sheet: Sheet, trimmer: Trimmer) -> bool:
    return any(_can_cut(sheet, each.width, each.height, trimmer) for each in places(piece, sheet))


def _can_cut(sheet: Sheet, width: Length, height: Length, trimmer: Trimmer) -> bool:
    narrowest = trimmer.narrowest_strip
    if (width < sheet.width and width < narrowest) or (
        height < sheet.height and height < narrowest
    ):
        return False
    order = cut_order(sheet.width, sheet.height, width, height, trimmer.longest_cut, False)
    return order is not None


def _beyond_the_sheets(piece: Rectangle, sheets: Sequence[Sheet]) -> Problem:
    """The piece lies on no sheet: it is too large, or its pin leaves it no place."""
    key, keys = piece.key, (piece.key,)
    named = [sheet for sheet in sheets if piece.sheet in (None, sheet.name)]
    if not named:
        message = f"piece {key} is to come from {piece.sheet}, and there is no such sheet"
        return Problem("sheet-unknown", keys, message, {}, {"sheet": sheets[0].name})
    largest = max(named, key=lambda sheet: usable(sheet)[2] * usable(sheet)[3])
    width, height, room_width, room_height = piece.width, piece.height, *usable(largest)[2:]
    numbers = {
        "width": width,
        "height": height,
        "sheet_width": room_width,
        "sheet_height": room_height,
    }
    lying = [(w, h) for w, h in sizes(piece) if w <= room_width and h <= room_height]
    if lying:
        place = allowed(piece, largest, *lying[0])
        over = max(place.x_low - place.x_high, place.y_low - place.y_high, 0)
        message = f"piece {key} has no place on {largest.name} where it is pinned"
        numbers["over"] = over
        return Problem("pin-outside-sheet", keys, message, numbers, {"move_by": over})
    remedy: dict[str, Length | str] = {
        "width": min(width, room_width),
        "height": min(height, room_height),
    }
    if height <= room_width and width <= room_height:
        remedy = {"turns": "allow the piece to be turned"}
    message = (
        f"piece {key} is {width} x {height} and the usable part of"
        f" {largest.name} is {room_width} x {room_height}"
    )
    return Problem("piece-larger-than-sheet", keys, message, numbers, remedy)


def _beyond_the_trimmer(piece: Rectangle, sheet: Sheet, trimmer: Trimmer) -> Problem:
    """The piece lies on the sheet and the trimmer cannot cut it free."""
    thinnest, narrowest = min(piece.width, piece.height), trimmer.narrowest_strip
    if thinnest < narrowest:
        return Problem(
            "strip-too-narrow",
            (piece.key,),
            f"piece {piece.key} is {thinnest} wide and the trimmer holds no less than {narrowest}",
            {"width": thinnest, "narrowest_strip": narrowest},
            {"width": narrowest},
        )
    longest = trimmer.longest_cut or 0
    needed = max(min(sheet.width, sheet.height), thinnest)
    return Problem(
        "cut-too-long",
        (piece.key,),
        f"piece {piece.key} needs a cut longer than the {longest} of the trimmer",
        {"longest_cut": longest, "sheet_shorter_side": needed},
        {"longest_cut": max(sheet.width, sheet.height)},
    )


def clash(piece: Rectangle, inside: Sequence[Rectangle], sheets: Sequence[Sheet]) -> Problem | None:
    """The problem of a piece whose only place is taken by another whose only place that is."""
    for sheet in sheets:
        mine = only_place(piece, sheet)
        for other in inside:
            theirs = None if other.pin is None else only_place(other, sheet)
            width, height = overlap(mine, theirs)
            if width:
                return Problem(
                    "pins-overlap",
                    (piece.key,),
                    f"pieces {piece.key} and {other.key} are pinned over one another on"
                    f" {sheet.name}",
                    {"overlap_width": width, "overlap_height": height},
                    {"sheet": sheet.name, "more_sheets": 1},
                    (other.key,),
                )
    return None


def too_few(
    left: Sequence[Rectangle], sheets: Sequence[Sheet], name: str, more: int, is_certain: bool
) -> Problem:
    """The problem of pieces for which so many more sheets of a name would do."""
    verb = "cannot come from" if is_certain else "found no room on"
    return Problem(
        "not-enough-sheets" if is_certain else "no-room-found",
        tuple(piece.key for piece in left),
        f"{len(left)} pieces {verb} the sheets there are",
        {
            "pieces": len(left),
            "area": sum(piece.width * piece.height for piece in left),
            "sheets": sum(sheet.count or 0 for sheet in sheets),
        },
        {"sheet": name, "more_sheets": more},
    )

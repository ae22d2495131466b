"""Demands that no plan can meet, found before planning.

In: pieces, sheets and trimmer in whole numbers, and the scale back to the caller's unit. Out:
the kinds of sheet each possible piece can come from, and a problem for each impossible one.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from builder.sheets.model import Length, Problem, Rectangle, Sheet, Trimmer
from builder.sheets.pins import allowed, fits, sizes, usable
from builder.sheets.scaling import Scale


@dataclass(frozen=True)
class Demands:
    """The pieces that can be cut, the kinds of sheet for each, and what is wrong with others."""

    pieces: tuple[Rectangle, ...]
    kinds: tuple[frozenset[int], ...]
    problems: tuple[Problem, ...]


def demands(
    pieces: Sequence[Rectangle], sheets: Sequence[Sheet], trimmer: Trimmer, scale: Scale
) -> Demands:
    """Sort the possible pieces from the impossible ones."""
    good: list[Rectangle] = []
    kinds: list[frozenset[int]] = []
    problems: list[Problem] = []
    for piece in pieces:
        fitting = [j for j, sheet in enumerate(sheets) if fits(piece, sheet)]
        cuttable = frozenset(j for j in fitting if _cuttable(piece, sheets[j], trimmer))
        if cuttable:
            good.append(piece)
            kinds.append(cuttable)
        elif fitting:
            problems.append(_trimmer_problem(piece, sheets[fitting[0]], trimmer, scale))
        else:
            problems.append(_size_problem(piece, sheets, scale))
    return Demands(tuple(good), tuple(kinds), tuple(problems))


def _cuttable(piece: Rectangle, sheet: Sheet, trimmer: Trimmer) -> bool:
    return any(
        not allowed(piece, sheet, w, h).empty and _can_cut(sheet, w, h, trimmer)
        for w, h, _ in sizes(piece)
    )


def _can_cut(sheet: Sheet, width: int, height: int, trimmer: Trimmer) -> bool:
    right, above = sheet.width - width, sheet.height - height
    narrowest = trimmer.narrowest_strip
    if (right and width < narrowest) or (above and height < narrowest):
        return False
    longest = trimmer.longest_cut
    if longest is None:
        return True
    by_vertical = (not right or sheet.height <= longest) and (not above or width <= longest)
    by_horizontal = (not above or sheet.width <= longest) and (not right or height <= longest)
    return by_vertical or by_horizontal


def _size_problem(piece: Rectangle, sheets: Sequence[Sheet], scale: Scale) -> Problem:
    """The piece lies on no sheet: it is too large, or its pin leaves it no place."""
    named = [sheet for sheet in sheets if piece.sheet in (None, sheet.name)]
    if not named:
        return Problem(
            "sheet-unknown",
            (piece.key,),
            f"piece {piece.key} is to come from {piece.sheet}, and there is no such sheet",
            {},
            {"sheet": sheets[0].name},
        )
    largest = max(named, key=lambda sheet: usable(sheet)[2] * usable(sheet)[3])
    _, _, room_width, room_height = usable(largest)
    numbers: dict[str, Length] = {
        "width": scale.down(int(piece.width)),
        "height": scale.down(int(piece.height)),
        "sheet_width": scale.down(room_width),
        "sheet_height": scale.down(room_height),
    }
    lying = [(w, h) for w, h, _ in sizes(piece) if w <= room_width and h <= room_height]
    if lying:
        place = allowed(piece, largest, *lying[0])
        numbers["over"] = scale.down(max(place.x_low - place.x_high, place.y_low - place.y_high, 0))
        message = f"piece {piece.key} has no place on {largest.name} where it is pinned"
        return Problem(
            "pin-outside-sheet", (piece.key,), message, numbers, {"move_by": numbers["over"]}
        )
    remedy: dict[str, Length | str] = {
        "width": min(numbers["width"], numbers["sheet_width"]),
        "height": min(numbers["height"], numbers["sheet_height"]),
    }
    if piece.height <= room_width and piece.width <= room_height:
        remedy = {"turns": "allow the piece to be turned"}
    message = (
        f"piece {piece.key} is {numbers['width']} x {numbers['height']} and the usable part of"
        f" {largest.name} is {numbers['sheet_width']} x {numbers['sheet_height']}"
    )
    return Problem("piece-larger-than-sheet", (piece.key,), message, numbers, remedy)


def _trimmer_problem(piece: Rectangle, sheet: Sheet, trimmer: Trimmer, scale: Scale) -> Problem:
    """The piece lies on the sheet and the trimmer cannot cut it free."""
    thinnest = min(int(piece.width), int(piece.height))
    narrowest = int(trimmer.narrowest_strip)
    if thinnest < narrowest:
        return Problem(
            "strip-too-narrow",
            (piece.key,),
            f"piece {piece.key} is {scale.down(thinnest)} wide and the trimmer holds no less"
            f" than {scale.down(narrowest)}",
            {"width": scale.down(thinnest), "narrowest_strip": scale.down(narrowest)},
            {"width": scale.down(narrowest)},
        )
    longest = int(trimmer.longest_cut or 0)
    needed = min(int(sheet.width), int(sheet.height))
    needed = max(needed, min(int(piece.width), int(piece.height)))
    return Problem(
        "cut-too-long",
        (piece.key,),
        f"piece {piece.key} needs a cut longer than the {scale.down(longest)} of the trimmer",
        {"longest_cut": scale.down(longest), "sheet_shorter_side": scale.down(needed)},
        {"longest_cut": scale.down(max(int(sheet.width), int(sheet.height)))},
    )

"""Where pinned pieces go on one sheet, and the free rectangles that edge-to-edge cuts leave.

In: a sheet and its pinned pieces (whole numbers). Out: a ``Frame``: the pinned pieces placed
and the rectangles left for other pieces, or None when no division was found.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from random import Random
from typing import assert_never

from gatherfold.geometry import Axis, is_vertical
from gatherfold.sheets.model import Length, Placed, Rectangle, Sheet

#: The lower-left corner, width and height of what lies on a sheet or is free there.
Region = tuple[Length, Length, Length, Length]
Size = tuple[Length, Length]


@dataclass(frozen=True)
class Frame:
    """One copy of a sheet: its kind, what is placed for good, and where there is room."""

    kind: int
    placed: tuple[Placed, ...]
    regions: tuple[Region, ...]


@dataclass(frozen=True)
class Range:
    """A size that a piece is laid in, and where its lower-left corner may then be."""

    width: Length
    height: Length
    x_low: Length
    x_high: Length
    y_low: Length
    y_high: Length

    @property
    def lowest(self) -> Region:
        """The piece in its lower-left place."""
        return self.x_low, self.y_low, self.width, self.height

    @property
    def fixed(self) -> bool:
        """Whether only one place is left."""
        return self.x_low == self.x_high and self.y_low == self.y_high

    @property
    def empty(self) -> bool:
        """Whether no place is left."""
        return self.x_low > self.x_high or self.y_low > self.y_high


def usable(sheet: Sheet) -> Region:
    """The sheet without its margins: (x, y, width, height)."""
    left, right, bottom, top = sheet.margins
    return left, bottom, sheet.width - left - right, sheet.height - bottom - top


def sizes(piece: Rectangle) -> list[Size]:
    """The widths and heights a piece may be laid in, as it is written first."""
    upright, turned = (piece.width, piece.height), (piece.height, piece.width)
    return [upright, turned] if piece.turns and turned != upright else [upright]


def lay(piece: Rectangle, spot: Region) -> Placed:
    """The piece where it lies."""
    turned = spot[2:] != (piece.width, piece.height)
    return Placed(piece.key, *spot, turned)


def allowed(piece: Rectangle, sheet: Sheet, width: Length, height: Length) -> Range:
    """Every place for a piece laid in a size: an empty range when there is none."""
    x, y, w, h = usable(sheet)
    x_low, x_high, y_low, y_high = x, x + w - width, y, y + h - height
    pin = piece.pin
    if pin is None:
        return Range(width, height, x_low, x_high, y_low, y_high)
    match pin.edge:
        case "left":
            x_high = min(x_high, x_low)
        case "right":
            x_low = max(x_low, x_high)
        case "bottom":
            y_high = min(y_high, y_low)
        case "top":
            y_low = max(y_low, y_high)
        case None:
            pass
        case _:
            assert_never(pin.edge)
    if pin.region is not None:
        x0, y0, x1, y1 = pin.region
        x_low, x_high = max(x_low, x0), min(x_high, x1 - width)
        y_low, y_high = max(y_low, y0), min(y_high, y1 - height)
    if pin.x is not None:
        x_low, x_high = max(x_low, pin.x), min(x_high, pin.x)
    if pin.y is not None:
        y_low, y_high = max(y_low, pin.y), min(y_high, pin.y)
    return Range(width, height, x_low, x_high, y_low, y_high)


def places(piece: Rectangle, sheet: Sheet) -> list[Range]:
    """Where a piece may lie on an empty sheet, in each size that it may be laid in there."""
    found = [allowed(piece, sheet, w, h) for w, h in sizes(piece)]
    return [place for place in found if not place.empty]


def room_of(sheet: Sheet) -> tuple[int, int]:
    """Width and height of the usable part of a sheet in whole numbers."""
    _, _, width, height = usable(sheet)
    return int(width), int(height)


def lying(
    piece: Rectangle, kinds: Iterable[int], sheets: Sequence[Sheet]
) -> tuple[tuple[int, int], ...]:
    """The sizes in whole numbers that fit some sheet the piece may come from."""
    rooms = [room_of(sheets[j]) for j in kinds]
    whole = [(int(w), int(h)) for w, h in sizes(piece)]
    return tuple((w, h) for w, h in whole if any(w <= room[0] and h <= room[1] for room in rooms))


def fits(piece: Rectangle, sheet: Sheet) -> bool:
    """Whether a piece has a place on an empty sheet (the trimmer apart)."""
    if piece.sheet is not None and piece.sheet != sheet.name:
        return False
    return bool(places(piece, sheet))


def only_place(piece: Rectangle, sheet: Sheet) -> Region | None:
    """The rectangle a piece must take on a sheet, or None when it has a choice or no place."""
    found = places(piece, sheet)
    return found[0].lowest if len(found) == 1 and found[0].fixed else None


def overlap(one: Region | None, other: Region | None) -> Size:
    """Width and height that two rectangles share; (0, 0) when they lie apart or one is none."""
    if one is None or other is None:
        return 0, 0
    width = min(one[0] + one[2], other[0] + other[2]) - max(one[0], other[0])
    height = min(one[1] + one[3], other[1] + other[3]) - max(one[1], other[1])
    return (width, height) if width > 0 and height > 0 else (0, 0)


def clear_lines(
    region: Region, spots: Sequence[Region], longest: Length | None
) -> list[tuple[Axis, Length]]:
    """The cuts across a region, no longer than the trimmer's longest, along the edges of spots that
    go through no spot."""
    x, y, width, height = region
    lines: list[tuple[Axis, Length]] = []
    if longest is None or height <= longest:
        spans = [(spot[0], spot[0] + spot[2]) for spot in spots]
        lines += [("vertical", at) for at in _clear(spans, x, x + width)]
    if longest is None or width <= longest:
        spans = [(spot[1], spot[1] + spot[3]) for spot in spots]
        lines += [("horizontal", at) for at in _clear(spans, y, y + height)]
    return lines


def _clear(spans: Sequence[tuple[Length, Length]], start: Length, end: Length) -> list[Length]:
    """The edges of spans, strictly between start and end, that lie inside no span."""
    lines: set[Length] = set()
    reach = start
    for low, high in sorted(spans):
        if low >= reach:
            lines.add(reach)
            lines.add(low)
        if high > reach:
            reach = high
    lines.add(reach)
    return sorted(line for line in lines if start < line < end)


def halves(region: Region, axis: Axis, at: Length) -> tuple[Region, Region]:
    """What lies left of a cut across a region and right of it, or below and above."""
    x, y, width, height = region
    if is_vertical(axis):
        return (x, y, at - x, height), (at, y, x + width - at, height)
    return (x, y, width, at - y), (x, at, width, y + height - at)


def frame(
    sheet: Sheet, kind: int, pinned: Sequence[Rectangle], longest: int | None, chance: Random
) -> Frame | None:
    """One way to place the pinned pieces of a sheet; other chances give other ways."""
    fixed: list[tuple[Rectangle, Region]] = []
    loose: list[Rectangle] = []
    for piece in pinned:
        found = places(piece, sheet)
        if found and all(place.fixed for place in found):
            fixed.append((piece, chance.choice(found).lowest))
        else:
            loose.append(piece)
    regions = _separate(usable(sheet), [spot for _, spot in fixed], longest, chance)
    if regions is None:
        return None
    placed = [lay(piece, spot) for piece, spot in fixed]
    loose.sort(key=lambda p: p.width * p.height * (1 - 0.5 * chance.random()), reverse=True)
    for piece in loose:
        best = _best_spot(piece, sheet, regions, longest, chance)
        if best is None:
            return None
        spot, index, rest = best
        regions[index : index + 1] = rest
        placed.append(lay(piece, spot))
    return Frame(kind, tuple(placed), tuple(regions))


def _separate(
    region: Region, spots: Sequence[Region], longest: int | None, chance: Random
) -> list[Region] | None:
    """The free rectangles left when the spots are cut out of a region; None if impossible."""
    if not spots:
        return [region]
    if len(spots) == 1 and spots[0] == region:
        return []
    lines = clear_lines(region, spots, longest)
    if not lines:
        return None
    # Any clear line keeps the rest separable, so the choice is free: a random one.
    axis, at = chance.choice(lines)
    low, high = halves(region, axis, at)
    along = 0 if is_vertical(axis) else 1
    below = _separate(low, [s for s in spots if s[along] < at], longest, chance)
    above = _separate(high, [s for s in spots if s[along] >= at], longest, chance)
    return None if below is None or above is None else below + above


def _best_spot(
    piece: Rectangle,
    sheet: Sheet,
    regions: Sequence[Region],
    longest: int | None,
    chance: Random,
) -> tuple[Region, int, list[Region]] | None:
    """The spot that leaves the largest rectangles, with some chance of another."""
    best: tuple[Region, int, list[Region]] | None = None
    best_score = -1.0
    for index, region in enumerate(regions):
        x, y, width, height = region
        for place in places(piece, sheet):
            w, h = place.width, place.height
            xs = _corners(place.x_low, place.x_high, x, x + width - w)
            ys = _corners(place.y_low, place.y_high, y, y + height - h)
            for at_x in xs:
                for at_y in ys:
                    spot = (at_x, at_y, w, h)
                    rest = _separate(region, [spot], longest, chance)
                    if rest is None:
                        continue
                    score = sum((r[2] * r[3]) ** 2 for r in rest) - (width * height) ** 2
                    weighed = (score + 1e30) * (0.9 + 0.1 * chance.random())
                    if weighed > best_score:
                        best, best_score = (spot, index, rest), weighed
    return best


def _corners(low: Length, high: Length, region_low: Length, region_high: Length) -> list[Length]:
    """The lowest and highest place within both ranges."""
    low, high = max(low, region_low), min(high, region_high)
    return [] if low > high else [low] if low == high else [low, high]

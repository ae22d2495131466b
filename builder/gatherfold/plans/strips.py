"""How a strip is divided, and where its pieces lie on the sheet that it is cut from.

In: a resolved strip.  Out: a :class:`SheetPlan` of its own, or its pieces on its sheet.
"""

from collections.abc import Iterator
from fractions import Fraction

from gatherfold.geometry import Axis, EdgeName
from gatherfold.model import SideName
from gatherfold.resolve import ResolvedDesign, ResolvedStrip
from gatherfold.sheets import Cut, Offcut, Placed, Sheet, SheetPlan, moves, name_of


def strip_plan(strip: ResolvedStrip) -> SheetPlan:
    """How a strip is divided: a small sheet, cut from its left or its bottom edge."""
    axis: Axis = "vertical" if strip.is_across else "horizontal"
    edge: EdgeName = "left" if strip.is_across else "bottom"
    sizes = [part.piece.width if strip.is_across else part.piece.height for part in strip.parts]
    if not strip.allowance:
        sizes.pop()
    cuts: list[Cut] = []
    final: dict[int, str] = {}
    rest = 0
    for number, (size, part) in enumerate(zip(sizes, strip.parts, strict=False), start=1):
        parts = (2 * number - 1, 2 * number)
        cuts.append(Cut(number, rest, axis, size, edge, parts))
        final[parts[0]], rest = part.key, parts[1]
    offcuts: tuple[Offcut, ...] = ()
    if strip.allowance:
        over = strip.allowance
        box = (strip.width - over, Fraction(0), over, strip.height)
        if not strip.is_across:
            box = (Fraction(0), strip.height - over, strip.width, over)
        offcuts = (Offcut(rest, *box),)
    else:
        final[rest] = strip.parts[-1].key
    placed = tuple(
        Placed(part.key, part.x, part.y, part.piece.width, part.piece.height)
        for part in strip.parts
    )
    sheet = Sheet(strip.key, strip.width, strip.height)
    return SheetPlan(sheet, placed, tuple(cuts), final, offcuts, moves(sizes))


def placed_pieces(
    resolved: ResolvedDesign, plan: SheetPlan, facing: SideName
) -> tuple[Placed, ...]:
    """What lies on a sheet that faces the maker with that side, every strip as its pieces."""
    found: list[Placed] = []
    for placed in plan.placed:
        strip = resolved.strips.get(name_of(placed.key))
        found.extend([placed] if strip is None else _in_strip(strip, placed, strip.side != facing))
    return tuple(found)


def _in_strip(strip: ResolvedStrip, placed: Placed, mirrored: bool) -> Iterator[Placed]:
    """The strip's pieces where they lie on the sheet.

    A sideways print has its top at the sheet's right, so a turned strip is turned clockwise; from
    behind it is seen in the mirror.
    """
    is_turned = (placed.width, placed.height) != (strip.width, strip.height)
    _, mark, copy = placed.key.partition("#")
    for part in strip.parts:
        x, y, width, height = part.x, part.y, part.piece.width, part.piece.height
        if is_turned:
            x, y, width, height = part.y, strip.width - part.x - width, height, width
        if mirrored:
            x = Fraction(placed.width) - x - width
        key = f"{part.key}{mark}{copy}"
        yield Placed(key, placed.x + x, placed.y + y, width, height, placed.turned)

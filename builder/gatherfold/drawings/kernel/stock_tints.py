"""The fills that stand for papers and cards: a tint and a pattern for each side of each stock.

In: a resolved design and what is drawn over its papers.  Out: :class:`StockTints`; and for the key
to the pictures swatches, scenes without any lettering, each filled as a side of a stock is in
every picture.  A stock's own colour is mixed with white in linear light until lettering and lines
keep their contrast on it; a stock that states none has one of the standard tints.  Prints are told
apart by patterns, which survive a black and white print: each side of a stock has its own one, in
every picture the same.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import cycle

from gatherfold.drawings.kernel.canvas import MARGIN, Canvas
from gatherfold.drawings.kernel.hatching import PRINTS
from gatherfold.drawings.kernel.plane import Rect
from gatherfold.drawings.kernel.scene import Scene
from gatherfold.drawings.kernel.styles import (
    BLACK,
    TINTS,
    WHITE,
    Fill,
    Line,
    Tint,
    contrast,
    linear_channels,
)
from gatherfold.drawings.kernel.wording import words_of
from gatherfold.model import SIDES, SideName, Stock, is_front, is_sold_by_length, side_seen
from gatherfold.resolve import REMEMBERED, ResolvedDesign, ResolvedPiece, ResolvedStock

#: A colour, and the contrast that it must keep on what it is drawn on.
Mark = tuple[str, float]

#: WCAG 2.2: 4.5:1 for lettering (1.4.3), 3:1 for graphics (1.4.11).
_LETTERING: Mark = (BLACK, 4.5)
_LEAST_OF_A_LINE = 3.0
#: In a picture of the finished work all lines are black but those of the patterns.
_LINES_OF_PICTURES = (
    Line.VISIBLE, Line.FAINT, Line.SEEN_VALLEY, Line.SEEN_MOUNTAIN, Line.LEADER, Line.PATTERN,
)  # fmt: skip
#: Two plain stocks differ at least so much in grey where white leaves the room.
_APART = 1.2
_STEPS = 200
#: How far the faces that stand, by the way they look, are lighter than those that lie.
_STANDING = {0: 0.45, 1: 0.25}
_STANDING_UNCOLOURED = {0: Fill.SHADOW_6, 1: Fill.SHADOW_4}
#: The axis that a lying face looks along.
_LYING = 2

SideKey = tuple[str, SideName]


@dataclass(frozen=True)
class StockTints:
    """Tints and patterns by stock and side (``front``, ``back``)."""

    fills: Mapping[SideKey, Fill | Tint]
    patterns: Mapping[SideKey, str]

    def fill(self, piece: ResolvedPiece, shows_front: bool, axis: int = _LYING) -> Fill | Tint:
        """The fill of a face that looks along an axis (0 to the side, 1 to the front, 2 up)."""
        fill = self.fills[side_shown(piece, shows_front)]
        if axis == _LYING:
            return fill
        if isinstance(fill, Fill):
            return _STANDING_UNCOLOURED[axis]
        return Tint(mixed_with_white(fill.colour, _STANDING[axis]))

    def pattern(self, piece: ResolvedPiece, shows_front: bool) -> str | None:
        """The name in ``PRINTS`` of the pattern of the side that shows; none for plain stock."""
        return self.patterns.get(side_shown(piece, shows_front))


def side_shown(piece: ResolvedPiece, shows_front: bool) -> SideKey:
    """The stock of a piece, and the side of it that shows."""
    return piece.stock.key, side_seen(is_front(piece.source.side) == shows_front)


def picture_tints(resolved: ResolvedDesign) -> StockTints:
    """For pictures of the finished work: as strong as black lines and patterns allow."""
    return _tints(resolved, _LINES_OF_PICTURES)


@lru_cache(maxsize=REMEMBERED)
def drawing_tints(resolved: ResolvedDesign) -> StockTints:
    """For drawings that show folds, glue and ways: paler, so that every line stands out."""
    return _tints(resolved, tuple(Line))


def _tints(resolved: ResolvedDesign, lines: Sequence[Line]) -> StockTints:
    stocks = [stock.source for stock in resolved.stocks.values()]
    marks = (_LETTERING, *((line.look.colour, _LEAST_OF_A_LINE) for line in lines))
    own = {key: lightened(colour, marks) for key, colour in _stated(stocks)}
    plain: list[SideKey] = [(stock.key, "front") for stock in stocks if is_plain_card(stock)]
    told = dict(told_apart(tuple((key, own[key]) for key in plain if key in own)))
    own |= told | {(key, "back"): colour for (key, _), colour in told.items()}
    fills: dict[SideKey, Fill | Tint] = {}
    for index, stock in enumerate(stocks):
        for side in SIDES:
            colour = own.get((stock.key, side))
            standard = TINTS[index % len(TINTS)]
            fills[stock.key, side] = standard if colour is None else Tint(colour)
    return StockTints(fills, side_patterns(resolved))


def is_plain_card(stock: Stock) -> bool:
    """Whether only its tint can tell a stock from others: it has no print, and is no ribbon."""
    return not stock.two_sided and not is_sold_by_length(stock.material)


def _stated(stocks: Sequence[Stock]) -> Iterator[tuple[SideKey, str]]:
    for stock in stocks:
        for side in SIDES:
            colour = stock.side(side).colour or stock.colour
            if colour:
                yield (stock.key, side), colour


def side_patterns(resolved: ResolvedDesign) -> dict[SideKey, str]:
    """The name in ``PRINTS`` of each printed side's pattern; they repeat when there are more."""
    printed = [key for key, stock in resolved.stocks.items() if stock.source.two_sided]
    sides = [(key, side) for key in printed for side in SIDES]
    return dict(zip(sides, cycle(PRINTS), strict=False))


def swatch_scene(
    resolved: ResolvedDesign, stock: str, side: SideName, max_width: float, max_height: float
) -> Scene:
    """One side of a stock as a rectangle within ``max_width`` x ``max_height`` mm."""
    canvas = Canvas(max_width, max_height)
    tints = picture_tints(resolved)
    ring = Rect(MARGIN, MARGIN, max_width - MARGIN, max_height - MARGIN).ring
    canvas.area([ring], tints.fills[stock, side])
    pattern = tints.patterns.get((stock, side))
    if pattern is not None:
        canvas.hatch(PRINTS[pattern], Line.PATTERN, [ring])
    canvas.outline(ring, Line.FAINT, stock)
    title = resolved.stocks[stock].source.side(side).title
    words = words_of(resolved).phrase(
        "draw_swatch", name=title, pattern=pattern_words(resolved, stock, side)
    )
    return canvas.scene(swatch_key(stock, side), title, words)


def swatch_key(stock: str, side: SideName) -> str:
    return f"stock-{stock}-{side}"


def sides_shown(stock: ResolvedStock) -> tuple[SideName, ...]:
    """The sides that look different: both of a printed paper, one of a plain stock."""
    return SIDES if stock.source.two_sided else SIDES[:1]


def pattern_words(resolved: ResolvedDesign, stock: str, side: SideName) -> str:
    """What the pattern of a side looks like; plain stock has none."""
    name = side_patterns(resolved).get((stock, side), "none")
    return words_of(resolved).phrase(f"pattern_{name}")


# Colours, written #rrggbb: sRGB as CSS Color 4 has it


@cache
def lightened(colour: str, marks: tuple[Mark, ...]) -> str:
    """The colour with as little white as gives every mark its contrast, in colour and in grey."""
    shades = (mixed_with_white(colour, step / _STEPS) for step in range(_STEPS + 1))
    return next(
        shade
        for shade in shades
        if all(min(contrast(mark, shade), _in_grey(mark, shade)) >= least for mark, least in marks)
    )


@cache
def told_apart(colours: tuple[tuple[SideKey, str], ...]) -> tuple[tuple[SideKey, str], ...]:
    """The darkest first: each colour lightened further, if need be, until in grey it differs from
    the one before; of many colours, so much as the way to white leaves to each."""
    found: list[tuple[SideKey, str]] = []
    below: str | None = None
    ordered = sorted(colours, key=lambda each: contrast(grey(each[1]), BLACK))
    apart = _APART
    if len(ordered) > 1:
        apart = min(_APART, _in_grey(ordered[0][1], WHITE) ** (1 / (len(ordered) - 1)))
    for key, colour in ordered:
        shades = [mixed_with_white(colour, step / _STEPS) for step in range(_STEPS + 1)]
        if below is not None:
            darker = below
            shades = [s for s in shades if _in_grey(darker, s) >= apart] or shades[-1:]
        below = shades[0]
        found.append((key, below))
    return tuple(found)


def mixed_with_white(colour: str, share: float) -> str:
    """The colour with this share of white, mixed as light is: in linear light."""
    mixed = (_encoded(each + share * (1.0 - each)) for each in linear_channels(colour))
    return "#" + "".join(f"{round(255 * channel):02X}" for channel in mixed)


def grey(colour: str) -> str:
    """What a black and white print makes of a colour: the weights of ITU-R BT.601, from memory."""
    red, green, blue = (int(colour[i : i + 2], 16) for i in (1, 3, 5))
    level = round(0.299 * red + 0.587 * green + 0.114 * blue)
    return f"#{level:02X}{level:02X}{level:02X}"


def _in_grey(first: str, second: str) -> float:
    return contrast(grey(first), grey(second))


def _encoded(channel: float) -> float:
    if channel <= 0.0031308:
        return 12.92 * channel
    return float(1.055 * channel ** (1 / 2.4) - 0.055)

"""Swatches of papers and cards: what the fills of the pictures stand for.

In: a resolved design, a stock and one of its sides, the room on paper.  Out: a scene without any
lettering, with the tint and the pattern that this side has in every picture.
"""

from __future__ import annotations

from builder.choices import SIDES, SideName
from builder.drawings.canvas import MARGIN, Canvas
from builder.drawings.hatching import PRINTS
from builder.drawings.plane import Rect
from builder.drawings.scene import Scene
from builder.drawings.stock_tints import picture_tints, side_patterns
from builder.drawings.styles import Line
from builder.drawings.wording import words_of
from builder.resolve.resolved import ResolvedDesign, ResolvedStock


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

"""The joints of a template in tiles: how the tiles lie, and the lines and crosses to join them by.

In: the tiling of a piece, a tile and the outline on it.  Out: thin lines along the middle of each
overlap, and two crosses on each that lie on the same places of the piece on both tiles.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from builder.drawings.canvas import Canvas
from builder.drawings.dimensions import CROSS_REACH, cross
from builder.drawings.plane import Place, Rect, bounding
from builder.drawings.styles import Line

OVERLAP = Fraction(10)
#: How far from the piece's edges a cross stays where it can.
_OFF_EDGE = 12.0


@dataclass(frozen=True)
class Tiling:
    """How a piece lies on pages; ``turned`` by a quarter turn, tiles in rows from the top."""

    turned: bool
    columns: int
    rows: int
    window_width: Fraction
    window_height: Fraction

    @property
    def count(self) -> int:
        return self.columns * self.rows


def register(
    canvas: Canvas, tiling: Tiling, here: tuple[int, int], window: Rect, outline: Sequence[Place]
) -> None:
    """The lines and crosses of one tile.

    The same line of the piece runs there on both tiles, and the crosses lie on the same places of
    it, so that tiles whose crosses meet are joined to size and square.
    """
    (row, column), half = here, float(OVERLAP) / 2
    xs = [window.left + half] if column > 0 else []
    xs += [window.right - half] if column < tiling.columns - 1 else []
    ys = [window.top - half] if row > 0 else []
    ys += [window.bottom + half] if row < tiling.rows - 1 else []
    inner = window.grown(-half)
    limits = [((x, window.bottom), (x, window.top)) for x in xs]
    limits += [((window.left, y), (window.right, y)) for y in ys]
    canvas.strokes(limits, Line.WASTE, "overlap")
    # The crosses come last: the line would hide one of their two strokes.
    upright = [(x, y) for x in xs for y in _on_joint(outline, x, inner.bottom, inner.top)]
    mirrored = [(y, x) for x, y in outline]
    level = [(x, y) for y in ys for x in _on_joint(mirrored, y, inner.left, inner.right)]
    for place in dict.fromkeys((*upright, *level)):
        cross(canvas, place, CROSS_REACH, "registration")
    for limit in limits:
        canvas.keep_free(bounding(limit).grown(0.1))


def _on_joint(outline: Sequence[Place], at: float, low: float, high: float) -> tuple[float, float]:
    """Where two crosses stand on an upright joint between two heights: within the piece, off its
    edges; near the ends of the joint where there is hardly any of the piece."""
    heights = _crossed(outline, at)
    spans = [
        (max(start, low), min(end, high))
        for start, end in zip(heights[::2], heights[1::2], strict=True)
    ]
    start, end = max(spans, key=lambda span: span[1] - span[0], default=(low, high))
    if end - start < _LEAST_SPAN:
        start, end = low, high
    off = min(_OFF_EDGE, (end - start) / 6)
    return start + off, end - off


#: On less of the piece than this the crosses would stand too near to one another to square by.
_LEAST_SPAN = 12.0


def _crossed(ring: Sequence[Place], at: float) -> list[float]:
    """The heights at which an upright line crosses a closed ring, rising."""
    found = []
    for (ax, ay), (bx, by) in zip(ring, (*ring[1:], ring[0]), strict=True):
        if (ax < at) != (bx < at):
            found.append(ay + (at - ax) / (bx - ax) * (by - ay))
    return sorted(found)

"""The check itself finds what it should find."""

from __future__ import annotations

import pytest

from gatherfold.drawings.kernel.scene import Area, Item, Scene, Strokes, Text
from gatherfold.drawings.kernel.styles import Fill, Line
from gatherfold.drawings.scene_check import overlaps

WORD = Text("front", 20, 20, 8)


BOXED = Text("front", 20, 20, 8, boxed=True)
SQUARE = ((5, 5), (35, 5), (35, 35), (5, 35))


def leader(start: tuple[float, float], end: tuple[float, float]) -> Strokes:
    return Strokes(((start, end),), Line.LEADER)


#: A label with its leader, which ends in a dot at (9, 20).
DOT = tuple((9 + 0.45 * dx, 20 + 0.45 * dy) for dx, dy in ((1, 0), (0, 1), (-1, 0), (0, -1)))
CIRCLE = tuple((11 + 1.5 * x, 20 + 1.5 * y) for x, y in ((1, 1), (-1, 1), (-1, -1), (1, -1)))
POINTED = (Text("front", 9, 5, 8), leader((9, 8), (9, 20)), Area((DOT,), Fill.INK))


def scene(*items: Item) -> Scene:
    return Scene("test", "Test", 40, 40, items, "")


@pytest.mark.parametrize(
    ("items", "expected"),
    [
        ([WORD], ""),
        ([WORD, Text("back", 21, 20.5, 8)], "overlaps"),
        ([Text("front", 1, 20, 8)], "clipped"),
        ([Text("front", 20, 20, 6.5)], "below 7.0 pt"),
        ([Strokes((((1, 21), (39, 21)),), Line.VISIBLE), WORD], "visible edge"),
        ([Strokes((((20, 1), (20, 39)),), Line.GLUE), WORD], "glue"),
        ([Strokes((((20, 1), (20, 39)),), Line.GLUE), Text("front", 20, 20, 8, boxed=True)], ""),
        (
            [
                Strokes((((1, 21), (39, 21)),), Line.VISIBLE),
                Area((((5, 5), (35, 5), (35, 35), (5, 35)),), Fill.PAPER),
                WORD,
            ],
            "",
        ),
        ([Area((((19, 20), (21, 20), (20, 22)),), Fill.INK), WORD], "arrowhead"),
        (
            [
                Strokes((((0, 0), (10, 10)),), Line.LEADER),
                Strokes((((0, 10), (10, 0)),), Line.LEADER),
            ],
            "leaders cross",
        ),
        ([WORD, Area((SQUARE,), Fill.PAPER)], "is covered"),
        ([Area((((20, 5), (35, 5), (35, 35), (20, 35)),), Fill.WASTE), WORD], "edge of a fill"),
        # A white box blots out what it touches, if only by its margin.
        ([Strokes((((1, 22.15), (39, 22.15)),), Line.VISIBLE), BOXED], "visible edge"),
        # A line counts with its width: its middle is clear of the letters, its ink is not.
        ([Strokes((((1, 22.2), (39, 22.2)),), Line.VISIBLE), WORD], "visible edge"),
        ([Strokes((((1, 22.6), (39, 22.6)),), Line.VISIBLE), WORD], ""),
        # The line round an area to keep free is an edge, its hatching a texture.
        (
            [Strokes(((*SQUARE, SQUARE[0]),), Line.KEEP_OFF), Text("front", 5, 20, 8, boxed=True)],
            "keep off",
        ),
        ([Strokes((((0, 5), (40.5, 5)),), Line.VISIBLE)], "clipped"),
        ([leader((0, 0), (10, 10)), leader((5, 5), (0, 10))], "leaders cross"),
        ([leader((1, 1), (10, 1)), leader((1, 2), (10, 2))], ""),
        ([leader((0, 0), (10, 10)), Area((((4, 4), (6, 4), (5, 6)),), Fill.INK)], "arrowhead"),
        # A leader of one label that ends beside another one.
        ([*POINTED, Text("back", 10.4, 19.2, 8, "start")], "ends beside 'back'"),
        ([*POINTED, Text("back", 11.6, 19.2, 8, "start")], ""),
        ([*POINTED, Area((CIRCLE,), Fill.BADGE), Text("7", 11, 19.2, 8)], ""),
    ],
)
def test_overlaps(items: list[Item], expected: str) -> None:
    faults = "; ".join(overlaps(scene(*items)))
    assert (expected in faults) if expected else not faults

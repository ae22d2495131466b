"""The check itself finds what it should find."""

from __future__ import annotations

import pytest

from builder.drawings.scene import Area, Item, Scene, Strokes, Text
from builder.drawings.scene_check import overlaps
from builder.drawings.styles import Fill, Line

WORD = Text("front", 20, 20, 8)


def scene(*items: Item) -> Scene:
    return Scene("test", "Test", 40, 40, items, "")


@pytest.mark.parametrize(
    ("items", "expected"),
    [
        ([WORD], ""),
        ([WORD, Text("back", 21, 20.5, 8)], "overlaps"),
        ([Text("front", 1, 20, 8)], "clipped"),
        ([Text("front", 20, 20, 6.5)], "below 7.0 pt"),
        ([Strokes((((0, 21), (40, 21)),), Line.VISIBLE), WORD], "visible edge"),
        ([Strokes((((20, 0), (20, 40)),), Line.GLUE), WORD], "glue"),
        ([Strokes((((20, 0), (20, 40)),), Line.GLUE), Text("front", 20, 20, 8, boxed=True)], ""),
        (
            [
                Strokes((((0, 21), (40, 21)),), Line.VISIBLE),
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
    ],
)
def test_overlaps(items: list[Item], expected: str) -> None:
    faults = "; ".join(overlaps(scene(*items)))
    assert (expected in faults) if expected else not faults

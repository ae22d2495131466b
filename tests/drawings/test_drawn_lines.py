"""What is near a place by arrays is what is found by looking at one stretch after the other."""

from __future__ import annotations

from hypothesis import given, strategies as st

from gatherfold.drawings.kernel.canvas import DrawnLines
from gatherfold.drawings.kernel.plane import Place, Rect, segment_meets, segments_cross

_NUMBERS = st.integers(-80, 320).map(lambda quarters: quarters / 4)
_PLACES = st.tuples(_NUMBERS, _NUMBERS)
_ENDS = st.tuples(_PLACES, _PLACES).filter(lambda ends: ends[0] != ends[1])
#: No width is a multiple of the distances of places: what only touches may count or not.
Stretch = tuple[tuple[Place, Place], float]
_STRETCHES = st.lists(st.tuples(_ENDS, st.sampled_from((0.0, 0.23, 0.37))), max_size=30)


def drawn(stretches: list[Stretch], lines: DrawnLines | None = None) -> DrawnLines:
    lines = lines or DrawnLines()
    for ends, half in stretches:
        lines.add(ends, half)
    return lines


@given(_STRETCHES, _PLACES, st.floats(0.1, 30), st.floats(0.1, 30))
def test_finds_all_that_come_into_a_box(stretches, corner, width, height) -> None:
    left, bottom = corner[0] + 0.1, corner[1] + 0.1
    box = Rect(left, bottom, left + width, bottom + height)
    met = sum(segment_meets(*ends, box.grown(half)) for ends, half in stretches)
    assert drawn(stretches).within(box) == met


@given(_STRETCHES, _ENDS)
def test_finds_all_lines_that_a_line_crosses(stretches, line) -> None:
    crossed = sum(segments_cross(*ends, *line) for ends, half in stretches if half)
    assert drawn(stretches).across(*line) == crossed


@given(_STRETCHES, _STRETCHES, st.integers(5, 60))
def test_forgets_what_lies_under_a_fill(stretches, later, side) -> None:
    paper, fill = Rect(-50.0, -50.0, 100.0, 100.0), Rect(0.3, 0.3, side + 0.4, side + 0.4)
    lines = drawn(stretches)
    assert lines.within(paper) == len(stretches)
    lines.hide_under(fill.ring)
    drawn(later, lines)
    hidden = sum(fill.holds(start) and fill.holds(end) for (start, end), _ in stretches)
    assert lines.within(paper) == len(stretches) + len(later) - hidden

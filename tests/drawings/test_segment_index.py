"""Segments found by squares are those found by looking at all of them."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from builder.drawings.plane import Rect, segment_meets, segments_cross
from builder.drawings.segment_index import Segment, SegmentIndex

# Quarters fall on the borders of the squares too, where rounding would show.
_NUMBERS = st.integers(-80, 320).map(lambda quarters: quarters / 4) | st.floats(-20, 80)
_PLACES = st.tuples(_NUMBERS, _NUMBERS)
_SEGMENTS = st.lists(st.tuples(_PLACES, _PLACES, st.sampled_from((0.0, 0.25, 0.35))), max_size=30)


def _index(lines: list[Segment], edges: list[Segment]) -> SegmentIndex:
    index = SegmentIndex()
    index.extend(lines, is_line=True)
    index.extend(edges, is_line=False)
    return index


@given(_SEGMENTS, _SEGMENTS, _PLACES, st.floats(0.1, 30), st.floats(0.1, 30))
def test_finds_all_that_come_into_a_box(lines, edges, corner, width, height) -> None:
    box = Rect(corner[0], corner[1], corner[0] + width, corner[1] + height)
    met = sum(segment_meets(a, b, box.grown(half)) for a, b, half in (*lines, *edges))
    assert _index(lines, edges).within(box, 99) == met
    assert _index(lines, edges).within(box, 2) == min(met, 2)


@given(_SEGMENTS, _SEGMENTS, _PLACES, _PLACES)
def test_finds_all_lines_that_a_line_crosses(lines, edges, start, end) -> None:
    crossed = sum(segments_cross(a, b, start, end) for a, b, _ in lines)
    assert _index(lines, edges).across(start, end) == crossed


@given(_SEGMENTS, _SEGMENTS, _SEGMENTS, st.floats(5, 60))
def test_forgets_what_lies_under_a_fill(lines, edges, later, side) -> None:
    paper, fill = Rect(-50.0, -50.0, 100.0, 100.0), Rect(0.3, 0.3, side + 0.3, side + 0.3)
    index = _index(lines, edges)
    index.within(paper, 99)
    index.hide_under(fill.ring)
    index.extend(later, is_line=True)
    shown = [each for each in (*lines, *edges) if not (fill.holds(each[0]) and fill.holds(each[1]))]
    met = sum(segment_meets(a, b, paper.grown(half)) for a, b, half in (*shown, *later))
    assert index.within(paper, 99) == met

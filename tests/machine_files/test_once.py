"""Every line once: by hand, and on random divisions of a sheet against shapely."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from hypothesis import given, strategies as st
from shapely.geometry import LineString
from shapely.ops import unary_union

from gatherfold.geometry.outline import (
    Arc,
    Box,
    Outline,
    Point,
    Segment,
    circle,
    polygon,
    rectangle,
)
from gatherfold.machine_files.laid import each_line_once, merged
from gatherfold.machine_files.scene import Stroke


def box(left: int, bottom: int, right: int, top: int) -> Box:
    return Box(Fraction(left), Fraction(bottom), Fraction(right), Fraction(top))


def point(x: int, y: int) -> Point:
    return Point(Fraction(x), Fraction(y))


def strokes_of(outlines: Sequence[Outline]) -> tuple[Stroke, ...]:
    return each_line_once([(f"outline-{index}", each) for index, each in enumerate(outlines)])


def places(run: Stroke) -> list[tuple[int, int]]:
    ends = [run.edges[0].start, *(edge.end for edge in run.edges)]
    return [(int(p.x), int(p.y)) for p in ends]


def test_two_neighbours_of_one_height() -> None:
    first, second = strokes_of([rectangle(box(0, 0, 4, 3)), rectangle(box(4, 0, 9, 3))])
    assert first.is_closed and (first.name, len(first.edges)) == ("outline-0", 4)
    assert not second.is_closed and second.name == "outline-1-part-1"
    assert places(second) == [(4, 0), (9, 0), (9, 3), (4, 3)]


def test_a_longer_side_keeps_what_its_neighbour_has_not() -> None:
    first, second = strokes_of([rectangle(box(0, 1, 4, 3)), rectangle(box(4, 0, 9, 7))])
    assert first.is_closed
    assert places(second) == [(4, 1), (4, 0), (9, 0), (9, 7), (4, 7), (4, 3)]


def test_pieces_apart_or_at_a_corner_stay_whole() -> None:
    outlines = [box(0, 0, 4, 3), box(4, 3, 6, 6), box(20, 0, 22, 2)]
    assert all(run.is_closed for run in strokes_of([rectangle(b) for b in outlines]))


def test_a_piece_between_others_has_only_its_gaps_left() -> None:
    around = [rectangle(box(0, 0, 2, 6)), rectangle(box(5, 0, 7, 6))]
    *_, top, bottom = strokes_of([*around, rectangle(box(2, 0, 5, 6))])
    assert sorted([places(top), places(bottom)]) == [[(2, 0), (5, 0)], [(5, 6), (2, 6)]]


def test_slanted_lines_and_arcs_are_shared_too() -> None:
    low = polygon([point(0, 0), point(6, 0), point(0, 3)])
    high = polygon([point(6, 0), point(6, 3), point(0, 3)])
    whole, rest = strokes_of([low, high])
    assert whole.is_closed and places(rest) == [(6, 0), (6, 3), (0, 3)]
    hollow = Outline((Segment(point(-3, 0), point(3, 0)),
                      Arc(point(3, 0), point(-3, 0), point(0, 0), False)))  # fmt: skip
    ring, chord = strokes_of([circle(point(0, 0), Fraction(3)), hollow])
    assert ring.is_closed and places(chord) == [(-3, 0), (3, 0)]


def test_stretches_that_touch_are_one() -> None:
    pairs = [(Fraction(a), Fraction(b)) for a, b in ((5, 7), (0, 2), (2, 3), (6, 6))]
    assert merged(pairs) == ((0, 3), (5, 7))


@st.composite
def divided_sheets(draw: st.DrawFn) -> list[Box]:
    """A sheet cut across again and again, as a trimmer does; some parts are left out."""
    parts = [box(0, 0, 24, 18)]
    for _ in range(draw(st.integers(0, 14))):
        part = parts.pop(draw(st.integers(0, len(parts) - 1)))
        across = draw(st.booleans())
        room = int(part.width if across else part.height)
        if room < 2:
            parts.append(part)
            continue
        at = draw(st.integers(1, room - 1))
        if across:
            middle = part.left + at
            parts += [
                Box(part.left, part.bottom, middle, part.top),
                Box(middle, part.bottom, part.right, part.top),
            ]
        else:
            middle = part.bottom + at
            parts += [
                Box(part.left, part.bottom, part.right, middle),
                Box(part.left, middle, part.right, part.top),
            ]
    kept = draw(st.lists(st.booleans(), min_size=len(parts), max_size=len(parts)))
    return [part for part, keep in zip(parts, kept, strict=True) if keep]


@given(divided_sheets())
def test_nothing_is_missing_and_nothing_twice(parts: list[Box]) -> None:
    runs = strokes_of([rectangle(part) for part in parts])
    length = Fraction(0)
    for run in runs:
        for edge, following in zip(run.edges, run.edges[1:], strict=False):
            assert edge.end == following.start
        assert run.is_closed == (run.edges[-1].end == run.edges[0].start)
        length += sum(abs(e.end.x - e.start.x) + abs(e.end.y - e.start.y) for e in run.edges)
    cut = unary_union([LineString([(float(x), float(y)) for x, y in places(r)]) for r in runs])
    wanted = unary_union([_ring(part) for part in parts])
    assert cut.symmetric_difference(wanted).is_empty, "the same lines"
    assert float(length) == wanted.length, "each of them once"
    assert [run.name for run in runs if run.is_closed][:1] == ["outline-0"][: len(parts)]


def _ring(part: Box) -> LineString:
    left, bottom, right, top = map(float, (part.left, part.bottom, part.right, part.top))
    return LineString([(left, bottom), (right, bottom), (right, top), (left, top), (left, bottom)])

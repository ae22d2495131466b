"""The thickest pile against the sum over every cell of a fine raster, and its growth."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given, settings, strategies as st

from gatherfold.geometry.outline import Box
from gatherfold.geometry.stacks import Layer, thickest

SIDES = st.integers(0, 9)
LAYERS = st.lists(
    st.tuples(SIDES, SIDES, st.integers(1, 5), st.integers(1, 5), st.integers(1, 9)),
    min_size=1,
    max_size=14,
)


@settings(max_examples=150, deadline=None)
@given(LAYERS)
def test_the_thickest_place(rows: list[tuple[int, int, int, int, int]]) -> None:
    layers = [
        Layer(Box(*map(Fraction, (x, y, x + w, y + h))), Fraction(t, 10)) for x, y, w, h, t in rows
    ]
    raster = [
        sum(t for x, y, w, h, t in rows if x <= column < x + w and y <= row < y + h)
        for column in range(15)
        for row in range(15)
    ]
    assert thickest(layers) == Fraction(max(raster), 10)


def test_nothing_has_no_thickness() -> None:
    assert thickest([]) == 0

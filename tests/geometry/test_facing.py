"""What is painted last at a spot is what a ray from the viewer meets first.

Rectangles are the faces of cuboids that do not pass through one another; they overlap in rings
often enough to need dividing.  The rays are computed here, exactly, from the rectangles alone.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import product

from hypothesis import given, settings, strategies as st

from gatherfold.drawings.views.raised_view import FlatPart, from_far_to_near
from gatherfold.work.space import Exact

_CELL = 4
VIEWERS = ((1, -1, 1), (2, 3, 1), (-1, -2, 5))


def faces_of(low: tuple[int, ...], high: tuple[int, ...], first: int) -> list[FlatPart]:
    """The six faces of a cuboid."""
    faces = []
    for axis, end in product(range(3), (low, high)):
        corners = [
            tuple(end[axis] if k == axis else side[k] for k in range(3)) for side in (low, high)
        ]
        faces.append(
            FlatPart(first + len(faces), axis, _corner(*corners[0]), _corner(*corners[1]), 0)
        )
    return faces


@st.composite
def cuboids(draw: st.DrawFn) -> list[FlatPart]:
    """Long bars in cells of a grid, each cell used once: they cannot touch."""
    faces: list[FlatPart] = []
    taken: set[tuple[int, ...]] = set()
    for _ in range(draw(st.integers(2, 7))):
        cell = draw(st.tuples(*[st.integers(0, 2)] * 3))
        along, length = draw(st.integers(0, 2)), draw(st.integers(1, 3))
        cells = {
            tuple(c + (step if k == along else 0) for k, c in enumerate(cell))
            for step in range(length)
        }
        if cells & taken:
            continue
        taken |= cells
        low = tuple(_CELL * c + 1 for c in cell)
        high = tuple(_CELL * (c + (length if k == along else 1)) - 1 for k, c in enumerate(cell))
        faces += faces_of(low, high, len(faces))
    return faces


def met(part: FlatPart, start: tuple[Fraction, ...], ray: tuple[int, int, int]) -> Fraction | None:
    """How far towards the viewer the ray from ``start`` meets the rectangle."""
    far = (part.low[part.axis] - start[part.axis]) / ray[part.axis]
    place = [start[k] + far * ray[k] for k in range(3)]
    others = [k for k in range(3) if k != part.axis]
    return far if all(part.low[k] < place[k] < part.high[k] for k in others) else None


@given(
    cuboids(), st.sampled_from(VIEWERS), st.lists(st.integers(0, 4000), min_size=40, max_size=40)
)
@settings(max_examples=150, deadline=None)
def test_the_face_painted_last_is_the_nearest(
    faces: list[FlatPart], ray: tuple[int, int, int], numbers: list[int]
) -> None:
    painted = from_far_to_near(faces, ray)
    for first, second in zip(numbers[::2], numbers[1::2], strict=True):
        # Sevenths of a thousandth keep the ray off the corners and edges of the parts.
        start = (Fraction(7 * first + 1, 1999), Fraction(7 * second + 1, 1997), Fraction(0))
        reached = [(far, f.index) for f in faces if (far := met(f, start, ray)) is not None]
        over = [part.index for part in painted if met(part, start, ray) is not None]
        assert bool(reached) == bool(over)
        if reached:
            assert over[-1] == max(reached)[1]


def test_three_bars_that_overlap_in_a_ring_are_divided() -> None:
    """Each bar lies partly over the next: no order of whole faces would do."""
    bars = [
        FlatPart(0, 2, _corner(0, 0, 0), _corner(10, 2, 0), 0),
        FlatPart(1, 0, _corner(8, -1, -1), _corner(8, 1, 12), 0),
        FlatPart(2, 1, _corner(-6, 6, 2), _corner(20, 6, 4), 0),
    ]
    painted = from_far_to_near(bars, (1, -1, 1))
    assert {part.index for part in painted} == {0, 1, 2}
    areas = {i: sum(_area(p) for p in painted if p.index == i) for i in range(3)}
    assert areas == {bar.index: _area(bar) for bar in bars}
    assert len(painted) > 3


def test_of_coincident_faces_the_one_towards_the_viewer_comes_last() -> None:
    corners = _corner(0, 5, 0), _corner(4, 5, 4)
    parts = [FlatPart(0, 1, *corners, 7), FlatPart(1, 1, *corners, 3)]
    assert [p.index for p in from_far_to_near(parts, (1, -1, 1))] == [0, 1]
    assert [p.index for p in from_far_to_near(parts, (1, 1, 1))] == [1, 0]


def _corner(x: int, y: int, z: int) -> tuple[Fraction, Fraction, Fraction]:
    return Fraction(x), Fraction(y), Fraction(z)


def _area(part: FlatPart) -> Exact:
    first, second = (part.high[k] - part.low[k] for k in range(3) if k != part.axis)
    return first * second

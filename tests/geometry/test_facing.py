"""What is painted last at a spot is what a ray from the viewer meets first.

Rectangles are the faces of cuboids that do not pass through one another; they overlap in rings
often enough to need dividing.  The rays are computed here, exactly, from the rectangles alone.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import product

from hypothesis import given, settings
from hypothesis import strategies as st

from gatherfold.drawings.views.raised_view import Part, from_far_to_near
from gatherfold.geometry.areas import Slab

_CELL = 4
VIEWERS = ((1, -1, 1), (2, 3, 1), (-1, -2, 5))


def faces_of(low: tuple[int, ...], high: tuple[int, ...]) -> list[Slab]:
    """The six faces of a cuboid."""
    faces = []
    for axis, end in product(range(3), (low, high)):
        corners = [
            tuple(Fraction(end[axis] if k == axis else side[k]) for k in range(3))
            for side in (low, high)
        ]
        faces.append(Slab(axis, corners[0], corners[1]))
    return faces


@st.composite
def cuboids(draw: st.DrawFn) -> list[Slab]:
    """Long bars in cells of a grid, each cell used once: they cannot touch."""
    faces: list[Slab] = []
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
        faces += faces_of(low, high)
    return faces


def met(slab: Slab, start: tuple[Fraction, ...], ray: tuple[int, int, int]) -> Fraction | None:
    """How far towards the viewer the ray from ``start`` meets the rectangle."""
    far = (slab.plane - start[slab.axis]) / ray[slab.axis]
    place = [start[k] + far * ray[k] for k in range(3)]
    others = [k for k in range(3) if k != slab.axis]
    return far if all(slab.low[k] < place[k] < slab.high[k] for k in others) else None


@given(
    cuboids(), st.sampled_from(VIEWERS), st.lists(st.integers(0, 4000), min_size=40, max_size=40)
)
@settings(max_examples=150, deadline=None)
def test_the_face_painted_last_is_the_nearest(
    faces: list[Slab], ray: tuple[int, int, int], numbers: list[int]
) -> None:
    painted = from_far_to_near([Part(i, slab, 0) for i, slab in enumerate(faces)], ray)
    for first, second in zip(numbers[::2], numbers[1::2], strict=True):
        # Sevenths of a thousandth keep the ray off the corners and edges of the parts.
        start = (Fraction(7 * first + 1, 1999), Fraction(7 * second + 1, 1997), Fraction(0))
        reached = [(far, i) for i, s in enumerate(faces) if (far := met(s, start, ray)) is not None]
        over = [part.index for part in painted if met(part.slab, start, ray) is not None]
        assert bool(reached) == bool(over)
        if reached:
            assert over[-1] == max(reached)[1]


def test_three_bars_that_overlap_in_a_ring_are_divided() -> None:
    """Each bar lies partly over the next: no order of whole faces would do."""
    bars = [
        Slab(2, _corner(0, 0, 0), _corner(10, 2, 0)),
        Slab(0, _corner(8, -1, -1), _corner(8, 1, 12)),
        Slab(1, _corner(-6, 6, 2), _corner(20, 6, 4)),
    ]
    painted = from_far_to_near([Part(i, slab, 0) for i, slab in enumerate(bars)], (1, -1, 1))
    assert {part.index for part in painted} == {0, 1, 2}
    areas = {i: sum(_area(p.slab) for p in painted if p.index == i) for i in range(3)}
    assert areas == {i: _area(slab) for i, slab in enumerate(bars)}
    assert len(painted) > 3


def test_of_coincident_faces_the_one_towards_the_viewer_comes_last() -> None:
    flat = Slab(1, _corner(0, 5, 0), _corner(4, 5, 4))
    parts = [Part(0, flat, 7), Part(1, flat, 3)]
    assert [p.index for p in from_far_to_near(parts, (1, -1, 1))] == [0, 1]
    assert [p.index for p in from_far_to_near(parts, (1, 1, 1))] == [1, 0]


def _corner(x: int, y: int, z: int) -> tuple[Fraction, Fraction, Fraction]:
    return Fraction(x), Fraction(y), Fraction(z)


def _area(slab: Slab) -> Fraction:
    first, second = (slab.high[k] - slab.low[k] for k in range(3) if k != slab.axis)
    return first * second

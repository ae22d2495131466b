"""Steps that fill their pages: which stand together, and how large their drawings come out.

The expected heights are added up by hand from made-up steps; the shipped documents are asked how
full their pages are in ``test_every_document``.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import pytest
from hypothesis import given, settings, strategies as st

from gatherfold.documents.page import read_page
from gatherfold.documents.step_pages import (
    StepOnPage,
    StepWords,
    on_first_page,
    shared_pages,
    words_of_step,
)
from gatherfold.drawings.kernel.lettering import text_width
from gatherfold.drawings.kernel.scene import Scene
from gatherfold.reading.read_design import read_design_file
from gatherfold.resolve import resolve
from gatherfold.resolve.edition import IMPERIAL
from gatherfold.shipped import DESIGNS, LAYOUTS
from gatherfold.work import pierced

WIDTH, HEIGHT = 178.0, 244.0
#: Letter, with 90 mm for a photograph.
PAGE = read_page(LAYOUTS / "pattern", IMPERIAL)
#: What the part's heading and the estimates take of a page: see ``step_pages``.
FIRST, OTHERS = HEIGHT - 30.0, HEIGHT - 6.0


def step(name: str, head: float, *drawings: tuple[float, float]) -> StepOnPage:
    """A step without text whose drawings keep to their shape at any scale."""

    def expect(scale: float) -> list[tuple[float, float]]:
        scales = [min(scale, WIDTH / wide) for wide, _ in drawings]
        return [(s * wide, s * high) for s, (wide, high) in zip(scales, drawings, strict=True)]

    return StepOnPage(StepWords(head, (), 0.0), drawn_as(name, expect), expect)


def drawn_as(
    name: str, sizes_at: Callable[[float], Sequence[tuple[float, float]]]
) -> Callable[[float], list[tuple[str, Scene]]]:
    """What draws empty scenes of these sizes at a scale."""
    return lambda scale: [
        (f"{name}-{index}", Scene(name, name, *size, (), ""))
        for index, size in enumerate(sizes_at(scale))
    ]


def sizes(steps: Sequence[StepOnPage]) -> dict[str, tuple[float, float]]:
    drawn = [each for page in shared_pages(steps, WIDTH, HEIGHT) for each in page.drawn]
    return {key: (scene.width, scene.height) for key, scene in drawn}


def test_a_drawing_alone_on_its_page_grows() -> None:
    """80 mm high: with the words of 60 mm and 2.5 mm below it a scale of 1.7 makes 198.5."""
    assert sizes([step("a", 60.0, (100.0, 80.0))]) == {"a-0": pytest.approx((170.0, 136.0))}


def test_a_drawing_grows_no_wider_than_the_page() -> None:
    assert sizes([step("a", 60.0, (150.0, 40.0))])["a-0"][0] == pytest.approx(WIDTH)


def test_drawings_of_steps_that_share_a_page_grow_alike() -> None:
    """Two of 100 x 50: 2 * (40 + 1.4 * 50 + 2.5) is 225 > 214, at 1.3 it is 215, at 1.2 it is 205.

    The third step begins a page, and grows to its width."""
    drawn = sizes([step(name, 40.0, (100.0, 50.0)) for name in "abc"])
    assert drawn["a-0"] == drawn["b-0"] == pytest.approx((120.0, 60.0))
    assert drawn["c-0"] == pytest.approx((178.0, 89.0))


def test_a_step_alone_that_comes_out_lower_than_it_seemed_grows_further() -> None:
    """At scale s it seems 60 + s * 120 high, so 1.2 is the last that fits in 214 mm; but its frames
    stand in rows of their own height: 60 + 50 * s, which leaves half of the page."""
    draw = drawn_as("a", lambda scale: [(150.0, 50.0 * scale)])
    grown = StepOnPage(StepWords(60.0, (), 0.0), draw, lambda scale: [(150.0, 120.0 * scale)])
    (page,) = shared_pages([grown], WIDTH, HEIGHT)
    assert page.drawn[0][1].height == pytest.approx(50.0 * 2.6)


@pytest.mark.parametrize("surplus", [-20.0, 0.0, 20.0])
def test_a_step_is_drawn_once_or_twice(surplus: float) -> None:
    """Where it comes out 20 mm higher or lower than expected, that is known after the first."""
    scales = []

    def draw(scale: float) -> list[tuple[str, Scene]]:
        scales.append(scale)
        return [("a", Scene("a", "a", 150.0, 80.0 * scale + surplus, (), ""))]

    grown = StepOnPage(StepWords(60.0, (), 0.0), draw, lambda scale: [(150.0, 80.0 * scale)])
    (page,) = shared_pages([grown], WIDTH, HEIGHT)
    assert len(scales) == 1 + (surplus > 0)
    assert 62.5 + 80.0 * (scales[-1] + 0.1) + surplus > FIRST or scales[-1] == 1.7
    assert page.drawn[0][1].height == 80.0 * scales[-1] + surplus


def test_a_narrow_drawing_stands_beside_its_text() -> None:
    """So it adds nothing to the height of words that are higher; 0.56 of the page is narrow."""
    words = StepWords(20.0, ("word " * 200,), 0.0)
    count = -(-200 // int((WIDTH - 60.0 - 5.0) / text_width("word ", 10.5)))
    assert words.height([(60.0, 40.0)], WIDTH) == pytest.approx(20.0 + count * 5.2 + 2.4, abs=5.3)
    assert words.height([(60.0, 90.0)], WIDTH) > words.height([(60.0, 40.0)], WIDTH)
    assert words.height([(0.57 * WIDTH, 40.0)], WIDTH) > 20.0 + 40.0


HEADS = st.floats(20.0, 90.0)
DRAWING = st.tuples(st.floats(30.0, 170.0), st.floats(20.0, 70.0))
STEPS = st.lists(st.tuples(HEADS, st.lists(DRAWING, max_size=3)), min_size=1, max_size=9)


@given(STEPS)
@settings(max_examples=60, deadline=None)
def test_no_page_is_overfull_and_none_ends_while_the_next_step_has_room(
    given_steps: list[tuple[float, list[tuple[float, float]]]],
) -> None:
    steps = [step(str(n), head, *drawings) for n, (head, drawings) in enumerate(given_steps)]
    drawn = sizes(steps)
    pages = [(page.steps, page.room) for page in shared_pages(steps, WIDTH, HEIGHT)]
    assert [each for page, _ in pages for each in page] == steps
    for number, (page, left) in enumerate(pages):
        assert left == (OTHERS if number else FIRST)
        heights = [final_height(each, steps.index(each), drawn) for each in page]
        least = [min(each.height(s, WIDTH) for s in (1.0, 0.9, 0.8)) for each in page]
        assert sum(heights) <= left + 1e-6 or sum(least) > left
        if number + 1 < len(pages):
            following = pages[number + 1][0][0]
            assert sum(least) + min(following.height(s, WIDTH) for s in (1.0, 0.9, 0.8)) > left


def test_a_step_that_comes_out_higher_than_it_seemed_goes_on_to_the_next_page() -> None:
    """At the standard scale both need 60 + 82.5 and 60 + 22.5 of 214 mm, reduced to 0.8 it seems
    126.5 + 78.5; but reduced the second comes out 60 + 2 * 82.5 high.  So each has a page, and the
    first grows as it does alone."""

    def sizes_at(scale: float) -> list[tuple[float, float]]:
        return [(60.0, 20.0) if scale == 1.0 else (120.0, 80.0)] * 2

    words = StepWords(60.0, (), 0.0)
    first = step("a", 60.0, (100.0, 80.0))
    second = StepOnPage(words, drawn_as("b", sizes_at), lambda scale: [(60.0, 20.0 * scale)] * 2)
    pages = list(shared_pages([first, second], WIDTH, HEIGHT))
    assert [page.steps for page in pages] == [(first,), (second,)]
    assert pages[0].drawn[0][1].height == pytest.approx(136.0)


def final_height(each: StepOnPage, number: int, drawn: dict[str, tuple[float, float]]) -> float:
    own = [size for key, size in drawn.items() if key.startswith(f"{number}-")]
    return each.words.height(own, WIDTH)


def test_how_many_steps_the_first_page_holds() -> None:
    assert on_first_page([100.0, 100.0, 100.0], HEIGHT) == 2
    assert on_first_page([300.0, 10.0], HEIGHT) == 1, "one stands there even where it is too high"
    assert on_first_page([10.0], HEIGHT) == 1
    assert on_first_page([], HEIGHT) == 0


def test_a_step_of_many_words_is_higher() -> None:
    resolved = pierced(resolve(read_design_file(DESIGNS / "observatory-folio.yaml"), IMPERIAL))
    heights = {
        len(each.text): words_of_step(each, resolved, PAGE).height((), WIDTH)
        for each in resolved.design.steps
    }
    assert heights[max(heights)] > heights[min(heights)] + 5
    assert all(25 < height < 120 for height in heights.values())


def test_a_photograph_takes_its_room() -> None:
    resolved = pierced(resolve(read_design_file(DESIGNS / "letter-envelope.yaml"), IMPERIAL))
    plain = resolved.design.steps[0]
    heights = [
        words_of_step(each, resolved, PAGE).height((), WIDTH)
        for each in (plain, replace(plain, picture="step.jpg"))
    ]
    assert heights[1] - heights[0] == pytest.approx(92.5)

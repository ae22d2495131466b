"""The drawings of the steps: each in its room, or so large that they fill their pages.

In: a resolved design and the page that says what room they have.  Out: scenes by key,
``step-NUMBER-…``, and how many steps stand on the part's first page.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cache, partial
from itertools import pairwise

from gatherfold.documents.page import Page
from gatherfold.documents.step_pages import (
    WIDEST_BESIDE,
    StepOnPage,
    height_of_rows,
    on_first_page,
    shared_pages,
    sizes_of,
    words_of_step,
)
from gatherfold.drawings import Room, Scene, Scenes, Sized, StepPictures, overlaps, step_drawings
from gatherfold.resolve import ResolvedDesign

#: What the drawings of a step of very many words may take of a page all the same, in mm.
_LEAST_ROOM = 40.0


def scenes_on_page(resolved: ResolvedDesign, page: Page) -> Scenes:
    """The drawings of all steps, as the page has them."""
    joining, fastening = page.rooms["step"], page.rooms["fastening"]
    if not page.steps_fill_pages:
        alone = page.rooms["step_alone"] if page.columns == 1 else None
        yield from step_scenes(resolved, joining, fastening, page.room_of_a_step, alone)
        return
    width, height = float(page.width), float(page.height)

    def rooms(scale: float) -> tuple[Room, ...]:
        return tuple((min(w * scale, width), h * scale) for w, h in (joining, fastening))

    def drawn_at(drawn: StepPictures, room: float, scale: float) -> list[tuple[str, Scene]]:
        if scale > 1.0:
            # Where they do not fit all, a smaller scale is tried.
            return list(drawn(*rooms(scale)))
        return _fitting(drawn, rooms(scale), (width, room))

    def expected_at(drawn: StepPictures, scale: float) -> list[Sized]:
        return list(drawn.expected(*rooms(scale)))

    steps = []
    for step, drawn in step_drawings(resolved):
        words = words_of_step(step, resolved, page)
        room = max(height - words.height((), width), _LEAST_ROOM)
        expect = cache(partial(expected_at, drawn))
        steps.append(StepOnPage(words, partial(drawn_at, drawn, room), expect))
    for filled in shared_pages(steps, width, height):
        yield from filled.drawn


def room_of_steps(page: Page) -> tuple[object, ...]:
    """All of a page that the drawings of its steps depend on."""
    rooms = page.rooms["step"], page.rooms["fastening"]
    if page.steps_fill_pages:
        return (*rooms, page.rooms["picture"], page.width, page.height, page.parts)
    return (*rooms, page.room_of_a_step, page.rooms["step_alone"])


def first_steps(
    resolved: ResolvedDesign, page: Page, sizes: Callable[[int], Sequence[Sized]]
) -> int:
    """How many steps fill their first page, drawn in these ``sizes`` by the step's number; 0 where
    they do not fill pages."""
    if not page.steps_fill_pages:
        return 0
    width = float(page.width)
    heights = [
        words_of_step(step, resolved, page).height(sizes(number), width)
        for number, step in enumerate(resolved.design.steps, start=1)
    ]
    return on_first_page(heights, float(page.height))


def steps_alone(
    resolved: ResolvedDesign, page: Page, sizes: Callable[[int], Sequence[Sized]]
) -> frozenset[int]:
    """The numbers of the steps that have a page to themselves: their drawings, of these ``sizes``,
    take more than steps that share one, or both their neighbours do."""
    shared = page.room_of_a_step
    if page.steps_fill_pages or page.rooms["step_alone"][1] <= shared[1]:
        return frozenset()
    numbers = range(1, len(resolved.design.steps) + 1)
    large = {number for number in numbers if not _fit(sizes(number), shared)}
    found = set(large)
    # Between large ones two others share a page; an odd one is left with a page of its own.
    for begin, end in pairwise(sorted({*large, numbers.stop})):
        if (end - begin - 1) % 2:
            found.add(end - 1)
    return frozenset(found)


def step_scenes(
    resolved: ResolvedDesign,
    joining: Room,
    fastening: Room,
    sheet: Room,
    alone: Room | None = None,
) -> Scenes:
    """Assembly drawings for every step that joins something, with what is there already.

    What is laid on different sides, or far apart, gets a drawing each, and so does each fastening.
    Those of one step are drawn smaller where they would not all fit in ``sheet``; where that would
    make them illegible and there is more room ``alone`` on a page, they take that.
    """
    for _, drawn in step_drawings(resolved):
        yield from _fitting(drawn, (joining, fastening), sheet, alone)


def _fitting(
    drawn: StepPictures,
    rooms: tuple[Room, ...],
    sheet: Room,
    alone: Room | None = None,
) -> list[tuple[str, Scene]]:
    """The drawings of one step, as large as all of them fit in ``sheet``; one alone as given."""
    scenes = list(drawn(*rooms))
    has_more = alone is not None and alone[1] > sheet[1]
    if not scenes or (len(scenes) == 1 and not (has_more and _is_faulty(scenes))):
        return scenes
    for tried in (rooms, *_smaller_rooms(rooms, sheet, len(scenes))):
        if has_more and tried[0][1] < _LEAST_OF_THE_HEIGHT * rooms[0][1]:
            continue
        scenes = scenes if tried == rooms else list(drawn(*tried))
        if _fit(sizes_of(scenes), sheet) and not (has_more and _is_faulty(scenes)):
            return scenes
    if alone is None or not has_more:
        return scenes
    high = (alone[1] - _BETWEEN * len(scenes)) / len(scenes)
    each = alone[0], min(high, _HIGHEST_ALONE)
    return list(drawn(each, each))


def _fit(sizes: Sequence[Sized], sheet: Room) -> bool:
    """Whether several drawings fit in a room; one alone stands beside its words."""
    if len(sizes) == 1:
        return sizes[0][0] <= WIDEST_BESIDE * sheet[0]
    return height_of_rows(sizes, sheet[0], _BETWEEN, _BETWEEN) <= sheet[1]


def _is_faulty(scenes: Sequence[tuple[str, Scene]]) -> bool:
    return any(overlaps(scene) for _, scene in scenes)


#: Drawings reduced below this share of their height are better drawn on a page of their own, where
#: one is no higher than this, in mm.
_LEAST_OF_THE_HEIGHT, _HIGHEST_ALONE = 0.75, 76.0


def _smaller_rooms(rooms: tuple[Room, ...], sheet: Room, count: int) -> list[tuple[Room, ...]]:
    """Rooms for the drawings of a crowded step, the largest first: reduced, or all in one row."""
    across = (sheet[0] - _BETWEEN * (count - 1)) / count
    reduced = [tuple((wide * scale, high * scale) for wide, high in rooms) for scale in _SMALLER]
    row = tuple((min(wide, across), min(high, sheet[1])) for wide, high in rooms)
    return sorted([*reduced, row], key=lambda each: each[0][0] * each[0][1], reverse=True)


#: How far drawings of a crowded step are reduced, one after the other.
_SMALLER = (0.85, 0.7, 0.6)
#: Between drawings that lie side by side or below one another, in mm.
_BETWEEN = 4.0

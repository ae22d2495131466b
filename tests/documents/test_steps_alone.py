"""Steps of the class handout: two on a page, and one alone where its drawings need the room."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from gatherfold.documents import step_figures
from gatherfold.documents.page import read_page
from gatherfold.documents.step_figures import step_scenes, steps_alone
from gatherfold.drawings import Room, Scene, StepPictures, step_drawings
from gatherfold.drawings.scene_check import overlaps
from gatherfold.model import Step
from gatherfold.resolve import ResolvedDesign
from gatherfold.resolve.edition import IMPERIAL, METRIC
from gatherfold.shipped import DESIGNS, LAYOUTS
from tests.drawn import figures_in
from tests.works import checked, shipped

SMALL, LARGE = [(80.0, 60.0)], [(80.0, 60.0), (80.0, 60.0)]


def alone(large: set[int], layout: str = "handout") -> set[int]:
    page, folio = read_page(LAYOUTS / layout, IMPERIAL), shipped("observatory-folio")
    return set(steps_alone(folio, page, lambda number: LARGE if number in large else SMALL))


def test_two_steps_share_a_page_and_an_odd_one_between_large_ones_is_alone() -> None:
    """Of 22: after step 4 two pairs up to 9, after 9 two pairs and 14 alone; then 16 to 21 in
    pairs and 22 alone.  Before the first large one the legend shares the page: nothing is said of
    those."""
    assert alone({4, 9, 15}) == {4, 9, 14, 15, 22}
    assert alone(set()) == set()


def test_only_a_layout_with_more_room_for_one_step_has_such_pages() -> None:
    assert alone({4}, "pattern") == set()
    assert alone({4}, "bench") == set()


def is_larger(scene: Scene, room: Room) -> bool:
    """Whether a drawing takes clearly more than a room."""
    return scene.width > room[0] + 1 or scene.height > room[1] + 1


def test_drawings_that_would_be_too_small_together_take_the_page(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The least height is three quarters of that of a drawing alone, 70 mm; what is given the page
    is higher than half of it holds.  Only what is larger than its room is drawn as it would share a
    page; that all is legible is asked of every figure in ``test_shipped_designs``."""
    path = DESIGNS / "observatory-folio.yaml"
    page = read_page(LAYOUTS / "handout", METRIC)
    rooms = page.rooms["step"], page.rooms["fastening"], page.room_of_a_step
    drawn = figures_in("handout", path, METRIC.name)
    found = {key: scene for key, scene in drawn.items() if key.startswith("step-")}
    large = {key.split("-")[1] for key, each in found.items() if is_larger(each, rooms[0])}

    def of_large(resolved: ResolvedDesign) -> Iterator[tuple[Step, StepPictures]]:
        drawings = step_drawings(resolved)
        return (each for each in drawings if str(each[1].number) in large)

    monkeypatch.setattr(step_figures, "step_drawings", of_large)
    crowded = dict(step_scenes(checked(path, METRIC.name).resolved, *rooms))
    assert found.keys() >= crowded.keys()
    assert any(overlaps(scene) for scene in crowded.values())
    grown = [key for key in crowded if found[key].height > crowded[key].height + 1]
    assert grown
    assert all(found[key].width <= float(page.width) for key in grown)

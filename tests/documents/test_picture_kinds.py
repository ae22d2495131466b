"""One registry of pictures: a kind that stands there is drawn, and templates find it by name."""

from __future__ import annotations

import re
from collections.abc import Mapping
from itertools import chain

import pytest

from gatherfold.counts.cut_list import cut_list
from gatherfold.documents import figure_set
from gatherfold.documents.page import known_parts, read_page
from gatherfold.drawings import KINDS, STEPS, Pictured, PictureKind, PictureRoom, Room, Scenes
from gatherfold.drawings.kernel.canvas import Canvas
from gatherfold.resolve import EDITIONS
from gatherfold.shipped import DESIGNS, LAYOUTS
from tests.conftest import silent
from tests.works import checked

README = (LAYOUTS / "README.md").read_text()


def test_every_kind_has_a_name_of_its_own_and_shows_in_parts_that_are_there() -> None:
    names = [kind.name for kind in KINDS]
    assert len(set(names)) == len(names)
    assert set(chain.from_iterable(kind.parts for kind in KINDS)) <= set(known_parts())


def test_every_room_has_a_name_of_its_own_and_is_like_one_that_is_there() -> None:
    rooms = [room for kind in KINDS for room in kind.rooms]
    assert len({room.name for room in rooms}) == len(rooms)
    assert {room.like for room in rooms} - {""} <= {room.name for room in rooms}


def test_the_readme_names_every_kind() -> None:
    listed = re.search(r"holds the pictures by their kinds: ([^.]+)\.", README)
    assert listed is not None
    assert set(re.findall(r"`(\w+)`", listed[1])) == {kind.name for kind in KINDS}


def _empty(pictured: Pictured, rooms: Mapping[str, Room]) -> Scenes:
    yield "own-1", Canvas(*rooms["step"]).scene("own-1", "A new picture", "Nothing is on it.")


@pytest.mark.parametrize(
    ("parts", "is_needed", "drawn"),
    [
        ((), True, ["own-1"]),
        (("steps",), True, ["own-1"]),
        (("index",), True, []),
        (("steps",), False, []),
    ],
)
def test_a_new_kind_is_drawn_where_the_page_shows_it_and_the_design_needs_it(
    monkeypatch: pytest.MonkeyPatch, parts: tuple[str, ...], is_needed: bool, drawn: list[str]
) -> None:
    rooms = (PictureRoom("step", "page.width x 76 mm"),)
    own = PictureKind("own", "a new kind", rooms, _empty, parts, lambda pictured: is_needed)
    monkeypatch.setattr(figure_set, "KINDS", (STEPS, own))
    # Those of the steps, which it stands beside, are drawn in every other test.
    monkeypatch.setattr(figure_set, "scenes_on_page", lambda *_: iter(()))
    one = checked(DESIGNS / "letter-envelope.yaml", "metric")
    resolved, page = one.resolved, read_page(LAYOUTS / "pattern", EDITIONS["metric"])
    found = figure_set.draw_figures(resolved, one.plans, cut_list(resolved), silent, page)
    assert list(found.by_kind["own"]) == drawn
    scenes = figure_set.figure_scenes(resolved, one.plans, cut_list(resolved), silent, page)
    assert [key for key, _ in scenes if key.startswith("own")] == drawn

"""Another order of entries changes nothing in the pictures but codes and the tints of papers.

Every shipped and test design is shuffled.  What is compared is the work that a picture shows: its
areas, edges, folds and glue, each by its bounds within the whole of them; lettering, with its
leaders and their dots, and the scale that it leaves, follow from codes.  Source: shuffling the
entries of a design changes nothing else.
"""

from __future__ import annotations

import math
import re
from collections.abc import Collection, Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from gatherfold.counts.cut_list import cut_list
from gatherfold.documents.figure_set import figure_scenes
from gatherfold.documents.page import read_page
from gatherfold.drawings.kernel.canvas import Canvas
from gatherfold.drawings.kernel.plane import Place, bounding
from gatherfold.drawings.kernel.scene import Area, Ring, Scene, Strokes
from gatherfold.drawings.kernel.styles import Fill, Line
from gatherfold.drawings.labels import labels
from gatherfold.drawings.labels.placings import Mark, MarkPlace
from gatherfold.model.design import Design
from gatherfold.native_edition import settle
from gatherfold.reading import read_design
from gatherfold.reading.read_design import read_design_file
from gatherfold.resolve.edition import EDITIONS
from gatherfold.shipped import DESIGNS as SHIPPED
from tests.conftest import NO_LAYOUT, silent
from tests.drawn import figures_of
from tests.work.designs import DESIGNS
from tests.work.renaming import rewritten
from tests.works import native_of

_SHOWN = re.compile(r"step-|motion-|cover$|open$|closed")
_LINES = frozenset(
    {
        *(Line.VISIBLE, Line.EXISTING, Line.HIDDEN, Line.FAINT),
        *(Line.VALLEY, Line.MOUNTAIN, Line.EXISTING_VALLEY, Line.EXISTING_MOUNTAIN),
        *(Line.SEEN_VALLEY, Line.SEEN_MOUNTAIN),
    }
)
#: How far two bounds may differ, as a share of the whole: the scale follows the lettering, and a
#: hatch begins where its lines fall.
_ALIKE = 0.03
#: How far the middle of a leader's dot may be from the leader's end, in mm.
_AT_ONE_PLACE = 0.05
#: What it is, how many places it has, and its bounds as shares of the whole.
Shown = tuple[str, int, tuple[float, ...]]


def _pictures(file: Path) -> dict[str, Scene]:
    """The figures of a test design are those that other tests ask for; a shipped one has them in
    the rooms of its layouts, which follow the lettering."""
    if file.parent == SHIPPED:
        return _drawn_bare(read_design_file(file))
    scenes = figures_of(file, native_of(file))
    return {_sorted(key): scene for key, scene in scenes.items() if _SHOWN.match(key)}


def _pictures_shuffled(file: Path) -> dict[str, Scene]:
    text = rewritten(file.read_text(), 6, renames=False).text
    design = read_design(text.encode(), "design.yaml")
    return _drawn_bare(design) if file.parent == SHIPPED else _drawn(design)


def _drawn_bare(design: Design) -> dict[str, Scene]:
    """The pictures with each label at the first of its places: none is compared, and to look for
    better ones takes most of the time."""

    def arranged(_: Canvas, marks: Collection[Mark]) -> dict[Mark, MarkPlace]:
        return {mark: next(iter(mark)) for mark in marks}

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(labels, "arranged", arranged)
        return _drawn(design)


def _drawn(design: Design) -> dict[str, Scene]:
    """The pictures of the work alone: no sheets are planned, no templates drawn."""
    resolved = settle(design, EDITIONS[design.native]).resolved
    page = replace(read_page(NO_LAYOUT, resolved.edition), parts=("steps", "moving"))
    scenes = figure_scenes(resolved, {}, cut_list(resolved), silent, page)
    return {_sorted(key): scene for key, scene in scenes if _SHOWN.match(key)}


def _sorted(key: str) -> str:
    """A key without the order of the names in it."""
    return "-".join(sorted(key.split("-")))


def _rings(scene: Scene) -> Iterator[tuple[str, Ring]]:
    leaders = scene.strokes(Line.LEADER)
    ends = [place for item in leaders for run in item.runs for place in (run[0], run[-1])]
    for item in scene.items:
        if isinstance(item, Area):
            what = item.fill.name if isinstance(item.fill, Fill) else "tint"
            if not what.startswith("BADGE") and not (what == "INK" and _is_dot(item, ends)):
                yield from ((re.sub(r"_\d$", "", what), ring) for ring in item.rings)
        elif isinstance(item, Strokes) and item.line is Line.GLUE:
            # Hatches are as far apart on any scale, so that their number follows it.
            yield "glue", (*_corners(item),)
        elif isinstance(item, Strokes) and item.line in _LINES:
            yield from ((item.line.name, run) for run in item.runs)


def _is_dot(item: Area, ends: Collection[Place]) -> bool:
    """Whether it is the dot that a leader ends in, which goes where there is room for the name."""
    centre = bounding(item.rings[0]).centre
    return any(math.dist(centre, end) < _AT_ONE_PLACE for end in ends)


def _corners(item: Strokes) -> Iterator[tuple[float, float]]:
    x, y = zip(*(place for run in item.runs for place in run), strict=True)
    yield from ((min(x), min(y)), (max(x), max(y)))


def _marks(scene: Scene) -> list[Shown]:
    rings = list(_rings(scene))
    if not rings:
        return []
    x = [place[0] for _, ring in rings for place in ring]
    y = [place[1] for _, ring in rings for place in ring]
    left, low, wide, high = min(x), min(y), max(x) - min(x), max(y) - min(y)

    def bounds(ring: Ring) -> tuple[float, ...]:
        across = [(place[0] - left) / (wide or 1) for place in ring]
        up = [(place[1] - low) / (high or 1) for place in ring]
        return min(across), max(across), min(up), max(up)

    return [(what, len(ring), bounds(ring)) for what, ring in rings]


def differences(one: Scene, other: Scene) -> list[Shown]:
    """What either picture shows and the other does not."""
    left, found = _marks(other), []
    for mark in _marks(one):
        twin = next((each for each in left if _is_twin(mark, each)), None)
        if twin is None:
            found.append(mark)
        else:
            left.remove(twin)
    return found + left


def _is_twin(one: Shown, other: Shown) -> bool:
    return one[:2] == other[:2] and all(
        abs(a - b) < _ALIKE for a, b in zip(one[2], other[2], strict=True)
    )


@pytest.mark.parametrize("file", DESIGNS, ids=lambda file: file.stem)
def test_pictures_show_the_same(file: Path) -> None:
    was, found = _pictures(file), _pictures_shuffled(file)
    assert set(was) == set(found)
    assert {key: differences(scene, found[key]) for key, scene in was.items()} == {
        key: [] for key in was
    }


def test_a_difference_would_be_seen() -> None:
    file = next(each for each in DESIGNS if each.stem == "roll-up")
    pictures = _pictures(file)
    assert differences(*list(pictures.values())[:2])

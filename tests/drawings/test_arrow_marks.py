"""Every new piece whose print has a direction has an arrow that says which way is up."""

from __future__ import annotations

from itertools import chain

import pytest

from gatherfold.drawings.kernel.scene import Scene, Strokes
from gatherfold.drawings.step.pictures import step_drawings
from gatherfold.model import Operation, Step
from gatherfold.plans import print_of
from gatherfold.resolve.resolved import ResolvedDesign
from gatherfold.resolve.step_parts import named_pieces
from gatherfold.shipped import DESIGNS
from tests.drawings.step_pictures import made

#: From that of the pattern to a narrow one, in mm.
ROOMS = [(178.0, 62.0), (110.0, 80.0), (85.0, 62.0)]


def arrows_in(scene: Scene) -> int:
    strokes = (item for item in scene.items if isinstance(item, Strokes))
    return sum(item.subject == "print direction" for item in strokes)


def directed(scene: Scene, resolved: ResolvedDesign) -> list[str]:
    """The new pieces of a drawing, which its key names, with a print that has a direction."""
    new = scene.key.removeprefix("assembly-").split("-")
    return [key for key in new if print_of(resolved.pieces[key]) != "any"]


def names_directed(step: Step, resolved: ResolvedDesign) -> bool:
    """Whether a step puts a piece whose print has a direction."""
    operations: tuple[Operation, ...] = ("attach", "insert")
    named = chain.from_iterable(named_pieces(step, each, resolved) for each in operations)
    return any(print_of(resolved.pieces[key]) != "any" for key in named)


@pytest.mark.parametrize("room", ROOMS, ids=lambda room: f"{room[0]:.0f}")
@pytest.mark.parametrize("name", sorted(path.stem for path in DESIGNS.glob("*.yaml")))
def test_each_has_its_arrow_whatever_the_room(name: str, room: tuple[float, float]) -> None:
    resolved = made(name)
    found = 0
    for step, drawn in step_drawings(resolved):
        if not names_directed(step, resolved):
            continue
        for _, scene in drawn(room, room):
            if scene.key.startswith("assembly-"):
                wanted = directed(scene, resolved)
                assert arrows_in(scene) == len(wanted), (step.title, wanted)
                found += len(wanted)
    assert found > 0


def test_the_band_and_plain_card_have_none() -> None:
    folio = made("observatory-folio")
    band = next(step for step in step_drawings(folio) if step[0].title == "Make the band")
    assert {arrows_in(scene) for _, scene in band[1](ROOMS[0], ROOMS[0])} == {0}

"""The pictures of steps for tests: of a design, by the pieces that they place."""

from __future__ import annotations

from functools import cache

from gatherfold.drawings.kernel.scene import Scene
from gatherfold.drawings.step.drawing import stage_scenes
from gatherfold.drawings.step.stages import GluedStage, PlacedStage, Stage, stages_of
from gatherfold.drawings.step.view import PicturedWork, work_at
from gatherfold.resolve.resolved import ResolvedDesign
from gatherfold.shipped import DESIGNS
from tests.works import STRUCTURES, native_of, shipped, structure

ROOM = (178.0, 76.0)


@cache
def made(name: str, edition: str = "") -> ResolvedDesign:
    """A shipped design, or one of the tests, in its own edition unless another is named."""
    path = DESIGNS / f"{name}.yaml"
    find, folder = (shipped, DESIGNS) if path.exists() else (structure, STRUCTURES)
    return find(name, edition or native_of(folder / path.name))


def stages(resolved: ResolvedDesign) -> list[tuple[int, Stage]]:
    """All stages with the numbers of their steps; what no step places is of step 0."""
    numbers = [*range(1, len(resolved.design.steps) + 1), 0]
    return [(number, stage) for number in numbers for stage in stages_of(resolved, number)]


def placed_stage(resolved: ResolvedDesign, *new: str) -> PlacedStage:
    """The stage that places all of some pieces, perhaps with others."""
    return next(
        stage
        for _, stage in stages(resolved)
        if isinstance(stage, PlacedStage) and set(new) <= set(stage.new)
    )


def work_with(resolved: ResolvedDesign, *new: str) -> PicturedWork:
    """The work as it is pictured when some pieces are placed."""
    return work_at(resolved, placed_stage(resolved, *new))


def pictures(
    resolved: ResolvedDesign, *new: str, room: tuple[float, float] = ROOM
) -> tuple[Scene, ...]:
    """The pictures of the stage that places some pieces."""
    return stage_scenes(resolved, placed_stage(resolved, *new), *room)


def picture(resolved: ResolvedDesign, *new: str, room: tuple[float, float] = ROOM) -> Scene:
    """The one of them that shows these pieces as new."""
    names = {scene: scene.key.removeprefix("assembly-").split("-")
             for scene in pictures(resolved, *new, room=room)}  # fmt: skip
    return next(scene for scene, own in names.items() if set(new) <= set(own))


def glued_stages(resolved: ResolvedDesign, step: int) -> list[GluedStage]:
    """What a step glues as it closes."""
    return [stage for stage in stages_of(resolved, step) if isinstance(stage, GluedStage)]


def closing_pictures(
    resolved: ResolvedDesign, step: int, room: tuple[float, float] = ROOM
) -> list[Scene]:
    """The pictures of what a step glues as it closes."""
    return [scene for stage in glued_stages(resolved, step)
            for scene in stage_scenes(resolved, stage, *room)]  # fmt: skip


def words_in(scene: Scene) -> str:
    """All lettering of a picture."""
    return " | ".join(text.text for text in scene.texts)

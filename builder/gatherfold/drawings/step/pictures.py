"""The drawings of a step: its stages in order, then what it fastens.

In: a resolved design.  Out: every step with what draws it in any room; scenes by key,
``step-NUMBER-…``.
"""

from collections.abc import Callable, Iterator, Sequence
from functools import partial
from itertools import count
from typing import assert_never

from gatherfold.drawings.fastening.drawing import fastening_scene
from gatherfold.drawings.kernel.scene import Scene
from gatherfold.drawings.motion.drawing import motion_scene
from gatherfold.drawings.motion.movements import Movements
from gatherfold.drawings.step.drawing import stage_scenes
from gatherfold.drawings.step.stages import GluedStage, PlacedStage, Stage, stages_of
from gatherfold.drawings.views.ribbons import goes_round_work
from gatherfold.model import Step
from gatherfold.resolve import ResolvedDesign, named_fastenings
from gatherfold.work import after_steps

#: The width and height in mm that a figure may take.
Room = tuple[float, float]
#: Scenes with their keys.
Scenes = Iterator[tuple[str, Scene]]
#: Draws one step, in the room of what is joined and of what is fastened.
DrawStep = Callable[[Room, Room], Scenes]


def step_drawings(resolved: ResolvedDesign) -> Iterator[tuple[Step, DrawStep]]:
    """Every step in order, with what draws it in the rooms of joining and of fastening."""
    steps = zip(resolved.design.steps, after_steps(resolved), strict=True)
    for number, (step, so_far) in enumerate(steps, start=1):
        stages = stages_of(resolved, number)
        yield step, partial(_scenes_of, number, stages, so_far) if step.figure else _undrawn


def _undrawn(joining: Room, fastening: Room) -> Scenes:
    yield from ()


def _scenes_of(
    number: int, stages: Sequence[Stage], resolved: ResolvedDesign, joining: Room, fastening: Room
) -> Scenes:
    """The stages of a step in order, then what it fastens."""
    placed = count(1)
    for stage in stages:
        match stage:
            case PlacedStage() | GluedStage():
                for scene in stage_scenes(resolved, stage, *joining):
                    own = next(placed) if isinstance(stage, PlacedStage) else scene.key
                    yield f"step-{number}-{own}", scene
            case Movements():
                yield f"step-{number}-{stage.key}", motion_scene(stage, *joining)
            case _:
                assert_never(stage)
    for key in named_fastenings(resolved.design.steps[number - 1], resolved):
        fastened = resolved.fastenings[key]
        if fastened.point is not None and not goes_round_work(fastened):
            yield f"step-{number}-{key}", fastening_scene(resolved, key, *fastening)

"""The drawings of a step: its stages in order, then what it fastens.

In: a resolved design.  Out: every step with what draws it in any room; scenes by key,
``step-NUMBER-…``, and about how large they come out, without drawing them.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import count
from typing import assert_never

from gatherfold.drawings.fastening.drawing import fastening_scene
from gatherfold.drawings.kernel.scene import Scene, Sized
from gatherfold.drawings.motion.drawing import expected_motion, motion_scene
from gatherfold.drawings.motion.movements import Movements
from gatherfold.drawings.step.drawing import expected_stages, stage_scenes
from gatherfold.drawings.step.stages import GluedStage, PlacedStage, Stage, stages_of
from gatherfold.drawings.views.ribbons import goes_round_work
from gatherfold.model import Step
from gatherfold.resolve import ResolvedDesign, named_fastenings
from gatherfold.work import after_steps

#: The width and height in mm that a figure may take.
Room = tuple[float, float]
#: Scenes with their keys.
Scenes = Iterator[tuple[str, Scene]]
#: What share of the width and height of its room a fastening usually takes.
_FASTENED = (0.9, 0.84)


@dataclass(frozen=True, eq=False)
class StepPictures:
    """What draws one step, in the room of what is joined and of what is fastened."""

    number: int
    stages: Sequence[Stage]
    resolved: ResolvedDesign

    def __call__(self, joining: Room, fastening: Room) -> Scenes:
        """The stages of the step in order, then what it fastens."""
        placed = count(1)
        for stage in self.stages:
            match stage:
                case PlacedStage() | GluedStage():
                    for scene in stage_scenes(self.resolved, stage, *joining):
                        own = next(placed) if isinstance(stage, PlacedStage) else scene.key
                        yield f"step-{self.number}-{own}", scene
                case Movements():
                    yield f"step-{self.number}-{stage.key}", motion_scene(stage, *joining)
                case _:
                    assert_never(stage)
        for key in self._fastened:
            yield f"step-{self.number}-{key}", fastening_scene(self.resolved, key, *fastening)

    def expected(self, joining: Room, fastening: Room) -> Iterator[Sized]:
        """About how large the scenes come out, from the size of the work on them."""
        for stage in self.stages:
            if isinstance(stage, Movements):
                yield expected_motion(stage, *joining)
            else:
                yield from expected_stages(self.resolved, stage, *joining)
        for _ in self._fastened:
            yield _FASTENED[0] * fastening[0], _FASTENED[1] * fastening[1]

    @property
    def _fastened(self) -> list[str]:
        """The fastenings of the step that have a point."""
        step, fastenings = self.resolved.design.steps[self.number - 1], self.resolved.fastenings
        keys = named_fastenings(step, self.resolved) if step.figure else ()
        return [
            key
            for key in keys
            if fastenings[key].point is not None and not goes_round_work(fastenings[key])
        ]


def step_drawings(resolved: ResolvedDesign) -> Iterator[tuple[Step, StepPictures]]:
    """Every step in order, with what draws it in the rooms of joining and of fastening."""
    steps = zip(resolved.design.steps, after_steps(resolved), strict=True)
    for number, (step, so_far) in enumerate(steps, start=1):
        stages = stages_of(resolved, number) if step.figure else ()
        yield step, StepPictures(number, stages, so_far)

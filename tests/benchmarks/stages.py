"""What a build spends its time on, heard from its own progress."""

from __future__ import annotations

import time
from dataclasses import dataclass, field

#: How the progress of a build begins to say what is done next.
_STAGES = {"working out": "sizes", "drawing": "drawing", "setting": "setting"}


@dataclass
class Stages:
    """Seconds of the processor by stage, heard from the progress of a build."""

    seconds: dict[str, float] = field(default_factory=lambda: dict.fromkeys(_STAGES.values(), 0.0))
    _stage: str = "sizes"
    _since: float = field(default_factory=time.process_time)

    def hear(self, said: str) -> None:
        doing = said.split(": ", 1)[1]
        self.enter(next(stage for begin, stage in _STAGES.items() if doing.startswith(begin)))

    def enter(self, stage: str) -> None:
        now = time.process_time()
        self.seconds[self._stage] += now - self._since
        self._stage, self._since = stage, now

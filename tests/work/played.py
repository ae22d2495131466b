"""The works of the shipped and the test designs, each played once.

In: a file.  Out: its work in its own units.
"""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from gatherfold.work.moments import Work
from gatherfold.work.play import play
from tests.work.designs import resolved_of


@lru_cache
def work_of(file: Path) -> Work:
    """Play a design."""
    return play(resolved_of(file))

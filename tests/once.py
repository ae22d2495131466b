"""What tests of several modules ask for, made once a run whatever the number of workers.

In: a function of names and paths.  Out: the same function, which remembers what it returned, and
reads what another worker of the same run made.
"""

from __future__ import annotations

import fcntl
import hashlib
import os
import pickle
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import ParamSpec, TypeVar

#: The folder of a run, which its workers share; outside a run things are kept in memory alone.
FOLDER = "GATHERFOLD_TESTS_MADE_ONCE"

Asked = ParamSpec("Asked")
Made = TypeVar("Made")


def once(make: Callable[Asked, Made]) -> Callable[Asked, Made]:
    """Call a function once a run for the same arguments; each worker gets a copy of its own."""

    @cache
    def found(*given: Asked.args, **named: Asked.kwargs) -> Made:
        folder = os.environ.get(FOLDER)
        if folder is None:
            return make(*given, **named)
        asked = repr((make.__module__, make.__qualname__, given, named))
        return _kept(Path(folder), asked, lambda: make(*given, **named))

    return found


def _kept(folder: Path, asked: str, make: Callable[[], Made]) -> Made:
    """What the first worker that asks makes; the others wait for it and read it."""
    name = hashlib.sha256(asked.encode()).hexdigest()
    kept = folder / f"{name}.pickle"
    with (folder / f"{name}.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if kept.exists():
            found: Made = pickle.loads(kept.read_bytes())
            return found
        made = make()
        kept.write_bytes(pickle.dumps(made))
    return made

"""Tables of the tests: what is written by hand in YAML, each file read once.

In: the file.  Out: what it holds; libyaml, where it is there, reads it ten times as fast.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import yaml


@cache
def table(path: Path) -> Any:
    """What a file of the tests holds."""
    return yaml.load(path.read_text("utf-8"), getattr(yaml, "CSafeLoader", yaml.SafeLoader))

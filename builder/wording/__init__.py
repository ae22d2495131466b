"""The fixed wording of the documents: one catalogue per language, in YAML.

In: a language's name.  Out: :class:`Wording`.  Tools, hazards and cautions are worded here and
nowhere else, so that they can be reviewed, and translated, in one place.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any

import yaml


@dataclass(frozen=True)
class Hazard:
    """One hazard: signal word by ANSI Z535.6, what it is, what to do, a short form for steps."""

    key: str
    signal: str
    title: str
    danger: str
    avoid: tuple[str, ...]
    short: str


@dataclass(frozen=True)
class Wording:
    """``text`` holds phrases by name; phrases have ``{places}`` filled by ``str.format``."""

    language: str
    text: Mapping[str, str]
    tools: Mapping[str, str]
    hazards: Mapping[str, Hazard]
    kinds: Mapping[str, str]

    def phrase(self, name: str, *numbered: object, **places: object) -> str:
        """A phrase with its places filled; KeyError when the catalogue lacks it."""
        return self.text[name].format(*numbered, **places)

    def counted(self, name: str, count: int, **places: object) -> str:
        """The singular or plural phrase for a count: ``NAME_one`` or ``NAME_many``."""
        form = "one" if count == 1 else "many"
        return self.phrase(f"{name}_{form}", count=count, **places)


@cache
def load_wording(language: str = "english") -> Wording:
    """The catalogue of a language, read once."""
    content = (resources.files(__package__) / f"{language}.yaml").read_text(encoding="utf-8")
    data: dict[str, Any] = yaml.safe_load(content)
    hazards = {
        key: Hazard(
            key=key,
            signal=entry["signal"],
            title=entry["title"],
            danger=entry["danger"],
            avoid=tuple(entry["avoid"]),
            short=entry["short"],
        )
        for key, entry in data["hazards"].items()
    }
    return Wording(data["language"], data["text"], data["tools"], hazards, data["kinds"])

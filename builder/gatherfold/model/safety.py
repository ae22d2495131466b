"""What a design says of its safety messages: reworded, added, left out."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, get_args

from gatherfold.findings import Position

#: Signal words of ANSI Z535.6, the gravest first.
Level = Literal["danger", "warning", "caution", "notice"]
LEVELS: tuple[Level, ...] = get_args(Level)


@dataclass(frozen=True)
class HazardWording:
    """A safety message in the designer's words; what is None stays as the catalogue has it."""

    title: str | None = None
    danger: str | None = None
    avoid: tuple[str, ...] | None = None
    short: str | None = None


@dataclass(frozen=True)
class AddedHazard:
    """A hazard that the program does not know of; it concerns the named steps, or the whole."""

    key: str
    level: Level
    title: str
    danger: str
    avoid: tuple[str, ...]
    short: str
    steps: tuple[str, ...]
    position: Position


@dataclass(frozen=True)
class LeftOutHazard:
    """A counted hazard that the designer leaves out, and why."""

    hazard: str
    because: str
    position: Position


@dataclass(frozen=True)
class Safety:
    """What the designer changes about the safety messages, hazards by their keys."""

    age: str = ""
    replaced: Mapping[str, HazardWording] = field(default_factory=dict)
    added: tuple[AddedHazard, ...] = ()
    left_out: tuple[LeftOutHazard, ...] = ()

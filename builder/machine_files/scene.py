"""What a machine is to do in one file.  Lengths are mm, exact; x to the right and y up.

A scene is as large as the sheet (or as the piece's own rectangle), its origin at the lower left.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from typing import assert_never

from builder.geometry.outline import Edge, Point


class Group(Enum):
    """What is done in one go, by the name that files give it; in the order of the work.

    Openings come before outlines, so that every piece is held while it is worked on.
    """

    MARK = "mark"
    SCORE_VALLEY = "score-valley"
    SCORE_MOUNTAIN = "score-mountain"
    PIERCE = "pierce"
    OPENING = "opening"
    OUTLINE = "outline"


@dataclass(frozen=True)
class Stroke:
    """One movement of the tool; of a closed one the last edge ends where the first starts.

    ``name`` tells it from everything else in the file.
    """

    name: str
    edges: tuple[Edge, ...]
    is_closed: bool


@dataclass(frozen=True)
class Pierced:
    """A small round hole."""

    name: str
    centre: Point
    diameter: Fraction


@dataclass(frozen=True)
class MachineScene:
    """Everything in one file, group by group.

    ``stem`` is the file's name without its ending; ``notes`` are sentences.
    """

    stem: str
    title: str
    notes: tuple[str, ...]
    width: Fraction
    height: Fraction
    marks: tuple[Stroke, ...]
    valley_scores: tuple[Stroke, ...]
    mountain_scores: tuple[Stroke, ...]
    pierced: tuple[Pierced, ...]
    openings: tuple[Stroke, ...]
    outlines: tuple[Stroke, ...]

    def of(self, group: Group) -> tuple[Stroke | Pierced, ...]:
        """What one group holds."""
        match group:
            case Group.MARK:
                return self.marks
            case Group.SCORE_VALLEY:
                return self.valley_scores
            case Group.SCORE_MOUNTAIN:
                return self.mountain_scores
            case Group.PIERCE:
                return self.pierced
            case Group.OPENING:
                return self.openings
            case Group.OUTLINE:
                return self.outlines
            case _:
                assert_never(group)

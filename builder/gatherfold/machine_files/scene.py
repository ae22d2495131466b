"""What a machine is to do in one file.  Lengths are mm, exact; x to the right and y up.

A scene is as large as the sheet (or as the piece's own rectangle), its origin at the lower left.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction

from gatherfold.geometry import Edge, Point


@dataclass(frozen=True)
class GroupLook:
    """How files show a group of work.

    By its name; by a colour, as in CSS and as a number of the DXF colour index, one for each group,
    because cutting programs often choose the work by colour (common practice, no source); and by
    dashes, drawn and left out by turns, as print shows folds.
    """

    name: str
    colour: str
    dxf_colour: int
    dashes: tuple[float, ...] = ()

    @property
    def linetype(self) -> str:
        """What DXF calls the line."""
        return self.name.removeprefix("score-").upper() if self.dashes else "Continuous"


class Group(Enum):
    """What is done in one go; in the order of the work.

    Openings come before outlines, so that every piece is held while it is worked on.  The colours
    are told apart with any colour vision (Okabe and Ito).
    """

    MARK = GroupLook("mark", "#009E73", 3)
    SCORE_VALLEY = GroupLook("score-valley", "#0072B2", 5, (2.4, 1.2))
    SCORE_MOUNTAIN = GroupLook("score-mountain", "#56B4E9", 4, (4.2, 0.9, 0.4, 0.9, 0.4, 0.9))
    PIERCE = GroupLook("pierce", "#CC79A7", 6)
    OPENING = GroupLook("opening", "#D55E00", 1)
    OUTLINE = GroupLook("outline", "#000000", 7)


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
    work: Mapping[Group, tuple[Stroke | Pierced, ...]]

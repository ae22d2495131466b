"""A finished drawing: every position final, in mm on paper, origin at the lower left, y up.

Scenes carry meaning (kinds of line and fill), not looks, and hold nothing still to be decided:
``figures`` inks the items in order, later ones over earlier ones.
"""

from dataclasses import dataclass
from typing import Literal

from gatherfold.drawings.kernel.plane import Place
from gatherfold.drawings.kernel.styles import Fill, Line, Tint

Ring = tuple[Place, ...]
#: A width and a height, in mm on paper.
Sized = tuple[float, float]


@dataclass(frozen=True)
class Area:
    """A filled region; further rings are holes or separate parts (even-odd)."""

    rings: tuple[Ring, ...]
    fill: Fill | Tint


@dataclass(frozen=True)
class Strokes:
    """Runs of line of one kind; a run whose last place is its first is closed."""

    runs: tuple[Ring, ...]
    line: Line
    subject: str = ""


#: Which end of a text stands at its place.
Anchor = Literal["start", "middle", "end"]


@dataclass(frozen=True)
class Text:
    """One line of lettering.

    (x, y) is on the baseline, at its start, middle or end as ``anchor`` says; ``rotation`` turns
    it counter-clockwise about that place, in degrees.  ``boxed`` clears the texture behind it.
    """

    text: str
    x: float
    y: float
    size_pt: float
    anchor: Anchor = "middle"
    rotation: int = 0
    bold: bool = False
    boxed: bool = False
    colour: str = "#000000"


Item = Area | Strokes | Text


@dataclass(frozen=True)
class Scene:
    """A drawing of ``width`` x ``height`` mm; ``text_equivalent`` says the same in words."""

    key: str
    title: str
    width: float
    height: float
    items: tuple[Item, ...]
    text_equivalent: str

    @property
    def texts(self) -> tuple[Text, ...]:
        return tuple(item for item in self.items if isinstance(item, Text))

    def strokes(self, line: Line) -> tuple[Strokes, ...]:
        """Every run of one kind of line, in drawing order."""
        return tuple(i for i in self.items if isinstance(i, Strokes) and i.line is line)

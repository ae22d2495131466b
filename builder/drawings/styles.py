"""How each kind of line, fill and hatch looks; named by meaning, so that scenes carry no looks.

Line widths are of ISO 128's series, wide to narrow two to one (0.5 and 0.25 mm; folds, hidden
edges and what is there already between them).  Folds are told apart by their dash pattern, never
by colour: valley dashed, mountain dash-dot-dot.  What leads from a hole to its dimension is narrow,
long-dashed and dotted, as type 04 of ISO 128-2 (from memory), so that nobody cuts along it.
Dashes are shorter than the 12 and 24 line widths of ISO 128 (from memory), because a fold is often
a few mm long on paper and must show its pattern there.  Colours are Okabe and Ito's where one is
added, and every line keeps at least 3:1 and all lettering 4.5:1 on what it is drawn on, in grey
too.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from builder.choices import Fold

BLACK = "#000000"
WHITE = "#FFFFFF"
#: 7.0:1 on white: grey lettering.
GREY_TEXT = "#595959"
#: What is already there, and textures: 5.0:1 on white, 3:1 on the darkest tint and shadow.
GREY_LINE = "#707070"
#: The patterns of printed papers, on tints that are stronger: 8.9:1 on white.
DARK_GREY = "#4A4A4A"
#: Okabe and Ito's blue, 5.2:1 on white, and vermilion, 3.9:1.
BLUE = "#0072B2"
VERMILION = "#D55E00"

SMALLEST_LETTERING_PT = 7.0


class Line(Enum):
    """The meaning of a line."""

    VISIBLE = "visible edge"
    EXISTING = "edge already there"
    CUT = "cut"
    VALLEY = "valley fold"
    MOUNTAIN = "mountain fold"
    EXISTING_VALLEY = "valley fold already there"
    EXISTING_MOUNTAIN = "mountain fold already there"
    HIDDEN = "hidden edge"
    FAINT = "edge of a part seen in a picture"
    SEEN_VALLEY = "valley fold of a part seen in a picture"
    SEEN_MOUNTAIN = "mountain fold of a part seen in a picture"
    CENTRE = "centre line"
    DIMENSION = "dimension"
    LEADER = "leader"
    PATH = "way to the place"
    GLUE = "glue"
    KEEP_OFF = "keep off"
    WASTE = "waste"
    PATTERN = "printed pattern"


class Fill(Enum):
    """The meaning of a filled area."""

    PAPER = "paper"
    BADGE = "badge"
    WASTE = "waste"
    EXISTING = "already there"
    INK = "ink"
    TINT_1 = "tint 1"
    TINT_2 = "tint 2"
    TINT_3 = "tint 3"
    TINT_4 = "tint 4"
    TINT_5 = "tint 5"
    TINT_6 = "tint 6"
    SHADOW_1 = "shadow 1"
    SHADOW_2 = "shadow 2"
    SHADOW_3 = "shadow 3"
    SHADOW_4 = "shadow 4"
    SHADOW_5 = "shadow 5"
    SHADOW_6 = "shadow 6"


@dataclass(frozen=True)
class LineLook:
    """Width and dashes in mm; dashes alternate drawn and gap, empty for a continuous line."""

    width: float
    colour: str
    dashes: tuple[float, ...] = ()


#: The line of a fold, and of one that is there already, by its kind as it is seen.
FOLD_LINES: dict[Fold, Line] = {"valley": Line.VALLEY, "mountain": Line.MOUNTAIN}
EXISTING_FOLD_LINES: dict[Fold, Line] = {
    "valley": Line.EXISTING_VALLEY,
    "mountain": Line.EXISTING_MOUNTAIN,
}


LINE_LOOKS = {
    Line.VISIBLE: LineLook(0.5, BLACK),
    Line.EXISTING: LineLook(0.35, GREY_LINE),
    Line.CUT: LineLook(0.5, BLACK),
    Line.VALLEY: LineLook(0.35, BLUE, (2.4, 1.2)),
    Line.MOUNTAIN: LineLook(0.35, VERMILION, (4.2, 0.9, 0.4, 0.9, 0.4, 0.9)),
    Line.EXISTING_VALLEY: LineLook(0.35, GREY_LINE, (2.4, 1.2)),
    Line.EXISTING_MOUNTAIN: LineLook(0.35, GREY_LINE, (4.2, 0.9, 0.4, 0.9, 0.4, 0.9)),
    Line.HIDDEN: LineLook(0.35, BLACK, (1.2, 0.8)),
    Line.FAINT: LineLook(0.25, BLACK),
    Line.SEEN_VALLEY: LineLook(0.25, BLACK, (2.4, 1.2)),
    Line.SEEN_MOUNTAIN: LineLook(0.25, BLACK, (4.2, 0.9, 0.4, 0.9, 0.4, 0.9)),
    Line.CENTRE: LineLook(0.25, BLACK, (4.0, 0.8, 0.4, 0.8)),
    Line.DIMENSION: LineLook(0.25, BLACK),
    Line.LEADER: LineLook(0.25, BLACK),
    Line.PATH: LineLook(0.25, BLACK, (0.5, 0.8)),
    Line.GLUE: LineLook(0.18, BLACK),
    Line.KEEP_OFF: LineLook(0.25, VERMILION),
    Line.WASTE: LineLook(0.18, GREY_LINE),
    Line.PATTERN: LineLook(0.18, DARK_GREY),
}

FILL_COLOURS = {
    Fill.PAPER: "#FFFFFF",
    Fill.BADGE: "#FFFFFF",
    Fill.WASTE: "#E6E6E6",
    Fill.EXISTING: "#F7F7F7",
    Fill.INK: BLACK,
    Fill.TINT_1: "#CED8DF",
    Fill.TINT_2: "#F6F1E4",
    Fill.TINT_3: "#DFE8E0",
    Fill.TINT_4: "#F3DFD6",
    Fill.TINT_5: "#E7DDEB",
    Fill.TINT_6: "#DAD6CB",
    Fill.SHADOW_1: "#FAFAFA",
    Fill.SHADOW_2: "#F4F4F4",
    Fill.SHADOW_3: "#ECECEC",
    Fill.SHADOW_4: "#E2E2E2",
    Fill.SHADOW_5: "#D7D7D7",
    Fill.SHADOW_6: "#CBCBCB",
}

TINTS = (Fill.TINT_1, Fill.TINT_2, Fill.TINT_3, Fill.TINT_4, Fill.TINT_5, Fill.TINT_6)
SHADOWS = (
    Fill.SHADOW_1,
    Fill.SHADOW_2,
    Fill.SHADOW_3,
    Fill.SHADOW_4,
    Fill.SHADOW_5,
    Fill.SHADOW_6,
)

#: Lines that fill an area with a texture; lettering on a white box may lie over them.
TEXTURES = frozenset({Line.GLUE, Line.KEEP_OFF, Line.WASTE, Line.PATTERN})


@dataclass(frozen=True)
class Tint:
    """A filled area of a colour of its own, ``#RRGGBB``: a paper as its designer says it is."""

    colour: str

    @property
    def value(self) -> str:
        return f"tint {self.colour}"


def fill_colour(fill: Fill | Tint) -> str:
    return fill.colour if isinstance(fill, Tint) else FILL_COLOURS[fill]


def relative_luminance(colour: str) -> float:
    """WCAG 2.2 relative luminance of ``#RRGGBB``."""
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(first: str, second: str) -> float:
    """WCAG 2.2 contrast ratio of two colours."""
    high, low = sorted((relative_luminance(first), relative_luminance(second)), reverse=True)
    return (high + 0.05) / (low + 0.05)

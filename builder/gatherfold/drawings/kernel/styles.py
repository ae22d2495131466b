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

from dataclasses import dataclass
from enum import Enum
from functools import cache

from gatherfold.model import Fold

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


@dataclass(frozen=True)
class LineLook:
    """Width and dashes in mm; dashes alternate drawn and gap, empty for a continuous line."""

    width: float
    colour: str
    dashes: tuple[float, ...] = ()


_VALLEY = (2.4, 1.2)
_MOUNTAIN = (4.2, 0.9, 0.4, 0.9, 0.4, 0.9)
_GREY_VALLEY = LineLook(0.35, GREY_LINE, _VALLEY)
_GREY_MOUNTAIN = LineLook(0.35, GREY_LINE, _MOUNTAIN)
_FINE_VALLEY = LineLook(0.25, BLACK, _VALLEY)
_FINE_MOUNTAIN = LineLook(0.25, BLACK, _MOUNTAIN)


class Line(Enum):
    """What a line means, how it looks, and which sign of the legend it is, if it alone tells."""

    VISIBLE = "visible edge", LineLook(0.5, BLACK), "visible"
    EXISTING = "edge already there", LineLook(0.35, GREY_LINE), "existing"
    CUT = "cut", LineLook(0.5, BLACK), "cut_number"
    VALLEY = "valley fold", LineLook(0.35, BLUE, _VALLEY), "valley"
    MOUNTAIN = "mountain fold", LineLook(0.35, VERMILION, _MOUNTAIN), "mountain"
    EXISTING_VALLEY = "valley fold already there", _GREY_VALLEY, "valley"
    EXISTING_MOUNTAIN = "mountain fold already there", _GREY_MOUNTAIN, "mountain"
    HIDDEN = "hidden edge", LineLook(0.35, BLACK, (1.2, 0.8)), "hidden"
    FAINT = "edge of a part seen in a picture", LineLook(0.25, BLACK), "visible"
    SEEN_VALLEY = "valley fold of a part seen in a picture", _FINE_VALLEY, "valley"
    SEEN_MOUNTAIN = "mountain fold of a part seen in a picture", _FINE_MOUNTAIN, "mountain"
    CENTRE = "centre line", LineLook(0.25, BLACK, (4.0, 0.8, 0.4, 0.8)), "centre"
    DIMENSION = "dimension", LineLook(0.25, BLACK)
    LEADER = "leader", LineLook(0.25, BLACK), "leader"
    PATH = "way to the place", LineLook(0.25, BLACK, (0.5, 0.8)), "path"
    GLUE = "glue", LineLook(0.18, BLACK), "glue"
    KEEP_OFF = "keep off", LineLook(0.25, VERMILION), "keep_off"
    WASTE = "waste", LineLook(0.18, GREY_LINE)
    PATTERN = "printed pattern", LineLook(0.18, DARK_GREY), "two_sides"

    def __init__(self, meaning: str, look: LineLook, sign: str = "") -> None:
        self.meaning = meaning
        self.look = look
        self.sign = sign


class Fill(Enum):
    """What a filled area means, and its colour."""

    PAPER = "paper", "#FFFFFF"
    BADGE = "badge", "#FFFFFF"
    WASTE = "waste", "#E6E6E6"
    EXISTING = "already there", "#F7F7F7"
    INK = "ink", BLACK
    TINT_1 = "tint 1", "#CED8DF"
    TINT_2 = "tint 2", "#F6F1E4"
    TINT_3 = "tint 3", "#DFE8E0"
    TINT_4 = "tint 4", "#F3DFD6"
    TINT_5 = "tint 5", "#E7DDEB"
    TINT_6 = "tint 6", "#DAD6CB"
    SHADOW_1 = "shadow 1", "#FAFAFA"
    SHADOW_2 = "shadow 2", "#F4F4F4"
    SHADOW_3 = "shadow 3", "#ECECEC"
    SHADOW_4 = "shadow 4", "#E2E2E2"
    SHADOW_5 = "shadow 5", "#D7D7D7"
    SHADOW_6 = "shadow 6", "#CBCBCB"

    def __init__(self, meaning: str, colour: str) -> None:
        self.meaning = meaning
        self.colour = colour


#: The line of a fold, and of one that is there already, by its kind as it is seen.
FOLD_LINES: dict[Fold, Line] = {"valley": Line.VALLEY, "mountain": Line.MOUNTAIN}
EXISTING_FOLD_LINES: dict[Fold, Line] = {
    "valley": Line.EXISTING_VALLEY,
    "mountain": Line.EXISTING_MOUNTAIN,
}


TINTS = (Fill.TINT_1, Fill.TINT_2, Fill.TINT_3, Fill.TINT_4, Fill.TINT_5, Fill.TINT_6)
SHADOWS = tuple(fill for fill in Fill if fill.meaning.startswith("shadow"))

#: Lines that fill an area with a texture; lettering on a white box may lie over them.
TEXTURES = frozenset({Line.GLUE, Line.KEEP_OFF, Line.WASTE, Line.PATTERN})


@dataclass(frozen=True)
class Tint:
    """A filled area of a colour of its own, ``#RRGGBB``: a paper as its designer says it is."""

    colour: str

    @property
    def meaning(self) -> str:
        return f"tint {self.colour}"


def linear_channels(colour: str) -> list[float]:
    """Red, green and blue of ``#RRGGBB`` as light: the sRGB transfer function in WCAG 2.2's form
    of it, which for 8 bits is that of CSS Color 4 (from memory)."""
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    return [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]


@cache
def relative_luminance(colour: str) -> float:
    """WCAG 2.2 relative luminance of ``#RRGGBB``."""
    red, green, blue = linear_channels(colour)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(first: str, second: str) -> float:
    """WCAG 2.2 contrast ratio of two colours."""
    high, low = sorted((relative_luminance(first), relative_luminance(second)), reverse=True)
    return (high + 0.05) / (low + 0.05)

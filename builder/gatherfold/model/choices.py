"""The words that a design file chooses between and that counts go by, and what is true of each.

In: words as they are read.  Out: facts that every stage asks for instead of comparing a word, so
that a new word is a mistake for mypy wherever nothing is said of it yet.
"""

from collections.abc import Iterable
from enum import Flag, auto
from typing import Literal, TypeVar, get_args

from gatherfold.geometry import EdgeName
from gatherfold.lengths import SystemName

Tool = Literal[
    "trimmer", "ruler", "pencil", "scoring_board", "bone_folder", "ink_pad", "adhesive", "awl",
    "piercing_mat", "hole_punch", "eyelet_setter", "magnets", "scissors", "knife", "cutting_mat",
    "corner_rounder", "circle_punch", "hot_glue_gun", "heat_tool",
]  # fmt: skip
#: Hazards that follow from what is counted; a designer may add others.
HazardName = Literal[
    "blade", "scissors", "piercing", "punch", "adhesive", "ink", "solvent", "heat", "magnets",
    "small_parts",
]  # fmt: skip


SideName = Literal["front", "back"]
#: How a piece lies on its host.
Relation = Literal["on", "behind", "on_back", "inside"]
#: Which sides of two faces meet in a join: back on front, front on back, back on back or front on
#: front, that of the piece's own face first.
JoinRelation = Literal["on", "behind", "on_back", "facing"]
#: A fold as it is seen from the front: a valley folds towards the reader.
Fold = Literal["valley", "mountain"]
#: Trade words for what a piece is; they group the cut list and name the piece in text.
PieceKind = Literal[
    "panel", "spine", "hinge", "gusset", "flap", "pocket", "band", "mat", "photo mat", "strip",
    "tag", "insert", "tab", "tray", "lid", "envelope", "liner", "card", "piece",
]  # fmt: skip
#: An edition is called by its system of units.
EditionName = SystemName
PaperName = Literal["letter", "a4"]
Material = Literal["cardstock", "paper", "board", "ribbon"]
#: Supplies that pieces are joined with.
AdhesiveKind = Literal["tape", "glue", "hot glue", "solvent glue"]
#: What supplies are; the hazards of each kind are in ``counts.tools``.
SupplyKind = Literal[AdhesiveKind, "ink", "embossing powder", "other"]
FasteningKind = Literal["brad", "eyelet", "magnet pair", "ribbon tie"]
PrintDirection = Literal["upright", "sideways", "any"]
#: Along which way of its sheet the fibres of a stock run.
Grain = Literal["long", "short", "any"]
#: Something printed on a sheet: a picture to cut round, or a part to cut from.
PrintedPlace = Literal["motif", "region"]
CornerShape = Literal["mitre", "round", "notch"]
OpeningShape = Literal["window", "hole"]
StripDirection = Literal["across", "up"]
#: Where adhesive runs: along an edge, or over the whole face.
GlueEdge = Literal[EdgeName, "all"]

SIDES: tuple[SideName, ...] = get_args(SideName)
RELATIONS: tuple[Relation, ...] = get_args(Relation)
JOIN_RELATIONS: tuple[JoinRelation, ...] = get_args(JoinRelation)
FOLDS: tuple[Fold, ...] = get_args(Fold)
PIECE_KINDS: tuple[PieceKind, ...] = get_args(PieceKind)
EDITION_NAMES: tuple[EditionName, ...] = get_args(EditionName)
PAPER_NAMES: tuple[PaperName, ...] = get_args(PaperName)
MATERIALS: tuple[Material, ...] = get_args(Material)
ADHESIVE_KINDS: tuple[AdhesiveKind, ...] = get_args(AdhesiveKind)
SUPPLY_KINDS: tuple[SupplyKind, ...] = get_args(SupplyKind)
FASTENING_KINDS: tuple[FasteningKind, ...] = get_args(FasteningKind)
PRINT_DIRECTIONS: tuple[PrintDirection, ...] = get_args(PrintDirection)
GRAINS: tuple[Grain, ...] = get_args(Grain)
CORNER_SHAPES: tuple[CornerShape, ...] = get_args(CornerShape)
STRIP_DIRECTIONS: tuple[StripDirection, ...] = get_args(StripDirection)
GLUE_EDGES: tuple[GlueEdge, ...] = get_args(GlueEdge)


_Word = TypeVar("_Word", bound=str)


def narrowed(text: str, words: Iterable[_Word]) -> _Word | None:
    """The one of the words that the text is; None where it is none of them."""
    return next((word for word in words if word == text), None)


# What is true of words, as tables with an entry for each: a test proves them complete.

_FRONT: dict[SideName, bool] = {"front": True, "back": False}
#: Whether a side is the front.
is_front = _FRONT.__getitem__

_VALLEY: dict[Fold, bool] = {"valley": True, "mountain": False}
#: Whether a fold goes towards the reader of the front.
is_valley = _VALLEY.__getitem__

_OTHER_FOLD: dict[Fold, Fold] = {"valley": "mountain", "mountain": "valley"}
#: A valley is a mountain from behind.
other_fold = _OTHER_FOLD.__getitem__

_AWAY: dict[Relation, bool] = {"on": False, "behind": False, "on_back": True, "inside": False}
#: Whether a piece faces the other way than its host.
faces_away = _AWAY.__getitem__

_SLID_IN: dict[Relation, bool] = {"on": False, "behind": False, "on_back": False, "inside": True}
#: Whether a piece is slid into a pocket, and not laid on its host.
is_in_pocket = _SLID_IN.__getitem__

_METRIC: dict[EditionName, bool] = {"metric": True, "imperial": False}
#: Whether an edition measures in millimetres.
is_metric = _METRIC.__getitem__

_ROLLS: dict[Material, bool] = {"cardstock": False, "paper": False, "board": False, "ribbon": True}
#: Whether a stock is cut from a roll, and not from sheets.
is_sold_by_length = _ROLLS.__getitem__

_SOFT: dict[Material, bool] = {"cardstock": False, "paper": True, "board": False, "ribbon": True}
#: Whether what is cut from a stock neither stands nor carries.
is_soft = _SOFT.__getitem__

_BREAKS: dict[Material, bool] = {"cardstock": False, "paper": False, "board": True, "ribbon": False}
#: Whether a stock breaks at a fold.
breaks_when_folded = _BREAKS.__getitem__

_DIRECTED: dict[PrintDirection, bool] = {"upright": True, "sideways": True, "any": False}
#: Whether a print says which way round it is cut.
has_direction = _DIRECTED.__getitem__

_BOXES: dict[CornerShape, bool] = {"mitre": False, "round": False, "notch": True}
#: Whether a corner shape cuts its whole width and height away, and not only a part of it.
takes_whole_box = _BOXES.__getitem__

_PUNCHED: dict[OpeningShape, bool] = {"window": False, "hole": True}
#: Whether an opening is punched, and not cut as a window.
is_hole = _PUNCHED.__getitem__

_SIDE_BY_SIDE: dict[StripDirection, bool] = {"across": True, "up": False}
#: Whether the pieces of a strip lie side by side.
is_across = _SIDE_BY_SIDE.__getitem__


def is_tape(supply: SupplyKind) -> bool:
    """Whether a supply is an adhesive that has a width."""
    match supply:
        case "tape":
            return True
        case "glue" | "hot glue" | "solvent glue" | "ink" | "embossing powder" | "other":
            return False


def is_ink(supply: SupplyKind) -> bool:
    """Whether a supply inks edges."""
    match supply:
        case "ink":
            return True
        case "tape" | "glue" | "hot glue" | "solvent glue" | "embossing powder" | "other":
            return False


def side_seen(from_front: bool) -> SideName:
    """The side that faces whoever looks."""
    return "front" if from_front else "back"


class Trait(Flag):
    """Something that holds of a piece because of what it is."""

    #: It lies beside its like on one face; anything else may lie over its neighbour on purpose.
    SIDE_BY_SIDE = auto()
    #: It hides for good what it is glued over.
    HIDES = auto()
    CARRIES_PHOTOGRAPH = auto()
    #: It frames something: its left and right borders are equal.
    FRAMES = auto()
    #: It may not reach beyond the face that it lies on.
    WITHIN_HOST = auto()
    #: It may not reach beyond the covers when the work is closed.
    WITHIN_COVERS = auto()
    #: The covers of the work are made of it.
    COVERS = auto()
    #: It leaves the folds on both sides of it free.
    BETWEEN_FOLDS = auto()
    #: It is hard to take off again, and so laid in place without glue first.
    HARD_TO_MOVE = auto()
    #: Cards are kept in it.
    HOLDS_CARDS = auto()
    #: It seals closed work: over the edge that it holds down, or folded round all of it.
    SEALS_EDGE = auto()
    GOES_ROUND = auto()
    #: Its tabs hold others together, and are hidden by what is glued over them.
    JOINS = auto()
    #: It is there to be seen where it is glued.
    SHOWS = auto()
    #: It stands, swings or carries, and so is cut from cardstock.
    BEARS = auto()
    #: Things are kept in it, and this is taken out again.
    KEEPS = auto()
    TAKEN_OUT = auto()


_WITHIN = Trait.WITHIN_HOST | Trait.WITHIN_COVERS
_IN_A_ROW = Trait.SIDE_BY_SIDE | Trait.WITHIN_HOST | Trait.BETWEEN_FOLDS | Trait.SHOWS

TRAITS: dict[PieceKind, Trait] = {
    "panel": Trait.HIDES | Trait.COVERS | Trait.SHOWS,
    "spine": Trait.HARD_TO_MOVE | Trait.JOINS | Trait.BEARS,
    "hinge": Trait.HARD_TO_MOVE | Trait.JOINS | Trait.BEARS,
    "gusset": Trait.JOINS | Trait.BEARS,
    "flap": Trait.WITHIN_COVERS | Trait.HARD_TO_MOVE,
    "pocket": Trait.HIDES
    | _WITHIN
    | Trait.HARD_TO_MOVE
    | Trait.HOLDS_CARDS
    | Trait.SHOWS
    | Trait.KEEPS,
    "band": Trait.GOES_ROUND | Trait.SHOWS,
    "mat": _IN_A_ROW | Trait.FRAMES | Trait.WITHIN_COVERS,
    "photo mat": _IN_A_ROW | Trait.CARRIES_PHOTOGRAPH,
    "strip": _IN_A_ROW,
    "tag": Trait.BETWEEN_FOLDS | Trait.SEALS_EDGE | Trait.SHOWS,
    "insert": Trait.BETWEEN_FOLDS | Trait.HOLDS_CARDS | Trait.TAKEN_OUT,
    "tab": Trait.SHOWS,
    "tray": Trait.BEARS | Trait.KEEPS,
    "lid": Trait.BEARS,
    "envelope": Trait.KEEPS,
    "liner": Trait.WITHIN_HOST | Trait.BETWEEN_FOLDS | Trait.SHOWS,
    "card": Trait.BETWEEN_FOLDS | Trait.SHOWS | Trait.TAKEN_OUT,
    "piece": Trait.SHOWS,
}

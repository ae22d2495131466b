"""Drawing: a resolved design and its sheet plans → figures as vector graphics.

``kernel.scene`` is the finished drawing as data (positions final, in mm on paper).  The folders
named after a kind of picture compute scenes, and ``registry`` lists them.  ``kernel.figures`` alone
imports matplotlib and turns a scene into SVG.  Every figure carries a text equivalent computed from
the same data.
"""

from gatherfold.drawings.kernel.figures import Figure, figure, signs_of
from gatherfold.drawings.kernel.lettering import text_width
from gatherfold.drawings.kernel.scene import Scene
from gatherfold.drawings.kernel.stock_tints import pattern_words, sides_shown, swatch_key
from gatherfold.drawings.kernel.wording import words_of
from gatherfold.drawings.registry import (
    KINDS,
    STEPS,
    Pictured,
    PictureKind,
    PictureRoom,
    sheet_key,
    sheet_room,
)
from gatherfold.drawings.scene_check import overlaps
from gatherfold.drawings.sheet_map.words import side_name
from gatherfold.drawings.step.pictures import DrawStep, Room, Scenes, step_drawings
from gatherfold.drawings.views.features import circle_across

__all__ = [
    "KINDS",
    "STEPS",
    "DrawStep",
    "Figure",
    "PictureKind",
    "PictureRoom",
    "Pictured",
    "Room",
    "Scene",
    "Scenes",
    "circle_across",
    "figure",
    "overlaps",
    "pattern_words",
    "sheet_key",
    "sheet_room",
    "side_name",
    "sides_shown",
    "signs_of",
    "step_drawings",
    "swatch_key",
    "text_width",
    "words_of",
]

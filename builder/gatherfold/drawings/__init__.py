"""Drawing: a resolved design and its sheet plans → figures as vector graphics.

``kernel.scene`` is the finished drawing as data (positions final, in mm on paper).  The folders
named after a kind of picture compute scenes, and ``registry`` lists them.  ``kernel.figures`` alone
imports matplotlib and turns a scene into SVG.  Every figure carries a text equivalent computed from
the same data.
"""

# fmt: off
# isort: off
from gatherfold.drawings.kernel.figures import (Figure as Figure, figure as figure, ink as ink,
    signs_of as signs_of)
from gatherfold.drawings.kernel.lettering import text_width as text_width
from gatherfold.drawings.kernel.scene import Scene as Scene, Sized as Sized
from gatherfold.drawings.kernel.stock_tints import (pattern_words as pattern_words,
    sides_shown as sides_shown, swatch_key as swatch_key)
from gatherfold.drawings.kernel.wording import words_of as words_of
from gatherfold.drawings.registry import (KINDS as KINDS, STEPS as STEPS,
    PictureKind as PictureKind, PictureRoom as PictureRoom, Pictured as Pictured,
    sheet_key as sheet_key, sheet_room as sheet_room)
from gatherfold.drawings.scene_check import overlaps as overlaps
from gatherfold.drawings.sheet_map.words import side_name as side_name
from gatherfold.drawings.step.pictures import (Room as Room, Scenes as Scenes,
    StepPictures as StepPictures, step_drawings as step_drawings)
from gatherfold.drawings.views.features import circle_across as circle_across

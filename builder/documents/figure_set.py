"""Which figures a document has: the finished thing, sheets, pieces, steps and templates.

In: a resolved design, its sheet plans and the page that says what room they have.  Out:
:class:`Figure` values by key, inked.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from builder.counts.cut_list import CutRow
from builder.documents.page import Page, Room, standard_page
from builder.documents.photographs import Photograph
from builder.documents.rooms import SHEET_ROOMS, sheet_room
from builder.documents.step_figures import (
    Scenes,
    first_steps,
    room_of_steps,
    scenes_on_page,
    steps_alone,
)
from builder.drawings.conventions import calibration_scene, conventions_scene
from builder.drawings.features import needs_drawing
from builder.drawings.figures import Figure, figure, signs_of
from builder.drawings.finished_view import OBLIQUE, finished_scene, scene_for_cover, stands
from builder.drawings.motion_frames import motion_scene
from builder.drawings.motions import sequences
from builder.drawings.photo_plan import has_photo_plan, photo_scene
from builder.drawings.piece_drawing import is_cramped, piece_scene
from builder.drawings.scene_check import overlaps
from builder.drawings.sheet_map import sheet_scene
from builder.drawings.step_stages import movements_left

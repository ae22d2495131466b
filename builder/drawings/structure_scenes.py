"""Pictures of how the work is built up, folded, filled and closed, kind by kind.

In: a resolved design and the room of each kind.  Out: scenes by their keys; none of a kind that
the design has no use for.
"""

from __future__ import annotations

from collections.abc import Iterator

from builder.drawings.finished_view import OBLIQUE, finished_scene
from builder.drawings.motion_frames import motion_scene
from builder.drawings.photo_plan import has_photo_plan, photo_scene
from builder.drawings.scene import Scene
from builder.drawings.step_stages import movements_left
from builder.resolve.resolved import ResolvedDesign

#: The width and height in mm that a figure may take.
Room = tuple[float, float]
Scenes = Iterator[tuple[str, Scene]]

#: A sequence of no more pictures than the first gets a small room, of more than the second a
#: large one.
FEW_MOVEMENTS, MOST_MOVEMENTS = 3, 4


def raised_scenes(resolved: ResolvedDesign, room: Room) -> Scenes:
    """``raised-closed``: the work from the right, before and above; ``open`` shows it open."""
    yield "raised-closed", finished_scene(resolved, "closed", *room, OBLIQUE)


def motion_scenes(resolved: ResolvedDesign, few: Room, usual: Room, many: Room) -> Scenes:
    """``motion-STEP`` for the movements of each step that its own pictures do not show, and
    ``motion-closing`` for what is left to close then."""
    for sequence in movements_left(resolved):
        count = len(sequence.moves) + len(sequence.runs)
        room = few if count <= FEW_MOVEMENTS else usual if count <= MOST_MOVEMENTS else many
        yield sequence.key, motion_scene(sequence, *room)


def photo_scenes(resolved: ResolvedDesign, room: Room) -> Scenes:
    """``photos``, if the design has places for pictures."""
    if has_photo_plan(resolved):
        yield "photos", photo_scene(resolved, *room)

"""Pictures of how the work is built up, folded, filled and closed, kind by kind.

In: a resolved design and the room of each kind.  Out: scenes by their keys; none of a kind that
the design has no use for.
"""

from __future__ import annotations

from collections.abc import Iterator

from builder.drawings.closure_cuts import closures
from builder.drawings.closure_view import closure_scene
from builder.drawings.flaps_and_pockets import (
    filled_pockets,
    flap_scene,
    moving_flaps,
    pocket_scene,
)
from builder.drawings.fold_sequence import fold_scene
from builder.drawings.layers_apart import layered_faces, layers_scene
from builder.drawings.movements import fold_sequences, movements
from builder.drawings.photo_plan import has_photo_plan, photo_scene
from builder.drawings.raised_state import raised_scene
from builder.drawings.scene import Scene
from builder.resolve.resolved import ResolvedDesign

#: The width and height in mm that a figure may take.
Room = tuple[float, float]
Scenes = Iterator[tuple[str, Scene]]

#: A sequence of more movements than this gets the larger room.
MOST_MOVEMENTS = 3


def raised_scenes(resolved: ResolvedDesign, room: Room) -> Scenes:
    """``raised-closed``: the work from the right, before and above; ``open`` shows it flat."""
    yield "raised-closed", raised_scene(resolved, "closed", *room)


def layer_scenes(resolved: ResolvedDesign, room: Room) -> Scenes:
    """``layers-PIECE-FACE`` for each face with several layers on it."""
    for base in layered_faces(resolved):
        yield f"layers-{base[0]}-{base[1]}", layers_scene(resolved, base, *room)


def folding_scenes(resolved: ResolvedDesign, usual: Room, long: Room) -> Scenes:
    """``fold-PIECE`` for each box-like piece, and ``fold-closing``."""
    for key in fold_sequences(resolved):
        room = long if len(movements(resolved, key)) > MOST_MOVEMENTS else usual
        yield f"fold-{key}", fold_scene(resolved, key, *room)


def moving_scenes(resolved: ResolvedDesign, room: Room) -> Scenes:
    """``flap-PIECE``, or ``flap-PIECE-SECTION``, and ``pocket-INSERT``."""
    for key in moving_flaps(resolved):
        yield f"flap-{key.replace('.', '-')}", flap_scene(resolved, key, *room)
    for key in filled_pockets(resolved):
        yield f"pocket-{key}", pocket_scene(resolved, key, *room)


def closure_scenes(resolved: ResolvedDesign, room: Room) -> Scenes:
    """``closure-PIECE`` or ``closure-FASTENING``: sections through what holds the work shut."""
    for key in closures(resolved):
        yield f"closure-{key}", closure_scene(resolved, key, *room)


def photo_scenes(resolved: ResolvedDesign, room: Room) -> Scenes:
    """``photos``, if the design has places for pictures."""
    if has_photo_plan(resolved):
        yield "photos", photo_scene(resolved, *room)

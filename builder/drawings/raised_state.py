"""The work in one of its states, seen obliquely in axonometric projection.

In: a resolved design, a state, the room on paper.  Out: a scene, with labels by leaders where
they are asked for.
"""

from __future__ import annotations

from collections.abc import Sequence

from builder.drawings.axonometric import ISOMETRIC, Projection
from builder.drawings.canvas import MARGIN, Canvas
from builder.drawings.finished_view import finished_equivalent, tied_words
from builder.drawings.labels import margin_notes, margin_room
from builder.drawings.margin_targets import MOST_CHOICES, chosen_targets
from builder.drawings.movements import boxes_folded
from builder.drawings.plane import Rect, fitted
from builder.drawings.raised_view import (
    RaisedFace,
    Strip,
    extent_of,
    paint_raised,
    raised_faces,
    visible_keys,
    visible_places,
)
from builder.drawings.round_ribbons import round_ribbons, round_ties
from builder.drawings.scene import Scene
from builder.drawings.stock_tints import StockTints, drawing_tints, picture_tints
from builder.drawings.styles import Line
from builder.drawings.wording import words_of
from builder.resolve.placement import main_body, tree_of
from builder.resolve.resolved import PlacedFace, ResolvedDesign
from builder.resolve.turns import folded_faces, turns

_EDGE = 1.0


def raised_state(
    resolved: ResolvedDesign, state: str, projection: Projection = ISOMETRIC
) -> tuple[RaisedFace, ...]:
    """The faces of ``flat``, ``open`` or ``closed`` from the farthest to the nearest.

    The faces are those of the state; their order is worked out for standing faces too.  Open work
    has the walls of its boxes up.
    """
    return raised_faces(resolved, _faces(resolved, state), projection)


def _faces(resolved: ResolvedDesign, state: str) -> list[PlacedFace]:
    tree = tree_of(resolved)
    if not tree.roots:
        return []
    motions = [turn.angles for turn in turns(resolved)] if state == "closed" else []
    if state == "open":
        motions = [boxes_folded(resolved)]
    there = {(face.piece, face.face) for face in resolved.states[state].faces}
    faces = folded_faces(resolved, main_body(tree), motions)
    return [face for face in faces if (face.piece, face.face) in there]


def raised_scene(
    resolved: ResolvedDesign,
    state: str,
    max_width: float,
    max_height: float,
    labelled: Sequence[str] = (),
    projection: Projection = ISOMETRIC,
) -> Scene:
    """The work in ``state``, within ``max_width`` x ``max_height`` mm; the pieces named in
    ``labelled`` get their codes and titles by leaders, if they can be seen."""
    canvas = Canvas(max_width, max_height)
    faces = raised_state(resolved, state, projection)
    notes = []
    for key in labelled:
        places = visible_places(faces, key, MOST_CHOICES)
        if places:
            notes.append((places, f"{resolved.pieces[key].code} {resolved.pieces[key].title}"))
    side = margin_room([text for _, text in notes]) + MARGIN if notes else _EDGE
    room = Rect(side, _EDGE, max_width - side, max_height - _EDGE)
    extent = extent_of(faces)
    mapping = fitted(extent, room, 1.0)
    has_folds = any(line is not Line.FAINT for face in faces for line, _ in face.folds)
    tints = drawing_tints(resolved) if has_folds else picture_tints(resolved)
    strips = _ribbons(resolved, state, faces, projection, tints)
    paint_raised(canvas, resolved, faces, mapping, tints=tints, strips=strips)
    choices = [(mapping.ring(places), text) for places, text in notes]
    picture = mapping.rect(extent)
    margin_notes(canvas, picture, chosen_targets(canvas.frame, picture, choices))
    wording = words_of(resolved)
    written = wording.phrase(f"draw_state_{state}")
    title = wording.phrase("draw_oblique", design=resolved.design.title, state=written)
    return canvas.scene(f"raised-{state}", title, raised_equivalent(resolved, state, projection))


def _ribbons(
    resolved: ResolvedDesign,
    state: str,
    faces: Sequence[RaisedFace],
    projection: Projection,
    tints: StockTints,
) -> tuple[Strip, ...]:
    """The ribbons that go round the closed work, tied."""
    if state != "closed":
        return ()
    placed = [face.placed for face in faces]
    return tuple(
        strip
        for tie in round_ties(resolved)
        for strip in round_ribbons(resolved, tie, placed, faces, projection, tints.fills)
    )


def raised_equivalent(
    resolved: ResolvedDesign, state: str, projection: Projection = ISOMETRIC
) -> str:
    """The size over all, and the pieces that show from the right, before and above."""
    shown = set(visible_keys(raised_state(resolved, state, projection)))
    visible = [key for key in resolved.pieces if key in shown]
    faces = _faces(resolved, state)
    words = finished_equivalent(resolved, state, "front, right and above", visible, faces)
    return words + tied_words(resolved, state)

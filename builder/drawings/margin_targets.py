"""Which place each label in the margin points to, so that no leader runs through another's end.

In: for each label some places that it may point to, the best first.  Out: the labels with one
place each.  The labels are set on an empty canvas and checked there; where something is wrong,
other places are tried, one label at a time.
"""

from __future__ import annotations

from collections.abc import Sequence

from builder.drawings.canvas import Canvas
from builder.drawings.labels import margin_notes
from builder.drawings.plane import Place, Rect
from builder.drawings.scene_check import overlaps

Choices = Sequence[tuple[Sequence[Place], str]]
Notes = list[tuple[Place, str]]

#: As many places are worth trying for one label.
MOST_CHOICES = 10
_MOST_ROUNDS = 3


def chosen_targets(room: Rect, picture: Rect, choices: Choices) -> Notes:
    """One place for each label on a canvas as large as ``room``, beside ``picture``."""
    notes: Notes = [(places[0], text) for places, text in choices]
    fewest = _faults(room, picture, notes)
    for _ in range(_MOST_ROUNDS):
        if not fewest:
            break
        before = fewest
        for index, (places, text) in enumerate(choices):
            for place in places[1:]:
                tried = [*notes[:index], (place, text), *notes[index + 1 :]]
                faults = _faults(room, picture, tried)
                if faults < fewest:
                    notes, fewest = tried, faults
            if not fewest:
                break
        if fewest == before:
            break
    return notes


def _faults(room: Rect, picture: Rect, notes: Notes) -> int:
    canvas = Canvas(room.width, room.height)
    margin_notes(canvas, picture, notes)
    return len(overlaps(canvas.scene("labels", "labels", "", trim=False)))

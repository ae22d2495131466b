"""Where notes with leaders go."""

from __future__ import annotations

from gatherfold.drawings.kernel.canvas import Canvas
from gatherfold.drawings.kernel.styles import Fill, Line
from gatherfold.drawings.labels.labels import NOTE_PT, label, write_labels
from gatherfold.drawings.labels.placings import LabelLook
from gatherfold.drawings.scene_check import overlaps


def test_a_leader_ends_beside_an_arrowhead_rather_than_on_it() -> None:
    """However many of the places offered first lie on it."""
    canvas = Canvas(60, 40)
    canvas.outline([(10, 10), (50, 10), (50, 30), (10, 30)], Line.VISIBLE)
    canvas.area([[(29, 19.5), (31, 20), (29, 20.5)]], Fill.INK)
    on_it = [(29.4 + 0.1 * index, 20.0) for index in range(8)]
    write_labels(canvas, [label(canvas, [*on_it, (40.0, 20.0)], ["spine"], LabelLook(NOTE_PT))])
    scene = canvas.scene("a", "a", "", trim=False)
    assert overlaps(scene) == ()
    assert [stroke.runs[0][-1] for stroke in scene.strokes(Line.LEADER)] == [(40.0, 20.0)]

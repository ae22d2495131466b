"""The cross that lies on the same place of a piece on two tiles of its template."""

from __future__ import annotations

from builder.drawings.canvas import Canvas
from builder.drawings.plane import Place
from builder.drawings.styles import Line

_REACH = 3.0


def draw_cross(canvas: Canvas, place: Place) -> None:
    x, y = place
    arms = [((x - _REACH, y), (x + _REACH, y)), ((x, y - _REACH), (x, y + _REACH))]
    canvas.strokes(arms, Line.DIMENSION, "registration")

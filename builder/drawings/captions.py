"""The caption of a drawing of a step: short statements below it, parted by dots.

In: a canvas with the drawing, and the statements.  Out: grey lines in its middle, within the frame.
"""

from __future__ import annotations

from collections.abc import Sequence

from builder.drawings.canvas import Canvas
from builder.drawings.labels import NOTE_PT
from builder.drawings.lettering import text_width
from builder.drawings.scene import Text
from builder.drawings.styles import GREY_TEXT
from builder.drawings.wrapping import wrapped

_MOST_LINES = 3
_PITCH = 3.4


def draw_caption(canvas: Canvas, words: Sequence[str]) -> None:
    for text in wrapped(words, canvas.frame.right, _MOST_LINES):
        half = text_width(text, NOTE_PT) / 2
        x = min(max(canvas.middle, half), canvas.frame.right - half)
        canvas.text(Text(text, x, canvas.lowest - _PITCH, NOTE_PT, colour=GREY_TEXT))

"""Words in lines that fit: short statements parted by dots, and sentences broken at spaces.

In: text and the room in mm.  Out: lines; and the caption of a drawing of a step on its canvas.
"""

from collections.abc import Sequence

from gatherfold.drawings.kernel.canvas import Canvas
from gatherfold.drawings.kernel.lettering import text_width
from gatherfold.drawings.kernel.scene import Text
from gatherfold.drawings.kernel.styles import GREY_TEXT
from gatherfold.drawings.labels.labels import NOTE_PT

_BETWEEN = " · "


def sentence_lines(text: str, room: float, points: float) -> list[str]:
    """The words of a sentence in lines no wider than ``room`` mm; a wider word is broken.

    Two spaces within a line stay: they set off a letter that is explained.
    """
    lines = [""]
    parts = (part for word in text.split(" ") for part in _parts(word, room, points))
    for word in parts:
        longer = f"{lines[-1]} {word}" if lines[-1] else word
        if text_width(longer, points) <= room or not lines[-1]:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines


def _parts(word: str, room: float, points: float) -> list[str]:
    """A word, or parts of it that fit."""
    parts, start = [], 0
    for end in range(1, len(word) + 1):
        if end - start > 1 and text_width(word[start:end], points) > room:
            parts.append(word[start : end - 1])
            start = end - 1
    return [*parts, word[start:]]


def wrapped(words: Sequence[str], room: float, most_lines: int) -> tuple[str, ...]:
    """The words in lines that fit ``room`` mm, as many as there may be; the last takes the rest,
    and is broken where it is wider."""
    lines = [words[0]]
    for word in words[1:]:
        longer = f"{lines[-1]}{_BETWEEN}{word}"
        if text_width(longer, NOTE_PT) <= room or len(lines) == most_lines:
            lines[-1] = longer
        else:
            lines.append(word)
    return tuple(part for line in lines for part in sentence_lines(line, room, NOTE_PT))


_MOST_LINES = 3
_PITCH = 3.4


def draw_caption(canvas: Canvas, words: Sequence[str]) -> None:
    for text in wrapped(words, canvas.frame.right, _MOST_LINES):
        half = text_width(text, NOTE_PT) / 2
        x = min(max(canvas.extent.centre[0], half), canvas.frame.right - half)
        canvas.text(Text(text, x, canvas.extent.bottom - _PITCH, NOTE_PT, colour=GREY_TEXT))

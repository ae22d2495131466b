"""Small multiples: numbered pictures of folded work side by side, all at one scale.

In: frames on the plane of projection, the room on paper.  Out: a scene with the frames in rows,
read from left to right, each with its letter and what happens in it; what moves is drawn in wide
lines, dotted where it was before, and an arrow shows the way it went.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import islice, pairwise

from builder.drawings.canvas import Canvas
from builder.drawings.lettering import text_width
from builder.drawings.plane import Mapping, Place, Rect, bounding, fitted
from builder.drawings.raised_view import RaisedFace, paint_raised
from builder.drawings.scene import Scene, Text
from builder.drawings.styles import Fill, Line
from builder.resolve.placement import FaceKey
from builder.resolve.resolved import ResolvedDesign

Ring = tuple[Place, ...]

_LETTER_PT, _CAPTION_PT = 9.0, 7.5
_LINE_PITCH = 3.5
_MOST_LINES = 2
_GUTTER = 5.0
_EDGE = 1.2
_CAPTION = _LINE_PITCH * _MOST_LINES + 1.5
#: An arrowhead's length in mm, its greatest share of a short arrow, half its width to its length.
_ARROW_LENGTH, _MOST_OF_ARROW, _ARROW_SLENDER = 2.6, 0.45, 0.31
#: How far the back of a head is hollowed, as a share of its length.
_BARB = 0.25
_LETTERS = "abcdefghijklmnopqrstuvwxyz"


@dataclass(frozen=True)
class Frame:
    """One picture: faces from the farthest to the nearest; ``bold`` are those that moved,
    ``ghosts`` their outlines where they were, ``arrows`` the ways they went, ``glued`` the sides
    of faces, True for the front, that glue goes on."""

    faces: tuple[RaisedFace, ...]
    caption: str
    bold: frozenset[FaceKey] = frozenset()
    ghosts: tuple[Ring, ...] = ()
    arrows: tuple[Ring, ...] = ()
    glued: frozenset[tuple[FaceKey, bool]] = frozenset()

    @property
    def extent(self) -> Rect:
        rings = [ring for face in self.faces for ring in face.rings[:1]]
        return bounding(p for ring in (*rings, *self.ghosts, *self.arrows) for p in ring)


@dataclass(frozen=True)
class _Grid:
    """The frames in rows, and the scale that fits them all."""

    rows: tuple[tuple[Frame, ...], ...]
    cell: float
    scale: float


def frames_scene(
    resolved: ResolvedDesign,
    key: str,
    title: str,
    frames: Sequence[Frame],
    words: str,
    max_width: float,
    max_height: float,
) -> Scene:
    """The frames within ``max_width`` x ``max_height`` mm; ``words`` is the text equivalent."""
    canvas = Canvas(max_width, max_height)
    grid = _best_grid(frames, max_width, max_height)
    letters = iter(_LETTERS)
    top = max_height - _EDGE
    for row in grid.rows:
        height = max(frame.extent.height for frame in row) * grid.scale
        for column, frame in enumerate(row):
            left = column * (grid.cell + _GUTTER)
            room = Rect(left + _EDGE, top - height, left + grid.cell - _EDGE, top)
            _draw(canvas, resolved, frame, fitted(frame.extent, room, grid.scale))
            corner = (left + _EDGE, top - height - _LINE_PITCH)
            _write(canvas, next(letters), frame.caption, corner, grid.cell)
        top -= height + _CAPTION + _GUTTER
    return canvas.scene(key, title, words)


def _best_grid(frames: Sequence[Frame], width: float, height: float) -> _Grid:
    """The number of columns that lets the frames come out largest."""
    grids = [_grid(frames, columns, width, height) for columns in range(1, len(frames) + 1)]
    return max(grids, key=lambda grid: grid.scale)


def _grid(frames: Sequence[Frame], columns: int, width: float, height: float) -> _Grid:
    cell = (width - _GUTTER * (columns - 1)) / columns
    waiting = iter(frames)
    rows = []
    while row := tuple(islice(waiting, columns)):
        rows.append(row)
    widest = max(frame.extent.width for frame in frames)
    tall = sum(max(frame.extent.height for frame in row) for row in rows)
    left = height - 2 * _EDGE - len(rows) * _CAPTION - (len(rows) - 1) * _GUTTER
    return _Grid(tuple(rows), cell, min((cell - 2 * _EDGE) / widest, left / tall, 1.0))


def _draw(canvas: Canvas, resolved: ResolvedDesign, frame: Frame, mapping: Mapping) -> None:
    for ring in frame.ghosts:
        canvas.outline(mapping.ring(ring), Line.PATH, "where it was", is_obstacle=False)
    paint_raised(canvas, resolved, frame.faces, mapping, frame.bold, frame.glued)
    for way in frame.arrows:
        draw_arrow(canvas, mapping.ring(way))


def draw_arrow(canvas: Canvas, way: Ring) -> None:
    """A wide line along a way on paper, with a head at its end, barbed unlike a dimension's."""
    whole = sum(math.dist(a, b) for a, b in pairwise(way))
    length = min(_ARROW_LENGTH, _MOST_OF_ARROW * whole)
    half = length * _ARROW_SLENDER
    end = way[-1]
    base = next((p for p in reversed(way) if math.dist(p, end) >= length), way[0])
    reach = math.dist(base, end) or 1.0
    ux, uy = (end[0] - base[0]) / reach, (end[1] - base[1]) / reach
    foot = end[0] - length * ux, end[1] - length * uy
    kept = [p for p in way if math.dist(p, end) > length]
    canvas.strokes([(*kept, foot)], Line.VISIBLE, "arrow", is_obstacle=False)
    wings = [(foot[0] + s * half * uy, foot[1] - s * half * ux) for s in (1.0, -1.0)]
    barb = foot[0] + _BARB * length * ux, foot[1] + _BARB * length * uy
    canvas.area([(end, wings[0], barb, wings[1])], Fill.INK)


def _write(canvas: Canvas, letter: str, caption: str, corner: Place, cell: float) -> None:
    x, y = corner
    canvas.text(Text(letter, x, y, _LETTER_PT, "start", bold=True))
    indent = text_width(letter, _LETTER_PT, bold=True) + 1.4
    for index, line in enumerate(_lines(caption, cell - indent - 2 * _EDGE)):
        canvas.text(Text(line, x + indent, y - index * _LINE_PITCH, _CAPTION_PT, "start"))


def _lines(text: str, width: float) -> list[str]:
    """The words in lines no wider than ``width``; what goes beyond the last line is left out."""
    lines = [""]
    for word in text.split():
        longer = f"{lines[-1]} {word}".strip()
        if text_width(longer, _CAPTION_PT) <= width or not lines[-1]:
            lines[-1] = longer
        elif len(lines) < _MOST_LINES:
            lines.append(word)
        else:
            lines[-1] = f"{lines[-1].rstrip(',')} …"
            break
    return lines

"""Small multiples: numbered pictures of folded work side by side, all at one scale.

In: frames on the plane of projection, the room on paper.  Out: a scene with the frames in rows,
read from left to right, each as wide as it needs to be, with its letter and what happens in it;
what moves is drawn in wide lines, dotted where it was before, and an arrow shows the way it went.
What comes out too small is shown once more, larger, in a circle.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise
from string import ascii_lowercase

from gatherfold.drawings.kernel.break_lines import wave
from gatherfold.drawings.kernel.canvas import Canvas
from gatherfold.drawings.kernel.lettering import text_width
from gatherfold.drawings.kernel.plane import Place, Rect, ToPaper, bounding, fitted
from gatherfold.drawings.kernel.scene import Sized, Text
from gatherfold.drawings.kernel.stock_tints import drawing_tints
from gatherfold.drawings.kernel.styles import GREY_TEXT, Fill, Line
from gatherfold.drawings.kernel.wording import words_of
from gatherfold.drawings.kernel.wrapping import sentence_lines
from gatherfold.drawings.motion.movements import Move
from gatherfold.drawings.views.detail_circles import (
    TIMES,
    DetailCircle,
    draw_detail,
    placed_beside,
)
from gatherfold.drawings.views.raised_view import LaidStrip, RaisedFace, RaisedPicture, paint_raised
from gatherfold.resolve import ResolvedDesign
from gatherfold.work import FaceKey

Ring = tuple[Place, ...]

_LETTER_PT, _CAPTION_PT = 9.0, 7.5
_LINE_PITCH = 3.5
#: A caption may have so many lines, but pictures stand rather where fewer are enough.
_MOST_LINES, _USUAL_LINES = 3, 2
_GUTTER = 4.0
_EDGE = 1.5
#: What a picture gets of the width that its row leaves, at most.
_MOST_SPARE = 22.0
#: White between a picture and its caption.
_BESIDE_CAPTION = 1.5
#: The note below the last row.
_NOTE = 5.0
#: An arrowhead's length in mm, its greatest share of a short arrow, half its width to its length.
_ARROW_LENGTH, _MOST_OF_ARROW, _ARROW_SLENDER = 2.6, 0.45, 0.31
#: An arrow shorter than this is drawn in a thin line with a small head.
_SHORT_ARROW, _SHORT_HEAD = 14.0, 1.9
#: How far the back of a head is hollowed, as a share of its length.
_BARB = 0.25
#: A part that moves within a circle of less than this across on paper is enlarged.
_SMALLEST = 22.0
#: What a division is worth in which a caption takes more lines than usual, to one in which none
#: does; and one that cuts a caption short, to one that does not.
_LONG_CAPTION, _CUT_SHORT = 0.6, 0.6
#: What a row more has to make up for by the size of the frames.
_PER_ROW = 0.88


@dataclass(frozen=True)
class Detail:
    """A small part that moves: the circle that it moves in, the ways that it goes, and where it is
    shown larger, if it is."""

    circle: DetailCircle
    arrows: tuple[Ring, ...]
    beside: DetailCircle | None = None


@dataclass(frozen=True)
class MotionFrame:
    """One picture: faces from the farthest to the nearest; ``bold`` are those that moved,
    ``ghosts`` what is seen of their outlines where they were, as runs; ``arrows`` are the ways they
    went, ``glued`` the sides of faces, True for the front, that glue goes on.

    ``breaks`` are lines at which the work goes on beyond what is shown, ``strips`` are laid among
    the faces, ``details`` are parts that may come out too small.  ``move`` is the movement that it
    shows, ``hidden`` the pieces that this hides.
    """

    faces: tuple[RaisedFace, ...]
    caption: str
    bold: frozenset[FaceKey] = frozenset()
    ghosts: tuple[Ring, ...] = ()
    arrows: tuple[Ring, ...] = ()
    glued: frozenset[tuple[FaceKey, bool]] = frozenset()
    breaks: tuple[tuple[Place, Place], ...] = ()
    strips: tuple[LaidStrip, ...] = ()
    details: tuple[Detail, ...] = ()
    move: Move | None = None
    hidden: tuple[str, ...] = ()

    @property
    def ways(self) -> tuple[Ring, ...]:
        """Every arrow that is drawn at the scale of the picture."""
        small = (way for detail in self.details if not detail.beside for way in detail.arrows)
        return (*self.arrows, *small)

    @cached_property
    def extent(self) -> Rect:
        rings = [face.rings[0] for face in self.faces]
        rings += [ring for strip in self.strips for ring in strip.rings]
        rings += [detail.beside.box.ring for detail in self.details if detail.beside]
        return bounding(p for ring in (*rings, *self.ghosts, *self.ways) for p in ring)

    def within(self, circle: DetailCircle) -> MotionFrame:
        """What of the frame's work lies in a circle."""
        return replace(
            self,
            faces=tuple(map(circle.face, self.faces)),
            strips=tuple(map(circle.strip, self.strips)),
            ghosts=circle.runs(self.ghosts),
        )

    def enlarged(self, scale: float) -> MotionFrame:
        """The frame with those details beside it that are too small at this scale."""
        found: list[Detail] = []
        for detail in self.details:
            if 2 * detail.circle.radius * scale < _SMALLEST:
                work = [face.rings[0] for face in self.faces]
                moved = [face.rings[0] for face in self.faces if face.key in self.bold]
                busy = [*self.ghosts, *self.arrows, *moved]
                busy += [ring for strip in self.strips for ring in strip.rings]
                others = [other.beside for other in found if other.beside]
                beside = placed_beside(detail.circle, work, busy, others)
                detail = replace(detail, beside=beside)
            found.append(detail)
        return replace(self, details=tuple(found))


@dataclass(frozen=True)
class _Row:
    """Frames side by side, with captions of so many lines."""

    frames: tuple[MotionFrame, ...]
    lines: int

    @property
    def width(self) -> float:
        return sum(frame.extent.width for frame in self.frames)

    @property
    def height(self) -> float:
        return max(frame.extent.height for frame in self.frames)

    @property
    def below(self) -> float:
        return _LINE_PITCH * self.lines + _BESIDE_CAPTION

    @property
    def margins(self) -> float:
        count = len(self.frames)
        return 2 * _EDGE * count + _GUTTER * (count - 1)

    def cells(self, width: float, scale: float) -> Iterator[tuple[MotionFrame, float, float]]:
        """Each frame with the left end and the width of its cell: what the pictures leave is
        shared out evenly, up to a limit."""
        spare = min((width - self.margins - scale * self.width) / len(self.frames), _MOST_SPARE)
        left = 0.0
        for frame in self.frames:
            cell = scale * frame.extent.width + 2 * _EDGE + spare
            yield frame, left, cell
            left += cell + _GUTTER


@dataclass(frozen=True)
class _Grid:
    """The frames in rows, the scale that fits them all, and how many lines the longest caption
    needs."""

    rows: tuple[_Row, ...]
    scale: float
    lines: int

    @property
    def worth(self) -> float:
        """Which of two divisions is better: what comes out larger, in few rows."""
        if self.scale <= 0:
            return self.scale
        words = _LONG_CAPTION if self.lines > _USUAL_LINES else 1.0
        words *= _CUT_SHORT if self.lines > _MOST_LINES else 1.0
        return self.scale * _PER_ROW ** len(self.rows) * words


def frames_drawn(
    resolved: ResolvedDesign, frames: Sequence[MotionFrame], max_width: float, max_height: float
) -> Canvas:
    """The frames within ``max_width`` x ``max_height`` mm."""
    canvas = Canvas(max_width, max_height)
    scale = _best_grid(frames, max_width, max_height).scale
    shown = [frame.enlarged(scale) for frame in frames]
    note = _note(resolved, shown)
    grid = _best_grid(shown, max_width, max_height - (_NOTE if note else 0.0))
    letters = iter(ascii_lowercase)
    top = max_height - _EDGE
    for row in grid.rows:
        height = row.height * grid.scale
        for frame, left, cell in row.cells(max_width, grid.scale):
            room = Rect(left + _EDGE, top - height, left + cell - _EDGE, top)
            _draw(canvas, resolved, frame, fitted(frame.extent, room, grid.scale))
            corner = (left + _EDGE, top - height - _LINE_PITCH)
            _write(canvas, next(letters), frame.caption, corner, cell)
        top -= height + row.below + _GUTTER
    if note:
        canvas.text(Text(note, _EDGE, top, _CAPTION_PT, "start", colour=GREY_TEXT))
    return canvas


def size_of_frames(frames: Sequence[MotionFrame], max_width: float, max_height: float) -> Sized:
    """About how large the frames come out, without what may be shown larger beside them."""
    grid = _best_grid(frames, max_width, max_height)
    words = sum(row.below for row in grid.rows) + _GUTTER * (len(grid.rows) - 1)
    return (
        max(row.margins + grid.scale * row.width for row in grid.rows),
        words + grid.scale * sum(row.height for row in grid.rows),
    )


def _note(resolved: ResolvedDesign, frames: Sequence[MotionFrame]) -> str:
    """What wavy lines and large circles mean, if there are any."""
    wording = words_of(resolved)
    words = []
    if any(frame.breaks for frame in frames):
        words.append(wording.phrase("draw_wavy"))
    if any(detail.beside for frame in frames for detail in frame.details):
        words.append(wording.phrase("draw_in_circle", times=TIMES))
    return " · ".join(words)


def _best_grid(frames: Sequence[MotionFrame], width: float, height: float) -> _Grid:
    """The division into rows of equally many, the last of what is left, that is worth most."""
    starts = [range(0, len(frames), columns) for columns in range(1, len(frames) + 1)]
    rows = ([tuple(frames[a : a + each.step]) for a in each] for each in starts)
    return max((_grid(each, width, height) for each in rows), key=lambda grid: grid.worth)


def _grid(rows: Sequence[tuple[MotionFrame, ...]], width: float, height: float) -> _Grid:
    """Rows with as few lines of caption as the widths of their cells allow."""
    grid = [_Row(frames, 1) for frames in rows]
    while True:
        scale = _scale(grid, width, height)
        needed = [_lines_needed(row, width, scale) for row in grid]
        pairs = zip(grid, needed, strict=True)
        roomy = [replace(row, lines=max(row.lines, min(n, _MOST_LINES))) for row, n in pairs]
        if roomy == grid:
            return _Grid(tuple(grid), scale, max(needed))
        grid = roomy


def _scale(rows: Sequence[_Row], width: float, height: float) -> float:
    across = min((width - row.margins) / row.width for row in rows)
    words = sum(row.below for row in rows) + (len(rows) - 1) * _GUTTER
    return min(across, (height - 2 * _EDGE - words) / sum(row.height for row in rows), 1.0)


def _lines_needed(row: _Row, width: float, scale: float) -> int:
    cells = row.cells(width, scale)
    return max(
        len(sentence_lines(frame.caption, _caption_width("m", cell), _CAPTION_PT))
        for frame, _, cell in cells
    )


def _draw(canvas: Canvas, resolved: ResolvedDesign, frame: MotionFrame, mapping: ToPaper) -> None:
    _draw_work(canvas, resolved, frame, mapping)
    for start, end in frame.breaks:
        run = wave(mapping(*start), mapping(*end))
        canvas.strokes([run], Line.DIMENSION, "break", is_obstacle=False)
    for way in frame.ways:
        draw_arrow(canvas, mapping.ring(way))
    for detail in frame.details:
        if detail.beside is None:
            continue
        zoomed = draw_detail(canvas, mapping, detail.circle, detail.beside)
        _draw_work(canvas, resolved, frame.within(detail.circle), zoomed)
        for way in detail.arrows:
            draw_arrow(canvas, zoomed.ring(way))
        rim = mapping.ring(detail.beside.ring)
        canvas.outline(rim, Line.DIMENSION, "detail", is_obstacle=False)


def _draw_work(
    canvas: Canvas, resolved: ResolvedDesign, frame: MotionFrame, mapping: ToPaper
) -> None:
    """What is there, and where it was."""
    picture = RaisedPicture(frame.faces, frame.strips, frame.bold, frame.glued)
    paint_raised(canvas, picture, mapping, drawing_tints(resolved))
    for ghost in frame.ghosts:
        canvas.strokes([mapping.ring(ghost)], Line.PATH, "where it was", is_obstacle=False)


def draw_arrow(canvas: Canvas, way: Ring, is_behind: bool = False) -> None:
    """A line along a way on paper, with a head at its end, barbed unlike a dimension's; wide, but
    thin where it is short; dashed with an open head where it passes behind the work."""
    whole = sum(math.dist(a, b) for a, b in pairwise(way))
    is_short = whole < _SHORT_ARROW
    length = min(_SHORT_HEAD if is_short else _ARROW_LENGTH, _MOST_OF_ARROW * whole)
    half = length * _ARROW_SLENDER
    end = way[-1]
    base = next((p for p in reversed(way) if math.dist(p, end) >= length), way[0])
    reach = math.dist(base, end) or 1.0
    ux, uy = (end[0] - base[0]) / reach, (end[1] - base[1]) / reach
    foot = end[0] - length * ux, end[1] - length * uy
    kept = [p for p in way if math.dist(p, end) > length]
    line = Line.FAINT if is_short else Line.VISIBLE
    if is_behind:
        line = Line.HIDDEN
    canvas.strokes([(*kept, foot)], line, "arrow", is_obstacle=False)
    wings = [(foot[0] + s * half * uy, foot[1] - s * half * ux) for s in (1.0, -1.0)]
    barb = foot[0] + _BARB * length * ux, foot[1] + _BARB * length * uy
    head = (end, wings[0], barb, wings[1])
    if is_behind:
        canvas.area([head], Fill.PAPER)
        canvas.outline(head, Line.FAINT, "arrow", is_obstacle=False)
    else:
        canvas.area([head], Fill.INK)


def _write(canvas: Canvas, letter: str, caption: str, corner: Place, cell: float) -> None:
    x, y = corner
    canvas.text(Text(letter, x, y, _LETTER_PT, "start", bold=True))
    lines = sentence_lines(caption, _caption_width(letter, cell), _CAPTION_PT)
    if len(lines) > _MOST_LINES:
        lines = [*lines[: _MOST_LINES - 1], f"{lines[_MOST_LINES - 1].rstrip(',')} …"]
    for index, line in enumerate(lines):
        start = x + _indent(letter)
        canvas.text(Text(line, start, y - index * _LINE_PITCH, _CAPTION_PT, "start"))


def _indent(letter: str) -> float:
    return text_width(letter, _LETTER_PT, bold=True) + 1.4


def _caption_width(letter: str, cell: float) -> float:
    return cell - _indent(letter) - 2 * _EDGE
